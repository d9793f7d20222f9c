"""Broken tanks and controllers of every kind, missing tables, and faults that come together."""
# ruff: noqa: E501

from __future__ import annotations

import pytest

from tests.files.samples import CAR, car_faults, replaced

SHAPES: list[tuple[str, str, str]] = [
    ('shape = "upright cylinder"\ndiameter = "200 mm"', "tank.height", "missing"),
    ('shape = "upright cylinder"\ndiameter = "200 mm"\nheight = "150 mm"\nwidth = "1 mm"', "tank.width",
     "belongs to the shape box or dip table; an upright cylinder has diameter, height"),
    ('shape = "upright cylinder"\ndiameter = "200 mm"\nheight = "150 mm"\npickup = { ahead = "101 mm" }',
     "tank.pickup.ahead", "reaches 100 mm"),
    ('shape = "upright cylinder"\ndiameter = "200 mm"\nheight = "150 mm"\npickup = { ahead = "80 mm", left = "80 mm" }',
     "tank.pickup.left", "reaches 60 mm"),
    ('shape = "lying cylinder"\ndiameter = "200 mm"\nlength = "300 mm"\naxis = "z"', "tank.axis", 'write "x" or "y"'),
    ('shape = "lying cylinder"\ndiameter = "200 mm"\nlength = "300 mm"\npickup = { left = "50 mm", height = "5 mm" }',
     "tank.pickup.left", "reaches 31.22 mm"),
    ('shape = "lying cylinder"\ndiameter = "200 mm"\nlength = "300 mm"\naxis = "y"\npickup = { left = "151 mm" }',
     "tank.pickup.left", "reaches 150 mm"),
    ('shape = "lying cylinder"\ndiameter = "200 mm"\nlength = "300 mm"\nheight = "200 mm"', "tank.height",
     "belongs to the shape box or upright cylinder"),
    ('shape = "dip table"\nlength = "300 mm"\nwidth = "200 mm"', "tank.dips", "missing; write dips = "),
    ('shape = "dip table"\nlength = "300 mm"\nwidth = "200 mm"\ndips = [["0 mm", "0 L"]]', "tank.dips",
     "needs at least 2 entries"),
    ('shape = "dip table"\nlength = "300 mm"\nwidth = "200 mm"\ndips = [["5 mm", "0 L"], ["50 mm", "2 L"]]',
     "tank.dips[1]", 'the first dip must be ["0 mm", "0 L"]'),
    ('shape = "dip table"\nlength = "300 mm"\nwidth = "200 mm"\ndips = [["0 mm", "0 L"], ["50 mm", "2 L"], ["40 mm", "3 L"]]',
     "tank.dips[3]", "its level must be above the dip before, 50 mm, 2 L"),
    ('shape = "dip table"\nlength = "300 mm"\nwidth = "200 mm"\ndips = [["0 mm", "0 L"], ["50 mm", "2 L"], ["60 mm", "2 L"]]',
     "tank.dips[3]", "its volume must be above"),
    ('shape = "dip table"\nlength = "300 mm"\nwidth = "200 mm"\ndips = [["0 L", "0 mm"], ["50 mm", "2 L"]]',
     "tank.dips[1]", "the wrong way round; write the level first"),
    ('shape = "dip table"\nlength = "30 mm"\nwidth = "200 mm"\ndips = [["0 mm", "0 L"], ["50 mm", "2 L"]]',
     "tank.dips", "more than the footprint allows, 0.3 L"),
    ('shape = "dip table"\nlength = "300 mm"\nwidth = "200 mm"\ndips = "2 L"', "tank.dips", "not a list"),
    ('shape = "dip table"\nwidth = "200 mm"\ndips = [["0 mm", "0 L"], ["50 mm", "2 L"]]', "tank.length", "missing"),
    ('shape = "box"\nlength = "2 mm"\nwidth = "2 mm"\nheight = "2 mm"', "tank", "it would hold 8e-06 L"),
]  # fmt: skip


@pytest.mark.parametrize(("keys", "key", "words"), SHAPES)
def test_a_broken_tank_of_any_shape_is_refused(keys: str, key: str, words: str) -> None:
    start, end = CAR.index("[tank]"), CAR.index("[pump]")
    faults = car_faults(CAR[:start] + f"[tank]\n{keys}\n\n" + CAR[end:])
    assert key in [fault.key for fault in faults]
    assert all(words in fault.remedy for fault in faults)


def test_a_dip_table_that_does_not_rise_is_not_measured_against_its_footprint() -> None:
    keys = 'shape = "dip table"\nlength = "9 mm"\nwidth = "9 mm"\ndips = [["0 mm", "0 L"], ["50 mm", "2 L"], ["40 mm", "3 L"]]'
    start, end = CAR.index("[tank]"), CAR.index("[pump]")
    assert [fault.key for fault in car_faults(f"{CAR[:start]}[tank]\n{keys}\n{CAR[end:]}")] == ["tank.dips[3]"]


CONTROLLERS: list[tuple[str, str, str]] = [
    ('kind = "switch"', "controller.start", "missing"),
    ('kind = "switch"\nstart = "5 psi"\nfull = "9 psi"', "controller.full", "belongs to a ramp; a switch has start alone"),
    ('kind = "switch"\nstart = "5 psi"\nminimum_speed = 1', "controller.minimum_speed", "belongs to a ramp"),
    ('kind = "ramp"\nstart = "5 psi"\nfull = "9 psi"\nminimum_speed = 0.3\npoints = []', "controller.points",
     "belongs to a table; a ramp has start, full and minimum_speed"),
    ('kind = "table"', "controller.points", "missing; write points = "),
    ('kind = "table"\npoints = []', "controller.points", "needs at least 2 entries"),
    ('kind = "table"\npoints = [["5 psi", 0.3], ["5 psi", 1.0]]', "controller.points[2]", "list the points by rising boost"),
    ('kind = "table"\npoints = [["5 psi", 0.3], ["4 psi", 1.0]]', "controller.points[2]", "above the point before, 0.3447 bar"),
    ('kind = "table"\npoints = [["5 psi", 0.3], ["9 psi", 100]]', "controller.points[2]", "pump speed: a share from 0 to 1"),
    ('kind = "table"\npoints = [["5 psi", 0.3], [0.9, "9 psi"]]', "controller.points[2]", "the wrong way round"),
    ('kind = "table"\nstart = "5 psi"\npoints = [["5 psi", 0.3], ["9 psi", 1]]', "controller.start", "belongs to a ramp"),
]  # fmt: skip


@pytest.mark.parametrize(("keys", "key", "words"), CONTROLLERS)
def test_a_broken_controller_of_any_kind_is_refused(keys: str, key: str, words: str) -> None:
    start, end = CAR.index("[controller]"), CAR.index("[spread]")
    faults = car_faults(CAR[:start] + f"[controller]\n{keys}\n\n" + CAR[end:])
    assert [fault.key for fault in faults] == [key]
    assert words in faults[0].remedy


@pytest.mark.parametrize("table", ["blend", "tank", "pump", "controller"])
def test_a_missing_table_is_named_with_its_header(table: str) -> None:
    text = CAR.split(f"[{table}]")[0] + "\n[" + "[".join(CAR.split(f"[{table}]")[1].split("\n[")[1:])
    assert text.startswith('name = "Plum')
    faults = car_faults(text.replace("\n[[", "\n[[").replace("\n[line]", "\n[line]"))
    assert f"missing; write [{table}] on a line of its own" in {fault.key: fault.remedy for fault in faults}[table]


def test_a_car_without_nozzles_is_told_to_have_one() -> None:
    start, end = CAR.index("[[nozzle]]"), CAR.index("[controller]")
    assert (
        car_faults(CAR[:start] + CAR[end:])[0].remedy
        == "missing; write [[nozzle]] on a line of its own and its keys below"
    )


def test_a_nozzle_in_single_brackets_is_told_to_be_doubled() -> None:
    start, end = CAR.index("[[nozzle]]"), CAR.index("[controller]")
    text = CAR[:start] + '[nozzle]\nrated_flow = "1 L/min"\nrated_pressure = 7\n' + CAR[end:]
    assert {fault.key: fault.remedy for fault in car_faults(text)} == {
        "nozzle": "write [[nozzle]] in double brackets, once for each",
        "nozzle.rated_pressure": 'a bare number has no unit; write a pressure in quotes, such as "14 psi" or "1.1 bar"',
    }


@pytest.mark.parametrize("table", ["tank", "line", "spread", "controller", "nozzle", "flow_test"])
def test_a_value_where_a_table_belongs_is_refused(table: str) -> None:
    document = 'name = "x"\n' + f"{table} = 5\n"
    assert {fault.key: fault.remedy for fault in car_faults(document + "[blend]\nalcohol_share = 0.5\n")}[
        table
    ].startswith("not a table; write [")


def test_an_event_file_given_as_a_car_is_recognised() -> None:
    text = 'name = "x"\ndate = 2026-01-01\n[[session]]\nname = "y"\n'
    assert car_faults(text)[0].remedy == "this is the file of an event; name that of a car here"


def test_faults_of_one_table_do_not_hide_those_of_another_or_between_keys() -> None:
    text = CAR
    for old, new in (
        ("0.50", "50"), ('"20 degC"', "20"), ('height = "8 mm"', 'height = "139 mm"'), ("damping = 0.15", "damping = -1"),
        ('"0.5 L"', '"8 L"'), ('["1.4 L/min", "6 bar"]', '["1.4 L/min", "16 bar"]'), ('"250 mL/min"', '"250 mL"'),
        ('"15 psi"', '"3 psi"'), ("minimum_speed = 0.30", "minimum_speed = 3"), ("run = 0.08", "run = 8"),
    ):  # fmt: skip
        text = replaced(text, old, new)
    assert {fault.key for fault in car_faults(text)} == {
        "blend.alcohol_share", "blend.temperature", "tank.pickup.height", "tank.damping", "tank.low_level_switch",
        "pump.curve[3]", "nozzle[1].rated_flow", "controller.full", "controller.minimum_speed", "spread.run",
    }  # fmt: skip


def test_a_value_is_shown_as_it_stands_in_the_file() -> None:
    assert car_faults(replaced(CAR, '"15 psi"', '"4 psi"'))[0].value == '"4 psi"'
    assert car_faults(replaced(CAR, "shutoff_valve = true", 'shutoff_valve = "' + "y" * 300 + '"'))[0].value.endswith(
        "..."
    )


def test_a_list_far_too_long_is_refused() -> None:
    points = ", ".join(f'["{n} Pa", 0.5]' for n in range(5001))
    start, end = CAR.index("[controller]"), CAR.index("[spread]")
    text = f'{CAR[:start]}[controller]\nkind = "table"\npoints = [{points}]\n{CAR[end:]}'
    assert [fault.remedy[:22] for fault in car_faults(text)] == ["more than 5000 entries"]


def test_a_misspelled_key_is_one_fault_not_also_a_missing_one() -> None:
    assert [fault.key for fault in car_faults(replaced(CAR, "rated_flow", "rated_flwo"))] == ["nozzle[1].rated_flwo"]
    assert [fault.key for fault in car_faults(replaced(CAR, "[pump]", "[pmup]"))] == ["pmup"]


def test_a_value_in_place_of_an_array_of_tables_is_shown() -> None:
    start, end = CAR.index("[[nozzle]]"), CAR.index("[controller]")
    text = "nozzle = 5\n" + CAR[:start] + CAR[end:]
    assert [(fault.key, fault.value) for fault in car_faults(text)] == [("nozzle", "5")]
