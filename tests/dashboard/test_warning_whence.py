"""The number in a plan's warning opens to where it comes from; the sentence stays as it was."""

from dataclasses import replace

import pytest

from dashboard.components.day_parts import day_answer, day_tables
from dashboard.presenters.display import THIN, Display
from dashboard.presenters.planner_words import warning_words
from dashboard.presenters.warning_whence import warning_parts
from dashboard.presenters.whence import Whence, words
from planner.day.warnings import TIGHT_MINUTES
from planner.physics.blend import flash_point
from tests.dashboard.days import outcome

SIPHONING = {"level": "warning", "code": "siphoning", "text": "Manifold vacuum draws about 0.45 L through the nozzle."}
TIGHT = {"level": "caution", "code": "tight-gap", "text": "The refill before Session 3 leaves under 2 min to spare."}
PLAIN = {"level": "notice", "code": "search-cut", "text": "There are too many refill sets; about 2 L."}


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return outcome(tmp_path_factory.mktemp("day"))


def opened(warning, plan, car, display=None):
    """The one number of a warning that opens; the sentence is that of the warning."""
    parts = warning_parts(warning, plan, car, display or Display())
    assert words(parts) == warning_words(warning, display or Display())
    (number,) = [part for part in parts if isinstance(part, Whence)]
    assert number.title
    assert number.formula
    assert number.source
    return number


@pytest.mark.parametrize("system", ["metric", "us", "imperial"])
def test_the_flash_point_opens_to_the_blends_share_in_any_units(made, system):
    warning = next(one for one in made.plan["warnings"] if one["code"] == "methanol")
    display = Display(system)
    number = opened(warning, made.plan, made.car, display)
    assert number.text == display.temperature(round(float(flash_point(made.car.blend.alcohol_share))))
    assert number.inputs == (("Methanol by volume", f"{100 * made.car.blend.alcohol_share:.0f}{THIN}%"),)


def test_what_is_siphoned_opens_to_each_session_that_siphons(made):
    sessions = [{"name": f"Stint {k}", "siphon_mean_L": 0.0 if k == 2 else 0.01 * k} for k in range(1, 16)]
    number = opened(SIPHONING, {**made.plan, "sessions": sessions[:4]}, made.car)
    assert number.text == f"0.45{THIN}L"
    assert number.inputs == (
        ("Stint 1", f"0.01{THIN}L"),
        ("Stint 3", f"0.03{THIN}L"),
        ("Stint 4", f"0.04{THIN}L"),
    )
    many = opened(SIPHONING, {**made.plan, "sessions": sessions}, made.car).inputs
    assert len(many) == 13
    assert many[-1] == ("and", "2 more sessions")


def test_a_tight_gap_opens_to_the_time_needed_and_the_time_there_is(made):
    fills = [
        {"before_session": 1, "session_name": "Stint 1", "minutes_needed": 3.44},
        {"before_session": 3, "session_name": "Stint 3", "minutes_needed": 11.25},
    ]
    gaps = [{"before_session": 1, "minutes": None}, {"before_session": 3, "minutes": 12.6}]
    number = opened(TIGHT, {**made.plan, "refills": fills, "gaps": gaps}, made.car)
    assert number.text == f"{TIGHT_MINUTES:.0f} min"
    assert number.inputs == (
        ("Before Stint 1", f"3.4{THIN}min needed on 99 of 100 days"),
        ("Before Stint 3", f"11.2{THIN}min needed on 99 of 100 days"),
        ("Gap before Stint 3", f"13{THIN}min"),
    )


def test_a_warning_without_a_number_that_was_worked_out_stays_a_sentence(made):
    assert warning_parts(PLAIN, made.plan, made.car, Display()) == [warning_words(PLAIN, Display())]
    bare = {**SIPHONING, "text": "Manifold vacuum draws fluid."}
    assert warning_parts(bare, made.plan, made.car, Display()) == [bare["text"]]


def test_the_page_shows_the_number_as_one_that_opens(made):
    plan = {**made.plan, "warnings": [*made.plan["warnings"], SIPHONING, TIGHT]}
    told = replace(made, plan=plan)
    before, after = (str(make(told, Display())) for make in (day_answer, day_tables))
    assert "Siphoned over the day" in before
    assert "Flash point of the blend" in after
    assert "Time to spare in a gap" in after
