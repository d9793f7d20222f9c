"""Routes of the pit board under /pit: what a page in the paddock reads and sends, as JSON.

Every answer is JSON unless said otherwise; an answer that is no success is {"error": TEXT} with more keys where said.
Texts are for people and may be shown as they stand.

Reading (GET, no own header needed)

  /pit/board?event=PATH[&since=VERSION]
      204 without a body while nothing has changed since VERSION; ask about once a second. Otherwise 200:
      {"version": TEXT, "event": PATH, "server_time": ISO 8601, "now": ISO 8601, "can_write": BOOL, "board": {...}}
      `board` is what `fillmark pit EVENT show --json` prints (planner.follow.json.pit_json). `version` is opaque: only
      compare it for being the same. It changes with each entry, with the event's and the car's files, and every 20 s
      of the clock, since levels and countdowns move. `now` is the moment that the board stands for: `server_time`, or
      the last entry's moment for a day long past. Take `at` of entries from the device's clock plus the difference
      between `server_time` and that clock.
      404 no such event in the workspace, or the path leads out of it; 422 the event or its car cannot be read, with
      {"faults": [{"file", "key", "value", "remedy"}]}.
  /pit/log.csv?event=PATH      the log as a CSV table (text/csv, as a download)
  /pit/history?car=PATH        or ?event=PATH: the car's factor on each logged day, oldest first:
      {"car": NAME, "path": PATH, "prior": {"mean", "sd"},
       "days": [{"event": PATH, "name", "date", "mean", "sd", "readings", "before_mean", "before_sd", "kept": BOOL,
                 "alarm": BOOL}]}
  /pit/after?event=PATH        forecast against what happened, and what could be kept:
      {"sessions": [...], "calibration": {...}, "text": TEXT, "keep": {"mean", "sd", "readings", "text"} or null,
       "keep_refusal": TEXT or null}
      (planner.follow.after.after_json has the keys of a session and of the calibration.)

Sending (POST; needs the header `X-Fillmark: pit` and, unless said otherwise, `Content-Type: application/json`)

  /pit/entries   {"event": PATH, "entries": [ENTRY, ...]}  1 to 200 entries, oldest first, body at most 256 kB
      ENTRY is {"id": TEXT, "at": ISO 8601 with offset, "kind": KIND, and one of "words" and "value"}.
      `id` is the sender's (letters, digits, . _ : -, at most 64); the same id counts once, however often it is sent.
      `words` is what a person typed or tapped, units as text; the server works out the rest:
        level      {"level": "104 mm" | "5.2 L" | "62 %", "after": session name or number as text (optional),
                    "error": "3 mm" (optional)}
        fill       {"to_mark": true} | {"add": "1.2 L"} | both
        done       {"session": "2", "runs": "3" (optional)}
        cancelled  {"session": "2"}         late {"late": "10 min"}
        stock      {"left": "8 L"}          note {"text": TEXT}         undo {"undoes": ID} | {} for the last one
      `value` is the entry as the log holds it (planner.entry lists the keys). A fill to the mark that may wait for a
      network must be sent so, with the mark that the person saw:
        {"to_mark": true, "mark_L": 5.2, "mark_mm": 78.8, "before": 3, "before_name": "Heat 3"}
      200 {"accepted": [ids], "doubled": [ids], "refused": [{"id", "text"}], "version": TEXT}
      Accepted entries are on disk before the answer; doubled ones were there already. Take all three kinds out of the
      queue, and show the refused ones with their text.
      503 {"error", "accepted", "doubled", "refused"}: the disk is full or the folder read-only; entries that are in
      none of the lists are not stored: keep them and try again.
      400 not the form above; 403 a view-only device, another site's page, or no `X-Fillmark` header; 404 and 422 as for
      the board; 413 too large; 415 another content type. Keep the queue and show the text.
  /pit/log.csv?event=PATH   a table as exported, as `Content-Type: text/csv`, at most 4 MB: its entries are added, those
      already there count once. 200 {"added": N, "doubled": N, "version": TEXT}; 400 {"error", "faults"}.
  /pit/keep      {"event": PATH, "id": TEXT, "mean": NUMBER, "sd": NUMBER}  after the person has agreed: the day's
      factor becomes the car's prior. `mean` and `sd` are those of "keep" in /pit/after, as they were shown.
      200 {"text": TEXT, "version": TEXT}; 409 the day has gone on since: ask again. Taking back the entry of kind
      "kept" takes the car's file back too.

Signed out (only where the dashboard is shared): 401 {"error": TEXT, "sign_in": "/sign-in"}; go to
"/sign-in?next=" plus the encoded path and query of the page. assets/access.js does so for every 401 that a fetch of
any page gets, so that a page's script need only keep its queue and stop. A page opened signed out is redirected there
by the server.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from functools import wraps
from pathlib import Path, PurePosixPath
from typing import Any

from flask import Flask, Response, abort, jsonify, make_response, request
from werkzeug.exceptions import HTTPException

from dashboard.access import may_write
from dashboard.pit_boards import Boards, Day, clock
from dashboard.pit_sending import Receipt, items_of, take
from dashboard.presenters.workspace import Workspace
from planner.day import car_factor
from planner.entry import Entry
from planner.errors import BadInput, Conflict, Fault, FillmarkError, NotWritten
from planner.files.car_file import read_car
from planner.files.logged_days import settle_car, state_after, touches_kept
from planner.files.pit_connection import Damaged, NotStored
from planner.files.pit_table import entries_from_table, table_from_entries
from planner.follow.after import after_json, day_row, keep_json, result_of

HEADER, WORD = "X-Fillmark", "pit"
LARGEST_ENTRIES, LARGEST_TABLE = 256_000, 4_000_000  # bytes
Route = Callable[..., Any]


def register_pit_routes(server: Flask, workspace: Workspace) -> None:
    """Add the routes to a server."""
    boards = server.extensions["pit-boards"] = Boards(workspace)
    routes: tuple[tuple[str, str, Route], ...] = (
        ("/pit/board", "GET", board),
        ("/pit/entries", "POST", entries),
        ("/pit/log.csv", "GET", exported),
        ("/pit/log.csv", "POST", imported),
        ("/pit/history", "GET", history),
        ("/pit/after", "GET", after),
        ("/pit/keep", "POST", keep),
    )
    for path, method, route in routes:
        name = f"{method} {path}"
        server.add_url_rule(path, name, told(route), methods=[method], defaults={"boards": boards})


def told(route: Route) -> Route:
    """Wrap a route: what goes wrong on purpose becomes an answer that says what to do."""

    @wraps(route)
    def answered(boards: Boards) -> Any:
        try:
            return route(boards)
        except HTTPException:
            raise
        except BadInput as reason:
            return _refusal(boards, reason, 422 if request.method == "GET" else 400)
        except Conflict as reason:
            return jsonify(error=str(reason)), 409
        except (NotStored, NotWritten, Damaged, OSError) as reason:
            return jsonify(error=_unwritten(reason)), 503
        except FillmarkError as reason:
            return jsonify(error=str(reason)), 422

    return answered


def board(boards: Boards) -> Any:
    """An event's board, or nothing where the one that the client has still stands."""
    day = day_asked(boards, request.args.get("event"))
    since = request.args.get("since")
    if since and since == boards.version(day.key):
        return Response(status=204, headers=_FRESH)
    version, text = boards.board(day.key)
    moment = clock().isoformat()
    now = json.loads(text)["now"]
    head = {"version": version, "event": day.key, "server_time": moment, "now": now, "can_write": may_write()}
    body = f'{json.dumps(head, ensure_ascii=False)[:-1]}, "board": {text}}}'
    return Response(body, mimetype="application/json", headers=_FRESH)


def entries(boards: Boards) -> Any:
    """Store the entries sent; what became of each."""
    body = sent_json(LARGEST_ENTRIES)
    items = items_of(body)
    day = day_asked(boards, body.get("event"))
    receipt = Receipt()
    try:
        take(day, items, clock(), receipt)
    except (NotStored, Damaged, OSError) as reason:
        return jsonify(error=_unwritten(reason), **receipt.told()), 503
    if touches_kept(receipt.stored, day.log.entries()):
        settle_car(day.event, day.log.entries())
    return jsonify(**receipt.told(), version=boards.version(day.key))


def exported(boards: Boards) -> Any:
    """The log as a CSV table."""
    day = day_asked(boards, request.args.get("event"))
    name = f"{PurePosixPath(day.key).stem}-log.csv"
    headers = {**_FRESH, "Content-Disposition": f'attachment; filename="{name}"'}
    return Response(table_from_entries(day.log.entries()), mimetype="text/csv", headers=headers)


def imported(boards: Boards) -> Any:
    """Add the entries of a CSV table."""
    content = sent_body("text/csv", LARGEST_TABLE)
    day = day_asked(boards, request.args.get("event"))
    try:
        found = entries_from_table(content.decode("utf-8"), "table")
    except UnicodeDecodeError:
        raise BadInput([Fault("table", "", "", "not text in UTF-8; export the log again")]) from None
    known = {entry.id for entry in day.log.entries()}
    fresh = {entry.id for entry in found} - known
    day.log.append_all(found)
    return jsonify(added=len(fresh), doubled=len(found) - len(fresh), version=boards.version(day.key))


def history(boards: Boards) -> Any:
    """The factor of a car on each of its logged days."""
    key = request.args.get("car")
    if not key:
        key = boards.car_key(day_asked(boards, request.args.get("event")))
    car_path = _file_asked(boards, key)
    prior = car_factor(read_car(car_path))
    days = [{"event": name, **day_row(day)} for name, day in boards.logged(car_path)]
    mean, sd = round(prior.mean, 4), round(prior.mean * prior.variation, 4)
    return jsonify(car=read_car(car_path).name, path=key, prior={"mean": mean, "sd": sd}, days=days)


def after(boards: Boards) -> Any:
    """Forecast against what happened, and what could be kept."""
    day = day_asked(boards, request.args.get("event"))
    state = state_after(day.event, day.car, day.log.entries(), clock())
    return jsonify(after_json(state, [one for _, one in boards.logged()]))


def keep(boards: Boards) -> Any:
    """Keep the day's result in the car's file, if it still is what the person saw."""
    body = sent_json(LARGEST_ENTRIES)
    day = day_asked(boards, body.get("event"))
    boards.car_key(day)  # refuses a car outside the workspace
    entry_id, seen = body.get("id"), (body.get("mean"), body.get("sd"))
    if not isinstance(entry_id, str) or not all(isinstance(figure, int | float) for figure in seen):
        raise BadInput([Fault("", "keep", "", "give id, and mean and sd as they were shown")])
    known = next((entry for entry in day.log.entries() if entry.id == entry_id), None)
    if known is None:
        state = state_after(day.event, day.car, day.log.entries(), clock())
        result = result_of(state)
        if isinstance(result, str):
            raise BadInput([Fault("", "keep", "", result)])
        shown = keep_json(state, result)
        if max(abs(seen[0] - shown["mean"]), abs(seen[1] - shown["sd"])) > 5e-4:
            raise Conflict("The day has gone on since this was shown; look at the result again before keeping it.")
        value = {"mean": result.mean, "variation": result.variation, "readings": result.readings}
        day.log.append(Entry(entry_id, clock(), "kept", value))
    settle_car(day.event, day.log.entries())
    text = f"Kept: later days of {day.car.name} are planned with it. Undo the entry to take it back."
    return jsonify(text=text, version=boards.version(day.key))


def _file_asked(boards: Boards, key: object) -> Path:
    """The file of a key. Aborts with 404 for a key that names none."""
    try:
        return boards.workspace.files.resolve(str(key))
    except BadInput as reason:
        abort(404, str(reason))


def day_asked(boards: Boards, key: object) -> Day:
    """The day of an event's key. Aborts with 404 for a key that names no file; raises BadInput for a faulty file."""
    if not isinstance(key, str) or not key:
        abort(400, "Name the event: its path in the workspace, such as events/day.toml.")
    _file_asked(boards, key)
    try:
        return boards.day(key)
    except BadInput as reason:
        abort(make_response(_refusal(boards, reason, 422)))


def sent_json(most: int) -> dict[str, Any]:
    """The object that a request's body is. Aborts for another type, one too large, or no object."""
    content = sent_body("application/json", most)
    try:
        body = json.loads(content)
    except (ValueError, RecursionError):
        abort(400, "The body is no JSON.")
    if not isinstance(body, dict):
        abort(400, "The body is no JSON object.")
    return body


def sent_body(mimetype: str, most: int) -> bytes:
    """A request's body. Aborts for a device that may only look, a missing header, another type, or one too large."""
    if not may_write():
        abort(403, "This device may only look; sign in with the crew's code to log anything.")
    if request.headers.get(HEADER) != WORD:
        abort(403, f"The header {HEADER}: {WORD} is missing; send from the board's own page.")
    if request.mimetype != mimetype:
        abort(415, f"Send it as {mimetype}.")
    request.max_content_length = most
    return request.get_data()


_FRESH = {"Cache-Control": "no-store"}


def _refusal(boards: Boards, reason: BadInput, status: int) -> tuple[Response, int]:
    """Every fault, files named from the workspace's folder on."""
    faults = [asdict(boards.workspace.shortened(fault)) for fault in reason.faults]
    return jsonify(error="\n".join(boards.workspace.sentences(reason)), faults=faults), status


def _unwritten(reason: Exception) -> str:
    """What a failed write says, without the path of the server's folder."""
    if isinstance(reason, OSError):
        return f"the log cannot be written ({reason.strerror}); the entry is kept on this device until it can"
    text = str(reason)
    return text.split(": ", 1)[1] if isinstance(reason, NotStored | Damaged) and ": " in text else text
