"""A workspace and a plan that the page tests share: invented, small, quick to plan."""

from __future__ import annotations

from pathlib import Path

from dashboard.presenters.outcome import Outcome, outcome_of_file

CAR = """name = "Plum hatch"

[blend]
alcohol_share = 0.50

[tank]                      # beside the spare wheel
shape = "box"
length = "320 mm"
width = "180 mm"
height = "140 mm"
pickup = { ahead = "-120 mm", height = "8 mm" }

[pump]
curve = [["1.9 L/min", "0 bar"], ["1.4 L/min", "6 bar"], ["0.8 L/min", "11 bar"], ["0 L/min", "14 bar"]]

[[nozzle]]
count = 2
rated_flow = "250 mL/min"
rated_pressure = "100 psi"

[controller]
kind = "ramp"
start = "5 psi"
full = "14 psi"
minimum_speed = 0.30
"""
EVENT = """# kept
name = "Moth Meadow"
date = 2026-05-16
timezone = "Europe/Lisbon"
car = "../cars/plum.toml"

[refill]
stop_at = ["paddock", "lunch"]

[stock]
containers = ["10 L", "5 L"]

[[course]]
name = "loop"
per = "lap"
pieces = [
  { time = "20 s", boost = "14 psi", longitudinal = "0.3 g" },
  { time = "60 s", boost = "0 psi", lateral = "0.5 g" },
]
"""
SESSION = """
[[session]]
name = "Session {number}"
start = "{start}"
length = "20 min"
course = "loop"
runs = {runs}
gap = "{gap}"  # kept too
"""
DAY = (("09:00", "paddock"), ("10:00", "paddock"), ("13:00", "lunch"), ("14:00", "grid"))


def event_text(runs: int = 10) -> str:
    """An event of four sessions, the last of them without a refill before it."""
    rows = (
        SESSION.format(number=number, start=start, gap=gap, runs=runs) for number, (start, gap) in enumerate(DAY, 1)
    )
    return EVENT + "".join(rows)


def write_workspace(folder: Path, runs: int = 10) -> Path:
    """Car and event written into a folder; the event's path."""
    for name in ("cars", "events"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    (folder / "cars" / "plum.toml").write_text(CAR, encoding="utf-8")
    path = folder / "events" / "moth.toml"
    path.write_text(event_text(runs), encoding="utf-8")
    return path


def outcome(folder: Path, runs: int = 10) -> Outcome:
    """What becomes of the day."""
    return outcome_of_file(write_workspace(folder, runs))
