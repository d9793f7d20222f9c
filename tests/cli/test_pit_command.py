"""`fillmark pit`: what is logged, what the board says after it, and every refusal with nothing written."""

from __future__ import annotations

import json
import os
from datetime import datetime
from pathlib import Path

import pytest

from planner.cli import pit_command
from planner.cli.main import main

CAR = """
name = "Plum"
[blend]
alcohol_share = 0.50
[tank]
shape = "box"
length = "320 mm"
width = "180 mm"
height = "140 mm"
pickup = { height = "8 mm" }
[pump]
curve = [["1.9 L/min", "0 bar"], ["1.4 L/min", "6 bar"], ["0.8 L/min", "11 bar"], ["0 L/min", "14 bar"]]
[[nozzle]]
count = 2
rated_flow = "250 mL/min"
rated_pressure = "100 psi"
[controller]
kind = "ramp"
start = "5 psi"
full = "14 psi"
minimum_speed = 0.30
"""
EVENT = """
name = "Moth Meadow"
date = 2026-05-16
timezone = "Europe/London"
car = "car.toml"
[stock]
containers = ["10 L", "5 L"]
[[course]]
name = "hill"
per = "run"
pieces = [{ time = "22 s", boost = "14 psi", lateral = "0.3 g" }, { time = "20 s", boost = "0 psi" }]
"""
SESSION = '[[session]]\nname = "{}"\nstart = "{}"\nlength = "20 min"\ncourse = "hill"\nruns = 3\n'
SESSIONS = [("Heat 1", "09:30"), ("Heat 2", "10:30"), ("Heat 3", "14:00")]


@pytest.fixture
def event(tmp_path: Path) -> str:
    (tmp_path / "car.toml").write_text(CAR)
    (tmp_path / "day.toml").write_text(EVENT + "".join(SESSION.format(*row) for row in SESSIONS))
    return str(tmp_path / "day.toml")


@pytest.fixture
def pit(event, capsys, monkeypatch):
    """Run `fillmark pit` with a clock of the day's morning; exit code, board or None, and complaints."""

    def run(*words: str, now: str = "2026-05-16T09:00:00+01:00"):
        monkeypatch.setattr(pit_command, "clock", lambda: datetime.fromisoformat(now))
        code = main(["pit", event, *words, "--json"])
        out, err = capsys.readouterr()
        return code, json.loads(out) if out else None, err

    return run


def test_show_logs_nothing(pit, event):
    code, board, _ = pit("show")
    assert code == 0
    assert board["entries"] == []
    assert board["next"]["action"] == "fill"
    assert sorted(os.listdir(Path(event).parent)) == ["car.toml", "day.toml"]


def test_without_an_entry_the_board_is_shown(pit):
    assert pit()[1]["next"]["session"] == 1


def test_a_fill_to_the_mark_is_the_plan_s_mark(pit, event, capsys):
    main(["plan", event, "--json"])
    plan = json.loads(capsys.readouterr().out)
    board = pit("fill", "--to-mark")[1]
    assert board["level_expected_L"] == plan["refills"][0]["mark_L"]
    assert board["entries"][0]["kind"] == "fill"
    assert board["entries"][0]["value"]["mark_mm"] == pytest.approx(plan["refills"][0]["mark_mm"], abs=0.06)
    assert board["next"]["action"] == "go"


@pytest.mark.parametrize(
    ("text", "litres"),
    [("52.1 mm", 3.001), ("3 L", 3.0), ("0.8 gal", 3.028), ("37 %", 2.984), ("2 in", 2.926)],
)
def test_a_level_is_read_in_any_unit(pit, text, litres):
    board = pit("level", text)[1]
    assert board["level_read_L"] == pytest.approx(litres, abs=2e-3)
    assert board["entries"][0]["value"]["typed"] == text


def test_a_level_after_a_session_says_that_it_is_over(pit):
    pit("fill", "--to-mark")
    board = pit("level", "3.0 L", "--after", "heat 1")[1]
    assert [row["status"] for row in board["sessions"]] == ["done", "planned", "planned"]
    assert board["sessions"][0]["level_end_read_L"] == 3.0
    assert board["next"]["session"] == 2


def test_one_day_in_the_paddock(pit):
    pit("fill", "--to-mark")
    start = pit("show", now="2026-05-16T09:20:00+01:00")[1]["level_expected_L"]
    board = pit("done", "1", "--runs", "2", now="2026-05-16T09:52:00+01:00")[1]
    used = start - board["level_expected_L"]
    assert 0.1 < used < start
    assert (
        pit("late", "10 min", now="2026-05-16T10:00:00+01:00")[1]["sessions"][1]["start"] == "2026-05-16T10:40:00+01:00"
    )
    assert pit("cancel", "Heat 3", now="2026-05-16T10:01:00+01:00")[1]["sessions"][2]["status"] == "cancelled"
    assert pit("undo", now="2026-05-16T10:02:00+01:00")[1]["sessions"][2]["status"] == "planned"
    assert (
        pit("note", "filter swapped", now="2026-05-16T10:03:00+01:00")[1]["entries"][-1]["text"]
        == "note: filter swapped"
    )
    assert pit("stock", "8 L", now="2026-05-16T10:03:00+01:00")[1]["stock_left_L"] == 8.0
    added = pit("fill", "--add", "1.2 L", now="2026-05-16T10:04:00+01:00")[1]
    assert added["level_expected_L"] == pytest.approx(board["level_expected_L"] + 1.2, abs=2e-3)
    assert added["stock_left_L"] == pytest.approx(6.8)
    kinds = [entry["kind"] for entry in added["entries"]]
    assert kinds == ["fill", "done", "late", "cancelled", "undo", "note", "stock", "fill"]


def test_the_same_id_counts_once(pit):
    pit("fill", "--add", "1 L", "--id", "phone-7")
    code, board, _ = pit("fill", "--add", "1 L", "--id", "phone-7")
    assert code == 0
    assert board["level_expected_L"] == pytest.approx(1.0)
    assert len(board["entries"]) == 1


def test_an_undo_with_an_id_counts_once_and_one_can_name_its_entry(pit):
    for name in ("a", "b", "c"):
        pit("note", name, "--id", name)
    pit("undo", "a", "--id", "u1")
    board = pit("undo", "a", "--id", "u1")[1]
    assert [entry["undone"] for entry in board["entries"]] == [True, False, False, False]
    assert pit("undo")[1]["entries"][2]["undone"] is True


def test_an_entry_made_later_carries_its_own_time(pit):
    board = pit("level", "3 L", "--at", "2026-05-16T08:40+01:00", "--id", "x")[1]
    assert board["entries"][0]["at"] == "2026-05-16T08:40:00+01:00"
    assert pit("note", "local", "--at", "2026-05-16T08:45")[1]["entries"][1]["at"] == "2026-05-16T08:45:00+01:00"
    assert pit("note", "clock", "--at", "08:50")[1]["entries"][2]["at"] == "2026-05-16T08:50:00+01:00"


def test_options_may_stand_before_the_entry(event, capsys):
    assert main(["pit", event, "--json", "--id", "n1", "note", "early"]) == 0
    assert json.loads(capsys.readouterr().out)["entries"][0]["id"] == "n1"


def test_a_day_can_be_followed_on_any_date(pit):
    """Nothing says on which date a rehearsal is held; the log moves the day on."""
    mark = pit("fill", "--to-mark", now="2027-02-01T20:00:00+00:00")[1]["next"]
    assert mark["session"] == 1
    board = pit("level", "3 L", "--after", "Heat 1", now="2027-02-01T20:01:00+00:00")[1]
    assert board["next"]["session"] == 2
    assert "another date" in board["notices"][0]


def test_a_past_day_is_shown_as_it_stood(pit):
    pit("fill", "--to-mark")
    pit("level", "3 L", "--after", "1", now="2026-05-16T09:55:00+01:00")
    board = pit("show", now="2026-09-01T12:00:00+01:00")[1]
    assert board["now"] == "2026-05-16T09:55:00+01:00"
    assert board["next"]["session"] == 2


def test_out_and_in_again(pit, event, tmp_path, capsys):
    pit("fill", "--to-mark")
    pit("level", "3 L", "--after", "1", now="2026-05-16T09:55:00+01:00")
    pit("undo")
    assert main(["pit", event, "export", str(tmp_path / "log.csv")]) == 0
    other = tmp_path / "again.toml"
    other.write_text(Path(event).read_text())
    capsys.readouterr()
    assert main(["pit", str(other), "import", str(tmp_path / "log.csv"), "--json"]) == 0
    assert [entry["undone"] for entry in json.loads(capsys.readouterr().out)["entries"]] == [False, True, False]
    assert main(["pit", str(other), "export"]) == 0
    assert capsys.readouterr().out.encode() == (tmp_path / "log.csv").read_bytes()


def test_the_board_reads_well_at_80_columns(pit, event, capsys):
    pit("fill", "--to-mark")
    pit("level", "2.2 L", "--after", "1", now="2026-05-16T09:55:00+01:00")
    assert main(["pit", event]) == 0
    out, err = capsys.readouterr()
    assert max(len(line.rstrip()) for line in out.splitlines()) <= 80
    assert "Level now" in out
    assert "Heat 1" in out
    assert "level 2.20 L" in out
    assert "WARNING" in err or "DANGER" in err


REFUSED = [
    (("level", "104"), 'write "104 mm", "5.2 L" or "62 %"'),
    (("level", "900 mm"), "outside the tank, which is 140 mm high"),
    (("level", "12 L"), "outside the tank, which holds 0 to 140 mm or 8.06 L"),
    (("level", "-5 mm"), "outside the tank"),
    (("level", "120 %"), "outside the tank"),
    (("level", "3 bar"), "a level is a length, a volume or a percentage"),
    (("level", "3 L", "--after", "Heat 9"), "no session of this name; did you mean 'Heat"),
    (("level", "3 L", "--after", "7"), "a number from 1 to 3"),
    (("level", "3 L", "--error", "2"), "no unit"),
    (("fill",), "give --to-mark, or --add with an amount"),
    (("fill", "--add", "1.2"), "no unit"),
    (("fill", "--add", "20 L"), "an amount between 0 and the 8.06 L that the tank holds"),
    (("fill", "--add", "-1 L"), "an amount between 0 and"),
    (("done", "Heat 9"), "no session of this name"),
    (("done", "1", "--runs", "many"), "a number of runs, laps or minutes"),
    (("done", "1", "--runs", "-2"), "a number of runs, laps or minutes"),
    (("late", "10"), "no unit"),
    (("late", "3 days"), "at most a day"),
    (("late", "0 min"), "at most a day"),
    (("late", "2 L"), "is not a unit of time"),
    (("cancel", "nothing"), "no session of this name"),
    (("note", "  "), "is empty; write something"),
    (("note", "x" * 501), "text of at most 500 characters"),
    (("stock", "8"), "no unit"),
    (("undo",), "there is no entry to take back"),
    (("note", "x", "--id", "a b"), "an id has 1 to 64"),
    (("note", "x", "--at", "soon"), "not a time; write ISO 8601"),
    (("note", "x", "--at", "25:99"), "not a time; write ISO 8601"),
    (("import", "missing.csv"), "cannot be read"),
]


@pytest.mark.parametrize(("words", "sentence"), REFUSED)
def test_bad_input_exits_with_2_a_sentence_and_nothing_written(pit, event, words, sentence):
    code, board, err = pit(*words)
    assert code == 2
    assert board is None
    assert sentence in err
    assert "Traceback" not in err
    assert not (Path(event).parent / "pit.sqlite").exists()


def test_a_mark_is_refused_where_the_tank_holds_more(pit):
    pit("fill", "--add", "7.5 L")
    pit("done", "1", now="2026-05-16T09:51:00+01:00")
    code, _, err = pit("fill", "--to-mark", now="2026-05-16T09:55:00+01:00")
    assert code == 2
    assert "are in the tank; use --add" in err


def test_an_id_used_again_for_another_undo_or_entry_returns_the_first(pit):
    pit("note", "one", "--id", "same")
    board = pit("late", "10 min", "--id", "same")[1]
    assert [entry["kind"] for entry in board["entries"]] == ["note"]


def logged_day(event: str) -> None:
    for at, *words in (
        ("2026-05-16T08:30+01:00", "fill", "--add", "6 L"),
        ("2026-05-16T09:52+01:00", "level", "5.35 L", "--after", "1"),
        ("2026-05-16T10:52+01:00", "level", "4.7 L", "--after", "2"),
    ):
        assert main(["pit", event, *words, "--at", at]) == 0


def test_the_day_after_shows_forecast_and_what_happened(event: str, capsys: pytest.CaptureFixture[str]) -> None:
    logged_day(event)
    capsys.readouterr()
    assert main(["pit", event, "after"]) == 0
    shown = capsys.readouterr().out
    assert "Heat 2" in shown
    assert "2 of 2 readings on 1 day lay within their 90 % band; too few to judge" in " ".join(shown.split())
    assert main(["pit", event, "after", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [row["level_read_L"] for row in told["sessions"]] == [5.35, 4.7, None]
    assert told["calibration"]["readings"] == 2


def test_a_result_is_kept_only_after_a_yes(
    event: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    car = Path(event).with_name("car.toml")
    assert main(["pit", event, "keep", "--yes"]) == 2
    assert "no reading has taught anything" in capsys.readouterr().err
    logged_day(event)
    assert main(["pit", event, "keep"]) == 2
    assert "add --yes where nobody can be asked" in capsys.readouterr().err
    for answer, kept in (("no\n", False), ("yes\n", True)):
        monkeypatch.setattr("sys.stdin", Answering(answer))
        assert main(["pit", event, "keep"]) == 0
        assert "Keep this day's result? 2 readings" in capsys.readouterr().err
        assert ("[[kept]]" in car.read_text()) is kept
    assert main(["pit", event, "undo"]) == 0
    assert car.read_text().rstrip() == CAR.rstrip()


class Answering:
    """A terminal at which somebody types one line."""

    def __init__(self, line: str) -> None:
        self.line = line

    def isatty(self) -> bool:
        return True

    def readline(self) -> str:
        return self.line
