"""Bad requests on the command line: exit 2, a sentence that names the fault, nothing printed, nothing written."""

from __future__ import annotations

import shlex
import shutil
from pathlib import Path

import pytest

from events_demo import FOLDER
from planner.cli.main import main

DAY, CAR, LOG = "events/teapot-ring-open-day.toml", "cars/teapot.toml", "logs/teapot-ring-1.csv"

ROWS = [
    # what is typed, and a word or two that the answer must hold
    ("plan", "EVENT"),
    ("plan nowhere.toml", "nowhere.toml"),
    ("plan events", "events"),
    (f"plan {LOG}", "teapot-ring-1.csv"),
    (f"plan {CAR}", "teapot.toml"),
    (f"plan {DAY} --jsn", "--jsn"),
    ("flow", "CAR"),
    ("flow nowhere.toml", "nowhere.toml"),
    (f"flow {DAY}", "open-day"),
    (f"flow {LOG}", "teapot-ring-1.csv"),
    ("use", "CAR"),
    (f"use {CAR}", "LOG"),
    (f"use {CAR} nowhere.csv", "nowhere.csv"),
    (f"use {CAR} cars", "cars"),
    (f"use {CAR} {CAR}", "teapot.toml"),
    (f"use {DAY} {LOG}", "open-day"),
    (f"use {CAR} {LOG} --column boost", "MEANING=NAME"),
    (f"use {CAR} {LOG} --column speeed=boost_kPa", "speeed"),
    (f"use {CAR} {LOG} --column boost=nothing", "nothing"),
    (f"use {CAR} {LOG} --unit boost=L", "L"),
    (f"use {CAR} {LOG} --unit boost=parsec", "parsec"),
    (f"use {CAR} {LOG} --absolute --gauge", "--gauge"),
    (f"use {CAR} {LOG} --ambient 98", "98"),
    (f"use {CAR} {LOG} --ambient '98 L'", "98 L"),
    (f"use {CAR} {LOG} --rate 0", "0"),
    (f"use {CAR} {LOG} --rate minus", "minus"),
    (f"use {CAR} {LOG} --rate nan", "nan"),
    (f"use {CAR} {LOG} --split-column nothing", "nothing"),
    (f"use {CAR} {LOG} --split-stops 20", "20"),
    (f"use {CAR} {LOG} --split-stops '20 kPa'", "20 kPa"),
    (f"use {CAR} {LOG} --split-window '9 s' '3 s'", "9 to 3 s"),
    (f"use {CAR} {LOG} --split-window '9 s'", "--split-window"),
    ("slosh", "CAR"),
    (f"slosh {LOG}", "teapot-ring-1.csv"),
    (f"slosh {CAR} --log nowhere.csv", "nowhere.csv"),
    (f"slosh {CAR} --per hour", "hour"),
    ("tanks", "EVENT"),
    ("tanks nowhere.toml", "nowhere.toml"),
    (f"tanks {DAY} --capacity 6", "6"),
    (f"tanks {DAY} --capacity '6 kg'", "6 kg"),
    (f"tanks {DAY} --capacity '-6 L'", "-6 L"),
    (f"tanks {DAY} --capacity '0 L'", "0 L"),
    (f"tanks {DAY} --tank nowhere.toml", "nowhere.toml"),
    (f"tanks {DAY} --tank {DAY}", "open-day"),
    (f"tanks {DAY} --space '400 mm x 200 mm'", "400 mm x 200 mm"),
    (f"tanks {DAY} --space '400 mm x 200 mm x 2 L'", "2 L"),
    (f"tanks {DAY} --space wide", "wide"),
    (f"tanks {DAY} --gap 45", "45"),
    ("blend --volume '20 L'", "--alcohol-share"),
    ("blend --alcohol-share 50 --volume '20 L'", "50"),
    ("blend --alcohol-share half --volume '20 L'", "half"),
    ("blend --alcohol-share nan --volume '20 L'", "nan"),
    ("blend --alcohol-share -0.1 --volume '20 L'", "-0.1"),
    ("blend --alcohol-share 0.5 --volume 20", "20"),
    ("blend --alcohol-share 0.5 --volume '0 L'", "0 L"),
    ("blend --alcohol-share 0.5 --volume '20 kPa'", "20 kPa"),
    ("blend --alcohol-share 0.5 --volume '20 L' --temperature 20", "20"),
    ("blend --alcohol-share 0.5 --volume '20 L' --temperature '90 degC'", "90 degC"),
    ("blend --alcohol-share 0.5 --volume '20 L' --have '6 L'", "--have-share"),
    ("blend --alcohol-share 0.5 --volume '20 L' --have-share 0.3", "--have"),
    ("blend --alcohol-share 0.5 --volume '20 L' --have '6 L' --have-share 3", "3"),
    ("blend --alcohol-share 0.5 --volume '20 L' --round 0.05", "0.05"),
    ("blend --alcohol-share 0.5 --volume '20 L' --density 927", "927"),
    ("blend --alcohol-share 0.5 --volume '20 L' --density '2000 kg/m3'", "2000 kg/m3"),
    ("pack", "EVENT"),
    ("pack nowhere.toml", "nowhere.toml"),
    (f"pack {DAY} --paper a0", "a0"),
    (f"pack {DAY} --profile mars", "mars"),
    (f"pack {DAY} --label-sheet a4-99 --labels out.html", "a4-99"),
    (f"pack {DAY} --vehicles 0", "0"),
    (f"pack {DAY} --vehicles two", "two"),
    (f"pack {DAY} --mixed-on tomorrow", "tomorrow"),
    (f"pack {DAY} --night-low 3", "3"),
    (f"pack {DAY} --night-low '-900 degC'", "-60 to 100 degC"),
    (f"pack {DAY} --boot '120 degC'", "--boot = 120 degC"),
    (f"pack {DAY} --day-high '200 degF' --night-low '-61 degC'", "--night-low"),
    (f"pack {DAY} --tick nothing", "nothing"),
    (f"pack {DAY} --html nowhere/out.html", "nowhere"),
    (f"pack {DAY} --ics {LOG}", "teapot-ring-1.csv"),
    ("pit", "EVENT"),
    ("pit nowhere.toml show", "nowhere.toml"),
    (f"pit {DAY} level", "READING"),
    (f"pit {DAY} level 104", "104"),
    (f"pit {DAY} level '104 kPa'", "104 kPa"),
    (f"pit {DAY} level '9 m'", "9 m"),
    (f"pit {DAY} level '104 mm' --after 99", "99"),
    (f"pit {DAY} fill", "--to-mark"),
    (f"pit {DAY} fill --add 2", "2"),
    (f"pit {DAY} fill --add '99 L'", "99 L"),
    (f"pit {DAY} fill --add '-1 L'", "-1 L"),
    (f"pit {DAY} done", "SESSION"),
    (f"pit {DAY} done 99", "99"),
    (f"pit {DAY} done 1 --runs -2", "-2"),
    (f"pit {DAY} late 10", "10"),
    (f"pit {DAY} late '10 L'", "10 L"),
    (f"pit {DAY} undo", "undo"),
    (f"pit {DAY} dance", "dance"),
    (f"pit {DAY} level '104 mm' --at yesterday", "yesterday"),
    ("serve nowhere", "nowhere"),
    (f"serve {CAR}", "teapot.toml"),
    ("serve . --port 99999", "99999"),
    ("serve . --port http", "http"),
    ("dance", "dance"),
    ("", "COMMAND"),
]


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder and what it holds."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A private copy of the demo days."""
    folder = tmp_path_factory.mktemp("demo") / "days"
    shutil.copytree(FOLDER, folder, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    return folder


@pytest.mark.parametrize(("typed", "named"), ROWS, ids=[row[0] or "nothing" for row in ROWS])
def test_a_bad_request_is_answered_with_a_sentence_and_changes_nothing(
    typed: str, named: str, demo: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(demo)
    before = tree(demo)
    try:
        code = main(shlex.split(typed))
    except SystemExit as stopped:
        code = stopped.code
    told = capsys.readouterr()
    assert code == 2
    assert named in told.err
    assert "Traceback" not in told.err
    assert not told.out
    assert tree(demo) == before
