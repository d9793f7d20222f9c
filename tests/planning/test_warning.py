"""A warning as plain data."""

from __future__ import annotations

from planner.planning.warning import Warning


def test_a_warning_as_plain_data_holds_its_level_its_code_and_its_text() -> None:
    plain = {"level": "caution", "code": "frost", "text": "Keep it indoors."}
    assert Warning("caution", "frost", "Keep it indoors.").as_dict() == plain
