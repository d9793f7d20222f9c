"""A car file and an event file that hold nearly every key, for tests to change."""
# ruff: noqa: E501

from __future__ import annotations

from pathlib import Path

import pytest

from planner.errors import BadInput, Fault
from planner.files.car_file import parse_car
from planner.files.event_file import read_day

CAR = """\
name = "Plum hatch"            # a comment

[blend]
alcohol_share = 0.50
temperature = "20 degC"

# the tank behind the seats
[tank]
shape = "box"
length = "320 mm"
width = "180 mm"
height = "140 mm"
fill_limit = 0.95
pickup = { ahead = "-150 mm", left = "0 mm", height = "8 mm" }
low_level_switch = "0.5 L"
empty_mass = "1.4 kg"
damping = 0.15
pickup_margin = "10 mm"

[pump]
curve = [
  ["1.9 L/min", "0 bar"],      # free flow
  ["1.4 L/min", "6 bar"],
  ["0.8 L/min", "11 bar"],
  ["0 L/min", "14 bar"],
]

[line]
length = "4.6 m"
inner_diameter = "4.3 mm"
opening_pressure = "0.5 bar"
shutoff_valve = true

[[nozzle]]
count = 2
rated_flow = "250 mL/min"
rated_pressure = "100 psi"
place = "before throttle"
opens_at = "1 psi"

[[nozzle]]
rated_flow = "120 cc/min"
rated_pressure = "6.9 bar"
place = "after throttle"

[controller]
kind = "ramp"
start = "5 psi"
full = "15 psi"
minimum_speed = 0.30

[spread]
car = 0.10
run = 0.08

[flow_test]
volume = "410 mL"
time = "60 s"
"""

EVENT = """\
name = "Thistle Down sprint"
date = 2026-05-16
timezone = "Europe/London"
car = "../cars/plum.toml"

[reserve]
confidence = 0.99              # chance for the whole day
final = "45 s"
extra = 1
prime = "0.1 L"

[refill]
setup = "6 min"
pour_rate = "2 L/min"
spill = "20 mL"
priority = "fewest stops"
stop_at = ["paddock"]

[stock]
in_tank = "0 L"
containers = ["10 L", "5 L"]
alcohol_price = "2.40 / L"
water_price = "0.60 / L"

[[course]]
name = "hill"
per = "run"
logs = ["../logs/hill-1.csv", "../logs/hill-2.csv"]
columns = { boost = "Manifold" }
units = { boost = "kPa" }
absolute = true
ambient = "98 kPa"
rate = "50 Hz"
split = { stops_longer = "20 s" }

[[course]]
name = "field"
per = "lap"
pieces = [{ time = "4 s", boost = "13 psi", longitudinal = "0.4 g" }, { time = "3 s", boost = "0 psi", lateral = "-0.9 g" }]
spool = "0.5 s"

[[course]]
name = "road"
per = "minute"
time_at_boost = [["5 psi", "3 s"], ["12 psi", "19 s"]]

# the morning
[[session]]
name = "Heat 1"
start = "09:30"
length = "40 min"
course = "hill"
runs = 3
driver = "A"
gap = "paddock"

# a short break only
[[session]]
name = "Heat 2"
start = "10:30"
length = "35 min"
course = "field"
runs = 2
refill = false

[[session]]
name = "Drive home"
start = "12:00"
length = "30 min"
course = "road"
runs = 20
"""

LOG = "time_s,boost_kPa\n0,0\n1,50\n2,0\n"


def replaced(text: str, old: str, new: str) -> str:
    """`text` with `old`, which it must hold, replaced at its first place."""
    assert old in text, old
    return text.replace(old, new, 1)


def workspace(folder: Path) -> Path:
    """A folder with the car, its logs and the event; the event's path."""
    for name in ("cars", "events", "logs"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    (folder / "cars" / "plum.toml").write_text(CAR, encoding="utf-8")
    for number in (1, 2):
        (folder / "logs" / f"hill-{number}.csv").write_text(LOG, encoding="utf-8")
    event = folder / "events" / "day.toml"
    event.write_text(EVENT, encoding="utf-8")
    return event


def car_faults(text: str) -> tuple[Fault, ...]:
    """The faults of a car file with this text."""
    with pytest.raises(BadInput) as caught:
        parse_car(text, "plum.toml")
    return caught.value.faults


def event_faults(path: Path, text: str) -> tuple[Fault, ...]:
    """The faults of an event file with this text, standing in a workspace."""
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        read_day(path)
    return caught.value.faults
