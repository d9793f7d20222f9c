"""Routes of the pit board under /pit: what a page in the paddock reads and sends, as JSON.

Every answer is JSON unless said otherwise; an answer that is no success is {"error": TEXT} with more keys where said.
Texts are for people and may be shown as they stand.

Reading (GET, no own header needed)

  /pit/board?event=PATH[&since=VERSION]
      204 without a body while nothing has changed since VERSION; ask about once a second. Otherwise 200:
      {"version": TEXT, "event": PATH, "server_time": ISO 8601, "now": ISO 8601, "can_write": BOOL, "board": {...}}
      `board` is what `fillmark pit EVENT show --json` prints (planner.follow_json.pit_json). `version` is opaque: only
      compare it for being the same. It changes with each entry, with the event's and the car's files, and every 20 s
      of the clock, since levels and countdowns move. `now` is the moment that the board stands for: `server_time`, or
      the last entry's moment for a day long past. Take `at` of entries from the device's clock plus the difference
      between `server_time` and that clock.
      404 no such event in the workspace, or the path leads out of it; 422 the event or its car cannot be read, with
      {"faults": [{"file", "key", "value", "remedy"}]}.
  /pit/log.csv?event=PATH      the log as a CSV table (text/csv, as a download)
  /pit/history?car=PATH        or ?event=PATH: the car's factor on each logged day, oldest first:
      {"car": NAME, "path": PATH, "prior": {"mean", "sd"},
       "days": [{"event": PATH, "name", "date", "mean", "sd", "readings", "before_mean", "before_sd", "kept": BOOL}]}
  /pit/after?event=PATH        forecast against what happened, and what could be kept:
      {"sessions": [...], "calibration": {...}, "text": TEXT, "keep": {"mean", "sd", "readings", "text"} or null}
      (planner.after_day has the keys of a session and of the calibration.)

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
