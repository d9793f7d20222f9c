"""A damaged pit log is set aside, what can be read of it is carried over, and the log says so."""

from __future__ import annotations

import random
from datetime import UTC, datetime

import pytest

from planner.entry import Entry
from planner.files.pit_log import PitLog, is_damaged
from planner.files.pit_recovery import rows_in

AT = datetime(2026, 5, 16, 12, 0, tzinfo=UTC)


@pytest.fixture
def log(tmp_path):
    log = PitLog(tmp_path / "hare.toml")
    log.append_all([Entry(f"e{k:03}", AT, "note", {"text": f"entry {k} " + "x" * (k % 90)}) for k in range(200)])
    PitLog(tmp_path / "goose.toml").append(Entry("g1", AT, "note", {"text": "another event"}))
    return log


def _spoil(path, start, length, seed=1):
    content = bytearray(path.read_bytes())
    content[start : start + length] = random.Random(seed).randbytes(length)
    path.write_bytes(content)


def test_a_sound_log_is_left_alone(log):
    assert not is_damaged(log.path)
    assert log.mend() is None
    assert len(log.entries()) == 200


def test_every_row_is_found_without_the_database(log):
    rows = list(rows_in(log.path))
    assert [row.id for row in rows] == [f"e{k:03}" for k in range(200)] + ["g1"]


def test_with_its_header_gone_every_entry_is_recovered_and_it_is_said(log):
    before = log.entries()
    _spoil(log.path, 0, 100)
    after = log.entries()
    assert [(entry.id, entry.at, entry.value) for entry in after[:200]] == [(e.id, e.at, e.value) for e in before]
    assert "was damaged" in after[200].value["text"]
    assert "200 entries could be read" in after[200].value["text"]
    aside = [path.name for path in log.path.parent.iterdir() if "damaged" in path.name]
    assert len(aside) == 1
    assert aside[0] in after[200].value["text"]


def test_other_events_of_the_file_are_recovered_too(log):
    _spoil(log.path, 0, 100)
    log.entries()
    goose = PitLog(log.path.parent / "goose.toml").entries()
    assert goose[0].id == "g1"
    assert "1 entry could be read" in goose[1].value["text"]


def test_writing_to_a_damaged_log_mends_it_first(log):
    _spoil(log.path, 0, 100)
    log.append(Entry("later", AT, "note", {"text": "later"}))
    assert log.entries()[-1].id == "later"
    assert len(log.entries()) == 202


def test_asking_for_the_newest_entry_mends_too(log):
    _spoil(log.path, 0, 100)
    assert log.newest() > 200


@pytest.mark.parametrize("seed", range(12))
def test_with_a_page_gone_the_other_pages_are_kept(log, seed):
    size = log.path.stat().st_size
    _spoil(log.path, random.Random(seed).randrange(4096, size - 4096), 4096, seed)
    entries = log.entries()
    written = {f"e{k:03}" for k in range(200)}
    kept = [entry.id for entry in entries if entry.id in written]
    assert kept == sorted(kept)
    assert len(kept) > 140
    assert len(kept) == len(set(kept))
    if len(kept) < 200:
        assert "was damaged" in entries[-1].value["text"]


def test_a_changed_letter_inside_an_entry_is_noticed(log):
    content = log.path.read_bytes()
    log.path.write_bytes(content.replace(b"entry 7 ", b"entry 9 "))
    entries = log.entries()
    assert "e007" not in [entry.id for entry in entries]
    assert "199 entries could be read" in entries[-1].value["text"]


def test_entries_still_in_the_write_ahead_log_are_recovered(log, tmp_path):
    import sqlite3

    holder = sqlite3.connect(log.path)
    holder.execute("SELECT count(*) FROM entry").fetchone()
    log.append(Entry("fresh", AT, "note", {"text": "not yet in the file proper"}))
    ahead = log.path.with_name("pit.sqlite-wal").read_bytes()
    other = PitLog(tmp_path / "copy" / "hare.toml")
    other.path.parent.mkdir()
    other.path.write_bytes(log.path.read_bytes())
    other.path.with_name("pit.sqlite-wal").write_bytes(ahead)
    holder.close()
    assert "fresh" in [row.id for row in rows_in(other.path)]


def test_nonsense_is_set_aside_and_the_log_goes_on(tmp_path):
    log = PitLog(tmp_path / "hare.toml")
    log.path.write_bytes(random.Random(3).randbytes(20_000))
    assert "0 entries could be read" in log.entries()[0].value["text"]
    log.append(Entry("a", AT, "note", {"text": "goes on"}))
    assert log.entries()[-1].id == "a"


def test_an_empty_file_is_an_empty_log(tmp_path):
    log = PitLog(tmp_path / "hare.toml")
    log.path.touch()
    assert log.entries() == ()
    log.append(Entry("a", AT, "note", {"text": "first"}))
    assert [entry.id for entry in log.entries()] == ["a"]
