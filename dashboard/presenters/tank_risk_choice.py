"""What is chosen on the page Tank: a recording's moment or accelerations of one's own, the level, how it is seen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from dashboard.presenters.tank_risk import TankRisk
from planner.day.slosh_picture import View
from planner.errors import BadInput, Fault
from planner.files.toml_text import short

VIEWS: tuple[View, View] = ("from the left", "from the rear")
SURFACES = ("moving", "still")
MODES = ("recorded", "own")
OFFERED: dict[str, tuple[str, ...]] = {"surface": SURFACES, "view": VIEWS, "mode": MODES}
MOST_G = 5.0  # of what a page may send; its own sliders end earlier
OWN_G = [round(-1.5 + 0.05 * k, 2) for k in range(61)]


@dataclass(frozen=True, slots=True)
class Choice:
    """What is chosen on the page: recording, level (place in the rows), surface, view, mode, time (row), own g."""

    recording: int = 0
    level: int = 0
    surface: str = "moving"
    view: str = VIEWS[0]
    mode: str = MODES[0]
    time: int = 0
    lateral: float = 0.8
    longitudinal: float = 0.0


def choice_of(values: Mapping[str, Any]) -> Choice:
    """What the page's controls hold, as a Choice; a recording comes as text. Raises BadInput for what none offers."""
    text = str(values["recording"])
    given = {**values, "recording": int(text) if text.isdecimal() else text}
    for name, value in given.items():
        if not (value in OFFERED[name] if name in OFFERED else _is_sound(name, value)):
            raise _not_offered(name, value)
    return Choice(**given)


def _is_sound(name: str, value: Any) -> bool:
    if name in ("lateral", "longitudinal"):
        return isinstance(value, int | float) and abs(value) <= MOST_G
    return isinstance(value, int) and value >= 0


def _not_offered(name: str, value: Any) -> BadInput:
    return BadInput([Fault("", name, short(value), "the course does not offer it, or not any more; reload the page")])


def refuse_gone(risk: TankRisk, choice: Choice) -> None:
    """Raise BadInput for a recording or a level that the course does not have, since its files changed meanwhile."""
    for name, value, count in (
        ("recording", choice.recording, len(risk.shown)),
        ("level", choice.level, len(risk.rows)),
    ):
        if value >= count:
            raise _not_offered(name, value)
