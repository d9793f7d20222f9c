"""Jug labels: the words a jug needs, and sheets whose labels lie on the paper without touching."""

from __future__ import annotations

import re
from html import unescape

import pytest

from planner.errors import BadInput
from planner.files.label import SHEETS, JugLabel, LabelSheet, label_sheet, label_text, labels_page, what_is_in


def _words(label: JugLabel) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", label_text(label))).split())


def test_a_label_of_half_and_half_names_strength_hazards_aid_and_date() -> None:
    words = _words(JugLabel(0.5, 0.010, "15 May 2026"))
    for needed in ("Methanol 50 % in water", "DANGER", "NOT A DRINK", "H226", "H301", "H311", "H331", "H370"):
        assert needed in words
    for needed in ("First aid:", "Mixed: 15 May 2026", "By:", "Fill to 9.5 L of 10 L", "Share by volume before mixing"):
        assert needed in words


def test_methanol_is_marked_as_catching_fire_very_easily_and_water_as_no_drink() -> None:
    assert "H225" in _words(JugLabel(1.0))
    water = _words(JugLabel(0.0, 0.005))
    assert "NOT A DRINK" in water
    assert "DANGER" not in water
    assert (what_is_in(1.0), what_is_in(0.0)) == ("Methanol, pure", "Water, distilled")


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=lambda sheet: sheet.name)
def test_labels_lie_on_their_paper_and_apart(sheet: LabelSheet) -> None:
    corners = sheet.corners()
    assert len(set(corners)) == sheet.count
    for x, y in corners:
        assert x >= 0
        assert x + sheet.width <= sheet.paper.width + 0.05
        assert y >= 0
        assert y + sheet.height <= sheet.paper.height + 0.05
    assert sheet.column_pitch >= sheet.width
    assert sheet.row_pitch >= sheet.height - 1e-9


def test_more_labels_than_a_sheet_holds_go_on_the_next() -> None:
    page = labels_page([JugLabel(0.5)] * 9, SHEETS["a4-8"])
    assert page.count('<section class="labels"') == 2
    assert page.count('<div class="label"') == 9
    assert "size: 210mm 297mm" in page


def test_an_unknown_label_sheet_is_refused() -> None:
    with pytest.raises(BadInput, match="--label-sheet = round: no such label sheet; take one of a4-2, a4-4"):
        label_sheet("round")


def test_before_printing_the_page_says_what_is_from_memory() -> None:
    page = labels_page([JugLabel(0.08, 0.005)], SHEETS["a4-8"])
    assert "measures are from memory" in page
    assert "Classes below 20 %" in page
    assert "Classes below 20 %" not in labels_page([JugLabel(0.5, 0.005)], SHEETS["a4-8"])
