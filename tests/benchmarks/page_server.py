"""The dashboard as its own process over a private workspace, as people start it, with its memory."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path
from types import TracebackType

import events_demo

DEMO = "events/teapot-ring-open-day.toml"
LONG = "events/long-day.toml"
SESSION = """
[[session]]
name = "Session {number}"
start = "{hour:02d}:{minute:02d}"
length = "15 min"
course = "Teapot Ring"
runs = 2
gap = "paddock"
"""
PATIENCE = 60.0  # [s] to wait for a server to answer


def long_day(text: str, sessions: int = 20) -> str:
    """An event file's text with so many sessions, one every half hour, in place of its own."""
    head = text.split("[[session]]")[0]
    starts = ((number, divmod(8 * 60 + 30 * number, 60)) for number in range(sessions))
    rows = (SESSION.format(number=number + 1, hour=at[0], minute=at[1]) for number, at in starts)
    return head + "".join(rows)


def free_port() -> int:
    """A port that no one listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Process:
    """`fillmark serve` over a copy of the demo days and a day of 20 sessions; `started` [s] to the first page."""

    def __enter__(self) -> Process:
        self._home = tempfile.TemporaryDirectory()
        self.folder = Path(self._home.name) / "workspace"
        shutil.copytree(events_demo.FOLDER, self.folder, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
        (self.folder / LONG).write_text(long_day((self.folder / DEMO).read_text()))
        self.address = f"http://127.0.0.1:{(port := free_port())}"
        begin = time.perf_counter()
        command = [sys.executable, "-m", "planner.cli.main", "serve", str(self.folder), "--port", str(port)]
        self._process = subprocess.Popen([*command, "--no-browser"], stderr=subprocess.DEVNULL)
        self._await_page(begin)
        self.started = time.perf_counter() - begin
        return self

    def _await_page(self, begin: float) -> None:
        while True:
            try:
                with urllib.request.urlopen(f"{self.address}/", timeout=5) as page:
                    page.read()
                return
            except OSError:
                if time.perf_counter() - begin > PATIENCE:
                    raise
                time.sleep(0.01)

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.terminate()
        self._process.wait()
        self._home.cleanup()

    @property
    def processor(self) -> float:
        """Processor time [ms] that the process has taken; not a number where the system has no /proc."""
        status = Path(f"/proc/{self._process.pid}/stat")
        if not status.exists():
            return float("nan")
        user, system = status.read_text().rpartition(")")[2].split()[11:13]
        return (int(user) + int(system)) * 1e3 / os.sysconf("SC_CLK_TCK")

    @property
    def memory(self) -> float:
        """Memory of the process [MB]; not a number where the system has no /proc."""
        status = Path(f"/proc/{self._process.pid}/status")
        lines = status.read_text().splitlines() if status.exists() else []
        return next((int(line.split()[1]) / 1000 for line in lines if line.startswith("VmRSS")), float("nan"))
