"""Headers of every response, and which requests are answered at all.

The dashboard serves one machine, or a paddock network when shared: no page may load anything from another host, no
other site may read it or send to it, and no answer carries a stack trace.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlsplit

from dash import Dash
from flask import Flask, Response, abort, jsonify, request
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge

LARGEST_BODY = 8_000_000  # bytes; uploads have a route of their own
CALLBACKS = "/_dash-update-component"
LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
FIXED = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), payment=()",
}
# Browsers heed it on this machine alone and complain of it elsewhere, where a page comes unencrypted.
_TRUSTWORTHY = {"Cross-Origin-Opener-Policy": "same-origin"}
_YEAR = "public, max-age=31536000, immutable"


def content_policy(script_hashes: Sequence[str]) -> str:
    """The content security policy: everything from here, plus the hashes of Dash's own inline scripts."""
    scripts = " ".join(("'self'", *script_hashes))
    return "; ".join(
        (
            "default-src 'self'",
            f"script-src {scripts}",
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "connect-src 'self'",
            "worker-src 'self'",
            "object-src 'none'",
            "base-uri 'self'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )


def host_of(header: str) -> str:
    """The host in a Host header, without its port: "[::1]:8050" is "::1"."""
    return urlsplit(f"//{header}").hostname or ""


def is_foreign(header_host: str, origin: str | None, fetch_site: str | None) -> bool:
    """Whether a state-changing request comes from another site's page."""
    if fetch_site is not None and fetch_site not in ("same-origin", "none"):
        return True
    return origin is not None and urlsplit(origin).netloc != header_host


def _is_callback(body: Any, app: Dash) -> bool:
    """Whether a request's body asks for something that the app answers; one from an older page may not."""
    if not isinstance(body, dict) or not isinstance(body.get("output"), str):
        return False
    return body["output"] in app.callback_map and isinstance(body.get("inputs"), list)


def protect(app: Dash, hosts: frozenset[str] | None) -> None:
    """Add headers and refusals to an app whose callbacks are all registered; `hosts` None answers any host name."""
    server: Flask = app.server
    server.config["MAX_CONTENT_LENGTH"] = LARGEST_BODY
    policy = content_policy(app.csp_hashes())

    @server.before_request
    def refuse() -> None:
        if hosts is not None and host_of(request.host) not in hosts:
            abort(421, "This dashboard answers on this machine only; open it at http://127.0.0.1.")
        if request.method not in ("GET", "HEAD", "OPTIONS") and is_foreign(
            request.host, request.headers.get("Origin"), request.headers.get("Sec-Fetch-Site")
        ):
            abort(403, "Requests from another site's page are refused.")
        if request.path == CALLBACKS and request.is_json and not _is_callback(request.get_json(silent=True), app):
            abort(400, "This page is not of the program that runs here now; reload it.")

    @server.after_request
    def headers(response: Response) -> Response:
        response.headers.update(FIXED)
        if host_of(request.host) in LOOPBACK:
            response.headers.update(_TRUSTWORTHY)
        response.headers["Content-Security-Policy"] = policy
        if request.path.startswith("/assets/") and response.status_code == 200:
            versioned = "m" in request.args or "v" in request.args
            response.headers["Cache-Control"] = _YEAR if versioned else "no-cache"
        return response

    @server.errorhandler(Exception)
    def plain_failure(reason: Exception) -> tuple[Response, int]:
        if isinstance(reason, RequestEntityTooLarge) and request.max_content_length:
            size = f"{request.max_content_length / 1e6:g} MB"
            return jsonify(error=f"This is larger than {size}, the most that is taken here; send less at once."), 413
        if isinstance(reason, HTTPException):
            return jsonify(error=reason.description), reason.code or 500
        server.logger.exception("%s %s failed", request.method, request.path)
        return jsonify(error="The server failed on this request; the rest of the page keeps working."), 500
