"""car.toml into a Car: units, defaults, what is assumed."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.car import Car, Controller, FlowTest, Line, Nozzle, Pickup, Spread
from planner.errors import BadInput
from planner.files.car_file import parse_car, read_car
from planner.files.car_writer import car_toml
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump
from planner.units import from_si
from tests.cars import cars
from tests.files.samples import CAR, car_faults, replaced

PSI = 6894.757293168
LEAST = """
name = "Least"
[blend]
alcohol_share = 0.4
[tank]
shape = "box"
length = "300 mm"
width = "200 mm"
height = "100 mm"
[pump]
curve = [["1 L/min", "0 bar"], ["0 L/min", "10 bar"]]
[[nozzle]]
rated_flow = "200 mL/min"
rated_pressure = "100 psi"
[controller]
kind = "switch"
start = "5 psi"
"""


def test_every_key_of_a_car_file_lands_in_its_place() -> None:
    car = parse_car(CAR, "car.toml")
    assert (car.name, car.blend.alcohol_share, car.blend.temperature) == ("Plum hatch", 0.5, 20.0)
    assert car.tank.shape == Box(0.32, 0.18, 0.14)
    assert car.tank.pickup == Pickup(-0.15, 0.0, 0.008)
    assert car.tank.low_level_switch == pytest.approx(0.5e-3)
    assert (car.tank.empty_mass, car.tank.fill_limit, car.tank.damping) == (1.4, 0.95, 0.15)
    assert car.tank.pickup_margin == pytest.approx(0.010)
    assert car.pump.pressure == pytest.approx((0.0, 6e5, 11e5, 14e5))
    assert car.pump.flow == pytest.approx((1.9e-3 / 60, 1.4e-3 / 60, 0.8e-3 / 60, 0.0))
    assert car.line == Line(4.6, pytest.approx(0.0043), pytest.approx(0.5e5), True)
    first, second = car.nozzles
    assert first == Nozzle(
        pytest.approx(250e-6 / 60), pytest.approx(100 * PSI), 2, "before throttle", pytest.approx(PSI)
    )
    assert second == Nozzle(pytest.approx(120e-6 / 60), pytest.approx(6.9e5), 1, "after throttle", None)
    assert (car.controller.kind, car.controller.minimum_speed) == ("ramp", 0.30)
    assert (car.controller.start, car.controller.full) == pytest.approx((5 * PSI, 15 * PSI))
    assert car.spread == Spread(0.10, 0.08)
    assert car.flow_test == FlowTest(pytest.approx(410e-6), 60.0, 0.03)


def test_what_a_car_file_leaves_out_is_the_default_and_named_as_assumed() -> None:
    car = parse_car(LEAST, "car.toml")
    assert (car.blend.temperature, car.tank.fill_limit, car.tank.damping) == (20.0, 0.95, 0.15)
    assert (car.line, car.spread, car.flow_test) == (Line(), Spread(), None)
    assert car.assumed == {
        "blend.temperature", "tank.fill_limit", "tank.pickup.ahead", "tank.pickup.left", "tank.pickup.height",
        "tank.damping", "tank.pickup_margin", "line.length", "line.inner_diameter", "line.opening_pressure",
        "line.shutoff_valve", "nozzle[1].count", "nozzle[1].place", "spread.car", "spread.run",
    }  # fmt: skip


def test_only_what_the_whole_file_leaves_out_is_assumed() -> None:
    assert parse_car(CAR, "car.toml").assumed == {"nozzle[2].count", "flow_test.error"}


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"320 mm"', '"32 cm"'),
        ('"320 mm"', '"0.32 m"'),
        ('"320 mm"', '"12.598425196850394 in"'),
        ('"4.6 m"', '"15.091863517060367 ft"'),
        ('"250 mL/min"', '"250 cc/min"'),
        ('"250 mL/min"', '"0.25 L/min"'),
        ('"250 mL/min"', '"15 L/h"'),
        ('"250 mL/min"', '"3.962580785 gal/h"'),
        ('"100 psi"', '"6.894757293168 bar"'),
        ('"100 psi"', '"689.4757293168 kPa"'),
        ('"5 psi"', '"34473.78646584 Pa"'),
        ('"0.5 L"', '"500 cc"'),
        ('"0.5 L"', '"0.132086026 gal"'),
        ('"1.4 kg"', '"3.0864716706 lb"'),
        ('"20 degC"', '"68 degF"'),
        ('"20 degC"', '"293.15 K"'),
        ('"60 s"', '"1 min"'),
    ],
)
def test_the_unit_that_a_quantity_is_given_in_changes_nothing(old: str, new: str) -> None:
    assert _numbers(parse_car(replaced(CAR, old, new), "")) == pytest.approx(_numbers(parse_car(CAR, "")), rel=1e-8)


def _numbers(car: object) -> list[float]:
    """Every number in a record, in order."""
    if isinstance(car, int | float):
        return [float(car)]
    if isinstance(car, tuple):
        return [number for part in car for number in _numbers(part)]
    names = getattr(type(car), "__dataclass_fields__", {})
    return [number for name in names for number in _numbers(getattr(car, name))]


@given(st.floats(0.05, 0.6), st.sampled_from(["mm", "cm", "m", "in", "ft"]))
def test_any_length_reads_the_same_in_any_unit(size: float, unit: str) -> None:
    text = replaced(CAR, '"320 mm"', f'"{from_si(size, unit, "length"):.17g} {unit}"')
    text = replaced(text, '"-150 mm"', '"0 mm"').replace('low_level_switch = "0.5 L"\n', "")
    assert parse_car(text, "").tank.shape.length == pytest.approx(size, rel=1e-12)


@pytest.mark.parametrize(
    ("keys", "shape"),
    [
        ('shape = "upright cylinder"\ndiameter = "200 mm"\nheight = "150 mm"', UprightCylinder(0.2, 0.15)),
        ('shape = "lying cylinder"\ndiameter = "150 mm"\nlength = "0.4 m"\naxis = "y"', LyingCylinder(0.15, 0.4, "y")),
        ('shape = "lying cylinder"\ndiameter = "150 mm"\nlength = "0.4 m"', LyingCylinder(0.15, 0.4, "x")),
        (
            'shape = "dip table"\nlength = "300 mm"\nwidth = "200 mm"\ndips = [["0 mm", "0 L"], ["50 mm", "2 L"]]',
            DipTable((0.0, 0.05), (0.0, pytest.approx(0.002)), 0.3, 0.2),
        ),
    ],
)
def test_every_tank_shape_is_read(keys: str, shape: object) -> None:
    box = 'shape = "box"\nlength = "300 mm"\nwidth = "200 mm"\nheight = "100 mm"'
    assert parse_car(replaced(LEAST, box, keys), "").tank.shape == shape


SUMP_KEYS = '[tank.sump]\nlength = "60 mm"\nwidth = "70 mm"\nheight = "30 mm"\nahead = "-120 mm"\n'


def test_a_sump_stands_below_the_tank_and_heights_count_from_its_floor() -> None:
    plain = parse_car(CAR, "")
    car = parse_car(replaced(CAR, "[pump]", SUMP_KEYS + "[pump]"), "")
    assert car.tank.shape == WithSump(plain.tank.shape, Box(0.06, 0.07, 0.03), -0.12, 0.0)
    assert car.tank.capacity == pytest.approx(plain.tank.capacity + 0.06 * 0.07 * 0.03)
    assert car.tank.pickup == plain.tank.pickup
    assert float(car.tank.shape.volume_from_level(car.tank.pickup.height)) == pytest.approx(0.06 * 0.07 * 0.008)
    assert "tank.sump.left" in car.assumed
    assert parse_car(car_toml(car), "") == car


def test_a_pickup_may_stand_beside_the_sump_but_not_in_its_wall() -> None:
    beside = replaced(replaced(CAR, "[pump]", SUMP_KEYS + "[pump]"), '"-150 mm"', '"0 mm"')
    assert [fault.key for fault in car_faults(beside)] == ["tank.pickup.ahead"]
    above = replaced(beside, 'height = "8 mm"', 'height = "38 mm"')
    assert parse_car(above, "").tank.pickup == Pickup(0.0, 0.0, 0.038)


def test_a_lying_cylinder_takes_no_sump_and_a_round_floor_only_what_lies_on_it() -> None:
    box = 'shape = "box"\nlength = "300 mm"\nwidth = "200 mm"\nheight = "100 mm"\n'
    lying = replaced(LEAST, box, f'shape = "lying cylinder"\ndiameter = "150 mm"\nlength = "0.4 m"\n{SUMP_KEYS}')
    assert "no flat floor" in car_faults(lying)[0].line()
    upright = replaced(LEAST, box, f'shape = "upright cylinder"\ndiameter = "200 mm"\nheight = "150 mm"\n{SUMP_KEYS}')
    assert "154 mm from the tank's centre, outside the round floor, which" in car_faults(upright)[0].line()
    inward = parse_car(replaced(upright, 'ahead = "-120 mm"', 'ahead = "-20 mm"'), "")
    assert inward.tank.shape == WithSump(UprightCylinder(0.2, 0.15), Box(0.06, 0.07, 0.03), -0.02, 0.0)
    assert parse_car(car_toml(inward), "") == inward


def test_switch_and_table_controllers_are_read() -> None:
    assert parse_car(LEAST, "").controller.start == pytest.approx(5 * PSI)
    table = replaced(
        LEAST, 'kind = "switch"\nstart = "5 psi"', 'kind = "table"\npoints = [["5 psi", 0.3], ["9 psi", 1]]'
    )
    assert parse_car(table, "").controller.points == (pytest.approx((5 * PSI, 0.3)), pytest.approx((9 * PSI, 1.0)))


def test_a_file_with_windows_line_ends_and_a_byte_order_mark_reads_alike(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_bytes(b"\xef\xbb\xbf" + CAR.replace("\n", "\r\n").encode())
    assert read_car(path) == parse_car(CAR, "")


@settings(max_examples=40)
@given(cars().filter(lambda car: car.line.opening_pressure < car.pump.pressure[-1]))
def test_a_written_car_reads_back_to_the_same_record(car: Car) -> None:
    assert parse_car(car_toml(car), "") == car


SIZES = st.floats(0.05, 0.5)
STEPS = st.lists(st.tuples(st.floats(0.01, 0.1), st.floats(1e-4, 2e-3)), min_size=1, max_size=4)


def dip_table(steps: list[tuple[float, float]]) -> DipTable:
    levels, volumes = zip(*steps, strict=True)
    return DipTable((0.0, *accumulate(levels)), (0.0, *accumulate(volumes)), 0.6, 0.6)


SHAPES = st.one_of(
    st.builds(UprightCylinder, SIZES, SIZES),
    st.builds(LyingCylinder, SIZES, SIZES, st.sampled_from("xy")),
    STEPS.map(dip_table),
    st.builds(WithSump, st.builds(Box, SIZES, SIZES, SIZES), st.builds(Box, *[st.floats(0.01, 0.05)] * 3)),
)


@settings(max_examples=40)
@given(SHAPES, st.sampled_from([Controller("switch", 3e4), Controller("table", points=((2e4, 0.25), (9e4, 1 / 3)))]))
def test_a_written_tank_of_any_shape_reads_back_to_the_same_record(shape: TankShape, controller: Controller) -> None:
    car = parse_car(LEAST, "")
    car = replace(car, tank=replace(car.tank, shape=shape), controller=controller, flow_test=FlowTest(1e-3, 77.7, 0.02))
    assert parse_car(car_toml(car), "") == car


@pytest.mark.parametrize("text", [CAR, LEAST])
def test_writing_leaves_out_again_what_was_assumed(text: str) -> None:
    car = parse_car(text, "")
    assert parse_car(car_toml(car), "") == car
    assert ("[line]" in car_toml(car)) == ("[line]" in text)


def test_a_written_car_uses_round_numbers() -> None:
    text = car_toml(parse_car(CAR, ""))
    for expected in ('"320 mm"', '"250 mL/min"', '"100 psi"', '"15 psi"', '"0.5 L"', '"4.6 m"', '"14 bar"'):
        assert expected in text


def test_a_name_with_quotes_and_other_alphabets_survives_writing() -> None:
    car = replace(parse_car(LEAST, ""), name='Żółty "Öre" \\ 車')
    assert parse_car(car_toml(car), "").name == 'Żółty "Öre" \\ 車'


def test_faults_name_the_file_as_it_was_given(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_text(replaced(CAR, '"5 psi"', '"5 gal"'))
    with pytest.raises(BadInput) as caught:
        read_car(path)
    assert str(caught.value).startswith(f'{path}: controller.start = "5 gal": ')


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('["1.4 L/min", "6 bar"]', '["1.9 L/min", "6 bar"]'),
        ('ahead = "-150 mm", left = "0 mm"', 'ahead = "160 mm", left = "-90 mm"'),
        ('low_level_switch = "0.5 L"', 'low_level_switch = "7.66 L"'),
        ("fill_limit = 0.95", "fill_limit = 1"),
        ('0.50\ntemperature = "20 degC"', '0\ntemperature = "0 degC"'),
        ('start = "5 psi"', 'start = "-1 psi"'),
    ],
)
def test_what_just_fits_is_taken(old: str, new: str) -> None:
    assert parse_car(replaced(CAR, old, new), "").name == "Plum hatch"


def test_a_dip_table_may_fill_its_footprint_but_not_much_more() -> None:
    box = 'shape = "box"\nlength = "300 mm"\nwidth = "200 mm"\nheight = "100 mm"'
    dips = 'shape = "dip table"\nlength = "300 mm"\nwidth = "200 mm"\ndips = [["0 mm", "0 L"], ["50 mm", "{} L"]]'
    assert parse_car(replaced(LEAST, box, dips.format(3)), "").tank.capacity == pytest.approx(0.003)
    with pytest.raises(BadInput, match="more than the footprint allows, 3 L"):
        parse_car(replaced(LEAST, box, dips.format(3.2)), "")
