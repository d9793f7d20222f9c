"""Names and units wherever titles, comments and units lines stand, and names in several languages."""

from __future__ import annotations

import numpy as np
import pytest

from planner.event import Reading
from tests.driving.tables import BOOST, TIME, csv, read, refusal, told

ROWS = csv({"Time": TIME, "RPM": np.full(TIME.size, 3000.0), "Boost": BOOST / 100})
HEAD, DATA = ROWS.split("\n", 1)


@pytest.mark.parametrize(
    "head",
    [
        f"Garden session\nmade, by hand\n\n{HEAD}\ns,rpm,bar",
        f"s,rpm,bar\n{HEAD}",
        f"{HEAD}\n\n[s],[rpm],[bar]\n",
        f"{HEAD}\n# here the data begin, at last\ns,rpm,bar",
        f"# {HEAD}\n# s,rpm,bar",
        f"{HEAD}\n----,-----,-----\ns,rpm,bar",
        "Time [s],RPM [1/min],Boost [bar]\n====,====,====",
        "Time (s),RPM,Boost (bar)",
        "Time / s,RPM,Boost / bar",
        "time_s,rpm,boost_bar",
        '"Time [s]","RPM","Boost, measured [bar]"',
        f"sep=,\n{HEAD}\ns,rpm,bar",
        f"Name: pickle\nRows: 900\n\n{HEAD}\n(s),(rpm),(bar)",
    ],
)
def test_names_and_units_are_found(head: str) -> None:
    recording = read(f"{head}\n{DATA}")

    assert recording.trace.boost == pytest.approx(1e3 * BOOST, abs=1)
    assert recording.trace.time == pytest.approx(TIME)
    assert {column.meaning: column.unit for column in recording.columns} == {"time": "s", "boost": "bar", "rpm": "rpm"}


@pytest.mark.parametrize(
    "head",
    [
        "boost_kPa,rpm",
        "boost,rpm\nkPa,rpm",
        "boost [kPa],rpm",
        "boost [kPa],AFR\n# begun by hand, again",
        "# begun, again\nboost [kPa],AFR",
    ],
)
def test_a_name_that_is_also_a_unit_does_not_make_the_names_a_line_of_units(head: str) -> None:
    rows = "".join(f"{b:.6f},3000\n" for b in BOOST)
    recording = read(f"{head}\n{rows}", Reading(rate=10.0))

    assert recording.trace.boost == pytest.approx(1e3 * BOOST, abs=1)
    assert recording.trace.time == pytest.approx(TIME)


@pytest.mark.parametrize(
    "name",
    [
        "Boost [kPa]", "boost_kPa", "Turbo Boost (kPa)", "Ladedruck rel. [kPa]", "Überdruck Ladeluft [kPa]",
        "Pression de suralimentation [kPa]", "Pression collecteur relative (kPa)", "Presión de sobrealimentación (kPa)",
        "Pressione di sovralimentazione [kPa]", "Ahtopaine [kPa]", "Manifold gauge pressure [kPa]", "Boost [kPag]",
        "Pressure [kPa rel]", "BoostPressure_kPa", "ManifoldPressure (kPa gauge)", "P2 [kPa]",
    ],
)  # fmt: skip
def test_names_of_gauge_pressures(name: str) -> None:
    recording = read({"time_s": TIME, name: BOOST})

    assert not recording.absolute
    assert recording.trace.boost.max() == pytest.approx(1e3 * BOOST.max())


@pytest.mark.parametrize(
    "name",
    [
        "MAP [kPa]", "Manifold Absolute Pressure (kPa)", "INTAKE_MANIFOLD_ABSOLUTE_PRESSURE [kPa]",
        "Pressure [kPa abs]", "Saugrohr absolutdruck / kPa", "Ladedruck absolut [kPa]", "Boost [kPaa]",
        "Pression collecteur absolue (kPa)",
        "MAP_kPa_abs", "Pressure (kPa(a))",
    ],
)  # fmt: skip
def test_names_of_absolute_pressures(name: str) -> None:
    recording = read({"time_s": TIME, name: BOOST + 101.325})

    assert recording.absolute
    assert recording.trace.boost.max() == pytest.approx(1e3 * BOOST.max(), abs=1)


def test_other_pressures_are_not_taken() -> None:
    others = (
        "Oil pressure [bar]", "Fuel pressure [bar]", "Boost target [kPa]", "Boost duty [%]", "Brake pressure [bar]",
        "Exhaust back pressure [kPa]", "Tyre pressure [bar]", "Kraftstoffdruck [bar]", "ABS pressure [bar]",
    )  # fmt: skip
    said = refusal({"time_s": TIME, **dict.fromkeys(others, BOOST)})
    assert "no column is known as boost" in said
    assert '"Oil pressure [bar]"' in said
    assert "--column boost=NAME" in said

    recording = read({"time_s": TIME, **dict.fromkeys(others, BOOST), "Boost [kPa]": BOOST})
    assert {column.meaning: column.name for column in recording.columns}["boost"] == "Boost [kPa]"


def test_of_two_that_may_be_boost_the_other_is_told_with_what_to_type() -> None:
    recording = read({"time_s": TIME, "MAP [kPa]": BOOST + 101.325, "Boost [kPa]": BOOST})

    assert '"MAP [kPa]" was taken for boost, not "Boost [kPa]"' in told(recording)
    assert '--column boost="Boost [kPa]"' in told(recording)


def test_a_count_of_rows_without_a_name_shifts_no_name() -> None:
    rows = "".join(f"{i},{t:.1f},{b:.6f}\n" for i, (t, b) in enumerate(zip(TIME, BOOST, strict=True)))
    for head in ("time_s,boost_kPa\n", ",time_s,boost_kPa\n"):
        recording = read(head + rows)
        assert recording.trace.time == pytest.approx(TIME)
        assert recording.trace.boost == pytest.approx(1e3 * BOOST, abs=1e-2)


def test_a_long_list_of_columns_is_cut_with_their_number() -> None:
    many = {f"CH {k}": TIME for k in range(60)}
    said = refusal({"time_s": TIME, **many})
    assert '"CH 38"' in said
    assert '"CH 39"' not in said
    assert '"CH 9"' in refusal({"time_s": TIME, **{f"CH {k}": TIME for k in range(10)}})


def test_a_column_that_holds_nothing_gives_way_to_the_next() -> None:
    recording = read({"time_s": TIME, "Boost 1 [kPa]": 0 * TIME, "Boost 2 [kPa]": BOOST})
    assert recording.trace.boost.max() == pytest.approx(1e3 * BOOST.max())


def test_two_columns_of_one_name_are_told_apart_by_number() -> None:
    text = csv({"time_s": TIME, "a": BOOST, "b": BOOST / 2}).replace("a,b", "boost [kPa],boost [kPa]")
    assert "--column boost=3" in told(read(text))
    halved = read(text, Reading(columns=(("boost", "3"),)))
    assert halved.trace.boost.max() == pytest.approx(500 * BOOST.max())


def test_a_file_without_names_is_mapped_by_number() -> None:
    text = "".join(f"{t:.1f},{b:.6f}\n" for t, b in zip(TIME, BOOST, strict=True))
    assert '"column 2"' in refusal(text)
    mapped = read(text, Reading(columns=(("boost", "2"),), units=(("boost", "kPa"),)))
    assert mapped.trace.boost == pytest.approx(1e3 * BOOST, abs=1e-2)


@pytest.mark.parametrize(
    ("columns", "units", "sentence"),
    [
        ((("boost", "CH9"),), (), 'column boost = CH9: no such column; the file has: "time_s", "boost_kPa"'),
        ((("thrust", "boost_kPa"),), (), "column = thrust: no such meaning; one of: time, boost"),
        ((), (("boost", "furlong"),), "unit boost = furlong: 'furlong' is not a unit of pressure"),
    ],
)
def test_a_wrong_mapping_is_answered(columns: tuple, units: tuple, sentence: str) -> None:  # type: ignore[type-arg]
    assert sentence in refusal({"time_s": TIME, "boost_kPa": BOOST}, Reading(columns=columns, units=units))


def test_decimal_commas_between_separating_commas_are_refused_with_the_remedy() -> None:
    rows = "".join(f"{t:.1f},{b:.1f}\n".replace(".", ",") for t, b in zip(TIME, BOOST, strict=True))
    said = refusal("time_s,boost_kPa\n" + rows)
    assert "4 values a row under 2 names" in said
    assert "semicolons" in said


def test_points_that_group_digits_beside_decimal_commas() -> None:
    def german(value: float) -> str:
        return f"{value:,.3f}".translate(str.maketrans(",.", ".,"))

    cells = {"Zeit [s]": [german(t) for t in TIME], "Ladedruck abs [mbar]": [german(10 * b + 1013.25) for b in BOOST]}
    assert read(csv(cells, ";")).trace.boost == pytest.approx(1e3 * BOOST, abs=0.1)


def test_commas_that_group_digits_beside_decimal_points() -> None:
    cells = {"time_s": [f"{t:.1f}" for t in TIME], "MAP_mbar": [f"{10 * b + 1013.25:,.3f}" for b in BOOST]}
    assert read(csv(cells, ";")).trace.boost == pytest.approx(1e3 * BOOST, abs=0.1)


@pytest.mark.parametrize("unit", ["kPa", "kPa (abs)", "kPa abs"])
def test_units_in_the_cells_with_their_mark(unit: str) -> None:
    pressure = [f"{b + 101.325:.4f} {unit}" for b in BOOST]
    name = "MAP" if unit == "kPa" else "Pressure"
    recording = read({"Time": [f"{t:.1f} s" for t in TIME], name: pressure})

    assert recording.absolute
    assert recording.trace.boost == pytest.approx(1e3 * BOOST, abs=0.1)


def test_words_among_numbers_are_left_out_and_counted_if_few() -> None:
    cells = [f"{b:.6f}" for b in BOOST]
    cells[100] = cells[200] = "sensor asleep"
    assert '2 cells of "boost_kPa" hold no number' in told(read({"time_s": TIME, "boost_kPa": cells}))
    cells[300:700] = ["sensor asleep"] * 400
    said = refusal({"time_s": TIME, "boost_kPa": cells})
    assert "402 of 900 cells hold no number" in said
    assert "--column boost=NAME" in said


def test_a_footer_and_a_header_repeated_in_the_middle_do_no_harm() -> None:
    text = csv({"time_s": TIME, "boost_kPa": BOOST})
    head, first, *rest = text.splitlines(keepends=True)
    torn = "".join((head, first, *rest[:400], head, *rest[400:], "Rows: 900\n", "the end, thank you, bye\n"))
    assert read(torn).trace.boost == pytest.approx(1e3 * BOOST, abs=1e-2)
