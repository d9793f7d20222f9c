"""Weather: frost, vapour and expansion of a full container."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import OutsideModel
from planner.physics.blend import density, flash_point, freezing_point
from planner.planning.weather import Weather, absurd_outdoors, expansion, largest_fill, weather_json, weather_warnings


def _by_code(share: float, weather: Weather) -> dict[str, tuple[str, str]]:
    return {one.code: (one.level, one.text) for one in weather_warnings(share, weather)}


def test_expansion_is_that_of_the_published_densities() -> None:
    # 50/50: 939.2 kg/m3 at 0 and 913.9 at 40 degC.
    assert expansion(0.5, 0.0, 40.0) == pytest.approx(939.2 / 913.9 - 1, abs=2e-4)


@given(st.floats(0, 1), st.floats(-20, 20), st.floats(20, 50))
def test_a_container_filled_to_the_largest_fill_ends_at_95_percent_at_most(
    share: float, cold: float, hot: float
) -> None:
    grown = largest_fill(share, cold, hot) * density(share, cold) / density(share, hot)
    assert grown <= 0.95 + 1e-12
    assert grown == pytest.approx(0.95) or density(share, hot) > density(share, cold)


def test_a_blend_that_freezes_in_the_night_is_a_warning() -> None:
    assert _by_code(0.1, Weather(night_low=-8.0))["frost"][0] == "warning"
    assert _by_code(0.1, Weather(night_low=-3.0))["frost"][0] == "caution"
    level, text = _by_code(0.5, Weather(night_low=-8.0))["frost"]
    assert level == "notice"
    assert "starts to freeze at -45 degC" in text


def test_a_night_as_cold_as_the_first_ice_freezes_and_one_three_kelvin_warmer_does_not_come_near() -> None:
    ice = float(freezing_point(0.1))
    assert _by_code(0.1, Weather(night_low=ice))["frost"] == (
        "warning",
        f"The blend starts to freeze at {ice:.0f} degC and the night falls to {ice:.3g} degC: keep it indoors.",
    )
    assert _by_code(0.1, Weather(night_low=ice + 2.9))["frost"] == (
        "caution",
        f"The night's low of {ice + 2.9:.3g} degC is near the blend's first ice at {ice:.0f} degC: keep it indoors.",
    )
    assert _by_code(0.1, Weather(night_low=ice + 3.0))["frost"][0] == "notice"


def test_vapour_warns_from_9_kelvin_below_the_flash_point_and_never_calls_a_blend_safe() -> None:
    assert _by_code(0.5, Weather(day_high=18.0))["vapour"][0] == "warning"
    level, text = _by_code(0.5, Weather(day_high=17.9))["vapour"]
    assert level == "caution"
    assert "still burns" in text
    weak = _by_code(0.01, Weather(day_high=30.0))["vapour"]
    assert weak[0] == "notice"
    assert "poisons" in weak[1]
    assert "vapour" not in _by_code(0.0, Weather(day_high=30.0))


def test_a_hot_boot_tells_how_full_a_container_gets() -> None:
    level, text = _by_code(0.5, Weather(night_low=5.0, boot=50.0))["expansion"]
    assert level == "caution"
    assert "grows by 3.1%: a container filled to 95% ends at 98.0%. Filled to 92.1%" in text
    assert _by_code(0.5, Weather(night_low=15.0, boot=25.0))["expansion"][0] == "notice"


def test_unknown_weather_says_nothing() -> None:
    assert weather_warnings(0.5, Weather()) == ()


def test_a_high_below_the_low_is_refused() -> None:
    with pytest.raises(OutsideModel, match=r"the day's high, 5 degC, lies below the night's low, 12 degC"):
        weather_warnings(0.5, Weather(night_low=12.0, day_high=5.0))


def test_a_day_no_warmer_than_its_night_is_taken() -> None:
    assert [one.code for one in weather_warnings(0.5, Weather(night_low=12.0, day_high=12.0))] == ["frost", "vapour"]


def test_plain_data_holds_the_weather_the_blends_two_points_and_every_warning() -> None:
    weather = Weather(night_low=-4.0, day_high=21.0, boot=38.0)
    assert weather_json(0.3, weather) == {
        "night_low_degC": -4.0,
        "day_high_degC": 21.0,
        "boot_degC": 38.0,
        "freezing_degC": freezing_point(0.3),
        "flash_degC": flash_point(0.3),
        "warnings": [
            {"level": one.level, "code": one.code, "text": one.text} for one in weather_warnings(0.3, weather)
        ],
    }


def test_plain_data_has_no_infinity() -> None:
    assert weather_json(0.0, Weather(night_low=3.0))["flash_degC"] is None
    assert weather_json(0.5, Weather(night_low=3.0))["flash_degC"] == 27.0


def test_temperatures_are_written_as_the_reader_likes_them() -> None:
    weather = Weather(night_low=2.0, day_high=31.0, boot=45.0)
    texts = [one.text for one in weather_warnings(0.5, weather, lambda t: f"[{t:.0f}]")]
    assert len(texts) == 3
    assert all("degC" not in text and "[" in text for text in texts)


@pytest.mark.parametrize(("temperature", "sound"), [(-60.0, True), (100.0, True), (-60.1, False), (100.1, False)])
def test_temperatures_that_neither_weather_nor_a_parked_car_has_are_told(temperature: float, sound: bool) -> None:
    assert (absurd_outdoors(temperature) == "") is sound
    if not sound:
        assert "from -60 to 100 degC" in absurd_outdoors(temperature)
