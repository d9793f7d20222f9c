"""Who may use a shared dashboard: a code for the crew, one for those who only look, a session for each device.

The machine that serves needs no code.
"""

from __future__ import annotations

import ipaddress
from hashlib import sha256
from urllib.parse import quote

from flask import Flask, abort, g, has_request_context, jsonify, make_response, redirect, request, session
from werkzeug.wrappers import Response

from dashboard.access_codes import Access, Tries
from dashboard.access_pages import looking_page, share_page, sign_in_page
from dashboard.security import LOOPBACK, host_of
from planner.files.looking import ONLY_LOOKING

A_WEEK = 7 * 86400
OPEN = ("/sign-in", "/_favicon.ico")


def may_write() -> bool:
    """Whether the request at hand may change anything."""
    return not has_request_context() or g.get("right", "crew") == "crew"


def is_local() -> bool:
    """Whether the request comes from the machine that serves, by its own name: no other site's name leads here."""
    try:
        loopback = ipaddress.ip_address(request.remote_addr or "").is_loopback
    except ValueError:
        loopback = False
    return loopback and host_of(request.host) in LOOPBACK


def register_access(server: Flask, access: Access | None) -> None:
    """Ask for a code wherever a request does not come from this machine; None where the dashboard is not shared."""
    server.add_url_rule("/share", "share", lambda: _share(access), methods=["GET"])
    if access is None:
        return
    tries = Tries()
    server.config.update(
        SECRET_KEY=access.secret,
        SESSION_COOKIE_NAME=f"fillmark-{sha256(access.secret.encode()).hexdigest()[:8]}",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        PERMANENT_SESSION_LIFETIME=A_WEEK,
    )
    server.add_url_rule("/sign-in", "sign-in", _sign_in_form, methods=["GET"])
    server.add_url_rule("/sign-in", "signed-in", lambda: _signed_in(access, tries), methods=["POST"])
    server.add_url_rule("/sign-out", "sign-out", _sign_out, methods=["POST"])

    @server.before_request
    def admit() -> Response | None:
        ONLY_LOOKING.set(False)
        right = "crew" if is_local() else session.get("right")
        if right in ("crew", "look"):
            g.right = right
            ONLY_LOOKING.set(right == "look")
            return _refused_to_lookers()
        if request.path in OPEN or request.path.startswith("/assets/"):
            return None
        return _unknown()


def _refused_to_lookers() -> Response | None:
    """A device that may only look reads pages, whose callbacks are sent; whatever else is sent is refused."""
    sends = request.method not in ("GET", "HEAD", "OPTIONS")
    if sends and not may_write() and request.path not in ("/_dash-update-component", "/sign-in", "/sign-out"):
        abort(403, "This device may only look; sign in with the crew's code to change anything.")
    return None


def _unknown() -> Response:
    """To the sign-in page where a page was asked for, a plain answer to a script's request."""
    if request.method == "GET" and "text/html" in request.headers.get("Accept", ""):
        return redirect(f"/sign-in?next={quote(request.full_path.rstrip('?'), safe='')}", 303)
    return make_response(jsonify(error="Sign in with the access code to go on.", sign_in="/sign-in"), 401)


def _sign_in_form() -> Response:
    return make_response(sign_in_page(local_path(request.args.get("next"))))


def _signed_in(access: Access, tries: Tries) -> Response:
    target, address = local_path(request.form.get("next")), request.remote_addr or ""
    wait = tries.wait(address)
    if wait > 0:
        page = sign_in_page(target, f"Too many wrong codes from this device. Try again in {wait / 60:.0f} min.")
        return make_response(page, 429, {"Retry-After": str(int(wait) + 1)})
    right = access.right_of(request.form.get("code", ""))
    if right is None:
        tries.wrong(address)
        return make_response(sign_in_page(target, "This is not the code. Read it again, or scan the picture."), 401)
    session.clear()
    session.permanent = True
    session["right"] = right
    return redirect(target, 303)


def _sign_out() -> Response:
    session.clear()
    return redirect("/sign-in", 303)


def local_path(target: str | None) -> str:
    """A path of this dashboard to go on to; the first page for anything that might lead elsewhere."""
    plain = bool(target) and target is not None and target.isprintable() and "\\" not in target
    return target if plain and target and target.startswith("/") and not target.startswith("//") else "/"


def _share(access: Access | None) -> Response:
    if not may_write():
        return make_response(looking_page(), 403)
    return make_response(share_page(access, int(request.environ.get("SERVER_PORT") or 80)))
