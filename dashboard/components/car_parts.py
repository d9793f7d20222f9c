"""The parts of the page Car, from a car to layout."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.answer import answer, shown
from dashboard.components.draft import fields, grid
from dashboard.components.native import Field
from dashboard.components.notice import notice
from dashboard.components.saving import take_back_button
from dashboard.components.table import picture, table_rows
from dashboard.components.tank_view import tank_view
from dashboard.figures.flow_figure import flow_figure, top_of
from dashboard.figures.tank_drawing import TankSide
from dashboard.figures.template import blank
from dashboard.presenters import car_form as form
from dashboard.presenters.car_answer import answer_parts, limit_parts, petrol_parts, power_of, test_parts
from dashboard.presenters.car_curve import car_curve
from dashboard.presenters.car_table import TABLE_COLUMNS, curve_table
from dashboard.presenters.table import Column, TableData
from dashboard.presenters.tank_side import level_mm, tank_side
from dashboard.presenters.view import View

KEY = (
    ("line", "injected"),
    ("dash", "pump at full speed"),
    ("dots", "nozzles at the pump's highest pressure"),
    ("dashdot", "pump with nothing in its way"),
)
LABEL = (
    "Flow against boost with the limits of nozzles and pump, the pump's speed below; the table holds the same numbers"
)


def car_answer(car: Any, view: View) -> Component:
    """The answer with the tank at its fill limit."""
    limit = car.tank.limit * 1e3
    height = level_mm(car.tank, limit)
    text = view.display.volume(limit)
    lines = ((height, (text, view.display.length(height)), "mark"),)
    side = TankSide(level=height, lines=lines, **tank_side(car.tank, view.display))
    aside = tank_view(side, f"Side view of the tank, filled to its limit of {text}")
    return answer(answer_parts(car, view.display), note=limit_parts(car, view.display), aside=aside)


def picture_state(car: Any, view: View, power: str | None) -> dict[str, Any]:
    """What changes in the picture's sheet with the car: figure, table, key, share of the petrol. Hidden without one."""
    if car is None:
        return {"hidden": True, "figure": blank(view.theme), "rows": [], "key": [], "petrol": []}
    hp, curve = power_of(power), car_curve(car, view.display)
    lines = KEY if curve.pump_limit < top_of(curve) else KEY[:-1]
    level, says = petrol_parts(car, view.display, hp)
    return {
        "hidden": False,
        "figure": flow_figure(curve, view.theme),
        "rows": table_rows(curve_table(car, view.display, hp)),
        "key": [html.Li([html.Span(className=f"swatch {kind}"), text]) for kind, text in lines],
        "petrol": notice(level, shown(says)),
    }


def picture_sheet(state: Mapping[str, Any]) -> Component:
    """Flow against boost with its key, its table, and the share of the petrol."""
    table = TableData("Flow against boost", "Boost", tuple(map(Column, TABLE_COLUMNS)))
    drawn = picture(state["figure"], table, rows=state["rows"], id="car-picture", label=LABEL, height=440)
    parts = [
        html.H2("Flow against boost"),
        html.Ul(state["key"], id="car-key", className="key"),
        drawn,
        html.Div(state["petrol"], id="car-petrol"),
    ]
    return html.Section(parts, id="car-picture-part", className="sheet", hidden=state["hidden"])


def _section(title: str, inside: Sequence[Any], note: str = "", *, assumed: bool = False) -> Component:
    name = [title, html.Span("assumed", className="assumed-text")] if assumed else title
    head = [html.H2(name), html.P(note, className="small")] if note else [html.H2(name)]
    return html.Section([*head, *inside], className="sheet stack whole" if title == "Nozzles" else "sheet stack")


def _pairs(key: str, spec: Any, base: Mapping[str, Any], label: str, thing: str) -> Component:
    columns = [{"key": one.key, "label": one.label, "size": 9} for one in spec.columns]
    fresh = {one.key: "" for one in spec.columns}
    return grid("car", key, columns, base, label=label, thing=thing, fresh=fresh, className="small-grid")


def _nozzles(base: Mapping[str, Any]) -> Component:
    options = [{"value": value, "label": text} for value, text in form.PLACES]
    columns: list[dict[str, Any]] = []
    for one in form.NOZZLES.columns:
        column: dict[str, Any] = {"key": one.key, "label": one.label, "size": 4 if one.key == "count" else 9}
        if one.key == "place":
            column |= {"kind": "choice", "options": options, "size": 14}
        columns.append(column)
    fresh = {"count": "1", "rated_flow": "", "rated_pressure": "100 psi", "place": "", "opens_at": ""}
    return grid("car", "nozzle", columns, base, label="Nozzles", thing="nozzle", fresh=fresh, least=1)


def _kept(base: Mapping[str, Any]) -> Component:
    columns = [{"key": one.key, "label": one.label, "size": 10} for one in form.KEPT.columns]
    fresh = {one.key: "" for one in form.KEPT.columns}
    return grid("car", "kept", columns, base, label="Results kept from days", thing="result", fresh=fresh)


def tank_look(shape: str) -> str:
    """The class of the tank's fields, which shows those of its shape."""
    return f"shape-{shape.replace(' ', '-')}"


def kind_look(kind: str) -> str:
    """The class of the controller's fields, which shows those of its kind."""
    return f"kind-{kind}"


def editing(base: Mapping[str, Any], test: Any) -> list[Component]:
    """Every table of the car's file as a form; `test` is what the flow test says."""
    values = base["values"]
    dips = _pairs("tank.dips", form.DIPS, base, "Dip table", "dip")
    points = _pairs("controller.points", form.POINTS, base, "Controller's points", "point")
    tank = [
        html.Div(
            [
                fields("car", (form.SHAPE_FIELD, *form.SIZE_FIELDS), base),
                html.Div(dips, className="only-dips"),
                fields("car", form.TANK_FIELDS, base),
                html.Div(fields("car", form.SUMP_FIELDS, base), className="not-lying"),
            ],
            id="car-tank",
            className=tank_look(values["tank.shape"]),
        )
    ]
    control = html.Div(
        [fields("car", (form.KIND_FIELD, *form.CONTROLLER_FIELDS), base), html.Div(points, className="only-points")],
        id="car-controller",
        className=kind_look(values["controller.kind"]),
    )
    curve = _pairs("pump.curve", form.CURVE, base, "Pump curve at full speed", "point")
    test = [fields("car", form.TEST_FIELDS, base), html.P(test, id="car-test-said", role="status")]
    return [
        html.Div(
            [
                _section("Nozzles", [_nozzles(base)]),
                _section("Controller", [control]),
                _section(
                    "Pump",
                    [curve],
                    "At full speed: flow against pressure, from none up.",
                    assumed="pump.curve" in base["assumed"],
                ),
                _section("Line", [fields("car", form.LINE_FIELDS, base)]),
                _section("Flow test", test),
                _section("Blend and name", [fields("car", (*form.HEAD_FIELDS, *form.BLEND_FIELDS), base)]),
                _section("Tank", tank),
                _section("Spread", [fields("car", form.SPREAD_FIELDS, base)], "Relative standard deviations."),
                _section("Results kept from days", [_kept(base)], "The last one stands in place of the car's spread."),
            ],
            className="columns car-form",
        ),
        take_back_button("car"),
    ]


def power_field(place: str) -> Component:
    """Engine power for the comparison with the petrol: kept in the browser, in no file."""
    return Field(
        id="car-power",
        label="Engine power at full boost",
        hint="such as 340 hp; kept here only",
        keep=f"power:{place}",
        value="",
    )


def test_said(car: Any, view: View) -> list[Any]:
    """What the flow test says."""
    return shown(test_parts(car, view.display))
