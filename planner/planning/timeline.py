"""Where the day stands: which sessions are over, which runs, how late the day is, and the log's entries in place.

The clock moves the day on; the log overrules it. A reading or a fill says that no session was on at that moment, so
the next session cannot have started before it. Elapsed time is counted on UTC, so clock changes are respected.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Literal

from planner.entry import Entry, standing
from planner.event import Event, Session

Status = Literal["done", "running", "planned", "cancelled"]

NIGHT = timedelta(hours=5)  # a gap this long ends a day's delay
BREATHER = timedelta(minutes=45)  # a gap longer than this takes up a delay, down to this
SOON = timedelta(minutes=10)  # how soon a session that should have begun is taken to begin
ANOTHER_DAY = timedelta(hours=3)  # a delay this long is a rehearsal or another day: the gaps are kept instead
LONG_AFTER = timedelta(hours=12)  # after the last session, when the clock no longer says where an entry belongs


@dataclass(frozen=True, slots=True)
class Outing:
    """A session as it goes: number (from 1), with its times as delayed and its runs as logged.

    planned: as the event file has it; assumed: done by the clock alone, nobody logged it.
    """

    number: int
    session: Session
    planned: Session
    status: Status
    assumed: bool = False

    @property
    def late(self) -> float:
        """How much later than planned it starts [s]."""
        return seconds(self.planned.start, self.session.start)


@dataclass(frozen=True, slots=True)
class Timeline:
    """The day at a moment: outings in order; entries before each session and after the last, (S + 1) groups.

    position: how many sessions, in order, are over or cancelled; began: whether the next one is on.
    """

    outings: tuple[Outing, ...]
    entries: tuple[tuple[Entry, ...], ...]
    position: int
    running: bool

    @property
    def next(self) -> Outing | None:
        """The next session that has not begun."""
        later = self.outings[self.position + self.running :]
        return next((outing for outing in later if outing.status == "planned"), None)

    @property
    def ahead(self) -> tuple[Outing, ...]:
        """Sessions that have not begun, in order."""
        later = self.outings[self.position + self.running :]
        return tuple(outing for outing in later if outing.status == "planned")

    @property
    def on(self) -> Outing | None:
        """The session that is on."""
        return self.outings[self.position] if self.running else None


def seconds(earlier: datetime, later: datetime) -> float:
    """Elapsed time [s] between two aware moments."""
    return (later.astimezone(UTC) - earlier.astimezone(UTC)).total_seconds()


def moved(moment: datetime, by: timedelta) -> datetime:
    """A moment moved by elapsed time, in its own zone."""
    return (moment.astimezone(UTC) + by).astimezone(moment.tzinfo)


def timeline(event: Event, entries: Sequence[Entry], now: datetime, *, entering: bool = False) -> Timeline:
    """The day at `now` (aware) from the log's entries; entering says that an entry is being made now."""
    course = _Course(event)
    for entry in sorted(standing(entries), key=lambda entry: (entry.at.astimezone(UTC), entry.number)):
        course.take(entry)
    if entering:
        course.not_begun(now, course.position_of_entry(now))
    return course.at(now)


class _Course:
    """The day's course while the entries are taken in, in the order in which things happened."""

    def __init__(self, event: Event) -> None:
        self.planned = event.sessions
        self.sessions = list(event.sessions)
        self.cancelled = [False] * len(event.sessions)
        self.logged_done = [False] * len(event.sessions)
        self.groups: list[list[Entry]] = [[] for _ in range(len(event.sessions) + 1)]
        self.known = 0

    def take(self, entry: Entry) -> None:
        """Take in one entry."""
        if entry.kind == "done":
            self._done(entry)
        elif entry.kind == "cancelled":
            self.cancelled[self._index(entry, "session")] = True
        elif entry.kind == "late":
            self._late(entry.at, timedelta(minutes=float(entry.value["minutes"])))
        elif entry.kind in ("level", "fill"):
            self._place(entry)
        elif entry.kind == "stock":
            self.groups[self.position_of_entry(entry.at)].append(entry)

    def _index(self, entry: Entry, key: str) -> int:
        """Place (from 0) of the session that an entry names: by its number if the name agrees, else by the name."""
        number, name = int(entry.value[key]), entry.value.get(f"{key}_name")
        names = [session.name for session in self.planned]
        if name in names and (number > len(names) or names[number - 1] != name):
            return names.index(name)
        return min(number, len(names)) - 1

    def _done(self, entry: Entry) -> None:
        k = self._index(entry, "session")
        self.logged_done[k] = True
        if entry.value.get("runs") is not None:
            self.sessions[k] = replace(self.sessions[k], runs=float(entry.value["runs"]))
        if k + 1 > self.known:
            self.known = k + 1
            self.not_begun(entry.at, k + 1)

    def _place(self, entry: Entry) -> None:
        """Put a reading or a fill between the sessions it belongs to."""
        key, shift = ("after", 1) if entry.kind == "level" else ("before", 0)
        if entry.value.get(key) is None:
            place = self.position_of_entry(entry.at)
        else:
            place = self._index(entry, key) + shift if entry.value[key] else 0
        self.groups[place].append(entry)
        if place >= self.known:
            self.known = place
            self.not_begun(entry.at, place)

    def position_of_entry(self, at: datetime) -> int:
        """How many sessions are over at the moment of an entry that does not say it; no session is on then."""
        if seconds(self.sessions[-1].end, at) > LONG_AFTER.total_seconds():
            return self.known
        k = self._clock(at)
        if k < len(self.sessions) and seconds(self.sessions[k].start, at) > self.sessions[k].length / 2:
            return k + 1
        return k

    def _clock(self, at: datetime) -> int:
        k = self.known
        while k < len(self.sessions) and (self.cancelled[k] or seconds(self.sessions[k].end, at) >= 0):
            k += 1
        return k

    def _late(self, at: datetime, by: timedelta) -> None:
        """Every session of the day that has not started by then starts later; a night ends the delay."""
        later = [k for k in range(self.known, len(self.sessions)) if self._not_started(k, at, by)]
        for k in range(later[0] if later else len(self.sessions), len(self.sessions)):
            if k > later[0] and seconds(self.planned[k - 1].end, self.planned[k].start) >= NIGHT.total_seconds():
                break
            self.sessions[k] = replace(self.sessions[k], start=moved(self.sessions[k].start, by))

    def _not_started(self, k: int, at: datetime, by: timedelta) -> bool:
        return not self.cancelled[k] and seconds(at, moved(self.sessions[k].start, max(by, timedelta(0)))) > 0

    def not_begun(self, at: datetime, position: int) -> None:
        """No session from `position` (from 0) on has started by then; later ones follow after their gaps."""
        earliest: datetime | None = None
        for k in range(position, len(self.sessions)):
            if self.cancelled[k]:
                continue
            session = self.sessions[k]
            late = seconds(session.start, at if earliest is None else earliest)
            if late < 0 or (late == 0 and earliest is not None):
                break
            start = earliest or moved(at, SOON if late < ANOTHER_DAY.total_seconds() else self._gap(k))
            self.sessions[k] = session = replace(session, start=start.astimezone(session.start.tzinfo))
            earliest = moved(session.end, self._gap(k + 1)) if k + 1 < len(self.sessions) else None

    def _gap(self, k: int) -> timedelta:
        """The planned gap before a session (from 0), as far as a late day keeps it."""
        if k == 0:
            return BREATHER
        return min(timedelta(seconds=seconds(self.planned[k - 1].end, self.planned[k].start)), BREATHER)

    def at(self, now: datetime) -> Timeline:
        """The day at a moment."""
        position = self._clock(now)
        running = position < len(self.sessions) and seconds(self.sessions[position].start, now) >= 0
        outings = tuple(self._outing(k, position, running) for k in range(len(self.sessions)))
        return Timeline(outings, tuple(tuple(group) for group in self.groups), position, running)

    def _outing(self, k: int, position: int, running: bool) -> Outing:
        status: Status = "done" if k < position else "running" if running and k == position else "planned"
        if self.cancelled[k] and not self.logged_done[k]:
            status = "cancelled"
        assumed = status == "done" and not self.logged_done[k] and k >= self._said()
        return Outing(k + 1, self.sessions[k], self.planned[k], status, assumed)

    def _said(self) -> int:
        """How many sessions, in order, the log says are over."""
        done = [k + 1 for k, logged in enumerate(self.logged_done) if logged]
        placed = [k for k, group in enumerate(self.groups) if any(entry.kind != "stock" for entry in group)]
        return max([0, *done, *placed])
