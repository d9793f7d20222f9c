"""Broken car files: each fault is one clear line with its key, and nothing is read."""
# ruff: noqa: E501

from __future__ import annotations

import pytest

from tests.files.samples import CAR, car_faults, replaced

SUMP = '[tank.sump]\nlength = "60 mm"\nwidth = "70 mm"\nheight = "30 mm"\nahead = "-120 mm"\nleft = "5 mm"\n'

# What stands in the sound file, what is put in its place, the key blamed, and words of the sentence.
BROKEN: list[tuple[str, str, str, str]] = [
    # name
    ('name = "Plum hatch"', 'name = ""', "name", "on one line and not empty"),
    ('name = "Plum hatch"', "name = 7", "name", "a name is a text"),
    ('name = "Plum hatch"', 'name = "a\\nb"', "name", "on one line"),
    ('name = "Plum hatch"', f'name = "{"x" * 200}"', "name", "at most 120 letters"),
    ('name = "Plum hatch"', "", "name", "missing; "),
    ('name = "Plum hatch"', 'nmae = "Plum hatch"', "nmae", "did you mean name?"),
    # blend
    ("alcohol_share = 0.50", "alcohol_share = 50", "blend.alcohol_share", "did you mean 0.50?"),
    ("alcohol_share = 0.50", "alcohol_share = 12.5", "blend.alcohol_share", "did you mean 0.125?"),
    ("alcohol_share = 0.50", 'alcohol_share = "50 %"', "blend.alcohol_share", "without quotes: 0.50"),
    ("alcohol_share = 0.50", 'alcohol_share = "0.5"', "blend.alcohol_share", "without quotes: 0.5"),
    ("alcohol_share = 0.50", 'alcohol_share = "half"', "blend.alcohol_share", "without quotes, such as 0.50"),
    ("alcohol_share = 0.50", "alcohol_share = -0.1", "blend.alcohol_share", "must be from 0 to 1"),
    ("alcohol_share = 0.50", "alcohol_share = 500", "blend.alcohol_share", "must be from 0 to 1"),
    ("alcohol_share = 0.50", "alcohol_share = nan", "blend.alcohol_share", "not a finite number"),
    ("alcohol_share = 0.50", "alcohol_share = inf", "blend.alcohol_share", "not a finite number"),
    ("alcohol_share = 0.50", "alcohol_share = true", "blend.alcohol_share", "not a number"),
    ("alcohol_share = 0.50", "alcohol_share = 1" + "0" * 400, "blend.alcohol_share", "not a finite number"),
    ("alcohol_share = 0.50", "", "blend.alcohol_share", "missing; write alcohol_share = 0.50"),
    ("alcohol_share", "alcohol_shar", "blend.alcohol_shar", "did you mean alcohol_share?"),
    ("alcohol_share", "Alcohol-Share", "blend.Alcohol-Share", "did you mean alcohol_share?"),
    ('temperature = "20 degC"', "temperature = 20", "blend.temperature", "a bare number has no unit"),
    ('temperature = "20 degC"', 'temperature = "68 degC"', "blend.temperature", "more than 50 degC"),
    ('temperature = "20 degC"', 'temperature = "-60 degC"', "blend.temperature", "less than -20 degC"),
    ('temperature = "20 degC"', 'temperature = "20 mL"', "blend.temperature", "not a unit of temperature"),
    ('0.50\ntemperature = "20 degC"', '0.05\ntemperature = "-15 degC"', "blend.temperature", "freezes at -2 degC"),
    # tank
    ('shape = "box"', 'shape = "boxx"', "tank.shape", 'did you mean "box"?'),
    ('shape = "box"', 'shape = "lying-cylinder"', "tank.shape", 'did you mean "lying cylinder"?'),
    ('shape = "box"', 'shape = "sphere"', "tank.shape", 'write "box" or "upright cylinder" or'),
    ('shape = "box"', "shape = 3", "tank.shape", "no such shape"),
    ('shape = "box"\n', "", "tank.shape", "missing; "),
    ('length = "320 mm"', 'length = "0 mm"', "tank.length", "must be more than zero"),
    ('length = "320 mm"', 'length = "-320 mm"', "tank.length", "must be more than zero"),
    ('length = "320 mm"', 'length = "320 m"', "tank.length", "more than 3 m, which no length here can be"),
    ('length = "320 mm"', 'length = "320"', "tank.length", "no unit"),
    ('length = "320 mm"', "length = 320", "tank.length", "a bare number has no unit"),
    ('length = "320 mm"', 'length = "320 millimeter mercury"', "tank.length", "unknown unit"),
    ('length = "320 mm"', 'length = "320 mmm"', "tank.length", "unknown unit 'mmm'"),
    ('length = "320 mm"', 'length = "320 kg"', "tank.length", "not a unit of length"),
    ('length = "320 mm"', 'length = "nan mm"', "tank.length", "not a finite number"),
    ('length = "320 mm"', 'length = "inf mm"', "tank.length", "not a finite number"),
    ('length = "320 mm"', 'length = "1e400 mm"', "tank.length", "not a finite number"),
    ('length = "320 mm"', 'length = "320,5 mm"', "tank.length", "a decimal point instead of a comma"),
    ('length = "320 mm"', 'length = "9 9**9**9**9"', "tank.length", "unknown unit"),
    ('length = "320 mm"', "length = true", "tank.length", "not a length"),
    ('length = "320 mm"', 'length = ["320 mm"]', "tank.length", "not a length"),
    ('length = "320 mm"\n', "", "tank.length", "missing; write length = "),
    ('length = "320 mm"\nwidth = "180 mm"', 'length = "2.9 m"\nwidth = "2.9 m"', "tank", "check the units of its sizes"),
    ("fill_limit = 0.95", "fill_limit = 95", "tank.fill_limit", "did you mean 0.95?"),
    ("fill_limit = 0.95", "fill_limit = 0", "tank.fill_limit", "must be above 0 and up to 1"),
    ("fill_limit = 0.95", "fill_limit = 1.2", "tank.fill_limit", "a share above 0 and up to 1"),
    ("fill_limit = 0.95", "fill_limits = 0.95", "tank.fill_limits", "did you mean fill_limit?"),
    ('ahead = "-150 mm"', 'ahead = "-161 mm"', "tank.pickup.ahead", "outside the tank, which reaches 160 mm"),
    ('left = "0 mm"', 'left = "95 mm"', "tank.pickup.left", "outside the tank, which reaches 90 mm"),
    ('left = "0 mm"', "left = 0", "tank.pickup.left", "a bare number has no unit"),
    ('left = "0 mm"', 'right = "0 mm"', "tank.pickup.right", "no such key; here are known: ahead, left, height"),
    ('height = "8 mm"', 'height = "-8 mm"', "tank.pickup.height", "must be at least zero"),
    ('height = "8 mm"', 'height = "140 mm"', "tank.pickup.height", "outside the tank, which is 140 mm high"),
    ('height = "8 mm"', 'height = "135 mm"', "tank.pickup.height", "above the fill limit, which stands at 133 mm"),
    ('{ ahead = "-150 mm", left = "0 mm", height = "8 mm" }', '"8 mm"', "tank.pickup", "not a table; write { ahead ="),
    ('switch = "0.5 L"', 'switch = "7.7 L"', "tank.low_level_switch", "above the fill limit of 7.661 L"),
    ('limit = 0.95', 'limit = 0.062003968253968256', "tank.low_level_switch", "at or above the fill limit of 0.5 L"),
    ('switch = "0.5 L"', 'switch = "-1 L"', "tank.low_level_switch", "must be at least zero"),
    ('switch = "0.5 L"', 'switch = "40 mm"', "tank.low_level_switch", "not a unit of volume"),
    ('empty_mass = "1.4 kg"', 'empty_mass = "1.4 L"', "tank.empty_mass", "not a unit of mass"),
    ('empty_mass = "1.4 kg"', 'empty_mass = "1.4 t"', "tank.empty_mass", "more than 200 kg"),
    ("[pump]", SUMP.replace('"60 mm"', '"400 mm"', 1) + "[pump]", "tank.sump.length", "more than the tank's floor, which is 320 mm long"),
    ("[pump]", SUMP.replace('"70 mm"', '"181 mm"', 1) + "[pump]", "tank.sump.width", "more than the tank's floor, which is 180 mm wide"),
    ("[pump]", SUMP.replace('"-120 mm"', '"-140 mm"', 1) + "[pump]", "tank.sump.ahead", "the sump would reach 170 mm from the tank's centre, where the floor ends at 160 mm; move it inward"),
    ("[pump]", SUMP.replace('"5 mm"', '"56 mm"', 1) + "[pump]", "tank.sump.left", "would reach 91 mm from the tank's centre, where the floor ends at 90 mm"),
    ("[pump]", SUMP.replace('height = "30 mm"\n', "") + "[pump]", "tank.sump.height", 'missing; write height = '),
    ("[pump]", SUMP.replace('"30 mm"', "30", 1) + "[pump]", "tank.sump.height", "a bare number has no unit"),
    ("[pump]", SUMP.replace("height", "depth") + "[pump]", "tank.sump.depth", "no such key; here are known: length, width, height, ahead, left"),
    ("[pump]", SUMP.replace('"-120 mm"', '"-80 mm"', 1) + "[pump]", "tank.pickup.ahead", "outside the sump, which lies from -110 mm to -50 mm of the tank's centre there; move the pickup over the sump, or write a height above the sump's rim"),
    ("[pump]", SUMP.replace('"5 mm"', '"40 mm"', 1) + "[pump]", "tank.pickup.left", "outside the sump, which lies from 5 mm to 75 mm"),
    ('height = "8 mm" }', 'height = "171 mm" }\nsump = { length = "60 mm", width = "70 mm", height = "30 mm" }', "tank.pickup.height", "which is 170 mm high inside; write its height above the sump's floor"),
    ("damping = 0.15", "damping = 15", "tank.damping", "did you mean 0.15?"),
    ("damping = 0.15", "damping = 0", "tank.damping", "must be from 0.001 to 0.9"),
    ('pickup_margin = "10 mm"', 'pickup_margin = "10 m"', "tank.pickup_margin", "more than 300 mm"),
    ('pickup_margin = "10 mm"', 'opens_at = "10 mm"', "tank.opens_at", "belongs in [[nozzle]]"),
    ('pickup_margin = "10 mm"', 'axis = "x"', "tank.axis", "belongs to the shape lying cylinder; a box has length"),
    ('pickup_margin = "10 mm"', "dips = []", "tank.dips", "belongs to the shape dip table"),
    # pump
    ('["1.4 L/min", "6 bar"]', '["2.0 L/min", "6 bar"]', "pump.curve[2]", "the flow rises with pressure"),
    ('["0 L/min", "14 bar"]', '["0.9 L/min", "14 bar"]', "pump.curve[4]", "the flow rises with pressure"),
    ('["0.8 L/min", "11 bar"]', '["0.8 L/min", "5 bar"]', "pump.curve[3]", "list the points from 0 bar up"),
    ('["0.8 L/min", "11 bar"]', '["0.8 L/min", "6 bar"]', "pump.curve[3]", "must be above the point before"),
    ('["1.9 L/min", "0 bar"]', '["1.9 L/min", "1 bar"]', "pump.curve[1]", "begin with the flow at no pressure"),
    ('["1.4 L/min", "6 bar"]', '["6 bar", "1.4 L/min"]', "pump.curve[2]", "the wrong way round; write the flow first"),
    ('["1.4 L/min", "6 bar"]', '["1.4 L/min"]', "pump.curve[2]", "not a pair of flow and pressure"),
    ('["1.4 L/min", "6 bar"]', '"1.4 L/min"', "pump.curve[2]", "not a pair of flow and pressure"),
    ('["1.4 L/min", "6 bar"]', "[1.4, 6]", "pump.curve[2]", "flow: a bare number has no unit"),
    ('["1.4 L/min", "6 bar"]', '["1.4 L/min", 6]', "pump.curve[2]", "pressure: a bare number has no unit"),
    ('["1.4 L/min", "6 bar"]', '["-1.4 L/min", "6 bar"]', "pump.curve[2]", "flow: must be at least zero"),
    ('["1.4 L/min", "6 bar"]', '["1.4 L/min", "600 bar"]', "pump.curve[2]", "pressure: more than 200 bar"),
    ('["1.4 L/min", "6 bar"]', '["1.4 L", "6 bar"]', "pump.curve[2]", "flow: 'L' is not a unit of flow"),
    ('["1.9 L/min", "0 bar"]', '["0 L/min", "0 bar"]', "pump.curve[1]", "gives nothing at its first point"),
    ("[pump]", "[pumps]", "pumps", "did you mean pump?"),
    # line
    ('length = "4.6 m"', 'length = "4.6 km"', "line.length", "more than 30 m"),
    ('length = "4.6 m"', 'length = "-4.6 m"', "line.length", "must be at least zero"),
    ('inner_diameter = "4.3 mm"', 'inner_diameter = "4.3 m"', "line.inner_diameter", "more than 50 mm"),
    ('inner_diameter = "4.3 mm"', 'inner_diameter = "0 mm"', "line.inner_diameter", "less than 0.5 mm"),
    ('inner_diameter = "4.3 mm"', 'diameter = "4.3 mm"', "line.diameter", "did you mean inner_diameter?"),
    ('opening_pressure = "0.5 bar"', 'opening_pressure = "15 bar"', "line.opening_pressure", "nothing would flow"),
    ('opening_pressure = "0.5 bar"', 'opening_pressure = "14 bar"', "line.opening_pressure", "nothing would flow"),
    ('opening_pressure = "0.5 bar"', 'opening_pressure = "-1 bar"', "line.opening_pressure", "at least zero"),
    ("shutoff_valve = true", 'shutoff_valve = "yes"', "line.shutoff_valve", "write true or false"),
    ("shutoff_valve = true", "shutoff_valve = 1", "line.shutoff_valve", "write true or false"),
    # nozzles
    ("count = 2", "count = 1.5", "nozzle[1].count", "a whole number"),
    ("count = 2", "count = 0", "nozzle[1].count", "a whole number from 1 to 16"),
    ("count = 2", 'count = "2"', "nozzle[1].count", "write a whole number"),
    ("count = 2", "count = inf", "nozzle[1].count", "write a whole number"),
    ("count = 2", "count = true", "nozzle[1].count", "write a whole number"),
    ("count = 2", "number = 2", "nozzle[1].number", "no such key; here are known: count"),
    ('rated_flow = "250 mL/min"', 'rated_flow = "0 mL/min"', "nozzle[1].rated_flow", "must be more than zero"),
    ('rated_flow = "250 mL/min"', 'rated_flow = "250 L/min"', "nozzle[1].rated_flow", "more than 20 L/min"),
    ('rated_flow = "120 cc/min"', 'rated_flow = "120 cc"', "nozzle[2].rated_flow", "not a unit of flow"),
    ('rated_flow = "120 cc/min"\n', "", "nozzle[2].rated_flow", 'missing; write rated_flow = "300 mL/min"'),
    ("rated_flow", "rated_flwo", "nozzle[1].rated_flwo", "did you mean rated_flow?"),
    ('rated_pressure = "6.9 bar"', 'rated_pressure = "0 bar"', "nozzle[2].rated_pressure", "must be more than zero"),
    ('place = "after throttle"', 'place = "after throtle"', "nozzle[2].place", 'did you mean "after throttle"?'),
    ('place = "after throttle"', 'place = "port"', "nozzle[2].place", 'write "before throttle" or "after throttle"'),
    ('opens_at = "1 psi"', 'opens_at = "14 gal"', "nozzle[1].opens_at", "'gal' is not a unit of pressure"),
    ('opens_at = "1 psi"', 'opens_at = "16 psia"', "nozzle[1].opens_at", "an absolute pressure"),
    ('opens_at = "1 psi"', 'opens_at = "160 psi"', "nozzle[1].opens_at", "more than 10 bar"),
    ('opens_at = "1 psi"', 'opens_at = "-20 psi"', "nozzle[1].opens_at", "less than -1.01325 bar"),
    # controller
    ('kind = "ramp"', 'kind = "rmap"', "controller.kind", 'did you mean "ramp"?'),
    ('kind = "ramp"', 'kind = "progressive"', "controller.kind", 'write "ramp" or "switch" or "table"'),
    ('kind = "ramp"\n', "", "controller.kind", "missing; "),
    ('start = "5 psi"\n', "", "controller.start", "missing; write start = "),
    ('full = "15 psi"\n', "", "controller.full", "missing; write full = "),
    ("minimum_speed = 0.30\n", "", "controller.minimum_speed", "missing; write minimum_speed = "),
    ("minimum_speed = 0.30", "minimum_speed = 30", "controller.minimum_speed", "did you mean 0.30?"),
    ("minimum_speed = 0.30", "maximum_speed = 0.3", "controller.maximum_speed", "did you mean minimum_speed?"),
    ('full = "15 psi"', 'full = "5 psi"', "controller.full", "must be above start, 0.3447 bar"),
    ('full = "15 psi"', 'full = "4 psi"', "controller.full", "must be above start"),
    ('start = "5 psi"', "start = 5", "controller.start", "a bare number has no unit"),
    ('start = "5 psi"', 'start = "5 lb"', "controller.start", "not a unit of pressure"),
    # spread, flow test
    ("car = 0.10", "car = 10", "spread.car", "did you mean 0.10?"),
    ("run = 0.08", "run = -0.08", "spread.run", "must be from 0 to 1"),
    ("run = 0.08", 'run = "8 %"', "spread.run", "without quotes: 0.08"),
    ('volume = "410 mL"', 'volume = "0 mL"', "flow_test.volume", "must be more than zero"),
    ('volume = "410 mL"', 'volume = "410 mL/min"', "flow_test.volume", "not a unit of volume"),
    ('time = "60 s"', "time = 60", "flow_test.time", "a bare number has no unit"),
    ('time = "60 s"', "", "flow_test.time", "missing; write time = "),
    ('time = "60 s"', 'time = "60 s"\nerror = 0', "flow_test.error", "must be above 0 and up to 0.5"),
    ('time = "60 s"', 'time = "60 s"\nerror = 3', "flow_test.error", "did you mean 0.03?"),
    # the file as a whole
    ("[blend]", "[turbo]\nsize = 1\n[blend]", "turbo", "no such key; here are known: name, blend, tank"),
    ("[line]", "[pump.x]\nsize = 1\n[line]", "pump.x", "no such key; here are known: curve"),
    ("[blend]", "confidence = 1\n[blend]", "confidence", "no such key; here are known: name, blend"),
    ("[blend]", "rated_flow = 1\n[blend]", "rated_flow", "belongs in [[nozzle]]"),
    ("[blend]", "flow_test = 1\n[blend]", "line 57", "once only"),
    ("full =", "full", "line 49", "not TOML"),
    ('"15 psi"', "15 psi", "line 49", 'put a value with a unit in quotes, such as "14 psi"'),
    ('"15 psi"', '"15 psi', "line 49", "a quotation mark is missing"),
    ("[spread]", "[spread", "line 52", "not TOML"),
    ("car = 0.10", "car = 0.10\ncar = 0.2", "line 54", "once only"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "key", "words"), BROKEN)
def test_a_broken_car_file_is_refused_with_its_key_and_a_remedy(old: str, new: str, key: str, words: str) -> None:
    faults = car_faults(replaced(CAR, old, new))
    fault = next((fault for fault in faults if fault.key == key), None)
    assert fault is not None, faults
    assert words in fault.remedy
    assert fault.line().startswith("plum.toml: ")
    assert len(fault.line().splitlines()) == 1
    assert len(fault.line()) < 330


@pytest.mark.parametrize(("old", "new", "key", "words"), BROKEN)
def test_one_mistake_makes_few_faults(old: str, new: str, key: str, words: str) -> None:
    assert len(car_faults(replaced(CAR, old, new))) <= 2
