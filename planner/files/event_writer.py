"""An Event as the text of a fresh event.toml, which reads back to the same record."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterator
from pathlib import Path

from planner.event import Course, Event, Piece, Reading, Session
from planner.files.car_writer import Lines, told
from planner.files.quantity_text import number, pairs, quantity, quoted, yes_or_no


def event_toml(event: Event, folder: Path | None = None) -> str:
    """The text of an event file in `folder` (the event's own if None), which its car's and logs' paths start from.

    Keys that the event's own file left to their defaults are left out again.
    """
    start = folder if folder is not None else event.path.parent if event.path else Path()
    parts = [_head(event, start)]
    for header, key, lines in _tables(event, start):
        kept = told(lines, key, event.assumed)
        if kept:
            parts.append("\n".join([header, *kept]) + "\n")
    return "\n".join(parts)


def _head(event: Event, folder: Path) -> str:
    lines = {
        "name": quoted(event.name),
        "date": event.date.isoformat(),
        "timezone": quoted(event.timezone),
        "car": _path(event.car_path, folder),
    }
    return "\n".join(f"{key} = {text}" for key, text in lines.items()) + "\n"


def _path(path: Path, folder: Path) -> str:
    return quoted(os.path.relpath(path, folder).replace(os.sep, "/"))


def _tables(event: Event, folder: Path) -> Iterator[tuple[str, str, Lines]]:
    yield "[reserve]", "reserve", _reserve(event)
    yield "[refill]", "refill", _refill(event)
    yield "[stock]", "stock", _stock(event)
    for count, course in enumerate(event.courses, 1):
        yield "[[course]]", f"course[{count}]", _course(course, folder)
    for count, session in enumerate(event.sessions, 1):
        yield "[[session]]", f"session[{count}]", _session(session, event.date)


def _reserve(event: Event) -> Lines:
    reserve = event.reserve
    return {
        "confidence": number(reserve.confidence),
        "final": quantity(reserve.final, "time"),
        "extra": number(reserve.extra),
        "prime": quantity(reserve.prime, "volume"),
    }


def _refill(event: Event) -> Lines:
    refill = event.refill
    return {
        "setup": quantity(refill.setup, "time"),
        "pour_rate": quantity(refill.pour_rate, "flow"),
        "spill": quantity(refill.spill, "volume"),
        "priority": quoted(refill.priority),
        "stop_at": "" if refill.stop_at is None else _array(quoted(place) for place in refill.stop_at),
    }


def _stock(event: Event) -> Lines:
    stock = event.stock
    return {
        "in_tank": quantity(stock.in_tank, "volume"),
        "containers": _array(quantity(size, "volume") for size in stock.containers) if stock.containers else "",
        "alcohol_price": _price(stock.alcohol_price),
        "water_price": _price(stock.water_price),
    }


def _price(price: float | None) -> str:
    return "" if price is None else quantity(price, "price")


def _array(texts: Iterator[str]) -> str:
    return f"[{', '.join(texts)}]"


def _course(course: Course, folder: Path) -> Lines:
    times = [[quantity(boost, "pressure"), quantity(time, "time")] for boost, time in course.time_at_boost]
    return {
        "name": quoted(course.name),
        "per": quoted(course.per),
        "logs": _array(_path(log, folder) for log in course.logs) if course.logs else "",
        "pieces": _array(_piece(piece) for piece in course.pieces) if course.pieces else "",
        "time_at_boost": pairs(times) if times else "",
        "spool": quantity(course.spool, "time") if course.pieces else "",
        **_reading(course.reading),
    }


def _piece(piece: Piece) -> str:
    texts = [f"time = {quantity(piece.time, 'time')}", f"boost = {quantity(piece.boost, 'pressure')}"]
    for key in ("longitudinal", "lateral"):
        if (acceleration := getattr(piece, key)) is not None:
            texts.append(f"{key} = {quantity(acceleration, 'acceleration')}")
    return f"{{ {', '.join(texts)} }}"


def _reading(reading: Reading) -> Lines:
    return {
        "columns": _texts(reading.columns),
        "units": _texts(reading.units),
        "absolute": "" if reading.absolute is None else yes_or_no(reading.absolute),
        "ambient": "" if reading.ambient is None else quantity(reading.ambient, "pressure"),
        "rate": "" if reading.rate is None else quoted(f"{number(reading.rate)} Hz"),
        "split": _split(reading),
    }


def _texts(entries: tuple[tuple[str, str], ...]) -> str:
    return f"{{ {', '.join(f'{key} = {quoted(text)}' for key, text in entries)} }}" if entries else ""


def _split(reading: Reading) -> str:
    if reading.split_column is not None:
        return f"{{ column = {quoted(reading.split_column)} }}"
    if reading.split_stops is not None:
        return f"{{ stops_longer = {quantity(reading.split_stops, 'time')} }}"
    windows = [[quantity(start, "time"), quantity(end, "time")] for start, end in reading.split_windows]
    return f"{{ windows = {pairs(windows)} }}" if windows else ""


def _session(session: Session, day: dt.date) -> Lines:
    start = session.start
    return {
        "name": quoted(session.name),
        "date": start.date().isoformat() if start.date() != day else "",
        "start": quoted(f"{start:%H:%M:%S}" if start.second else f"{start:%H:%M}"),
        "length": quantity(session.length, "time"),
        "course": quoted(session.course),
        "runs": number(session.runs),
        "driver": quoted(session.driver) if session.driver is not None else "",
        "gap": quoted(session.gap) if session.gap is not None else "",
        "refill": "" if session.refill is None else yes_or_no(session.refill),
    }
