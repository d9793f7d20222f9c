"""Where the bands of risk, the borderline and the washing band begin and end, to the very number."""

from __future__ import annotations

import numpy as np

from planner.physics.spectrum import excitation
from planner.use.exposure import Exposure
from planner.use.motion import STEP
from planner.use.slosh_levels import BANDS, SHARES, SloshLevels, slosh_levels
from planner.use.starving import StarvingFloor
from planner.use.washing import Washing
from tests.cars import CAR

ZERO = np.zeros(6)


def exposed(of_flow: list[float]) -> Exposure:
    """Shares of the flowing time, and nothing else."""
    return Exposure(ZERO, ZERO, np.array(of_flow), ZERO, ZERO, ZERO, ZERO)


def levels(**changes) -> SloshLevels:
    """Six levels of 1 to 6 litres."""
    volume = np.arange(1.0, 7.0)
    found = {
        "share": volume / 7,
        "volume": volume,
        "still": exposed([0.0] * 6),
        "moving": exposed([0.0] * 6),
        "washing": Washing(ZERO, ZERO, ZERO, ZERO, ZERO, ZERO, ZERO),
        "floor": StarvingFloor(3.0, 3.0, 1.0, (2.0, 5.0), False, "", "tilted surface"),
        "band": (2.0, 5.0),
        "excitation": (ZERO, ZERO, ZERO),
    }
    return SloshLevels(**(found | changes))


def test_risk_rises_a_band_at_one_and_at_ten_percent_by_the_surface_that_says_more() -> None:
    still, moving = [0.0, 0.0099, 0.01, 0.0, 0.0, 0.5], [0.0, 0.0, 0.0, 0.0999, 0.10, 0.0]
    found = levels(still=exposed(still), moving=exposed(moving))
    np.testing.assert_array_equal(found.bare_of_flow, [0.0, 0.0099, 0.01, 0.0999, 0.10, 0.5])
    assert BANDS == ("under 1 %", "1 to 10 %", "over 10 %")
    assert found.words == (BANDS[0], BANDS[0], BANDS[1], BANDS[1], BANDS[2], BANDS[2])


def test_the_borderline_holds_its_lower_end_and_not_its_upper_and_the_washing_band_holds_both() -> None:
    found = levels()
    assert found.borderline.tolist() == [False, True, True, True, False, False]
    assert found.washes.tolist() == [False, True, True, True, True, False]


def test_levels_looked_at_are_every_fortieth_of_the_capacity_between_empty_and_full() -> None:
    np.testing.assert_allclose(SHARES, np.arange(1, 40) / 40)


def test_without_flow_there_is_no_motion_and_no_excitation_but_its_grid() -> None:
    found = slosh_levels(CAR, [], shares=(0.25, 0.5))
    np.testing.assert_array_equal(found.share, [0.25, 0.5])
    np.testing.assert_allclose(found.volume, np.array([0.25, 0.5]) * CAR.tank.capacity)
    np.testing.assert_array_equal(found.excitation[0], excitation(np.zeros(1), STEP)[0])
