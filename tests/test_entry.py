"""Entries of the pit log: what it takes, what it refuses and with which words, and what an undo does."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from planner.entry import Entry, checked, standing, with_undone
from planner.errors import BadInput

AT = datetime(2026, 5, 16, 12, 0, tzinfo=UTC)

SOUND = [
    ("level", {"level_L": 5.2, "level_mm": 104.0, "after": 1, "typed": "104 mm"}),
    ("fill", {"to_mark": True, "mark_L": 5.2, "mark_mm": 104}),
    ("fill", {"to_mark": False, "add_L": 1.2}),
    ("done", {"session": 1, "runs": 3.0}),
    ("late", {"minutes": 10}),
    ("cancelled", {"session": 2}),
    ("stock", {"left_L": 4.0}),
    ("kept", {"mean": 1.05, "variation": 0.04, "readings": 5}),
    ("note", {"text": "swapped the filter"}),
    ("undo", {"undoes": "abc"}),
]

FAULTY = [
    ("shout", {}, "the kinds are level, fill"),
    ("level", {"level_L": 5.2}, "level_mm: missing from a level"),
    ("level", {"level_L": float("nan"), "level_mm": 1.0}, "a number from 0"),
    ("level", {"level_L": -1, "level_mm": 1.0}, "a number from 0"),
    ("level", {"level_L": "5", "level_mm": 1.0}, "a number"),
    ("level", {"level_L": True, "level_mm": 1.0}, "a number"),
    ("level", {"level_L": 5, "level_mm": 1.0, "depth": 3}, "not a key of this kind"),
    ("fill", {"to_mark": True}, "give mark_L or add_L"),
    ("fill", {"to_mark": "yes", "add_L": 1.0}, "true or false"),
    ("done", {"session": 0}, "a number from 1"),
    ("done", {"session": 1.5}, "a whole number"),
    ("late", {"minutes": 2000}, "a number from -1440 to 1440"),
    ("note", {"text": "   "}, "a note needs text"),
    ("note", {"text": "x" * 501}, "text of at most 500 characters"),
    ("note", {"text": 5}, "text of at most 500 characters"),
]


@pytest.mark.parametrize(("kind", "value"), SOUND)
def test_sound_entries_are_taken(kind, value):
    assert checked(Entry("a1", AT, kind, value)).value == value


@pytest.mark.parametrize(("kind", "value", "words"), FAULTY)
def test_faulty_entries_are_refused_in_words(kind, value, words):
    with pytest.raises(BadInput, match="pit log") as caught:
        checked(Entry("a1", AT, kind, value))
    assert words in str(caught.value)


@pytest.mark.parametrize("bad", ["", " ", "a b", "../x", "x" * 65, "é", "a\n"])
def test_ids_are_plain_and_short(bad):
    with pytest.raises(BadInput, match="an id has 1 to 64"):
        checked(Entry(bad, AT, "note", {"text": "x"}))


ODD_TIMES = [datetime(2026, 5, 16, 12, 0), datetime(1, 1, 1, tzinfo=UTC), datetime(9000, 1, 1, tzinfo=UTC)]


@pytest.mark.parametrize("at", ODD_TIMES)
def test_times_need_an_offset_and_a_sensible_date(at):
    with pytest.raises(BadInput, match="a sensible date and an offset"):
        checked(Entry("a", at, "note", {"text": "x"}))


def test_every_fault_is_told_at_once():
    with pytest.raises(BadInput) as caught:
        checked(Entry("a b", AT, "level", {"level_L": -1}))
    assert len(caught.value.faults) == 3


def test_an_undo_takes_back_the_entry_that_it_names():
    note, late = Entry("a", AT, "note", {"text": "x"}), Entry("b", AT, "late", {"minutes": 5})
    entries = [note, late, Entry("c", AT, "undo", {"undoes": "a"})]
    assert [entry.undone for entry in with_undone(entries)] == [True, False, False]
    assert [entry.id for entry in standing(entries)] == ["b"]
