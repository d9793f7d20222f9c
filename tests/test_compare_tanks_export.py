"""The comparison's plain data, its words, its table and its picture."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from functools import lru_cache
from io import BytesIO, StringIO
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.compare_tanks import Days, NamedTank
from planner.compare_tanks.picture import Dot, Label, picture, png, round_ticks, svg
from planner.compare_tanks.pool import Workers
from planner.compare_tanks.run import Question, answered
from planner.compare_tanks.table import DAY_COLUMNS, csv_text
from planner.compare_tanks.words import (
    Metric,
    answer_sentence,
    change_sentence,
    days_text,
    listed,
    smallest_sentence,
    sure_sentence,
    trade_sentence,
)
from tests.cars import CAR
from tests.tank_days import DRAWS, days

SVG = "{http://www.w3.org/2000/svg}"


@lru_cache(maxsize=1)
def result() -> dict[str, Any]:
    """A comparison over three days."""
    question = Question(Days(days()), tuple(size * 1e-3 for size in (3, 5, 7, 12, 30)), changes=True)
    return answered(question, workers=Workers(1), draws=DRAWS)


def test_the_keys_that_scripts_rely_on() -> None:
    told = json.loads(json.dumps(result(), allow_nan=False))
    assert {"tanks", "smallest_without_stops_L", "answer", "worth", "sureness", "changes"} <= set(told)
    for tank in told["tanks"]:
        assert {"capacity_L", "events", "full_mass_kg", "slosh_risk_share"} <= set(tank)
        assert [day["event"] for day in tank["events"]] == told["events"]
        for day in tank["events"]:
            assert {"event", "stops", "short_chance", "least_margin_L"} <= set(day)
            assert (day["stops"] is None) == (not day["feasible"])
            assert day["feasible"] == (day["breaks_session"] is None)


def test_a_day_that_cannot_be_driven_tells_the_least_chance_of_running_short() -> None:
    impossible = [day for tank in result()["tanks"] for day in tank["events"] if not day["feasible"]]
    assert impossible
    for day in impossible:
        assert day["short_chance"] > 0.01
        assert day["bring_L"] is None


def test_the_answer_names_the_tanks_worth_considering_and_the_smallest() -> None:
    told = result()
    assert told["answer"].startswith("For three days ")
    for row in told["worth"]:
        assert row["name"] in told["answer"]
        assert told["tanks"][row["place"]]["name"] == row["name"]
    assert f"{told['smallest_without_stops_L']:.1f} L without a stop" in told["answer"]


def _worth(**trade: Any) -> dict[str, Any]:
    plain = {
        "stops_saved": 0,
        "fewer_on": 0,
        "more_on": 0,
        "days": 5,
        "saved_days": 0,
        "heavier_kg": 0.0,
        "washing": 0.0,
    }
    return {"name": "12 L", "stops": 2, "base": False, "trade": {**plain, **trade}}


@pytest.mark.parametrize(
    ("trade", "sentence"),
    [
        (
            {"stops_saved": 2, "fewer_on": 2, "heavier_kg": 3.1},
            "Two stops less on two of five days than with today's 8 L, for 3.1 kg more carried on average.",
        ),
        (
            {"stops_saved": -1, "more_on": 1, "heavier_kg": -2.0, "washing": 0.12},
            "One stop more on one of five days than with today's 8 L, with 2.0 kg less carried on average; "
            "12% more of the time in the washing band.",
        ),
        (
            {"saved_days": 1, "heavier_kg": 0.01},
            "One day more can be driven than with today's 8 L, for the same mass carried.",
        ),
        ({"heavier_kg": 1.0}, "As many stops as with today's 8 L, with 1.0 kg more carried on average."),
        (
            {"saved_days": -2, "stops_saved": 1, "fewer_on": 1, "heavier_kg": -1.0},
            "Two days less can be driven and one stop less on one of five days than with today's 8 L, "
            "for 1.0 kg less carried on average.",
        ),
    ],
)
def test_what_a_tank_buys_and_costs_is_one_sentence(trade: dict[str, Any], sentence: str) -> None:
    assert trade_sentence(_worth(**trade), "today's 8 L", Metric()) == sentence


def test_the_base_is_told_as_such() -> None:
    row = {**_worth(), "base": True}
    assert trade_sentence(row, "today's 8 L", Metric()) == "What the others are held against: two stops in all."


def test_no_tank_worth_considering_is_said() -> None:
    told = {**result(), "worth": [], "space_mm": [100.0, 100.0, 100.0]}
    assert answer_sentence(told, Metric()).startswith("None of these tanks gets through three days or fits the space.")


def test_one_size_for_two_answers_is_named_once() -> None:
    sizes = {"smallest_without_stops_L": 15.1, "smallest_in_long_gaps_L": 12.2, "smallest_feasible_L": 12.2}
    assert smallest_sentence({"long_gap_min": 45.0, **sizes}, Metric()) == (
        "The smallest of the car's own shape: 15.1 L without a stop; "
        "12.2 L with stops only in gaps over 45 min and with any plan."
    )


def test_a_size_beyond_reach_is_said() -> None:
    told = {**result(), "smallest_without_stops_L": None}
    assert "No tank up to sixteen times today's does it without a stop." in answer_sentence(told, Metric())


def test_how_sure_names_what_may_flip_and_what_settles_it() -> None:
    sure = {
        "low": 0.88,
        "high": 1.14,
        "measurements": [{"name": "a flow test", "settles": 0.7}, {"name": "one dip", "settles": 0.2}],
        "flips": [{"tank": "5 L"}, {"tank": "5 L"}],
    }
    assert sure_sentence({"sureness": sure}) == (
        "Two answers for 5 L may flip while the car uses 0.88 to 1.14 times what its file says; "
        "a flow test would settle 70% of that (one dip: 20%)."
    )
    assert sure_sentence({"sureness": {**sure, "flips": []}}).startswith(
        "Nothing flips while the car uses 0.88 to 1.14"
    )


def test_other_choices_name_what_moves_use_and_what_saves_stops() -> None:
    plain = {"impossible_more": 0, "carried_more_kg": 0.0}
    rows = [
        {"name": "smaller nozzles", "use_more_L": -0.8, "stops_more": 0, **plain},
        {"name": "a second tank", "use_more_L": 0.0, "stops_more": -2, **plain},
    ]
    assert change_sentence(rows, Metric()) == (
        "Use moves most with smaller nozzles: 0.8 L a day less. Stops fall most with a second tank: two less in all."
    )
    saved = [{**rows[0], "impossible_more": -1}]
    assert "One day more can be driven with smaller nozzles." in change_sentence(saved, Metric())
    assert change_sentence(rows[:1], Metric()).endswith("No single change saves a stop.")


def test_counts_and_lists_read_as_words() -> None:
    assert days_text(1, 1) == "on the day"
    assert days_text(2, 2) == "on both days"
    assert days_text(3, 3) == "on all three days"
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b and c"


def test_the_table_has_a_row_for_each_tank_and_day_and_no_formula() -> None:
    told = result()
    rows = list(csv.DictReader(StringIO(csv_text(told))))
    assert len(rows) == len(told["tanks"]) * len(told["events"])
    first = rows[0]
    assert float(first["capacity_L"]) == told["tanks"][0]["capacity_L"]
    assert set(DAY_COLUMNS) <= set(first)
    assert {row["feasible"] for row in rows} == {"yes", "no"}
    sly = {**told, "tanks": [{**told["tanks"][0], "name": "=1+1"}]}
    assert "\r\n'=1+1," in csv_text(sly)


def test_the_picture_holds_one_mark_a_tank_and_names_those_worth_considering() -> None:
    told = result()
    marks = picture(told)
    feasible = [tank for tank in told["tanks"] if tank["mean_carried_kg"] is not None]
    crossed = [tank for tank in feasible if tank["impossible_days"] and not tank["worth"]]
    assert sum(isinstance(mark, Dot) for mark in marks) == len(feasible) - len(crossed)
    texts = [mark.text for mark in marks if isinstance(mark, Label)]
    assert all(row["name"] in texts for row in told["worth"])


def test_the_drawing_is_well_formed_escaped_and_within_its_bounds() -> None:
    told = {**result(), "car": "<Plum & co>"}
    root = ElementTree.fromstring(svg(told))
    assert root.tag == f"{SVG}svg"
    assert any("<Plum & co>" in (text.text or "") for text in root.iter(f"{SVG}text"))
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    for dot in root.iter(f"{SVG}circle"):
        assert 0 < float(dot.attrib["cx"]) < width
        assert 0 < float(dot.attrib["cy"]) < height


def test_the_image_shows_the_same_dots() -> None:
    from PIL import Image  # the rasteriser, to read back what was drawn

    told = result()
    image = Image.open(BytesIO(png(told, scale=1))).convert("RGB")
    named = [mark for mark in picture(told) if isinstance(mark, Dot) and mark.radius == 8]
    assert len(named) == len(told["worth"])
    for mark in named:
        assert image.getpixel((round(mark.x), round(mark.y))) == (0, 0x58, 0x8F)


def test_one_day_and_one_tank_make_a_picture_too() -> None:
    alone = answered(Question(Days(days()[1:2]), tanks=(NamedTank("b", CAR.tank),)), workers=Workers(1), draws=DRAWS)
    assert svg(alone).count("<circle") == 2
    undriven = {**alone, "tanks": [{**tank, "mean_carried_kg": None} for tank in alone["tanks"]]}
    assert svg(undriven).count("<circle") == 0


@given(st.floats(-50, 50), st.floats(0.01, 100))
def test_ticks_are_even_few_and_reach_both_ends(low: float, span: float) -> None:
    ticks = round_ticks(low, low + span)
    assert 2 <= len(ticks) <= 10
    assert ticks[0] <= low + 1e-6 * span
    assert ticks[-1] >= low + span - 1e-6 * span
    steps = [b - a for a, b in pairwise(ticks)]
    assert steps == pytest.approx([steps[0]] * len(steps))


def test_masses_without_an_empty_tank_known_are_of_the_fluid_and_said() -> None:
    heavy = NamedTank("heavy", replace(CAR.tank, empty_mass=3.0))
    told = answered(Question(Days(days()[1:2]), tanks=(heavy,)), workers=Workers(1), draws=DRAWS)
    masses = {tank["name"]: tank["full_mass_kg"] for tank in told["tanks"]}
    assert masses["heavy"] == pytest.approx(masses["today's 8.06 L"] + 3.0)
    assert any("no empty_mass" in notice for notice in told["notices"])
