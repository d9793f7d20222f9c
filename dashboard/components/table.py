"""Tables that become cards on a phone, and pictures with the same numbers as a table behind them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component
from plotly.graph_objects import Figure

from dashboard.components.answer import shown
from dashboard.presenters.table import Cell, Column, Row, TableData

GRAPH_CONFIG = {
    "displayModeBar": False,
    "showSendToCloud": False,
    "plotlyServerURL": "",
    "responsive": True,
    "scrollZoom": False,
    "doubleClick": "reset",
}


def _row(row: Row, data: TableData, action: Component | None) -> Component:
    last = [html.Td(action, className="action")] if action is not None else []
    inside = row.head if isinstance(row.head, str) else shown(row.head)
    if not any(row.cells):
        return html.Tr([html.Th(inside, scope="row", colSpan=len(row.cells) + 1), *last], className=row.look or None)
    cells = [_cell(column, cell) for column, cell in zip(data.columns, row.cells, strict=True)]
    head = html.Th(inside, scope="row")
    return html.Tr([head, *cells, *last], className=row.look or None)


def _cell(column: Column, cell: Cell) -> Component:
    look = ("figure" if column.figure else "", "" if cell else "blank")
    inside = cell if isinstance(cell, str) else shown(cell)
    return html.Td(inside, className=" ".join(filter(None, look)), **{"data-label": column.label})


def table(data: TableData, actions: Sequence[Component] = (), *, caption: bool = True) -> Component:
    """A table; each row becomes a card on a phone, and one without cells a line across.

    `actions` are one component a row, set in a last column. caption False hides the caption from sight, where a
    heading says the same.
    """
    heads = [html.Th(data.head, scope="col")]
    heads += [
        html.Th(column.label, scope="col", className="figure" if column.figure else None) for column in data.columns
    ]
    if actions:
        heads.append(html.Th(html.Span("Choose", className="unseen"), scope="col"))
    body = [_row(row, data, action) for row, action in zip_longest(data.rows, actions)]
    inside = [
        html.Caption(data.caption, className=None if caption else "unseen"),
        html.Thead(html.Tr(heads)),
        html.Tbody(body),
    ]
    shown = html.Div(
        html.Table(inside, className="cards"),
        className="table-wrap",
        tabIndex="0",
        role="region",
        **{"aria-label": data.caption},
    )
    return html.Div([shown, *_about(data)])


def _about(data: TableData) -> list[Component]:
    """Where a table's numbers come from, column by column, behind a line that opens."""
    told = [part for column in data.columns if column.about for part in (html.Dt(column.label), html.Dd(column.about))]
    return (
        [html.Details([html.Summary("Where these numbers come from"), html.Dl(told, className="about")])]
        if told
        else []
    )


def picture(figure: Figure, data: TableData | None, *, id: Any, label: str, height: int = 360) -> Component:
    """A figure with a name for screen readers, and the same numbers as a table behind it."""
    graph = dcc.Graph(id=id, figure=figure, config=GRAPH_CONFIG, responsive=True, style={"height": f"{height}px"})
    parts: list[Component] = [html.Div(graph, role="img", className="picture-graph", **{"aria-label": label})]
    if data is not None:
        parts.append(html.Details([html.Summary("The picture as a table"), table(data)], className="behind"))
    return html.Figure(parts, className="picture")
