"""A published drive cycle from file to litres, against the same worked out by another road.

The cycle is the US06 schedule of the US EPA (40 CFR part 86, appendix I (g)), speed once a second for ten minutes.
The boost rule is a stated invention: what pulls the car, m a + (rolling and air), as a share of its full power, makes
the manifold's pressure in proportion, from -60 kPa closed to +130 kPa open. Only the litres are checked, not the rule.

The other road: at each boost the pump's, hose's and nozzle's equations, written out here, solved by brentq with the
hose's friction from the `fluids` package; the flow so found is put on a fine grid of boosts, boost is put on a grid of
milliseconds, and the product is summed.
"""

from __future__ import annotations

import json
from pathlib import Path

import fluids
import numpy as np
import pandas as pd
import pytest
from scipy.optimize import brentq

from planner.cli.main import main
from planner.driving.trace import Trace
from planner.files.car_file import parse_car
from planner.use.consumption import trace_use
from planner.use.flow_curve import flow_curve

TABLE = Path(__file__).parent / "tables" / "us06.csv"
CAR = """
name = "Kettle"
[blend]
alcohol_share = 0.0
temperature = "20 degC"
[tank]
shape = "box"
length = "300 mm"
width = "200 mm"
height = "150 mm"
pickup = { ahead = "0 mm", left = "0 mm", height = "8 mm" }
[pump]
curve = [["1.9 L/min", "0 bar"], ["1.4 L/min", "6 bar"], ["0.8 L/min", "11 bar"], ["0 L/min", "14 bar"]]
[line]
length = "5 m"
inner_diameter = "3 mm"
opening_pressure = "0.5 bar"
[[nozzle]]
count = 2
rated_flow = "300 mL/min"
rated_pressure = "100 psi"
place = "before throttle"
[controller]
kind = "ramp"
start = "20 kPa"
full = "90 kPa"
minimum_speed = 0.40
"""
MASS, POWER, DRAG_AREA, ROLLING = 1300.0, 45e3, 0.65, 0.012  # [kg], [W], [m2], [1]
WATER, VISCOSITY = 998.2, 1.002e-3  # [kg/m3], [Pa s] at 20 degC


def us06_boost() -> tuple[np.ndarray, np.ndarray]:
    """Time [s] and boost [Pa gauge], rounded to 0.1 kPa as a logger would."""
    cycle = pd.read_csv(TABLE, comment="#")
    speed = cycle["speed_mph"].to_numpy() * 0.44704
    pull = MASS * np.gradient(speed) + np.where(speed > 0, ROLLING * MASS * 9.81, 0) + 0.6 * DRAG_AREA * speed**2
    share = np.clip(pull * speed / POWER, 0, 1)
    return cycle["time_s"].to_numpy(dtype=float), np.round(-60 + 190 * share, 1) * 1e3


def pump(pressure: float, speed: float) -> float:
    """Flow [L/min] of the pump at a speed share against a pressure [bar gauge]."""
    unloaded = 1.9
    return speed * unloaded - (unloaded - float(np.interp(pressure, [0, 6, 11, 14], [1.9, 1.4, 0.8, 0.0])))


def lost_bar(flow: float) -> float:
    """Pressure lost in the hose [bar] at a flow [L/min], friction from the fluids package."""
    velocity = flow / 60e3 / (np.pi / 4 * 0.003**2)
    friction = fluids.friction_factor(fluids.Reynolds(V=velocity, D=0.003, rho=WATER, mu=VISCOSITY))
    return friction * 5 / 0.003 * WATER * velocity**2 / 2 / 1e5


def flow_by_brentq(boost: float) -> float:
    """Injected flow [L/min] at a boost [bar gauge], from the flow that pump, hose and nozzles agree on."""
    if boost < 0.20:
        return 0.0
    speed = min(0.4 + 0.6 * (boost - 0.20) / 0.70, 1.0)

    def surplus(flow: float) -> float:
        drop = (flow / 0.6) ** 2 * 6.894757
        return pump(drop + boost + lost_bar(flow), speed) - flow

    return float(brentq(surplus, 1e-6, 1.9, xtol=1e-12))


def litres_by_summing(time: np.ndarray, boost: np.ndarray) -> float:
    """Use [L] of the cycle by the other road."""
    grid = np.arange(0.20, 1.3001, 0.005)
    flows = np.array([flow_by_brentq(bar) for bar in grid])
    fine = np.arange(0, time[-1], 1e-3) + 5e-4
    bar = np.interp(fine, time, boost) / 1e5
    return float(np.where(bar >= 0.20, np.interp(bar, grid, flows), 0.0).sum()) * 1e-3 / 60


def litres_of_the_planner(time: np.ndarray, boost: np.ndarray) -> float:
    """Use [L] of the cycle by the planner's own flow curve and integral."""
    trace = Trace(time, boost, None, None, np.ones(time.size - 1, dtype=bool))
    return trace_use(flow_curve(parse_car(CAR, "kettle.toml")), trace).injected * 1e3


def test_the_schedule_is_the_published_one() -> None:
    # 8.01 miles in 596 s, 80.3 mph at most: EPA's summary of the schedule (from memory).
    cycle = pd.read_csv(TABLE, comment="#")
    assert cycle["speed_mph"].max() == pytest.approx(80.3, abs=0.01)
    assert cycle["speed_mph"].sum() / 3600 == pytest.approx(8.01, abs=0.01)
    assert 596 <= cycle["time_s"].iloc[-1] <= 600


def test_use_of_the_us06_cycle_is_that_found_by_another_road(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "kettle.toml").write_text(CAR)
    time, boost = us06_boost()
    pd.DataFrame({"time_s": time, "boost_kPa": boost / 1e3}).to_csv(tmp_path / "us06.csv", index=False)
    assert main(["use", str(tmp_path / "kettle.toml"), str(tmp_path / "us06.csv"), "--gauge", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    expected = litres_by_summing(time, boost)
    assert expected > 1.0
    assert found["use_L"] == pytest.approx(expected, rel=2e-3)
    assert found["recorded_s"] == pytest.approx(time[-1])
    assert found["largest_boost_kPa"] == pytest.approx(boost.max() / 1e3)
    # Beyond 90 kPa the pump is at full speed and boost pushes back, so the largest flow is met there.
    assert found["largest_flow_mL_min"] == pytest.approx(1e3 * flow_by_brentq(0.90), rel=2e-3)
