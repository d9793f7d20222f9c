"""Injected volume of the demo cars against the petrol they burn at full boost.

Common practice, no source: injected volume is 8 to 30 % of the petrol by volume. Turbocharged petrol engines burn
0.55 to 0.65 lb/hp/h at full boost (from memory); petrol weighs about 0.745 kg/L (from memory).
"""

import re
import tomllib

import pytest

from events_demo import FOLDER
from planner.files.car_file import read_car
from planner.units import quantity
from planner.use.flow_curve import flow_curve

POUND, HOUR = 0.45359237, 3600.0
PETROL = 745.0  # kg/m3
CARS = sorted((FOLDER / "cars").glob("*.toml"))
STATED = re.compile(r"(?P<power>\d+) hp at full boost, (?P<boost>\d+ kPa)")


def petrol_flow(power, pounds_per_hp_hour):
    """[m3/s]"""
    return power * pounds_per_hp_hour * POUND / HOUR / PETROL


def test_petrol_of_400_hp_at_0_60():
    assert petrol_flow(400, 0.60) * 60e3 == pytest.approx(2.435, abs=0.001)


@pytest.mark.parametrize("path", CARS, ids=lambda path: path.stem)
def test_a_demo_car_injects_8_to_30_per_cent_of_its_petrol(path):
    stated = STATED.search(path.read_text(encoding="utf-8"))
    assert stated, f"{path.name} states no power"
    power = int(stated["power"])
    assert 250 <= power <= 400
    injected = float(flow_curve(read_car(path)).flow(quantity(stated["boost"], "pressure")))
    assert injected >= 0.08 * petrol_flow(power, 0.65)
    assert injected <= 0.30 * petrol_flow(power, 0.55)


@pytest.mark.parametrize("path", CARS, ids=lambda path: path.stem)
def test_a_demo_car_has_one_or_two_nozzles_of_the_usual_size(path):
    nozzles = tomllib.loads(path.read_text(encoding="utf-8"))["nozzle"]
    assert 1 <= sum(nozzle["count"] for nozzle in nozzles) <= 2
    for nozzle in nozzles:
        assert nozzle["rated_pressure"] == "100 psi"
        assert quantity(nozzle["rated_flow"], "flow") * (1 + 1e-9) >= 200e-6 / 60
        assert quantity(nozzle["rated_flow"], "flow") <= 500e-6 / 60 * (1 + 1e-9)
