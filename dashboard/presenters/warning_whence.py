"""A plan's warning with its number opening to where it comes from."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from dashboard.presenters.display import THIN, Display, share
from dashboard.presenters.planner_words import warning_words
from dashboard.presenters.whence import Part, Whence
from planner.car import Car

_NUMBER = re.compile(rf"[-−]?\d+(?:\.\d+)?[ {THIN}](?:°C|°F|L|gal|min)(?!\w)")


def warning_parts(warning: Mapping[str, Any], plan: Mapping[str, Any], car: Car, display: Display) -> list[Part]:
    """A warning of a plan in the units shown; a number that was worked out opens to its inputs and source."""
    text = warning_words(warning, display)
    number = _NUMBER.search(text)
    if number is None or warning["code"] not in _WHENCE:
        return [text]
    whence = _WHENCE[warning["code"]](number[0], plan, car, display)
    return [text[: number.start()], whence, text[number.end() :]]


def _flash(text: str, plan: Mapping[str, Any], car: Car, display: Display) -> Whence:
    return Whence(
        text,
        "Flash point of the blend",
        (("Methanol by volume", share(car.blend.alcohol_share)),),
        "From a table of closed-cup flash points over the share, straight between them; good to 5 to 9 K, on the low "
        "side. For a warning, not for safety.",
        "UNIFAC and NRTL activities with methanol's vapour pressure; see Method, Blend.",
    )


def _siphoned(text: str, plan: Mapping[str, Any], car: Car, display: Display) -> Whence:
    sessions = [(one["name"], display.volume(one["siphon_mean_L"])) for one in plan["sessions"] if one["siphon_mean_L"]]
    return Whence(
        text,
        "Siphoned over the day",
        (*sessions[:12], *([("and", f"{len(sessions) - 12} more sessions")] if len(sessions) > 12 else [])),
        "Flow through the nozzles at the manifold's vacuum while the pump stands still, over each course's time there; "
        "a line with a shut-off valve passes none.",
        "Orifice law and line loss; see Method, Flow.",
    )


def _tight(text: str, plan: Mapping[str, Any], car: Car, display: Display) -> Whence:
    fills = [
        (f"Before {fill['session_name']}", f"{fill['minutes_needed']:.1f}{THIN}min needed on 99 of 100 days")
        for fill in plan["refills"]
    ]
    gaps = {gap["before_session"]: gap["minutes"] for gap in plan["gaps"]}
    free = [
        (f"Gap before {fill['session_name']}", f"{gaps[fill['before_session']]:.0f}{THIN}min")
        for fill in plan["refills"]
        if gaps[fill["before_session"]] is not None
    ]
    return Whence(
        text,
        "Time to spare in a gap",
        (*fills, *free),
        "Gap − setup − the most that any simulated day pours ÷ pouring rate; told where less than this is left.",
        "The limit is a design choice; setup and pouring rate as the event's file has them.",
    )


_WHENCE = {"methanol": _flash, "siphoning": _siphoned, "tight-gap": _tight}
