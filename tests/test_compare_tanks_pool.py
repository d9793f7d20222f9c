"""Pairs in processes and on disk: the same results, progress, stops, interrupts, and what makes a second look anew."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from planner.car import Car
from planner.compare_tanks import (
    Days,
    Planner,
    candidates_of,
    own_sizes,
)
from planner.compare_tanks.cache import Kept, sources
from planner.compare_tanks.pool import Stopped, Workers
from planner.compare_tanks.work import Outcome, Pair, tank_day
from planner.errors import BadInput
from planner.event import Course, Event, Piece
from tests.cars import CAR
from tests.tank_days import DRAWS, day, days

LITRE = 1e-3
ROOT = Path(__file__).resolve().parents[1]


def planner(**more: object) -> Planner:
    """A planner of few draws in this process."""
    return Planner(Workers(1), draws=DRAWS, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("here_too", [False, True])
def test_two_processes_find_what_one_finds(here_too: bool) -> None:
    asked = Days(days())
    tanks = own_sizes(CAR, [LITRE * size for size in (3, 5, 7, 10, 14)])
    here = candidates_of(asked, tanks, planner())
    with Workers(2, here_too=here_too) as workers:
        there = candidates_of(asked, tanks, Planner(workers, draws=DRAWS))
    assert there == here
    assert [one.capacity for one in here] == sorted(one.capacity for one in here)


def test_a_fault_in_another_process_arrives_whole() -> None:
    far = Course("loop", "lap", pieces=(Piece(10.0, 900e3),))
    pairs = [Pair(day(2, far), CAR)] * 20
    with Workers(2) as workers, pytest.raises(BadInput, match="course loop"):
        Planner(workers, draws=200).days(pairs)


def test_progress_counts_every_pair_and_a_stop_is_heeded() -> None:
    told: list[tuple[int, int]] = []
    asked = Days(days())
    candidates_of(asked, own_sizes(CAR, [5 * LITRE]), planner(progress=lambda *pair: told.append(pair)))
    assert told[-1] == (6, 6)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    with pytest.raises(Stopped):
        candidates_of(asked, own_sizes(CAR, [5 * LITRE]), planner(stop=lambda: len(told) > 0))


@pytest.mark.parametrize("here_too", [False, True])
def test_a_stop_ends_other_processes_too(here_too: bool) -> None:
    heard: list[int] = []
    pairs = [Pair(day(3), CAR)] * 40
    with pytest.raises(Stopped), Workers(2, here_too=here_too) as workers:
        workers.run(pairs, draws=200, seed=1, done=heard.append, stop=lambda: bool(heard))
    assert sum(heard) < len(pairs)


def test_an_interrupt_while_processes_start_leaves_them_quiet(tmp_path: Path) -> None:
    events = sorted((ROOT / "events_demo" / "events").glob("*.toml"))
    words = [sys.executable, "-m", "planner.cli.main", "tanks", *map(str, events), "--fresh"]
    heard = signal.signal(signal.SIGINT, signal.default_int_handler)  # a test run in the background may be deaf to it
    try:
        run = subprocess.Popen(words, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True, start_new_session=True)
    finally:
        signal.signal(signal.SIGINT, heard)
    children = Path(f"/proc/{run.pid}/task/{run.pid}/children")
    if not children.exists():
        run.kill()
        pytest.skip("this system does not tell a process's children")
    while run.poll() is None and not children.read_text(encoding="ascii").split():
        time.sleep(0.02)
    time.sleep(0.1)
    os.killpg(run.pid, signal.SIGINT)
    out, err = run.communicate(timeout=60)
    assert (run.returncode, out) == (130, "")
    assert [line for line in err.splitlines() if not line.startswith("NOTICE")] == ["stopped"]


def counted(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many pairs are worked off from now on, each time."""
    import planner.compare_tanks.pool as pool  # to stand between the pool and its work

    calls: list[int] = []
    real = pool.work_off

    def work_off(pairs: Sequence[Pair], draws: int | None, seed: int) -> list[Outcome]:
        calls.append(len(pairs))
        return real(pairs, draws, seed)

    monkeypatch.setattr(pool, "work_off", work_off)
    return calls


def test_a_second_look_works_nothing_out_and_finds_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked, tanks = Days(days()), own_sizes(CAR, [5 * LITRE, 8 * LITRE])
    first = candidates_of(asked, tanks, planner(kept_in=tmp_path))
    calls = counted(monkeypatch)
    assert candidates_of(asked, tanks, planner(kept_in=tmp_path)) == first
    assert calls == []
    more = candidates_of(asked, own_sizes(CAR, [5 * LITRE, 8 * LITRE, 9 * LITRE]), planner(kept_in=tmp_path))
    assert sum(calls) == 3
    assert set(first) < set(more)


def _changed(event: Event, car: Car, what: str) -> tuple[Event, Car]:
    if what == "reserve":
        return replace(event, reserve=replace(event.reserve, confidence=0.95)), car
    if what == "session":
        return replace(event, sessions=(*event.sessions[:-1], replace(event.sessions[-1], runs=5))), car
    if what == "nozzle":
        return event, replace(car, nozzles=(replace(car.nozzles[0], count=3),))
    return event, replace(car, tank=replace(car.tank, pickup_margin=0.02))


@pytest.mark.parametrize("what", ["reserve", "session", "nozzle", "margin"])
def test_what_changed_is_worked_out_anew(what: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    event, car = days()[0]
    planner(kept_in=tmp_path).days([Pair(event, car)])
    calls = counted(monkeypatch)
    planner(kept_in=tmp_path).days([Pair(*_changed(event, car, what))])
    assert calls == [1]
    Planner(Workers(1), draws=DRAWS + 1, kept_in=tmp_path).days([Pair(event, car)])
    assert calls == [1, 1]


def test_a_changed_recording_or_program_misses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    log = tmp_path / "log.csv"
    text = (ROOT / "events_demo" / "logs" / "goose-bank-1.csv").read_text(encoding="utf-8")
    log.write_text(text, encoding="utf-8")
    pair = Pair(day(2, Course("loop", "run", logs=(log,))), CAR)
    kept = Kept(tmp_path / "kept", draws=DRAWS, seed=1)
    kept.keep([pair], [tank_day(pair, draws=DRAWS, seed=1)])
    assert Kept(tmp_path / "kept", draws=DRAWS, seed=1).find([pair]) != [None]
    log.write_text("\n".join(text.splitlines()[:-40]), encoding="utf-8")
    assert Kept(tmp_path / "kept", draws=DRAWS, seed=1).find([pair]) == [None]
    log.write_text(text, encoding="utf-8")
    fresh = Kept(tmp_path / "kept", draws=DRAWS, seed=1)
    fresh.keep([pair], [tank_day(pair, draws=DRAWS, seed=1)])
    monkeypatch.setattr("planner.compare_tanks.cache.code_digest", lambda: "another version")
    assert Kept(tmp_path / "kept", draws=DRAWS, seed=1).find([pair]) == [None]


def test_a_damaged_or_unwritable_cache_only_costs_time(tmp_path: Path) -> None:
    pair = Pair(*days()[1])
    wanted = planner(kept_in=tmp_path).days([pair])
    for file in tmp_path.glob("*.json"):
        file.write_text("{]", encoding="utf-8")
    assert planner(kept_in=tmp_path).days([pair]) == wanted
    in_the_way = tmp_path / "file"
    in_the_way.write_text("", encoding="utf-8")
    assert planner(kept_in=in_the_way / "below").days([pair]) == wanted


def test_results_miss_when_any_of_the_planners_files_changes() -> None:
    named = {"/".join(path.parts[-2:]) for path in sources()}
    assert named >= {"physics/tank.py", "use/starving.py", "planning/refill.py", "day/__init__.py", "planner/units.py"}
