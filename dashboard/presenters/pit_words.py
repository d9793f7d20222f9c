"""Words of the pit board: how long until something, and what an entry changed."""

from __future__ import annotations

from dashboard.presenters.display import Display
from dashboard.presenters.planner_words import in_units

MINUTE, HOUR, DAY = 60, 3600, 86400


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
