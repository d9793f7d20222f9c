"""Everything that a car or event file can say can be edited on a page."""

import pytest

from dashboard.presenters.car_form import CAR_FIELDS, KEPT, NOZZLES, SHAPE_KEYS
from dashboard.presenters.event_form import EVENT_FIELDS, SESSIONS
from planner.files import car_tables, event_tables, tank_tables
from planner.files.tank_tables import SHAPES

CAR_KEYS = {spec.key for spec in CAR_FIELDS} | {"pump.curve", "controller.points", "tank.dips"}
EVENT_KEYS = {spec.key for spec in EVENT_FIELDS}


@pytest.mark.parametrize(
    ("table", "prefix"),
    [
        (car_tables.BlendTable, "blend"), (car_tables.PumpTable, "pump"), (car_tables.LineTable, "line"),
        (car_tables.SpreadTable, "spread"), (car_tables.FlowTestTable, "flow_test"),
        (tank_tables.PickupTable, "tank.pickup"), (tank_tables.SumpTable, "tank.sump"),
    ],
)  # fmt: skip
def test_every_key_of_a_cars_table_has_its_field(table, prefix):
    assert {f"{prefix}.{key}" for key in table.model_fields} <= CAR_KEYS


@pytest.mark.parametrize("shape", SHAPES)
def test_every_key_of_a_tank_of_each_shape_has_its_field(shape):
    inner = {"pickup", "sump"}  # tables of their own
    assert {f"tank.{key}" for key in SHAPES[shape].model_fields if key not in inner} <= CAR_KEYS
    assert set(SHAPE_KEYS[shape]) <= set(SHAPES[shape].model_fields)


def test_every_key_of_a_nozzle_has_its_column():
    assert set(car_tables.NozzleTable.model_fields) == {column.key for column in NOZZLES.columns}


def test_every_key_of_a_kept_result_has_its_column():
    assert set(car_tables.KeptTable.model_fields) == {column.key for column in KEPT.columns}


@pytest.mark.parametrize("kind", ["RampTable", "SwitchTable", "PointsTable"])
def test_every_key_of_a_controller_has_its_field(kind):
    table = getattr(car_tables, kind)
    assert {f"controller.{key}" for key in table.model_fields} <= CAR_KEYS


@pytest.mark.parametrize(
    ("table", "prefix"),
    [(event_tables.ReserveTable, "reserve"), (event_tables.RefillTable, "refill"), (event_tables.StockTable, "stock")],
)
def test_every_key_of_an_events_table_has_its_field(table, prefix):
    assert {f"{prefix}.{key}" for key in table.model_fields} <= EVENT_KEYS


def test_every_key_of_a_session_has_its_column():
    assert set(event_tables.SessionTable.model_fields) == {column.key for column in SESSIONS.columns}


def test_the_head_of_an_event_has_its_fields():
    assert {"name", "date", "timezone", "car"} <= EVENT_KEYS
