"""Damaged car files, event files, pit logs and their tables end in what they say or in sentences, never in a traceback.

The environment variable FILLMARK_MUTATIONS sets how many of each are tried: 300 by default, 10000 before a release.
"""

from __future__ import annotations

import os
import random
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from planner.entry import Entry
from planner.errors import BadInput
from planner.files.car_file import parse_car
from planner.files.event_file import read_day
from planner.files.pit_log import PitLog
from planner.files.pit_table import entries_from_table, table_from_entries
from tests.files import samples

COUNT = int(os.environ.get("FILLMARK_MUTATIONS", "300"))
VALUES = (
    '""', '"0 L"', '"-1 mm"', '"1e400 L"', '"nan kPa"', "nan", "-inf", "1e999", "0", "-1", "true", "[]", "{}", "[[]]",
    '"9" * 9', "2026-13-45", "25:61:00", '"\\u0000"', '"\\ud800"', "'''", "0x1F", "1_000", '"5 parsec"', '"5"',
    '"../../../../etc/hostname"', '"' + "9" * 400 + ' L"', "9" * 400, '"💧 L"', "[[1, 2], [3]]", '{ ahead = "1 m" }',
)  # fmt: skip
LINES = ("[tank]", "[[tank]]", "[[nozzle]]", "[nozzle]", "[[session]]", "[course]", "= 3", "a.b.c = 1", "]", "\x00", "﻿")


def mutated(text: str, dice: random.Random) -> str:
    """The text with one to four changes: a value, a line, a key or a character."""
    for _ in range(dice.randint(1, 4)):
        lines = text.split("\n")
        place = dice.randrange(len(lines))
        change = dice.randrange(6)
        if change == 0:
            lines[place] = re.sub(r"=.*", lambda _: "= " + dice.choice(VALUES), lines[place], count=1)
        elif change == 1:
            lines.insert(place, dice.choice(LINES))
        elif change == 2:
            lines.pop(place)
        elif change == 3:
            lines.insert(dice.randrange(len(lines)), lines[place])
        elif change == 4:
            lines[place] = lines[place][: dice.randint(0, len(lines[place]))]
        else:
            at = dice.randint(0, len(lines[place]))
            lines[place] = lines[place][:at] + dice.choice('"[]{}=,.-#\x00\x7fäé9') + lines[place][at + 1 :]
        text = "\n".join(lines)
    return text


def said(refused: BadInput) -> None:
    """Every fault is a line that says something."""
    assert refused.faults
    for fault in refused.faults:
        assert fault.remedy
        assert "\n" not in fault.line()


def test_a_damaged_car_file_is_a_car_or_sentences() -> None:
    dice, refusals = random.Random(4), 0
    for _ in range(COUNT):
        try:
            parse_car(mutated(samples.CAR, dice), "plum.toml")
        except BadInput as refused:
            said(refused)
            refusals += 1
    assert 0.3 * COUNT < refusals < COUNT


def test_a_damaged_event_file_is_a_day_or_sentences(tmp_path: Path) -> None:
    path, dice, refusals = samples.workspace(tmp_path), random.Random(5), 0
    for _ in range(COUNT):
        path.write_text(mutated(samples.EVENT, dice), encoding="utf-8", errors="replace")
        try:
            read_day(path)
        except BadInput as refused:
            said(refused)
            refusals += 1
    assert 0.3 * COUNT < refusals < COUNT


def day_of_entries() -> list[Entry]:
    """A short day's log, one entry of each kind."""
    at = datetime(2026, 5, 16, 9, 30, tzinfo=UTC)
    values = {
        "level": {"mm": 104.0, "after": None},
        "fill": {"add_L": 1.2, "before": None},
        "done": {"session": 1, "runs": 3},
        "late": {"minutes": 10},
        "note": {"text": "wind, a semicolon; a comma, and \u201cquotes\u201d"},
    }
    return [Entry(f"e{k}", at, kind, value) for k, (kind, value) in enumerate(values.items())]


def test_a_damaged_table_of_a_pit_log_is_entries_or_sentences() -> None:
    text, dice = table_from_entries(day_of_entries()), random.Random(6)
    for _ in range(COUNT):
        try:
            entries_from_table(mutated(text, dice), "log.csv")
        except BadInput as refused:
            said(refused)


@pytest.mark.parametrize("seed", range(max(COUNT // 30, 4)))
def test_a_damaged_pit_log_gives_entries_that_were_written_and_none_else(seed: int, tmp_path: Path) -> None:
    log, dice = PitLog(tmp_path / "day.toml"), random.Random(seed)
    at = datetime(2026, 5, 16, 9, 30, tzinfo=UTC)
    written = [Entry(f"e{k:02}", at, "note", {"text": f"entry {k} {'y' * (k * 7 % 60)}"}) for k in range(60)]
    log.append_all(written)
    content = bytearray(log.path.read_bytes())
    for _ in range(dice.randint(1, 5)):
        start = dice.randrange(len(content))
        length = dice.choice((1, 4, 60, 900))
        content[start : start + length] = dice.randbytes(min(length, len(content) - start))
    if dice.random() < 0.3:
        content = content[: dice.randrange(len(content))]
    log.path.write_bytes(content)
    known = {(entry.id, entry.value["text"]) for entry in written}
    try:
        found = PitLog(tmp_path / "day.toml").entries()
    except BadInput as refused:
        said(refused)
        return
    strange = [entry for entry in found if (entry.id, entry.value.get("text")) not in known]
    assert all("damaged" in str(entry.value) for entry in strange)
