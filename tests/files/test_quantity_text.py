"""Values as texts: short where they are round, and always back to the very same value."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.files.quantity_text import number, quantity_text
from planner.units import Dimension, quantity

DIMENSIONS: list[Dimension] = [
    "volume", "flow", "pressure", "length", "time", "temperature", "acceleration", "mass", "price",
]  # fmt: skip


@given(st.sampled_from(DIMENSIONS), st.floats(-200, 200) | st.floats(1e-9, 1e-3) | st.floats(1e3, 1e8))
def test_any_value_reads_back_exactly(dimension: Dimension, value: float) -> None:
    assert quantity(quantity_text(value, dimension), dimension) == value


@pytest.mark.parametrize(
    ("text", "dimension", "written"),
    [
        ("14 psi", "pressure", "14 psi"),
        ("1.1 bar", "pressure", "1.1 bar"),
        ("98 kPa", "pressure", "98 kPa"),
        ("7 gal/h", "flow", "7 gal/h"),
        ("1.9 L/min", "flow", "1.9 L/min"),
        ("1.5 gal", "volume", "1.5 gal"),
        ("68 degF", "temperature", "68 degF"),
        ("20 degC", "temperature", "20 degC"),
        ("15 ft", "length", "15 ft"),
        ("4 mm", "length", "4 mm"),
        ("20 min", "time", "20 min"),
        ("0.9 g", "acceleration", "0.9 g"),
        ("2.40 / L", "price", "2.4 / L"),
        ("0 L", "volume", "0 L"),
    ],
)
def test_a_round_value_is_written_in_the_unit_that_shows_it_round(
    text: str, dimension: Dimension, written: str
) -> None:
    assert quantity_text(quantity(text, dimension), dimension) == written


@given(st.floats(-1e12, 1e12))
def test_a_plain_number_reads_back_exactly(value: float) -> None:
    assert float(number(value)) == value


def test_whole_numbers_have_no_decimal_point() -> None:
    assert (number(3.0), number(2.5), number(-0.0)) == ("3", "2.5", "0")
