"""What pairs came to, kept on disk, so that a second look is instant in any program and after a restart.

On disk rather than in memory: the command line has no memory between two runs, and the page gains from what the
command worked out. A file of small records is kept for each event; the key of a record is the content of all that it
depends on: event, car and tank as read, each recording's time of change and size, draws, and this program's own source.
Recordings enter by their stamp, not by their samples, since reading them is most of the work that is saved.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from platformdirs import user_cache_path

import planner
from planner.compare_tanks.work import Pair
from planner.planning.tank_choice import TankDay

MOST_FILES = 400
MOST_RECORDS = 4000


def usual_folder() -> Path:
    """Where results are kept for this user."""
    return user_cache_path("fillmark", appauthor=False) / "tanks"


def _digest(*parts: object) -> str:
    return hashlib.blake2b("\x1f".join(map(str, parts)).encode(), digest_size=16).hexdigest()


@lru_cache(maxsize=1)
def code_digest() -> str:
    """A text that changes with this program's source, and with the libraries that compute."""
    stats = ((path, path.stat()) for path in sources())
    return _digest(np.__version__, pd.__version__, *((path, s.st_size, s.st_mtime_ns) for path, s in stats))


def sources() -> list[Path]:
    """Every file of the planner's own, since a result may rest on any of them."""
    return sorted(Path(planner.__file__).parent.rglob("*.py"))


def _stamps(pair: Pair) -> list[tuple[object, ...]]:
    """What tells that a recording changed: its name, size and times, the one that no program sets among them."""
    paths = [path for course in pair.event.courses for path in course.logs]
    return [(path, s.st_size, s.st_mtime_ns, s.st_ctime_ns) for path, s in ((path, path.stat()) for path in paths)]


class Kept:
    """Results by the content that they came from, in a folder; None keeps nothing."""

    def __init__(self, folder: Path | None, *, draws: int | None, seed: int) -> None:
        self.folder = folder
        self._common = _digest(code_digest(), draws, seed) if folder else ""
        self._events: dict[int, tuple[object, str]] = {}
        self._files: dict[str, dict[str, Any]] = {}

    def _event_key(self, pair: Pair) -> str:
        """The file of a pair: its event with its recordings; each event is looked at once."""
        known = self._events.get(id(pair.event))
        if known is None:
            event = replace(pair.event, assumed=frozenset())
            known = self._events[id(pair.event)] = (pair.event, _digest(self._common, event, _stamps(pair)))
        return known[1]

    @staticmethod
    def _key(pair: Pair) -> str:
        return _digest(replace(pair.car, assumed=frozenset()), pair.factor, pair.in_series, pair.long_gap)

    def find(self, pairs: Sequence[Pair]) -> list[TankDay | None]:
        """What is kept of each pair, or None."""
        if self.folder is None:
            return [None] * len(pairs)
        return [_read(self._records(self._event_key(pair)).get(self._key(pair))) for pair in pairs]

    def _records(self, name: str) -> dict[str, Any]:
        if name not in self._files:
            self._files[name] = self._load(name)
        return self._files[name]

    def _load(self, name: str) -> dict[str, Any]:
        """The records of a file; a damaged one holds none."""
        assert self.folder is not None
        with suppress(OSError, ValueError):
            stored = json.loads((self.folder / f"{name}.json").read_text(encoding="utf-8"))
            return stored if isinstance(stored, dict) else {}
        return {}

    def keep(self, pairs: Sequence[Pair], days: Sequence[TankDay]) -> None:
        """Store what pairs came to; a folder that cannot be written keeps nothing."""
        if self.folder is None or not pairs:
            return
        fresh: dict[str, dict[str, Any]] = {}
        for pair, day in zip(pairs, days, strict=True):
            fresh.setdefault(self._event_key(pair), {})[self._key(pair)] = asdict(day)
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            for name, records in fresh.items():
                merged = {**self._load(name), **records}
                self._files[name] = dict(list(merged.items())[-MOST_RECORDS:])
                _write(self.folder / f"{name}.json", self._files[name])
            _prune(self.folder)


def _read(record: Any) -> TankDay | None:
    """A record as it was, or None for one that an older or damaged file holds."""
    if not isinstance(record, dict):
        return None
    try:
        return TankDay(**{**record, "stop_gaps": tuple(record["stop_gaps"])})
    except (KeyError, TypeError):
        return None


def _write(path: Path, records: dict[str, Any]) -> None:
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
    with os.fdopen(handle, "w", encoding="utf-8") as part:
        json.dump(records, part)
    os.replace(name, path)


def _prune(folder: Path) -> None:
    """Remove the files that were written longest ago, beyond MOST_FILES."""
    files = sorted(folder.glob("*.json"), key=lambda path: path.stat().st_mtime, reverse=True)
    for path in files[MOST_FILES:]:
        path.unlink(missing_ok=True)
