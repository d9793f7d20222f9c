"""One comparison at a time for each workspace, worked off beside the requests: its progress, its end, its result."""

from __future__ import annotations

import logging
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dashboard.presenters.tank_choice_form import Asked
from dashboard.presenters.workspace import Workspace
from planner.compare_tanks.cache import usual_folder
from planner.compare_tanks.pool import Stopped
from planner.compare_tanks.run import Question, answered
from planner.errors import FillmarkError
from planner.files.looking import REFUSAL, may_only_look

_log = logging.getLogger("fillmark")


@dataclass
class Job:
    """A comparison that runs, or what it came to: `result`, or `refused` with sentences; `stopped` on request.

    values: of the form that asked for it. folder: the workspace's, which no sentence names.
    """

    question: Question
    kept_in: Path | None = None
    values: Mapping[str, Any] = field(default_factory=dict)
    folder: Path = Path()
    done: int = 0
    total: int = 0
    result: dict[str, Any] | None = None
    refused: tuple[str, ...] = ()
    stopped: bool = False
    _stop: threading.Event = field(default_factory=threading.Event)
    _thread: threading.Thread | None = None

    @property
    def running(self) -> bool:
        """Whether it still works."""
        return self._thread is not None and self._thread.is_alive()

    def start(self) -> None:
        """Work it off in a thread of its own, which starts processes."""
        self._thread = threading.Thread(target=self.work, name="tank-choice", daemon=True)
        self._thread.start()

    def stop(self) -> None:
        """Ask it to end, and wait until it has."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join(timeout=10)

    def work(self) -> None:
        """Work it off here."""
        try:
            self.result = answered(self.question, kept_in=self.kept_in, progress=self._tell, stop=self._stop.is_set)
        except Stopped:
            self.stopped = True
        except FillmarkError as reason:
            self.refused = tuple(Workspace(self.folder).sentences(reason))
        except Exception:
            _log.exception("the comparison of tanks failed")
            self.refused = ("It could not be worked out; the window in which the server runs has the details.",)

    def _tell(self, done: int, total: int) -> None:
        self.done, self.total = done, total

    def state(self) -> dict[str, Any]:
        """Where it stands, as plain data."""
        return {"running": self.running, "done": self.done, "total": self.total}


_JOBS: dict[Path, Job] = {}
_LOCK = threading.Lock()


def job_of(folder: Path) -> Job | None:
    """The last comparison over a workspace's folder, running or not."""
    return _JOBS.get(folder)


def start_job(folder: Path, asked: Asked, kept_in: Path | None = None) -> tuple[Job | None, str]:
    """Start a comparison in place of the last one, or say in a sentence why not."""
    if may_only_look():
        return None, REFUSAL
    if asked.question is None:
        return None, "Mend what is marked, then compare."
    with _LOCK:
        before = _JOBS.get(folder)
        if before is not None and before.running:
            before.stop()
        job = _JOBS[folder] = Job(asked.question, kept_in or usual_folder(), asked.values, folder)
        job.start()
    return job, ""
