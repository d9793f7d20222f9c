"""The pit log as CSV and back: nothing is lost, and a spoiled table is refused row by row."""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.entry import Entry
from planner.errors import BadInput
from planner.files.pit_log import PitLog
from planner.files.pit_table import entries_from_table, table_from_entries

ZONES = st.integers(-12, 14).map(lambda hours: timezone(timedelta(hours=hours)))
TIMES = st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1), timezones=ZONES)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=80).filter(str.strip)
VALUES = st.one_of(
    st.tuples(st.just("note"), st.fixed_dictionaries({"text": TEXTS})),
    st.tuples(st.just("late"), st.fixed_dictionaries({"minutes": st.floats(-1000, 1000)})),
    st.tuples(st.just("stock"), st.fixed_dictionaries({"left_L": st.floats(0, 100)})),
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(st.tuples(TIMES, VALUES), max_size=8))
def test_out_and_in_again_loses_nothing(rows):
    entries = [Entry(f"e{k}", at, kind, value, at) for k, (at, (kind, value)) in enumerate(rows)]
    assert entries_from_table(table_from_entries(entries)) == entries


def test_a_log_imported_elsewhere_is_the_same_log(tmp_path):
    at = datetime(2026, 5, 16, 12, tzinfo=UTC)
    first, second = PitLog(tmp_path / "hare.toml"), PitLog(tmp_path / "goose.toml")
    note = Entry("a", at, "note", {"text": 'quote " comma, line\nbreak'})
    first.append_all([note, Entry("b", at, "late", {"minutes": 5.5})])
    first.undo(at=at, id="c")
    table = table_from_entries(first.entries())
    second.append_all(entries_from_table(table))
    second.append_all(entries_from_table(table))
    assert table_from_entries(second.entries()) == table
    assert [entry.undone for entry in second.entries()] == [False, True, False]


SPOILED = [
    ("", "not a pit log's table: column id, at, kind, value, written is missing"),
    ("id,at\n1,2\n", "column kind, value, written is missing"),
    ("id,at,kind,value,written\na,soon,note,{},\n", "line 2: the row cannot be read"),
    ("id,at,kind,value,written\na,2026-05-16T12:00:00+00:00,note,[1],\n", "value is not a JSON object"),
    ("id,at,kind,value,written\na,2026-05-16T12:00:00+00:00,note,{x,\n", "line 2: the row cannot be read"),
    ('id,at,kind,value,written\na,2026-05-16T12:00:00,note,"{""text"":""x""}",\n', "a sensible date and an offset"),
    ("id,at,kind,value,written\na\n", "line 2: the row cannot be read"),
]


@pytest.mark.parametrize(("text", "words"), SPOILED)
def test_spoiled_tables_are_refused_in_words(text, words):
    with pytest.raises(BadInput) as caught:
        entries_from_table(text, "day.csv")
    assert words in str(caught.value)
    assert str(caught.value).startswith("day.csv")


@settings(max_examples=60, deadline=None)
@given(text=st.text(max_size=200))
def test_any_text_is_read_or_refused(text):
    with suppress(BadInput):
        entries_from_table("id,at,kind,value,written\n" + text)
