"""Two programs that save into one folder: one waits for the other, and no change is lost between them."""

from __future__ import annotations

import errno
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from planner.errors import NotWritten
from planner.files import locking
from planner.files.event_file import read_event
from planner.files.locking import locked
from planner.files.undo import steps_back
from tests.files.samples import workspace

ROOT = Path(__file__).resolve().parents[2]
HOLDER = """
import sys
from pathlib import Path
from planner.files.locking import locked
with locked(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.readline()
"""
COUNTER = """
import sys
from pathlib import Path
from planner.errors import Conflict
from planner.files.edit import set_value
from planner.files.saving import open_file, save
path, left = Path(sys.argv[1]), 12
print("ready", flush=True)
sys.stdin.readline()
while left:
    opened = open_file(path)
    set_value(opened.document, "reserve.extra", opened.document["reserve"]["extra"] + 1)
    try:
        save(opened)
        left -= 1
    except Conflict:
        pass
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return workspace(tmp_path)


def program(text: str, path: Path) -> subprocess.Popen[str]:
    """Another process that has come to its first printed line."""
    command = [sys.executable, "-c", text, str(path)]
    started = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT)
    assert started.stdout
    assert started.stdout.readline()
    return started


def test_another_programs_lock_is_waited_for_and_then_told(path: Path) -> None:
    other = program(HOLDER, path)
    with pytest.raises(NotWritten, match=r"day\.toml is being saved by another program: wait"), locked(path, 0.1):
        pass
    other.communicate("\n")
    with locked(path, 0.1):
        pass


def test_two_programs_at_once_lose_no_change(path: Path) -> None:
    before = read_event(path).reserve.extra
    others = [program(COUNTER, path) for _ in range(2)]
    for other in others:
        assert other.stdin
        other.stdin.write("\n")
        other.stdin.flush()
    assert [other.wait(60) for other in others] == [0, 0]
    assert read_event(path).reserve.extra == before + 24
    assert steps_back(path) == 24


def test_a_program_that_ends_gives_the_lock_back(path: Path) -> None:
    other = program(HOLDER, path)
    other.kill()
    other.communicate()
    with locked(path, 1.0):
        pass


def test_threads_of_one_program_take_turns(path: Path) -> None:
    inside, most = 0, 0

    def work() -> None:
        nonlocal inside, most
        with locked(path):
            inside += 1
            most = max(most, inside)
            inside -= 1

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert most == 1


def test_a_file_system_without_locks_still_saves(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(_: int) -> None:
        raise OSError(errno.ENOTSUP, "Operation not supported")

    monkeypatch.setattr(locking, "_take", none)
    with locked(path, 0.1):
        pass


def test_a_folder_that_takes_no_file_is_told(path: Path) -> None:
    (path.parent / ".fillmark").write_text("in the way")
    with pytest.raises(NotWritten, match=r"day\.toml could not be written .*the folder's permissions"), locked(path):
        pass
