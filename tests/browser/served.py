"""A dashboard served on a free port from a private copy of a workspace, for real browsers to open."""

from __future__ import annotations

import shutil
import tempfile
import threading
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Any

from waitress import create_server, wasyncore

import events_demo
from dashboard.app import create_app

LAUNCH = ["--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu", "--disable-background-networking"]


def _run(server: Any) -> None:
    """Serve until stopped; dropping connections while the loop waits on them ends it with an error."""
    with suppress(OSError):
        server.run()


class Served:
    """A context: `address` of the server, `folder` of its workspace. It can be stopped and started again."""

    def __init__(self, workspace: Path | None = None, *, empty: bool = False) -> None:
        self._home = tempfile.TemporaryDirectory()
        self.folder = Path(self._home.name) / "workspace"
        if empty:
            self.folder.mkdir()
        else:
            ignore = shutil.ignore_patterns("*.py", "__pycache__")
            shutil.copytree(workspace or events_demo.FOLDER, self.folder, ignore=ignore)
        self._server: Any = None
        self.port = 0

    @property
    def address(self) -> str:
        """Where the dashboard answers."""
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Serve, on the same port as before if there was one."""
        self._server = create_server(create_app(self.folder).server, host="127.0.0.1", port=self.port, threads=8)
        self.port = self._server.effective_port
        threading.Thread(target=_run, args=(self._server,), daemon=True).start()

    def stop(self) -> None:
        """Stop serving and drop every connection, as the end of the process would; the workspace stays."""
        self._server.close()
        self._server.task_dispatcher.shutdown()
        wasyncore.close_all(self._server._map, ignore_all=True)

    def __enter__(self) -> Served:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()
        self._home.cleanup()
