"""The README says what is so: every command in it runs, and its table of outside checks is what is found."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest

from planner.cli.main import main
from tests.published.deviations import lines

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
FILLED = {"EVENT": "events/teapot-ring-open-day.toml", "CAR": "cars/teapot.toml", "LOG": "logs/teapot-ring-1.csv"}


def commands() -> list[str]:
    """Each `fillmark ...` in the README, its words in capitals filled in with a demo's files."""
    found = re.findall(r"`fillmark ([^`]+)`", README)
    return sorted({text for text in found if not text.startswith(("serve", "COMMAND"))})


def filled(text: str) -> list[str]:
    """The command's words, with demo files for EVENT, CAR and LOG, and `show` where it leaves the rest open."""
    words = shlex.split(text.replace("...", " show " if text.startswith("pit") else " "))
    return [FILLED.get(word, word) for word in words]


def log_a_session() -> None:
    """A fill and a reading that fits, so that there is a result to keep."""
    for moment, entry in (("08:50", ["fill", "--to-mark"]), ("09:30", ["level", "119 mm", "--after", "1"])):
        assert main(["pit", "--at", f"2026-06-06T{moment}+02:00", FILLED["EVENT"], *entry]) == 0


def test_the_readme_shows_the_commands() -> None:
    assert {text.split()[0] for text in commands()} >= {"plan", "use", "flow", "slosh", "tanks", "blend", "pack", "pit"}


@pytest.mark.parametrize("text", commands())
def test_each_command_of_the_readme_runs(
    text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(ROOT / "events_demo", tmp_path / "demo", ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    shutil.copy(tmp_path / "demo" / FILLED["EVENT"], tmp_path / "demo" / "events" / "my-day.toml")
    (tmp_path / "demo" / "my-day.toml").write_text(
        (tmp_path / "demo" / FILLED["EVENT"]).read_text().replace('"../', '"')
    )
    monkeypatch.chdir(tmp_path / "demo")
    if text.endswith("keep"):
        log_a_session()
    assert main([*filled(text), "--yes"] if text.endswith("keep") else filled(text)) == 0
    assert capsys.readouterr().out.strip()


def test_the_sentence_in_the_readme_is_the_demo_days(capsys: pytest.CaptureFixture[str]) -> None:
    shown = re.search(r"```\n(Fill to .*?)\n```", README, re.S)
    assert shown
    assert main(["plan", str(ROOT / "events_demo" / FILLED["EVENT"])]) == 0
    assert shown[1].split() == capsys.readouterr().out.split()[: len(shown[1].split())]


def test_the_table_of_outside_checks_is_what_is_found() -> None:
    for line in lines():
        assert line in README


def test_both_texts_name_only_files_and_folders_that_exist() -> None:
    for text in (README, DEVELOPERS):
        for name in re.findall(r"`((?:planner|dashboard|tests|events_demo)/[\w./]*)`", text):
            assert (ROOT / name).exists(), name
