"""`fillmark use` remembers a mapping beside the recordings, tells it on standard error, and forgets it when asked."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from planner.cli.main import main
from planner.driving.remembered import key_of, memory_of, remembered
from planner.event import Reading

CAR = str(Path(__file__).resolve().parents[2] / "events_demo" / "cars" / "goose.toml")
TIME = np.arange(0, 60, 0.1)
PRESSURE = 110 + 60 * np.sin(TIME / 4)


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return written(tmp_path / "one.csv", PRESSURE)


def written(path: Path, pressure: np.ndarray) -> Path:
    rows = "".join(f"{t:.1f},{p:.3f},{int(t // 20)}\n" for t, p in zip(TIME, pressure, strict=True))
    path.write_text("time_s,CH 2,lap\n" + rows)
    return path


def use(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[dict[str, Any], str]:
    assert main(["use", CAR, *map(str, arguments), "--json"]) == 0
    out, err = capsys.readouterr()
    return json.loads(out), err


def refused(capsys: pytest.CaptureFixture[str], *arguments: object) -> str:
    assert main(["use", CAR, *map(str, arguments)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    return err


MAPPING = ("--column", "boost=CH 2", "--unit", "boost=kPa", "--absolute")


def test_a_mapping_serves_the_next_file_with_the_same_header(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "no column is known as boost" in refused(capsys, log)
    first, said = use(capsys, log, *MAPPING)
    assert "remembered for files with this header: column boost=CH 2, unit boost=kPa, absolute" in said
    second, said = use(capsys, log)
    assert "read as remembered for its header: column boost=CH 2, unit boost=kPa, absolute" in said
    assert "--forget" in said
    assert second["use_L"] == first["use_L"] > 0

    neighbour, _ = use(capsys, written(log.with_name("two.csv"), PRESSURE + 10))
    assert neighbour["largest_boost_kPa"] == pytest.approx(first["largest_boost_kPa"] + 10)


def test_another_header_is_not_read_by_it(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    use(capsys, log, *MAPPING)
    other = log.with_name("other.csv")
    other.write_text(log.read_text().replace("CH 2", "CH 3"))

    assert "no column is known as boost" in refused(capsys, other)


def test_forget_drops_it_and_keeps_nothing_new(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    use(capsys, log, *MAPPING)
    _, said = use(capsys, log, *MAPPING, "--forget")
    assert "what was remembered for its header is forgotten" in said
    assert remembered(memory_of(log), key_of(log)) is None
    _, said = use(capsys, log, *MAPPING, "--forget")
    assert "nothing was remembered" in said


def test_nothing_is_kept_without_a_mapping_or_of_a_file_that_is_refused(
    log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    refused(capsys, log, "--column", "boost=CH 2", "--unit", "boost=MPa", "--absolute")
    refused(capsys, log, "--column", "boost=CH 9")
    assert not memory_of(log).exists()


def test_what_the_options_say_prevails_and_adds_to_it(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    use(capsys, log, *MAPPING)
    gauge, _ = use(capsys, log, "--gauge")
    assert gauge["largest_boost_kPa"] == pytest.approx(170, abs=0.1)
    assert remembered(memory_of(log), key_of(log)) == Reading(
        columns=(("boost", "CH 2"),), units=(("boost", "kPa"),), absolute=False
    )


def test_a_split_is_of_one_use_and_not_remembered(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    split, _ = use(capsys, log, *MAPPING, "--split-column", "lap")
    assert len(split["runs"]) == 3
    whole, _ = use(capsys, log)
    assert len(whole["runs"]) == 1


def test_a_refusal_tells_that_the_file_was_read_as_remembered(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    use(capsys, log, *MAPPING)
    said = refused(capsys, written(log, PRESSURE * 9))
    assert "no manifold reaches that" in said
    assert "it was read as remembered for its header: column boost=CH 2" in said


def test_a_damaged_memory_is_told_and_can_be_forgotten(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    use(capsys, log, *MAPPING)
    (memory_of(log) / f"{key_of(log)}.json").write_text("{")
    assert "delete this file" in refused(capsys, log)
    use(capsys, log, *MAPPING, "--forget")
    assert "no column is known as boost" in refused(capsys, log)


def test_a_folder_that_cannot_be_written_to_is_told_and_the_use_stands(
    log: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log.with_name(".fillmark").write_text("in the way")
    read, said = use(capsys, log, *MAPPING)
    assert read["use_L"] > 0
    assert "could not be remembered" in said


def test_windows_are_runs_with_their_spread(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    windows = ("--split-window", "0 s", "20 s", "--split-window", "20 s", "0.9 min")
    read, _ = use(capsys, log, *MAPPING, *windows)
    assert [round(run["duration_s"], 6) for run in read["runs"]] == [20, 34]
    assert read["run_spread"] > 0.05
    whole, _ = use(capsys, log)
    assert whole["run_spread"] is None
    assert "not a unit of time" in refused(capsys, log, "--split-window", "1 L", "2 s")
    assert "the recording runs from" in refused(capsys, log, "--split-window", "1 s", "200 s")


def test_every_recording_that_cannot_be_used_is_told_at_once(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = log.with_name("words.csv")
    words.write_text("the cat sat on the mat\n")
    phone = log.with_name("phone.csv")
    phone.write_text("time_s,speed [km/h],heading\n" + "".join(f"{t:.1f},{80 + t},{t}\n" for t in TIME))
    said = refused(capsys, words, phone, log.with_name("missing.csv")).splitlines()

    assert [line for line in said if "words.csv: holds no table of numbers" in line]
    assert [
        line for line in said if "phone.csv: boost: holds no manifold pressure" in line and "fillmark slosh" in line
    ]
    assert [line for line in said if "missing.csv: cannot be read" in line]
    assert len(said) == 3


def test_gaps_are_told_with_what_makes_one(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = log.read_text().splitlines(keepends=True)
    log.write_text("".join(rows[:200] + rows[300:]))
    assert main(["use", CAR, str(log), *MAPPING]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "one.csv: gap of 10.1 s from 19.8 s on, no rows; it carries no use." in out
    assert "longer than 5.5 usual refresh intervals" in out
    assert "one.csv: outside air 101.3 kPa" in out


def test_names_in_brackets_are_shown_as_they_are(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Square brackets mark styles in the library that prints the tables."""
    text = log.read_text().replace("time_s,CH 2,lap", "time [s],boost [/x] [kPa],lap")
    odd = log.with_name("a [bold] day.csv")
    odd.write_text(text)
    assert main(["use", CAR, str(odd), "--split-column", "lap", "--gauge"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "time [s]" in out
    assert "boost [/x]" in out
    assert "a [bold] day.csv" in out


def test_many_gaps_are_counted_rather_than_listed(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    head, *rows = log.read_text().splitlines(keepends=True)
    log.write_text(head + "".join(row for place, row in enumerate(rows) if place % 50 < 40))
    assert main(["use", CAR, str(log), *MAPPING]) == 0
    out = capsys.readouterr().out
    assert out.count("gap of 1.1 s") == 8
    assert "and 3 gaps more, with --json." in out
