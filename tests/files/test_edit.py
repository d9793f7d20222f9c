"""Editing a file's text: the change is made, and every other line stands as it was."""
# ruff: noqa: E501

from __future__ import annotations

import datetime as dt
import tomllib
from difflib import ndiff
from typing import Any

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import BadInput
from planner.files.edit import insert_value, move_value, remove_value, set_value
from planner.files.keys import steps_of, under, value_at
from planner.files.saving import text_of
from tests.files.samples import CAR, EVENT


def changed(text: str, *changes: tuple[Any, ...]) -> tuple[list[str], str]:
    """The lines that some changes take out (-) and put in (+), and the whole text after them."""
    document = tomlkit.parse(text)
    for change, *arguments in changes:
        change(document, *arguments)
    after = text_of(document)
    lines = [line for line in ndiff(text.splitlines(), after.splitlines()) if line[0] in "-+"]
    return lines, after


@pytest.mark.parametrize(
    ("text", "key", "value", "lines"),
    [
        (CAR, "spread.run", 0.05, ["- run = 0.08", "+ run = 0.05"]),
        (CAR, "nozzle[2].rated_flow", "9 gal/h", ['- rated_flow = "120 cc/min"', '+ rated_flow = "9 gal/h"']),
        (CAR, "nozzle[2].count", 3, ["+ count = 3"]),
        (CAR, "name", "Sloe", ['- name = "Plum hatch"            # a comment', '+ name = "Sloe"            # a comment']),
        (
            EVENT,
            "reserve.confidence",
            0.95,
            [
                "- confidence = 0.99              # chance for the whole day",
                "+ confidence = 0.95              # chance for the whole day",
            ],
        ),
        (EVENT, "date", dt.date(2026, 6, 1), ["- date = 2026-05-16", "+ date = 2026-06-01"]),
        (EVENT, "session[2].refill", True, ["- refill = false", "+ refill = true"]),
        (EVENT, "session[1].gap", None, ['- gap = "paddock"']),
        (EVENT, "reserve.prime", None, ['- prime = "0.1 L"']),
        (CAR, "pump.curve[1][1]", "2 L/min", ['-   ["1.9 L/min", "0 bar"],      # free flow', '+   ["2 L/min", "0 bar"],      # free flow']),
    ],
)  # fmt: skip
def test_setting_a_value_changes_its_own_line_alone(text: str, key: str, value: object, lines: list[str]) -> None:
    assert [line.rstrip() for line in changed(text, (set_value, key, value))[0]] == lines


def test_a_new_key_stands_in_its_table_above_the_comments_of_the_next() -> None:
    lines, after = changed(CAR, (set_value, "blend.note", "x"))
    assert lines == ['+ note = "x"']
    assert 'temperature = "20 degC"\nnote = "x"\n\n# the tank behind the seats\n[tank]' in after


def test_a_comment_right_below_the_last_key_stays_with_its_table() -> None:
    text = "[a]\nx = 1\n# y = 2\n\n# of b\n[b]\nz = 3\n"
    assert changed(text, (set_value, "a.w", 4))[1] == "[a]\nx = 1\n# y = 2\nw = 4\n\n# of b\n[b]\nz = 3\n"


def test_a_missing_table_is_made_at_the_end_clear_of_the_last() -> None:
    text = EVENT.replace(
        '[stock]\nin_tank = "0 L"\ncontainers = ["10 L", "5 L"]\nalcohol_price = "2.40 / L"\n', ""
    ).replace('water_price = "0.60 / L"\n\n', "")
    after = changed(text, (set_value, "stock.in_tank", "2 L"), (set_value, "stock.containers", ["5 L"]))[1]
    assert after.endswith('runs = 20\n\n[stock]\nin_tank = "2 L"\ncontainers = ["5 L"]\n')


@pytest.mark.parametrize("text", [CAR, EVENT])
def test_setting_what_stands_there_already_changes_no_letter(text: str) -> None:
    changes = [(set_value, key, value) for key, value in tomllib.loads(text).items()]
    assert changed(text, *changes) == ([], text)


def test_a_whole_table_can_be_set_removed_and_set_again() -> None:
    reserve = {"confidence": 0.9, "final": "30 s", "extra": None}
    after = changed(EVENT, (set_value, "reserve", reserve))[1]
    assert tomllib.loads(after)["reserve"] == {"confidence": 0.9, "final": "30 s"}
    assert "# chance for the whole day" in after
    again = changed(EVENT, (remove_value, "reserve"), (set_value, "reserve", reserve))[1]
    assert again.endswith('\n\n[reserve]\nconfidence = 0.9\nfinal = "30 s"\n')


def test_a_table_made_below_an_array_of_tables_stands_clear_of_it() -> None:
    text = '[[session]]\nname = "a"'
    assert changed(text, (set_value, "stock", {"in_tank": "1 L"}))[1] == text + '\n\n[stock]\nin_tank = "1 L"\n'


def test_a_key_of_a_table_ending_in_its_own_array_of_tables_is_added() -> None:
    text = '[[course]]\nname = "a"\n[[course.pieces]]\ntime = "1 s"\n\n# of b\n[b]\nx = 1\n'
    after = changed(text, (set_value, "course[1].pieces[1].boost", "1 bar"))[1]
    assert after == text.replace('"1 s"\n', '"1 s"\nboost = "1 bar"\n')
    assert tomllib.loads(changed(text, (set_value, "course[1].per", "run"))[1])["course"][0]["per"] == "run"


def test_an_inline_table_takes_new_keys_and_gives_up_old_ones() -> None:
    lines, after = changed(CAR, (set_value, "tank.pickup.left", "5 mm"), (remove_value, "tank.pickup.ahead"))
    assert tomllib.loads(after)["tank"]["pickup"] == {"left": "5 mm", "height": "8 mm"}
    assert len(lines) == 2


def test_a_list_keeps_the_comments_of_the_entries_that_stay() -> None:
    curve = [["1.9 L/min", "0 bar"], ["1.3 L/min", "6 bar"], ["0.8 L/min", "11 bar"], ["0 L/min", "14 bar"]]
    assert changed(CAR, (set_value, "pump.curve", curve))[0] == [
        '-   ["1.4 L/min", "6 bar"],',
        '+   ["1.3 L/min", "6 bar"],',
    ]
    assert changed(CAR, (set_value, "pump.curve", curve[:2]))[1].count("# free flow") == 1
    longer = tomllib.loads(changed(CAR, (set_value, "pump.curve", [*curve, ["0 L/min", "15 bar"]]))[1])
    assert longer["pump"]["curve"][-1] == ["0 L/min", "15 bar"]


@pytest.mark.parametrize(
    ("key", "value"), [("session[2]", {"name": "New", "runs": 1}), ("session[4]", {"name": "Last"})]
)
def test_an_inserted_session_takes_no_line_from_the_others(key: str, value: dict[str, Any]) -> None:
    lines, after = changed(EVENT, (insert_value, key, value))
    assert all(line.startswith("+") for line in lines)
    assert tomllib.loads(after)["session"][steps_of(key)[1]] == value
    assert '# a short break only\n[[session]]\nname = "Heat 2"' in after


def test_a_session_is_moved_with_the_comments_above_it() -> None:
    after = changed(EVENT, (move_value, "session[2]", 3))[1]
    assert [session["name"] for session in tomllib.loads(after)["session"]] == ["Heat 1", "Drive home", "Heat 2"]
    assert '# a short break only\n[[session]]\nname = "Heat 2"' in after
    assert sorted(after.split("\n")) == sorted(EVENT.split("\n"))


def test_a_removed_session_takes_its_comment_along() -> None:
    lines, after = changed(EVENT, (remove_value, "session[2]"))
    assert "# a short break only" not in after
    assert all(line.startswith("-") for line in lines)


def test_removing_the_last_entry_removes_the_list() -> None:
    text = changed(EVENT, *[(remove_value, "session[1]")] * 3)[1]
    assert "session" not in tomllib.loads(text)
    assert tomllib.loads(changed(text, (insert_value, "session[1]", {"name": "A"}))[1])["session"] == [{"name": "A"}]


def test_rows_set_anew_keep_the_comments_of_those_with_the_same_name() -> None:
    one, two, three = tomllib.loads(EVENT)["session"]
    rows = [three, {**two, "runs": 7}, {"name": "New", "start": "18:00"}, one]
    after = changed(EVENT, (set_value, "session", rows))[1]
    assert tomllib.loads(after)["session"] == rows
    assert '# a short break only\n[[session]]\nname = "Heat 2"' in after


def test_a_renamed_row_is_still_the_same_row() -> None:
    rows = tomllib.loads(EVENT)["session"]
    rows[1]["name"] = "Heat two"
    assert changed(EVENT, (set_value, "session", rows))[0] == ['- name = "Heat 2"', '+ name = "Heat two"']


def test_entries_of_a_plain_list_can_be_inserted_moved_and_removed() -> None:
    text = 'a = ["x", "y"]  # two\n'
    assert changed(text, (insert_value, "a[2]", "n"))[1] == 'a = ["x", "n", "y"]  # two\n'
    assert changed(text, (move_value, "a[1]", 2))[1] == 'a = ["y", "x"]  # two\n'
    assert changed(text, (remove_value, "a[1]"))[1] == 'a = ["y"]  # two\n'


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ((set_value, "nozzle[3].count", 1), "there is no nozzle[3]; add it first"),
        ((set_value, "pump.curve[9]", ["1 L/min", "1 bar"]), "insert an entry instead"),
        ((set_value, "pump.curve[5]", ["1 L/min", "1 bar"]), "insert an entry instead"),
        ((insert_value, "tank.length", "x"), "name a place in a list"),
        ((insert_value, "pump.curve[6]", ["1 L/min", "1 bar"]), "the list ends before it"),
        ((move_value, "nozzle[3]", 1), "there is no such entry"),
        ((move_value, "nozzle[1]", 0), "no place 0"),
        ((set_value, "name.x", 1), "name is not of the kind that holds it"),
        ((set_value, "nozzle.count", 1), "nozzle is not of the kind that holds it"),
        ((insert_value, "nozzle[9]", {"count": 1}), "the list ends before it"),
        ((insert_value, "name", "x"), "name a place in a list"),
        ((remove_value, "nozzle[9]"), "the list ends before it"),
        ((move_value, "nozzle[1]", 9), "no place 9"),
        ((set_value, "nozzle[0].count", 1), "not a key; write one such as tank.length"),
        ((set_value, "a b", 1), "not a key"),
    ],
)
def test_a_place_that_is_not_there_is_refused(change: tuple[Any, ...], words: str) -> None:
    with pytest.raises(BadInput) as caught:
        changed(CAR, change)
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("place", "to", "after"),
    [(1, 2, ["y", "x", "z"]), (3, 1, ["z", "x", "y"]), (1, 3, ["y", "z", "x"]), (2, 2, ["x", "y", "z"])],
)
def test_an_entry_moves_to_the_very_place_that_is_named(place: int, to: int, after: list[str]) -> None:
    text = changed('a = ["x", "y", "z"]\n', (move_value, f"a[{place}]", to))[1]
    assert tomllib.loads(text)["a"] == after


def test_removing_what_is_not_there_changes_nothing() -> None:
    assert changed(CAR, (remove_value, "tank.lid"), (remove_value, "roof.tank"))[1] == CAR


def test_windows_line_ends_stay_throughout() -> None:
    text = EVENT.replace("\n", "\r\n")
    document = tomlkit.parse(text)
    set_value(document, "stock.note", "x")
    insert_value(document, "session[2]", {"name": "New"})
    after = text_of(document)
    assert after.count("\n") == after.count("\r\n")


STEPS = st.lists(st.from_regex(r"[a-z_]{1,8}", fullmatch=True) | st.integers(0, 99), min_size=1, max_size=5)


@given(STEPS)
def test_steps_are_the_inverse_of_a_keys_text(steps: list[str | int]) -> None:
    assert steps_of(under("", steps)) == tuple(steps)


VALUES = st.sampled_from(["1 L", 0.5, 3, True, ["a", "b"], [], {"x": 1}, dt.date(2026, 1, 1), 'quo"te', "é"])
KEYS = st.sampled_from(
    ["name", "reserve.extra", "reserve.new", "stock.containers", "stock.containers[1]", "session[1].runs", "session[3].gap",
     "course[2].pieces[1].boost", "course[2].pieces", "fresh.key", "fresh.deep.key", "course[3].time_at_boost[1][2]"]
)  # fmt: skip


@given(st.lists(st.tuples(KEYS, VALUES), min_size=1, max_size=5))
def test_what_is_set_is_what_is_read_back(changes: list[tuple[str, Any]]) -> None:
    document = tomlkit.parse(EVENT)
    for key, value in changes:
        try:
            set_value(document, key, value)
        except BadInput:
            continue
        assert value_at(tomllib.loads(text_of(document)), key) == value


@given(
    st.lists(
        st.one_of(
            st.tuples(
                st.just(insert_value), st.integers(1, 6), st.sampled_from("abc").map(lambda name: {"name": name})
            ),
            st.tuples(st.just(move_value), st.integers(1, 5), st.integers(1, 5)),
            st.tuples(st.just(remove_value), st.integers(1, 5)),
        ),
        min_size=1,
        max_size=6,
    )
)
def test_any_rearranging_of_sessions_does_to_the_text_what_it_does_to_a_list(changes: list[tuple[Any, ...]]) -> None:
    document, model = tomlkit.parse(EVENT), tomllib.loads(EVENT)["session"]
    for change, place, *rest in changes:
        try:
            change(document, f"session[{place}]", *rest)
        except BadInput:
            continue
        if change is insert_value:
            model.insert(place - 1, rest[0])
        elif change is move_value:
            model.insert(rest[0] - 1, model.pop(place - 1))
        elif model:
            model.pop(place - 1)
    after = tomllib.loads(text_of(document))
    assert after.pop("session", []) == model
    assert after == {key: value for key, value in tomllib.loads(EVENT).items() if key != "session"}
