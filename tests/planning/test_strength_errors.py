"""How sure a strength by density is: its errors at the ends of the model, where each notice begins, whole as data."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.physics.blend import alcohol_share_from_density, density
from planner.planning.strength import strength_from_density, strength_json

SHARES = st.floats(0.02, 0.98)


@given(SHARES, st.floats(-19.5, 49.5), st.floats(0.0, 5.0), st.floats(0.0, 5.0))
def test_the_error_is_that_of_density_model_and_thermometer_as_squares(
    share: float, t: float, density_error: float, temperature_error: float
) -> None:
    rho = float(density(share, t))
    found = strength_from_density(rho, t, density_error=density_error, temperature_error=temperature_error)
    per_kg_m3 = float(alcohol_share_from_density(rho - 0.05, t) - alcohol_share_from_density(rho + 0.05, t)) / 0.1
    per_kelvin = per_kg_m3 * float(density(share, t - 0.5) - density(share, t + 0.5))
    assert found.alcohol_share == pytest.approx(share, abs=1e-6)
    assert found.per_kg_m3 == pytest.approx(per_kg_m3, rel=2e-3)
    assert found.per_kelvin == pytest.approx(per_kelvin, rel=2e-3)
    squares = (per_kg_m3 * density_error) ** 2 + (per_kg_m3 * 1.0) ** 2 + (per_kelvin * temperature_error) ** 2
    assert found.error == pytest.approx(squares**0.5, rel=3e-3)


@pytest.mark.parametrize(("t", "coldest", "hottest"), [(-20.0, -20.0, -19.0), (50.0, 49.0, 50.0)])
def test_at_the_ends_of_the_model_the_change_is_that_of_its_last_kelvin(
    t: float, coldest: float, hottest: float
) -> None:
    found = strength_from_density(float(density(0.7, t)), t)
    expansion = float(density(0.7, coldest) - density(0.7, hottest)) / (hottest - coldest)
    assert found.per_kelvin / found.per_kg_m3 == pytest.approx(expansion, rel=1e-6)


def test_a_hydrometer_and_a_thermometer_are_off_by_1_unless_said() -> None:
    rho = float(density(0.5))
    assert strength_from_density(rho) == strength_from_density(rho, 20.0, density_error=1.0, temperature_error=1.0)


def _notices(share: float, t: float) -> list[str]:
    return [text.partition(":")[0] for text in strength_from_density(float(density(share, t)), t).notices]


def test_temperatures_are_weak_below_0_and_above_40_degc() -> None:
    for t, count in ((-0.1, 1), (0.0, 0), (40.0, 0), (40.1, 1)):
        assert len(_notices(0.7, t)) == count


def test_a_thin_slope_is_weak_from_0_65_percent_a_kilogram_on_and_says_how_thin() -> None:
    for share in (0.02 * k for k in range(1, 50)):
        found = strength_from_density(float(density(share)))
        assert len(found.notices) == (found.per_kg_m3 > 0.0065)
        for text in found.notices:
            assert text.startswith(f"weak: here 1 kg/m3 is {100 * found.per_kg_m3:.1f} % of strength")


def test_a_blend_gives_no_answer_below_its_freezing_point_and_does_above() -> None:
    # Water begins to freeze at 0 degC.
    assert _notices(0.0, -0.01)[-1] == "no answer"
    assert "no answer" not in _notices(0.0, 0.01)
    assert _notices(0.2, -12.0)[-1] == "no answer"  # 16 % by mass, first ice between -10 and -12 degC
    assert "no answer" not in _notices(0.2, -9.0)


def test_a_strength_is_handed_on_whole_as_shares() -> None:
    found = strength_from_density(float(density(0.2)))
    assert strength_json(found) == {
        "alcohol_share": found.alcohol_share,
        "error": found.error,
        "per_kg_m3": found.per_kg_m3,
        "per_kelvin": found.per_kelvin,
        "notices": list(found.notices),
    }
