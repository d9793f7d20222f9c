from concurrent.futures import ThreadPoolExecutor

import pytest

from dashboard.presenters import outcome as module
from dashboard.presenters.day_answer import answer_note, answer_parts, brief, legs, mark_whence
from dashboard.presenters.day_infeasible import mend_buttons, no_plan_sentence
from dashboard.presenters.day_picture import ON_A_PHONE, day_picture, part_of, picture_table
from dashboard.presenters.day_tables import bring_facts, floors_table, gaps_table, priorities_table, sessions_table
from dashboard.presenters.display import Display
from dashboard.presenters.whence import Whence, as_parts, words
from tests.dashboard.days import outcome, write_workspace


@pytest.fixture(scope="module")
def day(tmp_path_factory):
    return outcome(tmp_path_factory.mktemp("day"), runs=10)


def sentence(parts):
    return words(parts).replace("\u202f", " ")


def test_the_answer_names_mark_stop_time_and_what_to_bring(day):
    said, plan = sentence(answer_parts(day, Display())), day.plan
    assert plan["stops"] == 1
    stop = plan["refills"][1]
    assert said.startswith("Fill to ")
    assert f"refill once, by {stop['by'][11:16]} before Session {stop['before_session']} (" in said
    assert f"bring {plan['bring']['blend_L']:.1f} L." in said


def test_the_answer_says_so_when_there_is_no_refill(tmp_path):
    said = sentence(answer_parts(outcome(tmp_path, runs=3), Display()))
    assert ", no refill all day; bring " in said


def test_every_number_of_the_answer_opens_to_inputs_formula_and_source(day):
    numbers = [part for part in answer_parts(day, Display()) if isinstance(part, Whence)]
    assert len(numbers) == 4
    assert all(number.inputs and number.formula and number.source for number in numbers)


def test_legs_part_the_day_at_its_fills(day):
    found = legs(day.plan)
    assert [fill["before_session"] for fill, _ in found] == [fill["before_session"] for fill in day.plan["refills"]]
    assert [row["number"] for _, rows in found for row in rows] == [1, 2, 3, 4]


def test_a_mark_opens_to_the_use_of_its_own_leg(day):
    fill, rows = legs(day.plan)[1]
    inputs = dict(mark_whence(day.plan, fill, Display()).inputs)
    assert inputs["Use expected"] == Display().volume(sum(row["use_mean_L"] for row in rows))


def test_units_change_the_words_and_not_the_plan(day):
    before = dict(day.plan)
    assert "gal" in sentence(answer_parts(day, Display("us")))
    assert "imp gal" in brief(day.plan, Display("imperial"))
    assert day.plan == before


def test_the_note_sets_the_chance_against_what_is_accepted(day):
    assert sentence(answer_note(day.plan)).endswith("1 % is accepted.")


def test_refills_stand_before_their_sessions_in_the_table(day):
    rows = sessions_table(day.plan, Display()).rows
    places = [place for place, row in enumerate(rows) if row.look == "refill-row"]
    assert len(rows) == 6
    for place, fill in zip(places, day.plan["refills"], strict=True):
        assert rows[place + 1].head.startswith(str(fill["before_session"]))


def tables(day):
    return [
        sessions_table(day.plan, Display()), floors_table(day.plan, Display()), gaps_table(day.plan, Display()),
        priorities_table(day.plan, Display()), picture_table(day.plan, Display()),
    ]  # fmt: skip


def test_every_table_has_a_cell_for_every_column(day):
    for table in tables(day):
        assert table.rows
        assert all(len(row.cells) == len(table.columns) for row in table.rows)


def test_every_number_of_the_tables_opens_to_its_own_rows_inputs(day):
    for table in tables(day):
        figures = [place for place, column in enumerate(table.columns) if column.figure]
        for row in table.rows:
            for place in figures:
                parts = [part for part in as_parts(row.cells[place]) if any(letter.isdigit() for letter in words(part))]
                assert all(isinstance(part, Whence) for part in parts), (table.caption, words(row.cells[place]))
                assert all(part.inputs and part.formula and part.source for part in parts)
    bring = [part for _, cell in bring_facts(day.plan, Display()) for part in as_parts(cell)]
    assert len([part for part in bring if isinstance(part, Whence)]) >= 7


def test_every_mark_of_every_priority_opens_to_its_own_session(day):
    for row, choice in zip(priorities_table(day.plan, Display()).rows, day.plan["alternatives"], strict=True):
        marks = [part for part in as_parts(row.cells[1]) if isinstance(part, Whence)]
        assert [dict(mark.inputs)["Before"] for mark in marks] == [fill["session_name"] for fill in choice["refills"]]


def test_rows_of_one_column_have_inputs_of_their_own(day):
    rows = [row for row in sessions_table(day.plan, Display()).rows if row.look != "refill-row"]
    levels = [as_parts(row.cells[3])[0].inputs[0] for row in rows]
    fills = {fill["before_session"] for fill in day.plan["refills"]}
    for number, (name, _) in enumerate(levels, 1):
        assert name.startswith("Filled before it" if number in fills else "Left by Session")


def test_the_parts_of_a_floor_add_up_to_it(day):
    for row, session in zip(floors_table(day.plan, Display()).rows, day.plan["sessions"], strict=True):
        shown = dict(row.cells[4].inputs)
        most = max(session["unusable_level_L"], session["unusable_slosh_L"], session["low_level_switch_L"])
        assert session["floor_L"] == pytest.approx(most + session["final_reserve_L"], abs=2e-3)
        assert shown["Final reserve"] == Display().volume(session["final_reserve_L"])


def test_a_refused_gap_says_why(day):
    last = gaps_table(day.plan, Display()).rows[-1]
    assert last.cells[1] == "no"
    assert "grid" in last.cells[2]


def test_what_to_bring_holds_volume_mass_and_containers(day):
    facts = dict(bring_facts(day.plan, Display()))
    assert "kg" in words(facts["Blend"])
    assert words(facts["Containers"]).startswith(("10.0", "5.0"))


def test_the_picture_holds_level_floor_and_rises_in_the_units_shown(day):
    metric, us = day_picture(day.plan, Display()), day_picture(day.plan, Display("us"))
    for one, other, row in zip(metric.sessions, us.sessions, day.plan["sessions"], strict=True):
        assert one.level_end == pytest.approx(row["level_end_p50_L"], abs=1e-3)
        assert other.floor == pytest.approx(row["floor_L"] / 3.785411784, abs=1e-3)
        assert one.low_end <= one.level_end <= one.high_end
    assert [rise.end for rise in metric.rises] == [
        metric.sessions[fill["before_session"] - 1].start for fill in day.plan["refills"]
    ]
    assert metric.rises[1].low == metric.sessions[day.plan["refills"][1]["before_session"] - 2].level_end


def test_the_picture_draws_wall_clock_time_without_an_offset(day):
    assert day_picture(day.plan, Display()).sessions[0].start == "2026-05-16T09:00:00"


def test_a_phone_sees_a_part_with_its_own_rises(day):
    whole = day_picture(day.plan, Display())
    part = part_of(whole, 0, 1)
    assert [box.number for box in part.sessions] == [1]
    assert [rise.end for rise in part.rises] == [whole.sessions[0].start]
    assert len(part_of(whole, 0).sessions) == ON_A_PHONE


def test_a_day_that_cannot_be_done_offers_its_mends(tmp_path):
    made = outcome(tmp_path, runs=40)
    assert made.plan is None
    buttons = mend_buttons(made, Display())
    assert buttons[0].first
    tank = next(button for button in buttons if button.key == "tank")
    assert tank.value > 1
    assert "Try a tank of" in tank.text
    said = no_plan_sentence(made, Display("us"))
    session = made.event.sessions[made.no_plan["session"] - 1]
    assert session.name in said
    assert f"{made.car.tank.limit * 1e3 / 3.785411784:.3f}\u202fgal" in said
    assert made.no_plan["message"].split("(")[0].lower() == said.split("(")[0].lower()


def test_a_broken_event_has_faults_and_no_plan(tmp_path):
    path = write_workspace(tmp_path)
    path.write_text(path.read_text().replace('"14 psi"', '"14 gal"'))
    made = module.outcome_of_file(path)
    assert made.plan is None
    assert "not a unit of pressure" in made.faults[0].line()


def test_many_who_ask_for_one_plan_at_once_get_one_work_done(tmp_path, monkeypatch):
    path, plan, begun = write_workspace(tmp_path, runs=11), module.plan_day, []
    monkeypatch.setattr(module, "plan_day", lambda *given: begun.append(given) or plan(*given))
    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(module.outcome_of_file, [path] * 4))
    assert len(begun) == 1
    assert all(one.plan == found[0].plan for one in found)
