"""The pit log: nothing acknowledged is lost, nothing counts twice, and every refusal says what to do."""

from __future__ import annotations

import multiprocessing
import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from planner.entry import Entry
from planner.errors import BadInput
from planner.files import pit_connection
from planner.files.pit_connection import NotStored
from planner.files.pit_log import PitLog

ROOT = Path(__file__).parents[2]
AT = datetime(2026, 5, 16, 12, 0, tzinfo=UTC)


def note(name: str, text: str = "a note") -> Entry:
    return Entry(name, AT, "note", {"text": text})


@pytest.fixture
def log(tmp_path):
    return PitLog(tmp_path / "hare.toml")


def test_reading_an_empty_log_creates_nothing(log):
    assert log.entries() == ()
    assert log.newest() == 0
    assert list(log.path.parent.iterdir()) == []


def test_entries_come_back_as_stored_in_order(log):
    at = AT.astimezone(tz=None).replace(microsecond=123456)
    for k in range(5):
        value = {"level_L": 0.1 * k, "level_mm": 104.0, "typed": "½ „full“"}
        log.append(Entry(f"e{k}", at - timedelta(hours=k), "level", value))
    entries = log.entries()
    assert [entry.id for entry in entries] == ["e0", "e1", "e2", "e3", "e4"]
    assert [entry.at for entry in entries] == [at - timedelta(hours=k) for k in range(5)]
    assert entries[3].value == {"level_L": 0.1 * 3, "level_mm": 104.0, "typed": "½ „full“"}
    assert log.newest() == entries[-1].number


def test_an_id_sent_twice_counts_once_and_the_first_holds(log):
    first = log.append(note("same", "first"))
    again = log.append(note("same", "second"))
    assert again == first
    assert len(log.entries()) == 1


def test_faulty_entries_leave_no_file(log):
    with pytest.raises(BadInput):
        log.append(Entry("x", AT, "late", {"minutes": "ten"}))
    with pytest.raises(BadInput, match="no entry to take back"):
        log.undo(at=AT)
    assert list(log.path.parent.iterdir()) == []


def test_a_batch_is_stored_whole_or_not_at_all(log):
    with pytest.raises(BadInput):
        log.append_all([note("a"), note("b b")])
    assert log.entries() == ()
    assert [entry.id for entry in log.append_all([note("a"), note("b"), note("a")])] == ["a", "b", "a"]
    assert len(log.entries()) == 2


def test_undo_takes_the_last_standing_entry_then_the_one_before(log):
    log.append_all([note("a"), note("b")])
    log.undo(at=AT, id="u1")
    log.undo(at=AT, id="u2")
    assert [entry.id for entry in log.entries()] == ["a", "b", "u1", "u2"]
    assert [entry.undone for entry in log.entries()] == [True, True, False, False]
    with pytest.raises(BadInput, match="no entry to take back"):
        log.undo(at=AT)


def test_an_undo_sent_twice_takes_back_one_entry(log):
    log.append_all([note("a"), note("b")])
    assert log.undo(at=AT, id="u").value == {"undoes": "b"}
    assert log.undo(at=AT, id="u").value == {"undoes": "b"}
    assert [entry.undone for entry in log.entries()] == [False, True, False]


def test_undo_by_id_refuses_what_does_not_stand(log):
    log.append_all([note("a"), note("b")])
    log.undo("a", at=AT)
    for name in ("a", "nobody"):
        with pytest.raises(BadInput, match="no entry of this id stands"):
            log.undo(name, at=AT)


def test_events_of_one_folder_share_the_file_and_keep_apart(tmp_path):
    hare, goose = PitLog(tmp_path / "hare.toml"), PitLog(tmp_path / "goose.toml")
    hare.append(note("same", "hare"))
    goose.append(note("same", "goose"))
    assert hare.path == goose.path
    assert [entry.value["text"] for entry in hare.entries()] == ["hare"]
    assert [entry.value["text"] for entry in goose.entries()] == ["goose"]


def test_the_file_only_grows(log):
    log.append(note("a"))
    with sqlite3.connect(log.path) as connection:
        for statement in ("DELETE FROM entry", "UPDATE entry SET kind = 'x'"):
            with pytest.raises(sqlite3.IntegrityError, match="only grows"):
                connection.execute(statement)


def test_every_write_waits_for_the_disk(log, monkeypatch):
    told = []
    begin = pit_connection._begin

    def spy(connection):
        begin(connection)
        told.append([connection.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous")])

    monkeypatch.setattr(pit_connection, "_begin", spy)
    log.append(note("a"))
    assert told == [["wal", 2]]  # 2 is FULL


def test_a_file_of_a_newer_program_is_left_alone(log):
    log.append(note("a"))
    with sqlite3.connect(log.path) as connection:
        connection.execute("INSERT INTO migration VALUES (99, 'later', '')")
    with pytest.raises(NotStored, match="newer Fillmark"):
        log.append(note("b"))
    assert [entry.id for entry in log.entries()] == ["a"]


def test_a_full_disk_is_said_and_loses_nothing(log, monkeypatch):
    log.append(note("a"))
    connect = pit_connection._connect

    def small(path, mode):
        connection = connect(path, mode)
        connection.execute(f"PRAGMA max_page_count = {connection.execute('PRAGMA page_count').fetchone()[0]}")
        return connection

    monkeypatch.setattr(pit_connection, "_connect", small)
    with pytest.raises(NotStored, match="the disk is full, so the entry is not stored; free some space"):
        _store_many(log)
    monkeypatch.undo()
    stored = [entry.id for entry in log.entries()]
    assert stored == ["a"] + [f"n{k}" for k in range(len(stored) - 1)]
    log.append(note("later"))


def _store_many(log):
    for k in range(300):
        log.append(note(f"n{k}", "long " * 90))


def _limit_file_size():
    import resource  # not on every system

    resource.setrlimit(resource.RLIMIT_FSIZE, (30_000, 30_000))


def _write_from_another_process(log, **options):
    command = [sys.executable, "-c", WRITER, str(ROOT), str(log.path.parent / "hare.toml")]
    names = "".join(f"n{k}\n" for k in range(300))
    return subprocess.run(command, input=names, capture_output=True, text=True, timeout=60, check=False, **options)


@pytest.mark.skipif(os.name == "nt", reason="this system has no limit on the size of files")
def test_a_file_that_may_not_grow_is_said(log):
    run = _write_from_another_process(log, preexec_fn=_limit_file_size)
    assert "so the entry is not stored" in run.stderr.splitlines()[-1]
    assert [entry.id for entry in log.entries()] == run.stdout.split()
    assert len(run.stdout.split()) < 300


@pytest.mark.parametrize("folder", ["/proc", "missing/folder"])
def test_a_folder_that_cannot_be_written_is_said(folder, tmp_path):
    log = PitLog(tmp_path / folder / "hare.toml")
    with pytest.raises(NotStored, match="cannot be written, so the entry is not stored; allow writing there"):
        log.append(note("a"))


def _as_an_ordinary_user(log: PitLog) -> list[str]:
    """What a process without special rights reads from a log, and is told on writing to it."""
    if os.geteuid() == 0:  # the superuser may write anywhere
        os.setuid(65534)
    told = [repr([entry.id for entry in log.entries()])]
    try:
        log.append(note("b"))
    except NotStored as reason:
        told.append(str(reason))
    return told


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no read-only folders")
def test_a_read_only_log_can_still_be_read_and_says_that_it_cannot_be_written():
    with tempfile.TemporaryDirectory() as folder:
        log = PitLog(Path(folder) / "hare.toml")
        log.append(note("a"))
        log.path.chmod(0o444)
        log.path.parent.chmod(0o555)
        with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("fork")) as other:
            read, refused = other.submit(_as_an_ordinary_user, log).result(60)
        log.path.parent.chmod(0o755)
    assert read == "['a']"
    assert "cannot be written, so the entry is not stored; allow writing there" in refused


def test_a_log_held_by_another_is_said(log, monkeypatch):
    log.append(note("a"))
    monkeypatch.setattr(pit_connection, "BUSY_SECONDS", 0.1)
    with sqlite3.connect(log.path, isolation_level=None) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(NotStored, match="another program has held the log"):
            log.append(note("b"))
        assert [entry.id for entry in log.entries()] == ["a"]


def test_twenty_threads_store_fifty_entries_each_once_and_in_order(log):
    def send(sender: int) -> None:
        for k in range(50):
            for _ in range(1 + k % 2):
                log.append(note(f"s{sender}-{k}"))

    threads = [threading.Thread(target=send, args=(sender,)) for sender in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    ids = [entry.id for entry in log.entries()]
    assert len(ids) == len(set(ids)) == 1000
    for sender in range(20):
        assert [name for name in ids if name.startswith(f"s{sender}-")] == [f"s{sender}-{k}" for k in range(50)]


WRITER = """
import sys
sys.path.insert(0, sys.argv[1])
from datetime import UTC, datetime
from pathlib import Path
from planner.entry import Entry
from planner.files.pit_log import PitLog
log = PitLog(Path(sys.argv[2]))
for name in sys.stdin:
    log.append(Entry(name.strip(), datetime.now(UTC), "note", {"text": "during the day"}))
    print(name.strip(), flush=True)
"""


def _send_until_killed(event: Path, names: list[str], after: int) -> list[str]:
    """Acknowledged names of a writer that is killed at once after a number of acknowledgements, or some bytes later."""
    command = [sys.executable, "-c", WRITER, str(ROOT), str(event)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as writer:
        feeder = threading.Thread(target=_feed, args=(writer, names))
        feeder.start()
        acknowledged = [line.strip() for _, line in zip(range(after), writer.stdout, strict=False)]
        writer.send_signal(signal.SIGKILL)
        acknowledged += [line.strip() for line in writer.stdout]
        feeder.join()
    return acknowledged


def _feed(writer: subprocess.Popen, names: list[str]) -> None:
    try:
        writer.stdin.write("\n".join(names) + "\n")
        writer.stdin.close()
    except BrokenPipeError:
        pass


def test_killed_at_random_moments_during_500_entries_loses_and_doubles_none(log):
    """The sender repeats what was not acknowledged, as a browser does."""
    chance = random.Random(4)
    names = [f"e{k:03}" for k in range(500)]
    waiting, kills = list(names), 0
    while waiting:
        acknowledged = _send_until_killed(log.path.parent / "hare.toml", waiting, chance.randint(10, 70))
        stored = [entry.id for entry in log.entries()]
        assert stored[: len(names) - len(waiting)] == names[: len(names) - len(waiting)]
        assert set(acknowledged) <= set(stored)
        waiting = [name for name in waiting if name not in set(acknowledged)]
        kills += 1
    assert [entry.id for entry in log.entries()] == names
    assert kills >= 7
