"""Gauge or absolute, unit and outside air: settled by the data, or asked for."""

from __future__ import annotations

import io

import numpy as np
import pytest

from planner.driving.recording import Recording, read_recording
from planner.errors import BadInput
from planner.event import Reading

TIME = np.arange(0, 90, 0.1)
SWING = (1 + np.sin(TIME / 3)) / 2  # 0 to 1


def read(columns: dict[str, np.ndarray], reading: Reading = Reading()) -> Recording:  # noqa: B008
    rows = zip(TIME, *columns.values(), strict=True)
    text = ",".join(("time_s", *columns)) + "\n" + "".join(",".join(f"{v:.6g}" for v in row) + "\n" for row in rows)
    return read_recording(io.BytesIO(text.encode()), reading)


def refusal(columns: dict[str, np.ndarray], reading: Reading = Reading()) -> str:  # noqa: B008
    with pytest.raises(BadInput) as refused:
        read(columns, reading)
    return str(refused.value)


def test_values_below_zero_settle_gauge_whatever_the_name_says() -> None:
    recording = read({"MAP [kPa]": -60 + 180 * SWING})

    assert not recording.absolute
    assert any("against its name" in notice for notice in recording.notices)


def test_the_level_with_the_engine_off_settles_absolute_and_is_the_air_outside() -> None:
    off = TIME < 10
    recording = read({"boost [kPa]": np.where(off, 97, 40 + 180 * SWING), "rpm": np.where(off, 0, 3000)})

    assert recording.absolute
    assert recording.ambient == pytest.approx(97e3)
    assert "engine off" in recording.ambient_how


def test_idling_at_a_standstill_settles_it() -> None:
    idle = TIME < 20
    pressure = np.where(idle, 35, 50 + 60 * SWING)
    recording = read(
        {"Pressure [kPa]": pressure, "rpm": np.where(idle, 800, 4000), "speed [km/h]": np.where(idle, 0, 80)}
    )

    assert recording.absolute
    assert any("101.325" in notice for notice in recording.notices)


@pytest.mark.parametrize("name", ["Pressure [kPa]", "Ladedruck [kPa]", "Manifold pressure [kPa]"])
def test_what_the_data_do_not_settle_is_asked(name: str) -> None:
    said = refusal({name: 20 + 60 * SWING})

    assert "--gauge" in said
    assert "--absolute" in said
    assert name in said


def test_a_name_that_says_boost_over_values_that_look_absolute_is_asked() -> None:
    assert "--absolute" in refusal({"Boost [kPa]": 30 + 190 * SWING})


@pytest.mark.parametrize(("absolute", "highest"), [(True, 80e3 - 98e3), (False, 80e3)])
def test_the_users_word_settles_it(absolute: bool, highest: float) -> None:
    recording = read({"Pressure [kPa]": 20 + 60 * SWING}, Reading(absolute=absolute, ambient=98e3))

    assert recording.absolute is absolute
    assert recording.trace.boost.max() == pytest.approx(highest, rel=1e-3)


def test_a_barometer_column_is_the_air_outside() -> None:
    recording = read({"MAP [kPa]": 40 + 160 * SWING, "Barometric pressure [mbar]": np.full(TIME.size, 951.0)})

    assert recording.ambient == pytest.approx(95.1e3)
    assert recording.trace.boost.max() == pytest.approx(200e3 - 95.1e3, rel=1e-3)


def test_a_barometer_that_changes_on_a_climb_is_followed() -> None:
    air = np.linspace(100, 80, TIME.size)
    recording = read({"MAP [kPa]": air + 50 * SWING, "Barometric pressure [kPa]": air})

    np.testing.assert_allclose(recording.trace.boost, 50e3 * SWING, atol=5)


@pytest.mark.parametrize(
    ("name", "values", "better"),
    [
        ("MAP [kPa]", 5 + 28 * SWING, "psi"),
        ("MAP [psi]", 30 + 200 * SWING, "kPa"),
        ("Boost [bar]", -60 + 190 * SWING, "kPa"),
    ],
)
def test_a_unit_that_the_values_cannot_be_in_is_refused(name: str, values: np.ndarray, better: str) -> None:
    said = refusal({name: values})

    assert f"--unit boost={better}" in said
    assert name in said


def test_the_users_unit_prevails() -> None:
    recording = read({"MAP [kPa]": 5 + 28 * SWING}, Reading(units=(("boost", "psi"),), ambient=1e5))

    assert recording.trace.boost.max() == pytest.approx(33 * 6894.757 - 1e5, rel=1e-3)


def test_a_missing_unit_is_found_where_only_one_fits_and_told() -> None:
    recording = read({"boost": -0.6 + 1.9 * SWING})

    assert recording.trace.boost.max() == pytest.approx(1.3e5, rel=1e-3)
    assert any("it was read in bar" in notice for notice in recording.notices)


def test_a_missing_unit_that_values_leave_open_is_asked() -> None:
    assert "--unit boost=kPa" in refusal({"boost": 25 * SWING})


def test_boost_shown_with_the_engine_off_is_stale_and_carries_none() -> None:
    off = TIME > 60
    recording = read({"Boost [kPa]": np.where(off, 120, -50 + 170 * SWING), "rpm": np.where(off, 0, 3000)})

    assert recording.trace.boost[recording.trace.time > 60.2].max() <= 0
    assert any("engine off" in notice for notice in recording.notices)


def test_an_unknown_unit_of_the_users_is_refused_with_the_way_out() -> None:
    assert "write a pressure" in refusal({"boost": SWING}, Reading(units=(("boost", "furlong"),)))


def test_a_target_or_another_pressure_is_not_taken_for_boost() -> None:
    other = {
        "Target boost [kPa]": 100 * SWING,
        "Oil pressure [kPa]": 300 + SWING,
        "Fuel rail pressure [kPa]": 300 + SWING,
    }

    assert "no column is known as boost" in refusal(other)


def test_a_dead_first_candidate_gives_way_to_a_lively_one() -> None:
    recording = read({"Boost [kPa]": np.zeros(TIME.size), "MAP [kPa]": 30 + 180 * SWING})

    assert next(c.name for c in recording.columns if c.meaning == "boost") == "MAP [kPa]"
