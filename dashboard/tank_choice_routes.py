"""What the comparison of tanks hands out besides its callbacks: how far it is, a stop, its table and its picture."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from flask import Flask, Response, jsonify

from dashboard.presenters.tank_choice_job import job_of
from dashboard.presenters.workspace import Workspace
from planner.compare_tanks.picture import png, svg
from planner.compare_tanks.table import csv_text
from planner.files.looking import REFUSAL, may_only_look

FILES: dict[str, tuple[str, Callable[[Mapping[str, Any]], str | bytes]]] = {
    "table.csv": ("text/csv", csv_text),
    "picture.svg": ("image/svg+xml", svg),
    "picture.png": ("image/png", png),
}
NONE_YET = "no comparison yet: open the page Tank and compare some tanks first"


def register_tank_choice_routes(server: Flask, workspace: Workspace) -> None:
    """Add the routes under /tank-choice/ for a workspace."""
    server.add_url_rule("/tank-choice/state", "tank_choice_state", lambda: _state(workspace))
    server.add_url_rule("/tank-choice/stop", "tank_choice_stop", lambda: _stop(workspace), methods=["POST"])
    for name, (kind, made) in FILES.items():
        _add_file(server, workspace, name, kind=kind, made=made)


def _state(workspace: Workspace) -> Response:
    job = job_of(workspace.folder)
    answer = jsonify(job.state() if job else {"running": False, "done": 0, "total": 0})
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _stop(workspace: Workspace) -> Response:
    if may_only_look():
        return Response(REFUSAL + "\n", status=403, mimetype="text/plain")
    job = job_of(workspace.folder)
    if job is not None:
        job.stop()
    return _state(workspace)


def _add_file(
    server: Flask, workspace: Workspace, name: str, *, kind: str, made: Callable[[Mapping[str, Any]], str | bytes]
) -> None:
    def answer() -> Response:
        job = job_of(workspace.folder)
        if job is None or job.result is None:
            return Response(NONE_YET + "\n", status=404, mimetype="text/plain")
        headers = {"Cache-Control": "no-store", "Content-Disposition": f'attachment; filename="tanks-{name}"'}
        return Response(made(job.result), mimetype=kind, headers=headers)

    server.add_url_rule(f"/tank-choice/{name}", f"tank_choice_{name}", answer)
