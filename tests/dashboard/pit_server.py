"""The real server process over a workspace, to be killed and started again, and devices that send to it."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

EVENT = "events/moth.toml"


def free_port() -> int:
    """A port that nobody listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def note(name: str) -> dict[str, Any]:
    """An entry as a device sends it."""
    return {"id": name, "at": "2026-05-16T08:30:00+01:00", "kind": "note", "value": {"text": name}}


class Server:
    """`fillmark serve` in a process of its own."""

    def __init__(self, folder: Path, *options: str) -> None:
        self.folder, self.options, self.port = folder, options, free_port()
        self.process: subprocess.Popen[str] | None = None

    @property
    def address(self) -> str:
        """Where it answers."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start it; it answers after a while."""
        command = [sys.executable, "-m", "planner.cli.main", "serve", str(self.folder), "--no-browser"]
        command += ["--port", str(self.port), *self.options]
        self.process = subprocess.Popen(command, stderr=subprocess.DEVNULL, text=True)

    def wait(self) -> None:
        """Wait until it answers."""
        for _ in range(400):
            try:
                urllib.request.urlopen(f"{self.address}/assets/base.css", timeout=5).close()
                return
            except OSError:
                time.sleep(0.05)
        raise AssertionError("the server does not answer")

    def kill(self) -> None:
        """kill -9, as a flat battery does."""
        if self.process is not None:
            os.kill(self.process.pid, signal.SIGKILL)
            self.process.wait()

    def ask(self, path: str, timeout: float = 10) -> tuple[int, Any]:
        """Status and JSON of a GET."""
        with urllib.request.urlopen(f"{self.address}{path}", timeout=timeout) as answer:
            content = answer.read()
            return answer.status, json.loads(content) if content else None

    def send(self, entries: list[dict[str, Any]], timeout: float = 10) -> dict[str, Any]:
        """Send entries; the answer. Raises OSError where there is none."""
        body = json.dumps({"event": EVENT, "entries": entries}).encode()
        headers = {"X-Fillmark": "pit", "Content-Type": "application/json"}
        request = urllib.request.Request(f"{self.address}/pit/entries", body, headers)
        with urllib.request.urlopen(request, timeout=timeout) as answer:
            told: dict[str, Any] = json.loads(answer.read())
            return told
