"""Entries as devices send them: checked one by one, stored together, each id once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from dashboard.pit_boards import Day
from dashboard.presenters.planner_words import page_words
from planner.entry import Entry, checked, new_id, with_undone
from planner.errors import BadInput, Fault, FillmarkError
from planner.follow.entry import Said, entry_from, moment_from_text

MOST_ENTRIES = 200


@dataclass(slots=True)
class Receipt:
    """What became of the entries sent, by id; `stored` holds the new ones as the log has them."""

    accepted: list[str] = field(default_factory=list)
    doubled: list[str] = field(default_factory=list)
    refused: list[dict[str, str]] = field(default_factory=list)
    stored: list[Entry] = field(default_factory=list)

    def told(self) -> dict[str, Any]:
        """As plain data."""
        return {"accepted": self.accepted, "doubled": self.doubled, "refused": self.refused}


def items_of(body: Any) -> list[Mapping[str, Any]]:
    """The entries of a request's body. Raises BadInput for another form."""
    items = body.get("entries") if isinstance(body, Mapping) else None
    if not isinstance(items, list) or not 1 <= len(items) <= MOST_ENTRIES:
        raise BadInput([Fault("", "entries", "", f"a list of 1 to {MOST_ENTRIES} entries")])
    if not all(isinstance(item, Mapping) and isinstance(item.get("id"), str) for item in items):
        raise BadInput([Fault("", "entries", "", "each entry is an object with an id as text")])
    return items


def take(day: Day, items: Sequence[Mapping[str, Any]], now: datetime, receipt: Receipt) -> None:
    """Store entries in the order sent, all that are sound in one transaction; the receipt tells of each.

    Raises NotStored where the log cannot be written: nothing of the batch is stored then.
    """
    known = list(day.log.entries())
    ids = {entry.id for entry in known}
    fresh: list[Entry] = []
    for item in items:
        if item["id"] in ids:
            receipt.doubled.append(item["id"])
            continue
        try:
            entry = _entry(day, item, known, now)
        except (FillmarkError, OverflowError) as reason:
            receipt.refused.append({"id": item["id"], "text": _sentence(reason)})
            continue
        stamped = replace(entry, written=now + timedelta(microseconds=len(fresh)), number=len(known) + 1)
        ids.add(entry.id)
        known.append(stamped)
        fresh.append(stamped)
    _store(day, fresh, receipt)


def _store(day: Day, fresh: Sequence[Entry], receipt: Receipt) -> None:
    """Store entries; one of an id that another device has sent meanwhile is doubled."""
    for sent, stored in zip(fresh, day.log.append_all(fresh) if fresh else (), strict=True):
        if stored.written == sent.written:
            receipt.accepted.append(sent.id)
            receipt.stored.append(stored)
        else:
            receipt.doubled.append(sent.id)


def _entry(day: Day, item: Mapping[str, Any], known: Sequence[Entry], now: datetime) -> Entry:
    """The entry that an item says. Raises BadInput, whose text says what would be right."""
    kind, at = item.get("kind"), item.get("at")
    words, value = item.get("words"), item.get("value")
    if not isinstance(kind, str) or not isinstance(at, str):
        raise _bad("kind" if not isinstance(kind, str) else "at", "write it as text")
    if (words is None) == (value is None) or not isinstance(words if value is None else value, Mapping):
        raise _bad("words", "give either words, as typed, or value, as the log holds it")
    if kind == "kept":
        raise _bad("kind", "the day's result is kept through /pit/keep, which asks before")
    moment = moment_from_text(at, day.event, now)
    if kind == "undo":
        return _undo(item["id"], moment, words or value or {}, known)
    if value is not None:
        return checked(Entry(item["id"], moment, kind, dict(value)))
    return entry_from(Said(kind, words or {}, at, item["id"] or new_id()), day.event, day.car, known, moment)


def _undo(entry_id: str, at: datetime, said: Mapping[str, Any], known: Sequence[Entry]) -> Entry:
    """An undo of the entry named, or of the last one that stands."""
    standing = [entry.id for entry in with_undone(known) if entry.kind != "undo" and not entry.undone]
    wanted = said.get("undoes")
    if not standing or (wanted is not None and wanted not in standing):
        raise _bad("undo", "there is no such entry to take back; it may be undone already")
    return checked(Entry(entry_id, at, "undo", {"undoes": standing[-1] if wanted is None else wanted}))


def _sentence(reason: Exception) -> str:
    if isinstance(reason, BadInput):
        lines = (Fault("", fault.key, fault.value, fault.remedy).line() for fault in reason.faults)
        return page_words("; ".join(lines))[:600]
    return str(reason)[:600] if isinstance(reason, FillmarkError) else "a number or time is beyond all bounds"


def _bad(key: str, remedy: str) -> BadInput:
    return BadInput([Fault("", key, "", remedy)])
