"""The time before each session: whether a refill fits in it, and why not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from planner.event import Refill, Session


@dataclass(frozen=True, slots=True)
class Gap:
    """The time [s] before a session (from 1), infinite before the first; what can be poured [m3]; and why not."""

    before_session: int
    seconds: float
    refill_possible: bool
    can_pour: float
    reason: str


def seconds_between(earlier: datetime, later: datetime) -> float:
    """Elapsed time [s] between two aware moments, clock changes respected."""
    return (later.astimezone(UTC) - earlier.astimezone(UTC)).total_seconds()


def _refusal(session: Session, refill: Refill, seconds: float) -> str:
    """Why no refill is possible before a session, or nothing."""
    if session.refill is False:
        return "the event file forbids a refill here (refill = false)"
    named = session.refill is None and refill.stop_at is not None
    if named and session.gap is not None and session.gap not in (refill.stop_at or ()):
        allowed = " or ".join(refill.stop_at or ()) or "nowhere"
        return f"the car stands at {session.gap}; refills are allowed at {allowed}"
    if seconds <= refill.setup:
        return f"{seconds / 60:.0f} min is too short: setting up alone takes {refill.setup / 60:.0f} min"
    return ""


def gaps_of(
    sessions: Sequence[Session], refill: Refill, ready: datetime | None = None, *, first_number: int = 1
) -> tuple[Gap, ...]:
    """The gap before each session; before the first, all the time there is, or the time since `ready`."""
    gaps = []
    before = ready
    for number, session in enumerate(sessions, start=first_number):
        seconds = float("inf") if before is None else seconds_between(before, session.start)
        reason = _refusal(session, refill, seconds)
        can_pour = 0.0 if reason else (seconds - refill.setup) * refill.pour_rate
        gaps.append(Gap(number, seconds, not reason, can_pour, reason))
        before = session.end
    return tuple(gaps)
