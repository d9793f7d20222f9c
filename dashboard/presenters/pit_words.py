"""Words of the pit board: how long until something, and the planner's sentences in the units shown."""

from __future__ import annotations

import re
from collections.abc import Callable

from dashboard.presenters.display import THIN, Display

_VOLUME = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) L\b")
_LENGTH = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) mm\b")
MINUTE, HOUR, DAY = 60, 3600, 86400


def in_units(text: str, display: Display) -> str:
    """A sentence of the planner, which speaks in L and mm, in the units shown; no line breaks before a unit."""
    if display.system == "metric":
        return _LENGTH.sub(rf"\1{THIN}mm", _VOLUME.sub(rf"\1{THIN}L", text))

    def shown(convert: Callable[[float], str]) -> Callable[[re.Match[str]], str]:
        return lambda found: convert(float(found[1]))

    return _LENGTH.sub(shown(display.length), _VOLUME.sub(shown(display.volume), text))


def change_words(change: str, action: str, display: Display) -> str:
    """What the last entry changed; the action's own sentence, which stands above, is not said twice."""
    if action and change.endswith(action):
        change = f"{change.removesuffix(action)}The next action is new."
    return in_units(change, display)


def countdown_text(seconds: float) -> str:
    """Time left [s] as the board shows it, or how long ago it was; assets/pit_clock.js does the same each second."""
    if seconds <= -MINUTE:
        return f"{_long(-seconds)} ago"
    if seconds < 0:
        return "now"
    if seconds >= HOUR:
        return _long(seconds)
    whole = int(seconds)
    return f"{whole // MINUTE}:{whole % MINUTE:02d}"


def _long(seconds: float) -> str:
    whole = int(seconds)
    days, hours, minutes = whole // DAY, whole % DAY // HOUR, whole % HOUR // MINUTE
    if days:
        return f"{days} d {hours} h"
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"
