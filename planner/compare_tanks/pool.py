"""Pairs worked off on every core, with progress and a way to stop; few pairs are worked off at once, without processes.

Processes start afresh on every system: nothing is forked from a program that runs threads.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from multiprocessing import resource_tracker
from types import TracebackType

from planner.compare_tanks.work import Outcome, Pair, work_off
from planner.errors import FillmarkError

FEW = 12
"""Pairs that are worked off sooner than processes start."""
_PARTS_EACH = 12
_LOOK = 0.1


class Stopped(FillmarkError):
    """Work that was stopped on request; nothing was lost but the time."""


def cores() -> int:
    """Cores that this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:
        return os.cpu_count() or 1


def _ignore_interrupts() -> None:
    """Leave Ctrl-C to the program that asked: it stops its workers itself."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Keep the arithmetic library of each process to one thread, since there is a process for every core."""
    kept = {name: os.environ.get(name) for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")}
    os.environ.update(dict.fromkeys(kept, "1"))
    try:
        yield
    finally:
        for name, value in kept.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


@contextmanager
def _interrupts_late() -> Iterator[None]:
    """Let a Ctrl-C that comes while processes start be heard once they have; only a main thread hears any."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    heard: list[int] = []
    before = signal.signal(signal.SIGINT, lambda number, frame: heard.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if heard:
        raise KeyboardInterrupt


@contextmanager
def _children_deaf() -> Iterator[None]:
    """Let processes that start meanwhile be deaf to Ctrl-C from their first moment, where the system offers it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    # Started first, since its start would let interrupts through again.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


class Workers:
    """Works pairs off on `processes` cores; a context, whose processes start when there is enough to do.

    here_too: this process counts as one of them and works while the others start; a server, which has requests to
    answer, only waits.
    """

    def __init__(self, processes: int | None = None, *, here_too: bool = False) -> None:
        self.processes, self._here_too = processes or cores(), here_too
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> Workers:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, reason: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)

    def run(
        self,
        pairs: Sequence[Pair],
        *,
        draws: int | None,
        seed: int,
        done: Callable[[int], None],
        stop: Callable[[], bool],
    ) -> list[Outcome]:
        """What becomes of each pair, in their order; `done` hears of so many more. Raises Stopped where stop() says."""
        if len(pairs) <= FEW or self.processes == 1:
            return self._here(pairs, draws, seed, done=done, stop=stop)
        return self._there(pairs, draws, seed, done=done, stop=stop)

    def _here(
        self,
        pairs: Sequence[Pair],
        draws: int | None,
        seed: int,
        *,
        done: Callable[[int], None],
        stop: Callable[[], bool],
    ) -> list[Outcome]:
        outcomes: list[Outcome] = []
        for pair in pairs:
            _heed(stop)
            outcomes += work_off([pair], draws, seed)
            done(1)
        return outcomes

    def _there(
        self,
        pairs: Sequence[Pair],
        draws: int | None,
        seed: int,
        *,
        done: Callable[[int], None],
        stop: Callable[[], bool],
    ) -> list[Outcome]:
        with _one_thread_each(), _interrupts_late(), _children_deaf():
            if self._pool is None:
                count, context = self.processes - self._here_too, multiprocessing.get_context("spawn")
                self._pool = ProcessPoolExecutor(count, context, _ignore_interrupts)
            parts = _parts(len(pairs), self.processes * _PARTS_EACH)
            waiting = {self._pool.submit(work_off, pairs[part], draws, seed): part for part in parts}
        found: dict[int, list[Outcome]] = {}
        while waiting:
            _heed(stop)
            part = self._taken_back(waiting)
            if part is not None:
                found[part.start] = work_off(pairs[part], draws, seed)
                done(len(found[part.start]))
            ready, _ = wait(waiting, _LOOK if part is None else 0, FIRST_COMPLETED)
            for future in ready:
                self._take(future, waiting, found, done=done)
        return [outcome for start in sorted(found) for outcome in found[start]]

    def _taken_back(self, waiting: dict[Future[list[Outcome]], slice]) -> slice | None:
        """The last part that no process has begun, to be worked off here; None without one, or in a server."""
        if self._here_too:
            for future in reversed(waiting):
                if future.cancel():
                    return waiting.pop(future)
        return None

    @staticmethod
    def _take(
        future: Future[list[Outcome]],
        waiting: dict[Future[list[Outcome]], slice],
        found: dict[int, list[Outcome]],
        *,
        done: Callable[[int], None],
    ) -> None:
        outcomes = future.result()
        found[waiting.pop(future).start] = outcomes
        done(len(outcomes))


def _heed(stop: Callable[[], bool]) -> None:
    if stop():
        raise Stopped("stopped")


def _parts(count: int, parts: int) -> Iterator[slice]:
    """Slices of so many things into about so many parts."""
    each = -(-count // parts)
    return (slice(start, min(start + each, count)) for start in range(0, count, each))
