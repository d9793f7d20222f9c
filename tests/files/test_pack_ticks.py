"""Ticks are kept: over a restart, apart for each list, whole after two writers, and never lost in silence."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from planner.errors import BadInput
from planner.files.looking import ONLY_LOOKING
from planner.files.pack_ticks import clear_ticks, keep_text, kept_text, read_ticks, set_tick, ticks_path


def test_ticks_lie_beside_the_event_and_none_are_there_at_first(tmp_path: Path) -> None:
    path = ticks_path(tmp_path / "day.toml")
    assert path == tmp_path / "pack.sqlite"
    assert read_ticks(path, "May") == frozenset()
    assert not path.exists()


def test_a_tick_is_kept_taken_away_and_cleared(tmp_path: Path) -> None:
    path = tmp_path / "pack.sqlite"
    for item in ("jug", "funnel", "jug"):
        set_tick(path, "May", item)
    assert read_ticks(path, "May") == {"jug", "funnel"}
    set_tick(path, "May", "jug", on=False)
    set_tick(path, "May", "never ticked", on=False)
    assert read_ticks(path, "May") == {"funnel"}
    clear_ticks(path, "May")
    assert read_ticks(path, "May") == frozenset()


def test_another_process_sees_the_ticks(tmp_path: Path) -> None:
    path = tmp_path / "pack.sqlite"
    set_tick(path, "May", "jug")
    code = "import sys; from pathlib import Path; from planner.files.pack_ticks import read_ticks as r"
    command = [sys.executable, "-c", f"{code}; print(sorted(r(Path(sys.argv[1]), 'May')))", str(path)]
    home = Path(__file__).resolve().parents[2]
    assert subprocess.run(command, capture_output=True, text=True, check=True, cwd=home).stdout.strip() == "['jug']"


def test_lists_do_not_share_ticks(tmp_path: Path) -> None:
    path = tmp_path / "pack.sqlite"
    set_tick(path, "May", "jug")
    set_tick(path, "June", "funnel")
    clear_ticks(path, "June")
    assert (read_ticks(path, "May"), read_ticks(path, "June")) == ({"jug"}, frozenset())


def test_many_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "pack.sqlite"
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda k: set_tick(path, "May", f"item {k}"), range(40)))
    assert len(read_ticks(path, "May")) == 40


def test_a_file_of_another_kind_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "pack.sqlite"
    path.write_text("milk, bread\n" * 100)
    with pytest.raises(BadInput, match=r"pack\.sqlite: the ticks cannot be kept here \(file is not a database\)"):
        set_tick(path, "May", "jug")
    assert path.read_text().startswith("milk")


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="make the folder writable"):
        set_tick(tmp_path / "gone" / "pack.sqlite", "May", "jug")


def test_the_same_events_in_another_order_keep_their_ticks_in_one_place(tmp_path: Path) -> None:
    first, second = tmp_path / "a" / "day.toml", tmp_path / "b" / "day.toml"
    assert ticks_path(first, second) == ticks_path(second, first) == tmp_path / "a" / "pack.sqlite"


def test_a_text_is_kept_by_kind_and_key(tmp_path: Path) -> None:
    path = tmp_path / "pack.sqlite"
    assert kept_text(path, "choice", "May") == ""
    assert not path.exists()
    keep_text(path, "choice", "May", text="one")
    keep_text(path, "choice", "May", text="two")
    keep_text(path, "calendar", "May", text="three")
    assert (kept_text(path, "choice", "May"), kept_text(path, "calendar", "May")) == ("two", "three")
    assert kept_text(path, "choice", "June") == ""


def test_who_may_only_look_changes_nothing_and_is_told(tmp_path: Path) -> None:
    path = tmp_path / "pack.sqlite"
    set_tick(path, "May", "jug")
    token = ONLY_LOOKING.set(True)
    try:
        changes = (
            lambda: set_tick(path, "May", "funnel"),
            lambda: clear_ticks(path, "May"),
            lambda: keep_text(path, "choice", "May", text="x"),
        )
        for change in changes:
            with pytest.raises(BadInput, match=r"pack\.sqlite: this device may only look"):
                change()
        assert read_ticks(path, "May") == {"jug"}
    finally:
        ONLY_LOOKING.reset(token)
    assert kept_text(path, "choice", "May") == ""
