"""`fillmark plan`: the keys that scripts rely on, exit codes, and a table of 80 columns."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

import pytest

from planner.cli.main import main

DEMO = Path(__file__).resolve().parents[2] / "events_demo" / "events"
POSSIBLE = sorted(path for path in DEMO.glob("*.toml") if path.stem != "gherkin-hour")
KEYS = {
    "": "event car confidence stops sessions gaps refills bring short_chance mean_use_L largest_flow_mL_min "
    "tank_capacity_L fill_limit_L alternatives warnings",
    "sessions": "name start runs use_mean_L use_p50_L use_p90_L use_p99_L floor_L unusable_level_L unusable_slosh_L "
    "level_start_p50_L level_end_p50_L level_end_p01_L short_chance",
    "gaps": "before_session minutes refill_possible reason",
    "refills": "before_session by mark_L mark_mm mark_percent add_p50_L add_p99_L minutes_needed",
    "alternatives": "priority stops refills mean_carried_kg slosh_risk_share",
    "bring": "blend_L alcohol_L water_L alcohol_kg water_kg mass_kg containers cost",
    "warnings": "level code text",
}


@pytest.fixture(scope="module", params=POSSIBLE, ids=lambda path: path.stem)
def printed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> dict:
    """One demo day's plan as the command line prints it."""
    import contextlib  # kept here: only this fixture captures output outside a test
    import io

    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main(["plan", str(request.param), "--json"]) == 0
    return json.loads(out.getvalue())


def test_the_json_has_every_key_that_scripts_rely_on(printed: dict) -> None:
    for part, keys in KEYS.items():
        holders = [printed] if not part else printed[part] if isinstance(printed[part], list) else [printed[part]]
        assert holders
        for holder in holders:
            assert set(keys.split()) <= set(holder), part


def test_times_carry_their_offset_and_refills_end_before_their_session(printed: dict) -> None:
    starts = {row["number"]: datetime.fromisoformat(row["start"]) for row in printed["sessions"]}
    for fill in printed["refills"]:
        by = datetime.fromisoformat(fill["by"])
        assert by.utcoffset() is not None
        spare = (starts[fill["before_session"]] - by).total_seconds() / 60
        assert fill["minutes_needed"] <= spare + 1e-6 <= fill["minutes_needed"] + 1.2
    assert printed["refills"][0]["before_session"] == 1
    assert printed["stops"] == len(printed["refills"]) - 1


def test_litres_in_are_litres_used_left_and_spilled(printed: dict) -> None:
    b = printed["balance"]
    out = b["used_mean_L"] + b["siphoned_mean_L"] + b["primed_L"] + b["spilled_mean_L"] + b["left_mean_L"]
    assert b["in_tank_L"] + b["brought_mean_L"] == pytest.approx(out, abs=1e-9)
    assert b["used_mean_L"] == pytest.approx(printed["mean_use_L"], rel=2e-3)


def test_the_chance_allowed_is_kept_and_levels_fall_through_each_session(printed: dict) -> None:
    assert printed["short_chance"] <= 1 - printed["confidence"] + 1e-9
    for row in printed["sessions"]:
        assert row["level_start_p50_L"] > row["level_end_p50_L"] > row["floor_L"]
        assert row["use_p50_L"] <= row["use_mean_L"] < row["use_p90_L"] < row["use_p99_L"]
        assert row["floor_L"] >= max(row["unusable_level_L"], row["unusable_slosh_L"])
    for fill in printed["refills"]:
        assert fill["mark_L"] <= printed["fill_limit_L"] + 1e-9


def test_the_blend_to_bring_covers_a_bad_day(printed: dict) -> None:
    assert printed["bring"]["blend_L"] >= printed["balance"]["brought_mean_L"]
    held = sum(container["fill_L"] for container in printed["bring"]["containers"])
    assert held == pytest.approx(printed["bring"]["blend_L"], abs=1e-6)


def test_a_day_without_a_plan_exits_3_and_says_what_would_mend_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(DEMO / "gherkin-hour.toml")]) == 3
    said = capsys.readouterr()
    assert "session 2 (Stint)" in said.err
    assert "fit a tank of" in said.err
    assert main(["plan", str(DEMO / "gherkin-hour.toml"), "--json"]) == 3
    report = json.loads(capsys.readouterr().out)
    assert report["session"] == 2
    assert {"kind", "text", "value"} <= set(report["mends"][0])


def test_the_table_fits_80_columns_and_starts_with_the_answer(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(POSSIBLE[0])]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    assert lines[0].startswith("Fill to ")


def test_a_missing_event_exits_2_with_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "nowhere.toml"]) == 2
    said = capsys.readouterr()
    assert "nowhere.toml" in said.err
    assert said.out == ""
    assert "Traceback" not in said.err


def test_drivers_names_change_nothing_but_themselves(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = DEMO / "snail-society-autocross.toml"
    text = source.read_text(encoding="utf-8").replace('"../', f'"{DEMO.parent.as_posix()}/')
    plans = []
    for index, swapped in enumerate((text, text.replace('driver = "Wren"', 'driver = "Finch"'))):
        path = tmp_path / f"{index}.toml"
        path.write_text(swapped, encoding="utf-8")
        assert main(["plan", str(path), "--json"]) == 0
        plans.append(json.loads(capsys.readouterr().out))
    assert plans[0]["refills"] == plans[1]["refills"]
    assert {row["driver"] for row in plans[1]["sessions"]} != {row["driver"] for row in plans[0]["sessions"]}
