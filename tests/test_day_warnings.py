"""What a plan's reader is told of the blend: its flash point, or that it has none."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from planner.car import Blend
from planner.day import plan_day
from planner.day.warnings import warnings_of
from planner.files.event_file import read_day

EVENT = Path(__file__).parents[1] / "events_demo" / "events" / "teapot-ring-open-day.toml"


@pytest.mark.parametrize(
    ("share", "told"),
    [(0.5, "can catch fire from about 27 degC on"), (0.02, "too weak to flash below boiling")],
)
def test_the_hazard_tells_the_flash_point_or_that_there_is_none(share: float, told: str) -> None:
    event, car = read_day(EVENT)
    found = warnings_of(plan_day(event, replace(car, blend=Blend(share))))
    (text,) = [one.text for one in found if one.code == "methanol"]
    assert told in text
    assert "inf" not in text.replace("infl", "")


def test_water_alone_has_no_such_warning() -> None:
    event, car = read_day(EVENT)
    assert not [one for one in warnings_of(plan_day(event, replace(car, blend=Blend(0.0)))) if one.code == "methanol"]
