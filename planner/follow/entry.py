"""What a person types or taps, such as "104 mm" after "Heat 2", to an entry of the log."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from difflib import get_close_matches
from typing import Any
from zoneinfo import ZoneInfo

from planner import units
from planner.car import Car
from planner.entry import Entry, checked, new_id
from planner.errors import BadInput, Fault, UnitError
from planner.event import Event
from planner.follow import follow_day
from planner.follow.after import result_of
from planner.use.learning import level_mean

LITRES = 1e3
_PERCENT = re.compile(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*%\s*")
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})")
READING = '"104 mm", "5.2 L" or "62 %"'


@dataclass(frozen=True, slots=True)
class Said:
    """What was typed: the kind of entry and its words by name; at and id where the sender gives them."""

    kind: str
    words: Mapping[str, Any]
    at: str | None = None
    id: str | None = None


def entry_from(said: Said, event: Event, car: Car, entries: Sequence[Entry], now: datetime) -> Entry:
    """The entry that was said, checked against the event, the car and the log so far.

    Raises BadInput, whose text says what would be right.
    """
    make = _MAKERS.get(said.kind)
    if make is None:
        raise _bad("kind", said.kind, f"the kinds are {', '.join(_MAKERS)}")
    at = moment_from_text(said.at, event, now) if said.at else now
    value = make(_Scene(said.words, event, car, entries, at))
    return checked(Entry(said.id or new_id(), at, said.kind, value))


def moment_from_text(text: str, event: Event, now: datetime) -> datetime:
    """A moment from ISO 8601, in the event's zone where it names none; "12:05" is today there. Raises BadInput."""
    zone = ZoneInfo(event.timezone)
    clock = _CLOCK.fullmatch(text.strip())
    try:
        if clock:
            return datetime.combine(now.astimezone(zone).date(), time(int(clock[1]), int(clock[2])), zone)
        moment = datetime.fromisoformat(text.strip())
    except ValueError as reason:
        raise _bad("at", text, 'not a time; write ISO 8601, such as "2026-05-16T12:05+01:00"') from reason
    return moment if moment.tzinfo else moment.replace(tzinfo=zone)


def session_from_text(text: str, event: Event, key: str) -> tuple[int, str]:
    """Number (from 1) and name of a session given by its name or number. Raises BadInput."""
    names = [session.name for session in event.sessions]
    same = [k for k, name in enumerate(names) if name.casefold() == text.strip().casefold()]
    if len(same) == 1:
        return same[0] + 1, names[same[0]]
    if text.strip().isdecimal() and 1 <= int(text) <= len(names):
        return int(text), names[int(text) - 1]
    if same:
        raise _bad(key, text, f"several sessions have this name; give a number from 1 to {len(names)}")
    near = get_close_matches(text, names, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]!r}? " if near else ""
    raise _bad(key, text, f"no session of this name; {hint}give a name of the event or a number from 1 to {len(names)}")


def level_from_text(text: str, car: Car, key: str = "level") -> tuple[float, float]:
    """Volume [m3] and level [m] from a reading in mm, L or percent of the tank. Raises BadInput beyond the tank."""
    shape = car.tank.shape
    percent = _PERCENT.fullmatch(text)
    volume = float(percent[1]) / 100 * shape.capacity if percent else _volume_or_level(text, car, key)
    if not 0 <= volume <= shape.capacity * (1 + 1e-9):
        top = f"{shape.height * 1e3:.0f} mm or {shape.capacity * LITRES:.2f} L"
        raise _bad(key, text, f"outside the tank, which holds 0 to {top}; read again, or correct the car's file")
    volume = min(volume, shape.capacity)
    return volume, float(shape.level_from_volume(volume))


def _volume_or_level(text: str, car: Car, key: str) -> float:
    try:
        return units.quantity(text, "volume")
    except UnitError:
        pass
    try:
        level = units.quantity(text, "length")
    except UnitError as reason:
        raise _bad(key, text, f"a level is a length, a volume or a percentage; write {READING}") from reason
    shape = car.tank.shape
    if not 0 <= level <= shape.height * (1 + 1e-9):
        raise _bad(key, text, f"outside the tank, which is {shape.height * 1e3:.0f} mm high; read again")
    return float(shape.volume_from_level(min(level, shape.height)))


@dataclass(frozen=True, slots=True)
class _Scene:
    """What an entry is made from."""

    words: Mapping[str, Any]
    event: Event
    car: Car
    entries: Sequence[Entry]
    at: datetime

    def text(self, name: str) -> str | None:
        """One of the words as text, or None where it was not said. Raises BadInput for anything else."""
        word = self.words.get(name)
        if word is None or (isinstance(word, str) and word.strip()):
            return word
        raise _bad(name, repr(word)[:40], "is empty; write something" if isinstance(word, str) else "write it as text")

    def needed(self, name: str, remedy: str) -> str:
        """One of the words that must be there."""
        text = self.text(name)
        if text is None:
            raise _bad(name, "", remedy)
        return text


def _level(scene: _Scene) -> dict[str, Any]:
    typed = scene.needed("level", f"write the reading, such as {READING}")
    volume, level = level_from_text(typed, scene.car)
    value: dict[str, Any] = {"level_L": round(volume * LITRES, 4), "level_mm": round(level * 1e3, 2), "typed": typed}
    if scene.text("after") is not None:
        value["after"], value["after_name"] = session_from_text(scene.needed("after", ""), scene.event, "after")
    if scene.text("error") is not None:
        value["error_mm"] = _quantity(scene.needed("error", ""), "length", "error") * 1e3
    return value


def _fill(scene: _Scene) -> dict[str, Any]:
    value: dict[str, Any] = {"to_mark": bool(scene.words.get("to_mark"))}
    add = scene.text("add")
    if add is not None:
        volume = _quantity(add, "volume", "add")
        if not 0 < volume <= scene.car.tank.capacity:
            raise _bad(
                "add", add, f"an amount between 0 and the {scene.car.tank.capacity * LITRES:.2f} L that the tank holds"
            )
        value |= {"add_L": round(volume * LITRES, 4), "typed": add}
    elif not value["to_mark"]:
        raise _bad("fill", "", 'give --to-mark, or --add with an amount such as "1.2 L"')
    if value["to_mark"]:
        value |= _mark(scene)
    return value


def _mark(scene: _Scene) -> dict[str, Any]:
    """The mark for the next session as the plan stands at the entry's time."""
    state = follow_day(scene.event, scene.car, scene.entries, scene.at, entering=True)
    if state.ahead is None:
        raise _bad("fill", "", "no session is ahead, so the plan gives no mark; use --add with an amount")
    outing, mark = state.ahead.outings[0], state.ahead.first_mark
    if state.action.kind in ("fill", "refill"):
        mark = state.action.mark
    name = outing.session.name
    if mark is None:
        raise _bad("fill", "", f"no refill is possible before {name}, so the plan gives no mark; use --add")
    if state.ahead.before and level_mean(state.belief) > mark + 2 * state.level_sd:
        expected = level_mean(state.belief) * LITRES
        remedy = f"the plan needs {mark * LITRES:.2f} L before {name} and {expected:.2f} L are in the tank; use --add"
        raise _bad("fill", "to the mark", remedy)
    level = float(scene.car.tank.shape.level_from_volume(mark))
    return {
        "mark_L": round(mark * LITRES, 4),
        "mark_mm": round(level * 1e3, 2),
        "before": outing.number,
        "before_name": name,
    }


def _done(scene: _Scene) -> dict[str, Any]:
    number, name = session_from_text(scene.needed("session", "name the session"), scene.event, "session")
    value: dict[str, Any] = {"session": number, "session_name": name}
    if scene.words.get("runs") is not None:
        value["runs"] = _count(scene.words["runs"])
    return value


def _count(word: Any) -> float:
    try:
        runs = float(word)
    except (TypeError, ValueError):
        runs = -1.0
    if not 0 <= runs <= 10_000:
        raise _bad("runs", str(word)[:40], "a number of runs, laps or minutes from 0 to 10000")
    return runs


def _late(scene: _Scene) -> dict[str, Any]:
    typed = scene.needed("late", 'write how late, such as "10 min"')
    minutes = _quantity(typed, "time", "late") / 60
    if not -1440 <= minutes <= 1440 or minutes == 0:
        raise _bad("late", typed, 'at most a day, such as "10 min"; "-5 min" takes minutes back')
    return {"minutes": round(minutes, 4)}


def _cancelled(scene: _Scene) -> dict[str, Any]:
    number, name = session_from_text(scene.needed("session", "name the session"), scene.event, "session")
    return {"session": number, "session_name": name}


def _stock(scene: _Scene) -> dict[str, Any]:
    typed = scene.needed("left", 'write what is left in the jugs, such as "8 L"')
    volume = _quantity(typed, "volume", "left")
    if not 0 <= volume <= 10:
        raise _bad("left", typed, 'between 0 L and 10 m3, such as "8 L"')
    return {"left_L": round(volume * LITRES, 4), "typed": typed}


def _note(scene: _Scene) -> dict[str, Any]:
    return {"text": scene.needed("text", "write the note")}


def _kept(scene: _Scene) -> dict[str, Any]:
    """What the day has taught of the car, as it stands, to be its prior from now on."""
    result = result_of(follow_day(scene.event, scene.car, scene.entries, scene.at))
    if isinstance(result, str):
        raise _bad("keep", "", result)
    return {"mean": result.mean, "variation": result.variation, "readings": result.readings}


_MAKERS = {
    "level": _level,
    "fill": _fill,
    "done": _done,
    "late": _late,
    "cancelled": _cancelled,
    "stock": _stock,
    "note": _note,
    "kept": _kept,
}


def _quantity(text: str, dimension: units.Dimension, key: str) -> float:
    try:
        return units.quantity(text, dimension)
    except UnitError as reason:
        raise _bad(key, text, str(reason)) from reason


def _bad(key: str, value: str, remedy: str) -> BadInput:
    return BadInput([Fault("pit log", key, value[:80], remedy)])
