"""The reserve's structure, worked by hand: unusable + use + contingency + final reserve, nothing counted twice.

Required fuel is in addition to unusable fuel (14 CFR 121.647); unusable fuel is the level at the first sign of
malfunction in the intended manoeuvres (14 CFR 25.959); contingency covers the spread of the trip (EASA
CAT.OP.MPA.181); the final reserve is never planned to be used (ICAO Annex 6). The structure is aviation's, the
figures are design choices.

By hand: pump 2 L/min at no pressure, falling by 0.2 L/min for each bar; one nozzle of 0.5 L/min at 1 bar, before the
throttle, water at 20 degC, no hose. At 1 bar of boost the pressure p obeys 2 - 0.2 p = 0.5 sqrt(p - 1): p = 5 bar,
flow 1 L/min, the car's largest. A run of 30 s takes 0.5 L; two runs a session, three sessions: 3 L.
Unusable: 10 mm in a box of 300 x 200 mm = 0.6 L (the switch at 0.5 L asks for less). Final: 45 s = 0.75 L.
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from scipy.stats import lognorm

from planner.day import DayPlan, plan_day
from planner.day.json import plan_json
from planner.files.event_file import read_day

CAR = """
name = "Pencil"
[blend]
alcohol_share = 0.0
temperature = "20 degC"
[tank]
shape = "box"
length = "300 mm"
width = "200 mm"
height = "120 mm"
fill_limit = 1.0
pickup = { ahead = "0 mm", left = "0 mm", height = "10 mm" }
low_level_switch = "0.5 L"
[pump]
curve = [["2 L/min", "0 bar"], ["0 L/min", "10 bar"]]
[[nozzle]]
count = 1
rated_flow = "0.5 L/min"
rated_pressure = "1 bar"
place = "before throttle"
[controller]
kind = "switch"
start = "1 bar"
[spread]
car = SPREAD
run = 0.0
"""
EVENT = """
name = "Paper Mile"
date = 2026-06-06
timezone = "Europe/Madrid"
car = "pencil.toml"
[reserve]
confidence = 0.99
final = "45 s"
extra = 1
[refill]
setup = "5 min"
pour_rate = "2 L/min"
[stock]
containers = ["5 L"]
[[course]]
name = "mile"
per = "run"
pieces = [{ time = "30 s", boost = "1 bar", lateral = "0 g", longitudinal = "0 g" }]
"""
FLOOR = 0.6 + 0.75


def day(folder: Path, spread: str) -> DayPlan:
    """Three sessions of two runs, no refill needed."""
    (folder / "pencil.toml").write_text(CAR.replace("SPREAD", spread))
    begin = datetime(2026, 6, 6, 9)
    sessions = "".join(
        f'[[session]]\nname = "{k + 1}"\nstart = "{begin + timedelta(hours=k):%H:%M}"\n'
        'length = "20 min"\ncourse = "mile"\nruns = 2\n'
        for k in range(3)
    )
    (folder / "mile.toml").write_text(EVENT + sessions)
    return plan_day(*read_day(folder / "mile.toml"))


def test_the_parts_of_the_floor_are_those_worked_by_hand(tmp_path: Path) -> None:
    plain = plan_json(day(tmp_path, "0.0"))
    assert plain["largest_flow_mL_min"] == pytest.approx(1000, rel=2e-4)
    for row in plain["sessions"]:
        assert row["use_mean_L"] == pytest.approx(1.0, abs=1e-3)
        assert row["unusable_level_L"] == row["unusable_slosh_L"] == pytest.approx(0.6, abs=1e-6)
        assert row["floor_L"] == pytest.approx(FLOOR, abs=1e-3)


def test_without_spread_the_mark_is_floor_and_use_and_one_run_more(tmp_path: Path) -> None:
    plain = plan_json(day(tmp_path, "0.0"))
    assert plain["stops"] == 0
    assert plain["refills"][0]["mark_L"] == pytest.approx(FLOOR + 3.0 + 0.5, abs=1e-9 + 0.05)
    assert plain["sessions"][-1]["level_end_p50_L"] == pytest.approx(plain["refills"][0]["mark_L"] - 3.0, abs=2e-3)


def test_a_spread_that_asks_for_more_than_the_extra_run_sets_the_mark(tmp_path: Path) -> None:
    # One factor for the day with a coefficient of variation of 20 %, so a logarithm of variance ln(1 + 0.2^2).
    variance = math.log(1.04)
    quantile = lognorm(math.sqrt(variance), scale=math.exp(-variance / 2)).ppf(0.99)
    plain = plan_json(day(tmp_path, "0.2"))
    needed = FLOOR + 3.0 * quantile
    assert needed > FLOOR + 3.5
    assert needed - 0.01 <= plain["refills"][0]["mark_L"] <= needed + 0.06
