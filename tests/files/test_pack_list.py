"""The list as CSV and on paper, and the labels that go with it."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from datetime import date
from html import unescape

import pytest

from planner.car import Blend
from planner.files.cautions import BEFORE_MIXING
from planner.files.pack_list import all_papers, jug_labels, pack_csv
from planner.planning.carriage import PROFILES
from planner.planning.packing import Outing, pack_json, pack_list
from planner.planning.weather import Weather, weather_warnings
from tests.cars import CAR
from tests.plans import event_of, plan_of

EVENT = event_of(7)
OUTING = Outing(plan_of(EVENT), EVENT, CAR)
PACKED = pack_list([OUTING], limits=PROFILES["us-trade"])
WEATHER = weather_warnings(0.5, Weather(5.0, 31.0, 45.0))
PAGE = all_papers([OUTING], PACKED, frozenset({"tool/jug"}), weather=WEATHER, mixed=date(2026, 5, 15))
WORDS = " ".join(unescape(re.sub(r"<[^>]+>", " ", PAGE.partition("<body>")[2])).split())


def test_csv_holds_every_line_with_litres_and_kilograms() -> None:
    rows = list(csv.DictReader(io.StringIO(pack_csv(PACKED, frozenset({"tool/jug"})))))
    assert len(rows) == len(PACKED.items)
    assert sum(float(row["volume_L"]) for row in rows if row["volume_L"]) == pytest.approx(9.81, abs=0.01)
    assert [row["item"] for row in rows if row["packed"] == "yes"] == ["Measuring jug"]
    assert pack_csv(PACKED).splitlines(keepends=True)[0] == "group,item,detail,volume_L,mass_kg,packed\r\n"


def test_the_papers_hold_every_line_with_a_box_and_the_ticks() -> None:
    for item in pack_json(PACKED)["items"]:
        assert item["text"] in WORDS
    assert PAGE.count('<td class="box">') == len(PACKED.items)
    assert PAGE.count("✓") == 1


def test_the_papers_hold_recipe_cautions_weather_carriage_and_labels() -> None:
    assert all(one.text in WORDS for one in (*BEFORE_MIXING, *WEATHER))
    assert "49 CFR 173.6" in WORDS
    assert "not legal advice" in WORDS
    assert "container 1 9.50 L 4.92 L 4.92 L 3.89 + 4.91 kg" in WORDS
    assert WORDS.count("NOT A DRINK") == len(PACKED.packages)
    assert "Mixed: 2026-05-15" in WORDS
    assert "this end on the tank's lowest point" in WORDS


def test_the_papers_ask_nothing_of_the_network() -> None:
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)|<script|@import|url\(", PAGE)


def test_each_container_gets_the_label_of_what_is_in_it() -> None:
    mixed = [label.alcohol_share for label in jug_labels(PACKED)]
    assert mixed == [0.5, 0.5]
    apart = jug_labels(pack_list([OUTING], mixed_there=True), date(2026, 5, 15))
    assert [label.alcohol_share for label in apart] == [1.0, 0.0]
    assert [label.size for label in apart] == pytest.approx([0.010, 0.010])
    assert {label.mixed for label in apart} == {""}


def test_methanol_alone_has_no_recipe() -> None:
    pure = replace(CAR, blend=Blend(1.0))
    outing = Outing(plan_of(EVENT, pure), EVENT, pure)
    assert 'class="recipe"' not in all_papers([outing], pack_list([outing]))
