"""Saving: only what the reader takes, whole or not at all, never over someone else's change, and back again."""

from __future__ import annotations

import os
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from planner.errors import BadInput, Conflict, NotWritten
from planner.files import atomic, saving, undo
from planner.files.edit import set_value
from planner.files.event_file import read_event
from planner.files.saving import Opened, create, open_file, save
from planner.files.undo import KEPT, redo, steps_back, steps_forward
from tests.files.samples import CAR, EVENT, replaced, workspace


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return workspace(tmp_path)


def change(path: Path, key: str, value: object) -> str:
    opened = open_file(path)
    set_value(opened.document, key, value)
    return save(opened)


def test_a_saved_change_is_on_disk_and_all_else_stands(path: Path) -> None:
    change(path, "reserve.confidence", 0.95)
    assert path.read_text() == replaced(EVENT, "0.99", "0.95")
    assert read_event(path).reserve.confidence == 0.95


def test_the_fingerprint_of_a_save_opens_the_file_again(path: Path) -> None:
    fingerprint = change(path, "reserve.confidence", 0.95)
    assert open_file(path, fingerprint).fingerprint == fingerprint


def test_what_the_reader_would_refuse_is_not_written(path: Path) -> None:
    opened = open_file(path)
    set_value(opened.document, "reserve.confidence", 95)
    set_value(opened.document, "session[2].start", "09:40")
    with pytest.raises(BadInput) as caught:
        save(opened)
    assert [(fault.file, fault.key) for fault in caught.value.faults] == [
        ("day.toml", "reserve.confidence"),
        ("day.toml", "session[2].start"),
    ]
    assert path.read_text() == EVENT
    assert not (path.parent / ".fillmark").exists()


def test_a_car_is_checked_as_a_car(path: Path) -> None:
    car = path.parent.parent / "cars" / "plum.toml"
    change(car, "tank.fill_limit", 0.9)
    with pytest.raises(BadInput, match=r"did you mean 0\.90\?"):
        change(car, "tank.fill_limit", 90)
    assert "fill_limit = 0.9\n" in car.read_text()


def test_an_event_may_be_mended_while_its_cars_file_is_broken(path: Path) -> None:
    (path.parent.parent / "cars" / "plum.toml").write_text("name = ")
    change(path, "reserve.confidence", 0.95)
    assert "confidence = 0.95" in path.read_text()


def test_more_than_the_cars_tank_holds_is_not_written(path: Path) -> None:
    with pytest.raises(BadInput, match=r"day\.toml: stock\.in_tank = .*the tank of Plum hatch holds 8.064 L"):
        change(path, "stock.in_tank", "9 L")


def test_a_file_with_faults_can_be_opened_and_mended(path: Path) -> None:
    path.write_text(replaced(EVENT, "0.99", "99"))
    change(path, "reserve.confidence", 0.99)
    assert path.read_text() == EVENT


def test_a_change_from_outside_is_not_overwritten(path: Path) -> None:
    opened = open_file(path)
    outside = replaced(EVENT, "extra = 1", "extra = 2")
    path.write_text(outside)
    set_value(opened.document, "reserve.confidence", 0.95)
    with pytest.raises(Conflict, match=r"day\.toml was changed outside since it was read: load it again and repeat"):
        save(opened)
    assert path.read_text() == outside


def test_opening_with_an_old_fingerprint_is_a_conflict(path: Path) -> None:
    fingerprint = open_file(path).fingerprint
    change(path, "reserve.confidence", 0.95)
    with pytest.raises(Conflict, match="load it again"):
        open_file(path, fingerprint)


def test_a_file_that_is_gone_is_a_conflict(path: Path) -> None:
    opened = open_file(path)
    path.unlink()
    set_value(opened.document, "reserve.confidence", 0.95)
    with pytest.raises(Conflict, match=r"day\.toml is gone or cannot be read"):
        save(opened)


def test_a_file_that_is_no_toml_cannot_be_opened(path: Path) -> None:
    path.write_text("a = \n")
    with pytest.raises(BadInput, match="mend it in an editor first"):
        open_file(path)


def test_undo_and_redo_walk_through_the_changes(path: Path) -> None:
    texts = [EVENT]
    for confidence in (0.95, 0.9, 0.8):
        fingerprint = change(path, "reserve.confidence", confidence)
        texts.append(path.read_text())
    assert (steps_back(path), steps_forward(path)) == (3, 0)
    for text in reversed(texts[:-1]):
        fingerprint = undo.undo(path, fingerprint)
        assert path.read_text() == text
    assert (steps_back(path), steps_forward(path)) == (0, 3)
    for text in texts[1:]:
        fingerprint = redo(path, fingerprint)
        assert path.read_text() == text
    assert open_file(path).fingerprint == fingerprint


def test_a_new_change_ends_what_could_be_done_again(path: Path) -> None:
    undo.undo(path, change(path, "reserve.confidence", 0.95))
    fingerprint = change(path, "reserve.confidence", 0.9)
    assert steps_forward(path) == 0
    with pytest.raises(Conflict, match="no change to redo"):
        redo(path, fingerprint)


def test_undo_does_not_discard_a_change_from_outside(path: Path) -> None:
    fingerprint = change(path, "reserve.confidence", 0.95)
    path.write_text("# mine\n" + path.read_text())
    with pytest.raises(Conflict, match="changed outside"):
        undo.undo(path, fingerprint)
    assert path.read_text().startswith("# mine")


def test_nothing_to_undo_is_said(path: Path) -> None:
    with pytest.raises(Conflict, match=r"day\.toml has no change to undo"):
        undo.undo(path, open_file(path).fingerprint)


def test_the_history_is_bounded(path: Path) -> None:
    for count in range(KEPT + 5):
        undo.remember(path, f"# {count}\n".encode())
    kept = sorted((path.parent / ".fillmark" / "undo" / path.name).iterdir())
    assert len(kept) == KEPT
    assert kept[0].read_text() == "# 5\n"


def test_saving_without_a_change_leaves_no_step(path: Path) -> None:
    assert save(open_file(path)) == open_file(path).fingerprint
    assert steps_back(path) == 0


def test_a_failing_write_leaves_the_old_file_and_no_rest(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic.os, "replace", full)
    with pytest.raises(NotWritten, match=r"could not be written \(No space left on device\): check the disk's room"):
        change(path, "reserve.confidence", 0.95)
    assert path.read_text() == EVENT
    assert not list(path.parent.rglob("*.new"))


def test_the_files_permissions_are_kept(path: Path) -> None:
    path.chmod(0o640)
    change(path, "reserve.confidence", 0.95)
    assert path.stat().st_mode & 0o777 == 0o640


def test_a_linked_file_is_written_where_it_lies(path: Path) -> None:
    link = path.parent / "link.toml"
    link.symlink_to(path)
    change(link, "reserve.confidence", 0.95)
    assert link.is_symlink()
    assert "0.95" in path.read_text()


def test_the_order_of_steps_leaves_no_moment_without_the_old_content(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[tuple[str, str]] = []
    replace = os.replace

    def watched(source: str, target: Path) -> None:
        seen.append((Path(target).name, path.read_text()[:7]))
        replace(source, target)

    monkeypatch.setattr(atomic.os, "replace", watched)
    change(path, "name", "Other")
    assert seen == [("00000001.toml", EVENT[:7]), ("day.toml", EVENT[:7])]


def test_a_new_file_is_checked_and_never_put_over_another(path: Path) -> None:
    car = path.parent.parent / "cars" / "new" / "damson.toml"
    create(car, CAR)
    assert car.read_text() == CAR
    with pytest.raises(Conflict, match=r"there is a damson\.toml already: choose another name"):
        create(car, CAR)
    with pytest.raises(BadInput):
        create(car.with_name("sloe.toml"), "name = 1")
    with pytest.raises(BadInput, match="not TOML"):
        create(car.with_name("sloe.toml"), "name = ")
    assert not car.with_name("sloe.toml").exists()


def test_a_folder_that_takes_no_file_is_told(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def closed(*_: object, **__: object) -> None:
        raise OSError(13, "Permission denied")

    monkeypatch.setattr(atomic.tempfile, "mkstemp", closed)
    with pytest.raises(NotWritten, match=r"could not be written \(Permission denied\): .*the folder's permissions"):
        change(path, "reserve.confidence", 0.95)
    assert path.read_text() == EVENT


@pytest.mark.parametrize("text", [EVENT.replace("Heat 1", "Heat 9"), EVENT + "= 3"])
def test_a_change_that_cannot_be_written_faithfully_is_refused(
    path: Path, monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    opened = open_file(path)
    monkeypatch.setattr(saving.tomlkit, "dumps", lambda _: text)
    with pytest.raises(BadInput, match="make it in an editor"):
        save(opened)
    assert path.read_text() == EVENT


def test_of_several_writers_at_once_one_wins_and_the_others_are_told(path: Path) -> None:
    opened = [open_file(path) for _ in range(8)]
    for number, each in enumerate(opened):
        set_value(each.document, "reserve.extra", number + 2)
    start = threading.Barrier(len(opened))

    def write(each: Opened) -> str:
        start.wait()
        try:
            return save(each)
        except Conflict:
            return ""

    with ThreadPoolExecutor(len(opened)) as pool:
        written = [fingerprint for fingerprint in pool.map(write, opened) if fingerprint]
    assert written == [open_file(path).fingerprint]
    assert steps_back(path) == 1
