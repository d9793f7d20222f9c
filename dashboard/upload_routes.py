"""The route that takes a recording: the raw body of a POST, never in memory as a whole.

A page of another site cannot send to it: dashboard/security.py refuses every such request before it comes here.
"""

from __future__ import annotations

from dash import Dash
from flask import Response, jsonify, request

from dashboard.presenters.course_upload import MOST_BYTES, Refused, take_upload, too_large
from dashboard.presenters.workspace import Workspace

ADDRESS = "/upload"


def register(app: Dash, workspace: Workspace, most: int = MOST_BYTES) -> None:
    """Add the route; files beyond `most` bytes are refused."""

    @app.server.post(ADDRESS)
    def upload() -> tuple[Response, int]:
        name = request.args.get("name", "")
        try:
            request.max_content_length = 2 * most + 1  # what is over `most` is refused here, by a sentence
            if (request.content_length or 0) > most:
                raise too_large(name, most)
            taken = take_upload(workspace.files, name, request.stream, most)
        except Refused as reason:
            return jsonify(error=str(reason)), reason.status
        return jsonify(file=taken.file, said=taken.said, already=taken.already), 200 if taken.already else 201
