"""The day's sheet: every session, mark, fill time and line that the paper must carry; nothing from the network."""

from __future__ import annotations

import re
from html import unescape

import pytest

from planner.errors import BadInput
from planner.files.paper import PAPERS, day_of, paper_of
from planner.files.print_sheet import print_sheet, row_height, sheet_answer, sheet_rows
from tests.cars import CAR
from tests.plans import event_of, plan_of

PLAN = plan_of(event_of(7))
PAGE = print_sheet(PLAN, CAR)
WORDS = unescape(re.sub(r"<[^>]+>", " ", PAGE.partition("<body>")[2]))


def test_each_session_stands_with_its_time_and_name() -> None:
    for row in PLAN["sessions"]:
        assert row["name"] in WORDS
        assert row["start"][11:16] in WORDS


def test_each_fill_stands_with_its_mark_in_litres_and_mm_and_when_to_begin() -> None:
    filled = [row for row in sheet_rows(PLAN, CAR) if row.fill]
    assert [row.number for row in filled] == [1, 4, 7]
    for row, fill in zip(filled, PLAN["refills"], strict=True):
        assert row.fill == f"{fill['mark_L']:.2f} L · {fill['mark_mm']:.0f} mm"
        assert row.begin == fill["by"][11:16]
        assert row.fill in WORDS


def test_the_dip_after_a_session_is_the_level_of_its_volume() -> None:
    row = sheet_rows(PLAN, CAR)[0]
    level = float(CAR.tank.shape.level_from_volume(PLAN["sessions"][0]["level_end_p50_L"] / 1e3)) * 1e3
    assert row.dip_after.startswith(f"{level:.0f} mm")


def test_a_level_below_empty_reads_as_empty() -> None:
    plan = plan_of(event_of(2))
    plan["sessions"][1]["level_end_p50_L"] = -0.2
    assert sheet_rows(plan, CAR)[1].dip_after.startswith("0 mm")


@pytest.mark.parametrize(
    "needed",
    [
        "Emergency number",
        "Poison centre",
        "second person",
        "Swallowed",
        "5.09 L methanol",
        "927 kg/m³",
        "nobody in the car",
    ],
)
def test_recipe_cautions_and_emergency_lines_stand_on_it(needed: str) -> None:
    assert needed in WORDS


def test_the_answer_names_the_first_fill_and_the_refills() -> None:
    assert sheet_answer(PLAN) == "Fill to 3.94 L · 68 mm before 1; refill before 4 and 7. Chance of running short 0.4%."
    assert "no refill after that" in sheet_answer(plan_of(event_of(2)))
    plan = plan_of(event_of(4))
    assert sheet_answer(plan | {"refills": plan["refills"][1:]}).startswith(
        "Start with what is in the tank; refill before 4"
    )


def test_the_page_asks_nothing_of_the_network_and_runs_no_script() -> None:
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)|<script|@import|url\(", PAGE)


def test_names_cannot_break_the_page() -> None:
    page = print_sheet(plan_of(event_of(2, name="<b>Moth & Co</b>")), CAR)
    assert "<b>Moth" not in page
    assert "&lt;b&gt;Moth &amp; Co" in page


def test_days_of_several_dates_get_headings() -> None:
    page = print_sheet(plan_of(event_of(4, spread_over=2)), CAR)
    assert page.count('<tr class="date">') == 2
    assert "Sun 17 May 2026" in page


def test_dates_read_the_same_in_every_locale() -> None:
    assert day_of("2026-05-16T08:00:00+01:00") == "Sat 16 May 2026"


def test_rows_shrink_with_their_number_but_not_below_3_mm() -> None:
    heights = [row_height(count, PAPERS["letter"]) for count in range(15, 60)]
    assert heights == sorted(heights, reverse=True)
    assert min(heights) == 3.0


def test_an_unknown_paper_is_refused() -> None:
    with pytest.raises(BadInput, match="--paper = a3: no such paper here; take a4 or letter"):
        paper_of("a3")
    assert paper_of("Letter").name == "Letter"
