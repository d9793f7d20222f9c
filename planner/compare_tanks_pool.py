"""Pairs worked off on every core, with progress and a way to stop; few pairs are worked off at once, without processes.

Processes come from a server that has only imported this module: nothing is forked from a program that runs threads.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from types import TracebackType

from planner.compare_tanks_work import Outcome, Pair, work_off
from planner.errors import FillmarkError

FEW = 12
"""Pairs that are worked off sooner than processes start."""
_PARTS_EACH = 6
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


def _context() -> multiprocessing.context.BaseContext:
    method = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
    context = multiprocessing.get_context(method)
    if method == "forkserver":
        context.set_forkserver_preload(["planner.compare_tanks_work"])
    return context


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
        if self._pool is None:
            return
        running = list((self._pool._processes or {}).values())
        self._pool.shutdown(wait=reason is None, cancel_futures=True)
        if reason is not None:
            for process in running:
                process.terminate()

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
        if self._pool is None:
            with _one_thread_each():
                self._pool = ProcessPoolExecutor(self.processes - self._here_too, _context(), _ignore_interrupts)
                self._pool.submit(int)
        parts = list(_parts(len(pairs), self.processes * _PARTS_EACH))
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
                self._take(future, waiting, found, done)
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
