"""What is remembered of a header: stored and read back whole, completed by what is given, damage told."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.driving.remembered import completed, forget, header_key, in_words, remember, remembered, with_remembered
from planner.errors import BadInput
from planner.event import Reading

texts = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=12)
pairs = st.dictionaries(st.sampled_from(["time", "boost", "lateral", "speed"]), texts).map(lambda d: tuple(d.items()))
readings = st.builds(
    Reading,
    columns=pairs,
    units=pairs,
    absolute=st.none() | st.booleans(),
    rate=st.none() | st.floats(0.1, 1000),
    split_column=st.none() | texts,
)


@given(readings)
def test_a_reading_comes_back_as_it_was_stored(tmp_path_factory: pytest.TempPathFactory, reading: Reading) -> None:
    folder = tmp_path_factory.mktemp("memory")
    remember(folder / "deep", "key", reading)
    assert remembered(folder / "deep", "key") == reading
    assert [path.name for path in (folder / "deep").iterdir()] == ["key.json"]


def test_ambient_and_windows_belong_to_one_recording(tmp_path: Path) -> None:
    remember(tmp_path, "key", Reading(ambient=98e3, split_windows=((0, 1),), split_stops=3.0, absolute=True))
    assert remembered(tmp_path, "key") == Reading(absolute=True)


def test_what_was_forgotten_is_unknown(tmp_path: Path) -> None:
    remember(tmp_path, "key", Reading(absolute=True))
    forget(tmp_path, "key")
    forget(tmp_path, "key")
    assert remembered(tmp_path, "key") is None


@pytest.mark.parametrize("text", ["", "{", "[]", "3", '{"columns": 3}', '{"columns": [[1]]}', '{"absolute": "yes"}'])
def test_a_damaged_file_is_named_with_the_remedy(tmp_path: Path, text: str) -> None:
    (tmp_path / "key.json").write_text(text)
    with pytest.raises(BadInput, match=r"key\.json: the remembered columns .*delete this file"):
        remembered(tmp_path, "key")


@given(readings, readings)
def test_what_a_reading_states_prevails(reading: Reading, stored: Reading) -> None:
    joined = completed(reading, stored)
    assert dict(joined.columns) | dict(reading.columns) == dict(joined.columns)
    assert dict(joined.units) | dict(reading.units) == dict(joined.units)
    assert reading.absolute in (None, joined.absolute)
    assert reading.rate in (None, joined.rate)
    again = completed(joined, stored)
    assert sorted(again.columns) == sorted(joined.columns)
    assert (again.absolute, again.rate, again.split_column) == (joined.absolute, joined.rate, joined.split_column)


@given(readings)
def test_an_empty_reading_becomes_the_stored_one(stored: Reading) -> None:
    assert completed(Reading(), stored) == stored
    assert completed(stored, Reading()) == stored


def test_another_column_takes_neither_unit_nor_kind_of_the_old_one() -> None:
    stored = Reading(
        columns=(("boost", "A"), ("speed", "V")), units=(("boost", "psi"), ("speed", "mph")), absolute=True
    )
    joined = completed(Reading(columns=(("boost", "B"),)), stored)
    assert dict(joined.columns) == {"boost": "B", "speed": "V"}
    assert dict(joined.units) == {"speed": "mph"}
    assert joined.absolute is None


def test_a_stated_clock_replaces_the_stored_one() -> None:
    stored = Reading(columns=(("time", "T"),), split_column="Lap")
    assert completed(Reading(rate=10.0), stored).columns == ()
    assert completed(Reading(columns=(("time", "U"),)), Reading(rate=10.0)).rate is None
    assert completed(Reading(split_stops=5.0), stored).split_column is None


def test_a_reading_in_words_is_as_it_would_be_typed() -> None:
    reading = Reading((("boost", "CH 2"),), (("boost", "psi"),), absolute=False, rate=12.5, split_column="Lap")
    assert in_words(reading) == "column boost=CH 2, unit boost=psi, gauge, rate 12.5, split column Lap"
    assert in_words(Reading(ambient=98e3)) == ""


def test_the_key_is_that_of_the_names_in_their_order() -> None:
    assert header_key(["a", "b"]) == header_key(("a", "b"))
    assert len({header_key(names) for names in (["a", "b"], ["b", "a"], ["ab"], ["a", "b", ""])}) == 4


def test_no_folder_means_that_the_file_is_not_even_looked_at(tmp_path: Path) -> None:
    assert with_remembered(tmp_path / "none", tmp_path / "missing.csv") == Reading()
