"""What the page Pack hands out and takes in besides its callbacks: papers to print, the calendar, CSV, and ticks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from flask import Flask, Response, jsonify, request

from dashboard.presenters.pack import Packed, packed, weather_warnings_of
from dashboard.presenters.pack_choice import MIXED_THERE, PackChoice, choice_of, choice_of_query, refused
from dashboard.presenters.workspace import Workspace
from planner.errors import FillmarkError
from planner.files.event_file import read_day
from planner.files.label import labels_page
from planner.files.looking import may_only_look
from planner.files.pack_list import all_papers, dipsticks_page, jug_labels, pack_csv, sheets_page
from planner.files.pack_ticks import clear_ticks, keep_text, kept_text, read_ticks, set_tick, ticks_path
from planner.planning.packing import PackList, days_key

LONGEST_ID = 600
MOST_AT_ONCE = 500
NO_SUCH_LINE = "no such line on the list; reload the page Pack, the plan may have changed"


def register_pack_routes(server: Flask, workspace: Workspace) -> None:
    """Add the routes under /pack/ for a workspace."""
    for name, (kind, text) in _PAPERS.items():
        _add_paper(server, workspace, name, kind=kind, text=text)
    server.add_url_rule("/pack/ticks", "pack_ticks", lambda: _ticks(workspace), methods=["GET", "POST"])


def _add_paper(
    server: Flask, workspace: Workspace, name: str, *, kind: str, text: Callable[[Packed, PackList], str | bytes]
) -> None:
    def answer() -> Response:
        made = packed(workspace, choice_of_query(request.args.items(multi=True)))
        troubles = [*refused(made.faults or {}), *made.missing]
        if made.listed is None or troubles:
            return _refusal(troubles or ["this list names no event; open the page Pack and take its link"])
        try:
            body = text(made, made.listed)
        except FillmarkError as reason:
            return _refusal(workspace.sentences(reason))
        headers = {"Cache-Control": "no-store"}
        if not kind.startswith("text/html"):
            headers["Content-Disposition"] = f'attachment; filename="{name}"'
        return Response(body, mimetype=kind, headers=headers)

    server.add_url_rule(f"/pack/{name}", f"pack_{name}", answer)


def _refusal(sentences: list[str]) -> Response:
    return Response("\n".join(sentences) + "\n", status=400, mimetype="text/plain")


def _papers(made: Packed, listed: PackList) -> str:
    settings = made.settings
    return all_papers(
        made.outings, listed, made.ticked,
        paper=settings.paper, weather=weather_warnings_of(made), mixed=settings.mixed_on, unit=settings.strip,
    )  # fmt: skip


def _calendar(made: Packed, listed: PackList) -> bytes:
    """The calendar, going on from the one handed out before, so that phones follow a changed plan."""
    # icalendar takes a third of a second to start, and few visits ask for it
    from planner.files.calendar_file import calendar

    path = ticks_path(*made.paths)
    earlier = kept_text(path, "calendar", made.key)
    text = calendar([one.plan for one in made.outings], datetime.now(UTC), earlier.encode() or None)
    if not may_only_look():
        keep_text(path, "calendar", made.key, text=text.decode())
    return text


_HTML = "text/html; charset=utf-8"
_PAPERS: dict[str, tuple[str, Callable[[Packed, PackList], str | bytes]]] = {
    "papers.html": (_HTML, _papers),
    "sheet.html": (_HTML, lambda made, listed: sheets_page(made.outings, made.settings.paper)),
    "labels.html": (
        _HTML,
        lambda made, listed: labels_page(jug_labels(listed, made.settings.mixed_on), made.settings.sheet),
    ),
    "dipstick.html": (
        _HTML,
        lambda made, listed: dipsticks_page(made.outings, made.settings.paper, unit=made.settings.strip),
    ),
    "calendar.ics": ("text/calendar; charset=utf-8", _calendar),
    "list.csv": ("text/csv; charset=utf-8", lambda made, listed: pack_csv(listed, made.ticked)),
}


def _ticks(workspace: Workspace) -> tuple[Response, int]:
    """The ticks of the list that the address names, after those that were sent: {"set": {id: true or false}}.

    Ids that are no line's are not stored; "refused" holds each with a sentence.
    """
    choice = choice_of_query(request.args.items(multi=True))
    try:
        paths = [workspace.path(key) for key in choice.events]
        if not paths:
            return jsonify(error="the address names no event"), 400
        days = [read_day(path) for path in paths]
        key, path = days_key(days), ticks_path(*paths)
        told: dict[str, Any] = {}
        if request.method == "POST":
            sent = request.get_json(silent=True)
            if not isinstance(sent, dict) or not _sound(sent):
                return jsonify(error='send {"set": {"a line\'s id": true}} or {"clear": true}'), 400
            strange = _strange(workspace, choice, sent)
            if strange:
                told["refused"] = [{"id": item, "text": f"{item[:80]}: {NO_SUCH_LINE}"} for item in sorted(strange)]
            _store(
                {item: on for item, on in sent.get("set", {}).items() if item not in strange},
                lambda item, on: set_tick(path, key, item, on=on),
                (lambda: clear_ticks(path, key)) if sent.get("clear") else None,
            )
        return jsonify(ticked=sorted(read_ticks(path, key)), **told), 200
    except FillmarkError as reason:
        return jsonify(error="\n".join(workspace.sentences(reason))), 409


def _strange(workspace: Workspace, choice: PackChoice, sent: dict[str, Any]) -> set[str]:
    """Ids that are ticked and are no line's, mixed at home or there: left over from a plan that has changed since."""
    asked = {item for item, on in sent.get("set", {}).items() if on}
    for text in MIXED_THERE if asked else ():
        listed = packed(workspace, choice_of(choice.events, {"mix_there": text})).listed
        asked -= {item.id for item in listed.items} if listed else set()
    return asked


def _sound(sent: dict[str, Any]) -> bool:
    ticks, clear = sent.get("set", {}), sent.get("clear", False)
    short = isinstance(ticks, dict) and len(ticks) <= MOST_AT_ONCE and all(len(item) <= LONGEST_ID for item in ticks)
    plain = isinstance(clear, bool) and short and all(isinstance(on, bool) for on in ticks.values())
    return bool(plain and (ticks or clear))


def _store(ticks: dict[str, bool], tick: Callable[[str, bool], None], clear: Callable[[], None] | None) -> None:
    if clear is not None:
        clear()
    for item, on in ticks.items():
        tick(item, on)
