"""A draft meets a file that changed under it, and undo walks over a save."""

import copy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.presenters.car_draft import CAR_FILE
from dashboard.presenters.car_form import car_form
from dashboard.presenters.day_draft import DAY_FILE, day_base, drafted_day
from dashboard.presenters.merge import differences, given_up, has_edits, is_behind, merged_rows, on_top, origin
from planner.errors import BadInput
from planner.files.event_file import read_event
from tests.dashboard.days import write_workspace


@pytest.fixture
def path(tmp_path):
    return write_workspace(tmp_path)


def begun(path, **edits):
    """A draft as the browser makes it: with the file that it began from."""
    return {"values": {}, "grids": {}, "trial": {}, "past": [], **edits, **origin(day_base(path))}


def rows_with(path, place, **cells):
    rows = copy.deepcopy(day_base(path)["grids"]["session"])
    rows[place].update(cells)
    return rows


def outside(path, old, new):
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


def test_my_edits_go_on_top_of_a_change_from_outside(path):
    draft = begun(path, values={"reserve.extra": "2"}, grids={"session": rows_with(path, 1, runs="7")})
    outside(path, 'name = "Moth Meadow"', 'name = "Moth Mire"')
    outside(path, 'start = "13:00"', 'start = "13:30"')
    done = DAY_FILE.keep_mine(path, draft)
    assert "Save to write them" in done.says
    assert "13:30" in path.read_text()
    DAY_FILE.save(path, done.draft, done.form)
    event = read_event(path)
    assert (event.name, event.reserve.extra) == ("Moth Mire", 2)
    assert [session.runs for session in event.sessions] == [10, 7, 10, 10]
    assert event.sessions[2].start.strftime("%H:%M") == "13:30"


def test_what_differs_is_told_key_by_key_with_my_own_text_beside(path):
    draft = begun(path, values={"reserve.extra": "2"}, grids={"session": rows_with(path, 2, start="13:10")})
    outside(path, "[refill]", "[reserve]\nextra = 3\n\n[refill]")
    outside(path, 'start = "13:00"', 'start = "13:30"')
    found = differences(draft, day_base(path), DAY_FILE.specs, DAY_FILE.grids)
    assert found == [
        ("Extra runs or laps a leg", "1", "3", "2"),
        ("Session 3, start", "13:00", "13:30", "13:10"),
    ]
    told = DAY_FILE.outside(path, draft)
    assert "moth.toml was changed outside" in told.says
    assert told.table.rows[1].cells == ("13:00", "13:30", "13:10")


def test_rows_added_and_taken_out_outside_are_told(path):
    draft = begun(path, values={"name": "Mine"})
    text = path.read_text()
    last = text.rindex("[[session]]")
    path.write_text(text[:last] + text[last:].replace("Session 4", "Night").replace("14:00", "20:00"))
    found = differences(draft, day_base(path), DAY_FILE.specs, DAY_FILE.grids)
    assert ("Session 4, name", "Session 4", "Night", "") in found


def test_no_word_of_outside_while_the_file_is_the_one_that_the_draft_began_from(path):
    draft = begun(path, values={"name": "Mine"})
    assert DAY_FILE.outside(path, draft) is None
    assert not is_behind(draft, day_base(path))


def test_a_comment_changed_outside_is_no_difference_but_still_told(path):
    draft = begun(path, values={"name": "Mine"})
    path.write_text(path.read_text() + "\n# a note\n")
    told = DAY_FILE.outside(path, draft)
    assert "Nothing that this page shows differs" in told.says
    assert told.table.rows == ()


def test_a_file_broken_outside_is_told_with_its_reason(path):
    draft = begun(path, values={"name": "Mine"})
    path.write_text("name = ")
    told = DAY_FILE.outside(path, draft)
    assert told.table is None
    assert "not TOML" in told.says
    with pytest.raises(BadInput):
        DAY_FILE.keep_mine(path, draft)


def test_taking_the_files_can_be_undone(path):
    draft = begun(path, values={"name": "Mine"})
    outside(path, "runs = 10", "runs = 4")
    done = DAY_FILE.take_theirs(path, draft)
    assert not has_edits(done.draft)
    assert done.draft["past"][-1]["values"] == {"name": "Mine"}
    assert done.form["grids"]["session"][0]["runs"] == "4"


def test_an_open_page_without_edits_takes_over_a_change(path):
    base = day_base(path)
    assert DAY_FILE.fresh(path, {}, base) is None
    outside(path, "Moth Meadow", "Moth Mire")
    done = DAY_FILE.fresh(path, {}, base)
    assert done.draft == {}
    assert done.form["values"]["name"] == "Moth Mire"
    assert "new state" in done.says


def test_an_open_page_with_edits_takes_nothing_over(path):
    base, draft = day_base(path), begun(path, values={"name": "Mine"})
    outside(path, "runs = 10", "runs = 4")
    assert DAY_FILE.fresh(path, draft, base) is None


def test_a_tab_whose_draft_another_tab_saved_takes_the_saved_file_over(path):
    base, draft = day_base(path), begun(path, values={"name": "Mine"})
    saved = DAY_FILE.save(path, draft, base).draft
    done = DAY_FILE.fresh(path, saved, base)
    assert done.form["values"]["name"] == "Mine"


def test_undo_walks_back_over_a_save(path):
    text, base = path.read_text(), day_base(path)
    first = {"values": {}, "grids": {}, "trial": {}}
    second = {"values": {"name": "Mine"}, "grids": {}, "trial": {}}
    third = {"values": {"name": "Mine"}, "grids": {"session": rows_with(path, 0, runs="3")}, "trial": {"laps": 2.0}}
    saved = DAY_FILE.save(path, {**third, "past": [first, second], **origin(base)}, base)
    assert read_event(path).sessions[0].runs == 5
    back_one, back_two = saved.draft["past"][1], saved.draft["past"][0]
    assert back_one["values"] == {}
    assert [row["runs"] for row in back_one["grids"]["session"]] == ["10"] * 4
    DAY_FILE.save(path, {**saved.draft, **back_two, "past": []}, saved.form)
    assert path.read_text() == text


def test_undo_over_a_save_gives_back_the_same_plan(path):
    base = day_base(path)
    before = drafted_day(path, {}).outcome.plan
    draft = begun(path, trial={"confidence": 0.9}, past=[{"values": {}, "grids": {}, "trial": {}}])
    saved = DAY_FILE.save(path, draft, base)
    assert drafted_day(path, saved.draft).outcome.plan["confidence"] == 0.9
    step = saved.draft["past"][0]
    assert step["values"] == {"reserve.confidence": base["values"]["reserve.confidence"]}
    assert drafted_day(path, {**saved.draft, **step}).outcome.plan["refills"] == before["refills"]


def test_a_cars_draft_meets_a_change_in_its_lists(path):
    car = path.parent.parent / "cars" / "plum.toml"
    form = car_form(car)
    curve = copy.deepcopy(form["grids"]["pump.curve"])
    curve[1]["flow"] = "1.5 L/min"
    draft = {"values": {}, "grids": {"pump.curve": curve}, "trial": {}, "past": [], **origin(form)}
    outside(car, '"0.8 L/min"', '"0.9 L/min"')
    done = CAR_FILE.keep_mine(car, draft)
    CAR_FILE.save(car, done.draft, done.form)
    assert '[["1.9 L/min", "0 bar"], ["1.5 L/min", "6 bar"], ["0.9 L/min", "11 bar"]' in car.read_text()


ROW = st.fixed_dictionaries({"name": st.sampled_from("abcd"), "runs": st.sampled_from("123")})
ROWS = st.lists(ROW, max_size=4, unique_by=lambda row: row["name"])


@given(ROWS, ROWS)
def test_merging_with_no_change_on_one_side_is_the_other_side(old, new):
    assert merged_rows(old, new, old) == new
    assert sorted(map(str, merged_rows(old, old, new))) == sorted(map(str, new))


@given(ROWS, st.data())
def test_cells_that_only_one_side_changed_are_kept_and_mine_win(old, data):
    mine, theirs = copy.deepcopy(old), copy.deepcopy(old)
    for rows in (mine, theirs):
        for row in rows:
            row["runs"] = data.draw(st.sampled_from("1234"))
    for was, own, other, row in zip(old, mine, theirs, merged_rows(old, mine, theirs), strict=True):
        assert row["runs"] == (own["runs"] if own["runs"] != was["runs"] else other["runs"])


@given(ROWS, ROWS)
def test_a_draft_on_top_of_its_own_file_is_itself(old, new):
    form = {"fingerprint": "f", "values": {"name": "x"}, "grids": {"session": old}}
    draft = {"values": {"name": "y"}, "grids": {"session": new} if new != old else {}, "trial": {}, "past": []}
    moved = on_top({**draft, **origin(form)}, form)
    assert {key: moved[key] for key in draft} == draft
    assert given_up({**draft, **origin(form)}, form)["past"][-1]["values"] == {"name": "y"}
