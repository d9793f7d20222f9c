"""When the sessions are: local times of day into aware instants, in order and apart from each other."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from zoneinfo import ZoneInfo

from planner.event import Session
from planner.files.event_tables import SessionTable
from planner.files.tables import Findings, has

_LONGEST_EVENT = dt.timedelta(days=31)
_UTC = ZoneInfo("UTC")


def session_starts(
    sessions: Sequence[SessionTable | None], day: dt.date, zone: ZoneInfo, findings: Findings
) -> list[dt.datetime | None]:
    """The aware start of each session whose time is sound; a time that the clocks skip is a fault.

    Of a time that comes twice, when clocks go back, the first is taken.
    """
    starts: list[dt.datetime | None] = []
    for number, session in enumerate(sessions, 1):
        sound = session is not None and has(session, "start", "date")
        starts.append(_start(session, number, day, zone, findings) if session and sound else None)
    return starts


def _start(session: SessionTable, number: int, day: dt.date, zone: ZoneInfo, findings: Findings) -> dt.datetime | None:
    own = session.date or day
    if not day <= own <= day + _LONGEST_EVENT:
        remedy = f"must be from the event's date, {day}, to 31 days after it"
        findings.blame(f"session[{number}].date", remedy)
        return None
    local = dt.datetime.combine(own, session.start)
    start = local.replace(tzinfo=zone)
    real = start.astimezone(_UTC).astimezone(zone)
    if real.replace(tzinfo=None) != local:
        remedy = f"the clocks go forward over that time on {own} in {zone.key}; write {real:%H:%M} if that is meant"
        findings.blame(f"session[{number}].start", remedy)
        return None
    return start


def check_order(
    sessions: Sequence[SessionTable | None], starts: Sequence[dt.datetime | None], findings: Findings
) -> None:
    """Note each session that starts before an earlier one of the file, or while one is still under way."""
    last: Session | None = None
    latest: Session | None = None
    for number, (session, start) in enumerate(zip(sessions, starts, strict=True), 1):
        if session is None or start is None or not has(session, "length"):
            continue
        this = Session(str(session.__dict__.get("name", number)), start, session.length, "", 0)
        if last and this.start.astimezone(_UTC) < last.start.astimezone(_UTC):
            findings.blame(f"session[{number}].start", _out_of_order(last))
        elif latest and this.start.astimezone(_UTC) < latest.end.astimezone(_UTC):
            findings.blame(f"session[{number}].start", _overlap(latest))
        last = this
        latest = this if latest is None or this.end.astimezone(_UTC) > latest.end.astimezone(_UTC) else latest


def _out_of_order(last: Session) -> str:
    when = f"{last.start:%H:%M}"
    return f'before "{last.name}" at {when}, which stands above it; list sessions in order, give a later day its `date`'


def _overlap(latest: Session) -> str:
    return f'"{latest.name}" is still under way until {latest.end:%H:%M}; start later or shorten that session'
