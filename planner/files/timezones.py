"""The name of a time zone, and what to write instead of one that is none."""

from __future__ import annotations

import re
from zoneinfo import ZoneInfo, available_timezones

from planner.files.fields import near, refuse

# Abbreviations in daily use (common practice, no source), each with a place that keeps that time.
_PLACES = {
    "BST": "Europe/London",
    "CEST": "Europe/Berlin",
    "EDT": "America/New_York",
    "CST": "America/Chicago",
    "CDT": "America/Chicago",
    "MDT": "America/Denver",
    "PST": "America/Los_Angeles",
    "PDT": "America/Los_Angeles",
    "AEST": "Australia/Sydney",
    "AEDT": "Australia/Sydney",
    "NZST": "Pacific/Auckland",
    "JST": "Asia/Tokyo",
}


def zone(value: object) -> ZoneInfo:
    """The time zone of a name such as "Europe/London". Raises for anything else."""
    if not isinstance(value, str):
        raise refuse('a time zone is a name in quotes, such as "Europe/London"')
    try:
        return ZoneInfo(value)
    except (LookupError, OSError, ValueError):
        raise refuse(_remedy(value.strip())) from None


def _remedy(value: str) -> str:
    if re.match(r"(?i)(utc|gmt)?\s*[+-]?\d", value):
        return 'an offset says nothing of summer time; write a place, such as "Europe/London"'
    known = available_timezones()
    cities = {name.rpartition("/")[2]: name for name in sorted(known) if not name.startswith(("posix", "right"))}
    guess = _PLACES.get(value.upper()) or near(value, known) or cities.get(near(value, cities) or "")
    return (
        f'no such time zone; did you mean "{guess}"?'
        if guess
        else 'no such time zone; write one such as "Europe/London"'
    )
