"""Files that cannot be read or parsed at all, and files mangled at random: always a clear refusal, never a crash."""
# ruff: noqa: E501

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import BadInput, Fault
from planner.files.car_file import parse_car, read_car
from planner.files.event_file import parse_day, read_day, read_event
from tests.files.samples import CAR, EVENT, workspace


def fault_of(path: Path, content: bytes) -> Fault:
    path.write_bytes(content)
    with pytest.raises(BadInput) as caught:
        read_car(path)
    (fault,) = caught.value.faults
    assert fault.file == str(path)
    return fault


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (CAR.encode("utf-16"), "not UTF-8 text (line 1); save it as UTF-8"),
        ("# one\n# tw\xf6\n".encode("latin-1"), "not UTF-8 text (line 2)"),
        (b"x" * 1_000_001, "larger than 1 MB"),
        (b"a = " + b"[" * 100_000, "nested too deeply"),
        (b"time_s,boost_kPa\n0,1\n", "not TOML"),
        (b"\x00\x01\x02", "not TOML"),
        (b"a = 1" + b"0" * 10_000, "not TOML"),
        (b"a = 1\r\rb = 2", "not TOML"),
        (b'a = """', "not TOML"),
    ],
)
def test_what_is_no_toml_is_refused_in_one_line(tmp_path: Path, content: bytes, words: str) -> None:
    fault = fault_of(tmp_path / "car.toml", content)
    assert words in fault.remedy
    assert len(fault.line().splitlines()) == 1


def test_an_empty_file_is_told_all_that_a_car_needs(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text("")
    with pytest.raises(BadInput) as caught:
        read_car(path)
    assert [fault.key for fault in caught.value.faults] == ["name", "blend", "tank", "pump", "nozzle", "controller"]


@pytest.mark.parametrize("read", [read_car, read_event, read_day])
def test_a_missing_file_is_told_with_a_similar_name(tmp_path: Path, read: object) -> None:
    (tmp_path / "plum.toml").write_text(CAR)
    with pytest.raises(BadInput, match=r"plumb\.toml: no such file; did you mean plum\.toml\?"):
        read(tmp_path / "plumb.toml")  # type: ignore[operator]
    with pytest.raises(BadInput, match="no such file; check the name and the folder"):
        read(tmp_path / "zebra")  # type: ignore[operator]
    with pytest.raises(BadInput, match=r"there is no folder .*nowhere either; check the path"):
        read(tmp_path / "nowhere" / "car.toml")  # type: ignore[operator]


def test_a_folder_instead_of_a_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"a folder, not a file; name the \.toml file inside it"):
        read_car(tmp_path)


@pytest.mark.parametrize("name", ["a\0b.toml", "x" * 4000 + ".toml"])
def test_a_name_that_no_file_can_have_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(BadInput):
        read_car(tmp_path / name)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_without_permission_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text(CAR)
    path.chmod(0)
    with pytest.raises(BadInput, match="cannot be read"):
        read_car(path)


def test_a_folder_that_loops_through_links_is_refused(tmp_path: Path) -> None:
    loop = tmp_path / "loop"
    loop.symlink_to(loop)
    with pytest.raises(BadInput, match="cannot be read"):
        read_car(loop)


def faults_of(read: Callable[[], object]) -> tuple[Fault, ...]:
    """The faults that a reading ends with; none where it succeeds. Any other error is a failure of the test."""
    try:
        read()
    except BadInput as reason:
        return reason.faults or (Fault("", "", "", ""),)
    return ()


FRAGMENTS = [
    "nan", "inf", "-1", "1e400", '"', "[", "]", "{", "}", "=", "#", ".", ",", "\n", "\t", "\x00", "é", "\u2028", "''", '"""',
    '"0 L"', '"5 gal"', '"-5 psi"', '"9 9**9**9**9"', "true", "[]", "{}", "[[nozzle]]", "[tank]", "2026-05-16", "09:30:00",
    "[session]", "[[course]]", "0", "0.5", "99999999999999999999999", '"a"', "[[]]", '[["1 L/min", "0 bar"]]', "\\", "\ufeff",
]  # fmt: skip


@st.composite
def mangled(draw: st.DrawFn, text: str) -> str:
    """A text with a few of its pieces removed, doubled, or replaced by what else may stand in such a file."""
    for _ in range(draw(st.integers(1, 3))):
        start = draw(st.integers(0, len(text)))
        length = draw(st.sampled_from([0, 1, 2, 5, 20, 80]))
        middle = draw(st.sampled_from([*FRAGMENTS, "", text[start : start + length] * 2]))
        text = text[:start] + middle + text[start + length :]
    return text


@st.composite
def revalued(draw: st.DrawFn, text: str) -> str:
    """A text some of whose lines have another value or key, so that most stay TOML."""
    lines = text.split("\n")
    places = [number for number, line in enumerate(lines) if " = " in line]
    for number in draw(st.lists(st.sampled_from(places), min_size=1, max_size=4)):
        key = lines[number].split(" = ")[0]
        value = draw(
            st.sampled_from([part for part in FRAGMENTS if part.strip()])
            | st.floats().map(repr)
            | st.integers().map(str)
        )
        lines[number] = f"{draw(st.sampled_from([key, key + 's', 'shape', 'name', 'length']))} = {value}"
    return "\n".join(lines)


@settings(max_examples=250)
@given(mangled(CAR) | revalued(CAR) | st.text(max_size=60))
def test_a_mangled_car_file_is_read_or_refused_with_one_line_a_fault(text: str) -> None:
    for fault in faults_of(lambda: parse_car(text, "car.toml")):
        assert fault.remedy
        assert fault.line().isprintable()


@pytest.fixture(scope="module")
def event_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return workspace(tmp_path_factory.mktemp("mangled"))


@settings(max_examples=250)
@given(text=mangled(EVENT) | revalued(EVENT) | st.text(max_size=60))
def test_a_mangled_event_file_is_read_or_refused_with_one_line_a_fault(event_path: Path, text: str) -> None:
    for fault in faults_of(lambda: parse_day(text, event_path)):
        assert fault.remedy
        assert fault.line().isprintable()


@given(st.binary(max_size=200))
def test_any_bytes_are_refused(event_path: Path, content: bytes) -> None:
    path = event_path.parent / "bytes.toml"
    path.write_bytes(content)
    for read in (read_car, read_day):
        with pytest.raises(BadInput):
            read(path)
