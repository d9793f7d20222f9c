"""Tables that become cards on a phone, and pictures with the same numbers as a table behind them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component
from plotly.graph_objects import Figure

from dashboard.components.answer import numeral_properties, shown
from dashboard.components.native import Table
from dashboard.presenters.table import Cell, Column, Row, TableData
from dashboard.presenters.whence import as_parts

GRAPH_CONFIG = {
    "displayModeBar": False,
    "showSendToCloud": False,
    "plotlyServerURL": "",
    "responsive": True,
    "scrollZoom": False,
    "doubleClick": "reset",
}


def _plain(cell: Cell) -> str | list[Any]:
    """A cell as the browser's side takes it: text, or a list of texts and of numbers' properties."""
    if isinstance(cell, str):
        return cell
    return [part if isinstance(part, str) else numeral_properties(part) for part in as_parts(cell)]


def table_rows(data: TableData) -> list[list[Any]]:
    """The rows of a table as the browser's side takes them."""
    return [[_plain(row.head), [_plain(cell) for cell in row.cells], row.look] for row in data.rows]


def _columns(data: TableData) -> list[dict[str, Any]]:
    return [{"label": column.label, "figure": column.figure} for column in data.columns]


def native_table(data: TableData, *, caption: bool = True, id: str | None = None, rows: Any = None) -> Component:
    """A table as one component, without its columns' sources."""
    shape = {"head": data.head, "columns": _columns(data), "rows": table_rows(data) if rows is None else rows}
    return Table(id=id, caption=data.caption, quiet=not caption, **shape)


def table(data: TableData, actions: Sequence[Component] = (), *, caption: bool = True) -> Component:
    """A table; each row becomes a card on a phone, and one without cells a line across.

    `actions` are one component a row, set in a last column. caption False hides the caption from sight, where a
    heading says the same.
    """
    drawn = _table_with_actions(data, actions, caption) if actions else native_table(data, caption=caption)
    return html.Div([drawn, *_about(data)])


def _row(row: Row, data: TableData, action: Component) -> Component:
    cells = [_cell(column, cell) for column, cell in zip(data.columns, row.cells, strict=True)]
    return html.Tr(
        [html.Th(shown(row.head), scope="row"), *cells, html.Td(action, className="action")], className=row.look or None
    )


def _cell(column: Column, cell: Cell) -> Component:
    look = ("figure" if column.figure else "", "" if cell else "blank")
    return html.Td(shown(cell), className=" ".join(filter(None, look)), **{"data-label": column.label})


def _table_with_actions(data: TableData, actions: Sequence[Component], caption: bool) -> Component:
    """A table whose rows hold components, which the browser's own table cannot."""
    choose = html.Th(html.Span("Choose", className="unseen"), scope="col")
    heads = [
        html.Th(column.label, scope="col", className="figure" if column.figure else None) for column in data.columns
    ]
    inside = [
        html.Caption(data.caption, className=None if caption else "unseen"),
        html.Thead(html.Tr([html.Th(data.head, scope="col"), *heads, choose])),
        html.Tbody([_row(row, data, action) for row, action in zip(data.rows, actions, strict=True)]),
    ]
    name = {"aria-label": data.caption}
    return html.Div(html.Table(inside, className="cards"), className="table-wrap", tabIndex="0", role="region", **name)


def _about(data: TableData) -> list[Component]:
    """Where a table's numbers come from, column by column, behind a line that opens."""
    told = [part for column in data.columns if column.about for part in (html.Dt(column.label), html.Dd(column.about))]
    return (
        [html.Details([html.Summary("Where these numbers come from"), html.Dl(told, className="about")])]
        if told
        else []
    )


def picture(
    figure: Figure | dict[str, Any], data: TableData | None, *, id: Any, label: str, height: int = 360, rows: Any = None
) -> Component:
    """A figure, or its plain data, with a name for screen readers, and the same numbers as a table behind it.

    rows: the table's rows from `table_rows`, where they are at hand already; the table's id is "{id}-table".
    """
    graph = dcc.Graph(id=id, figure=figure, config=GRAPH_CONFIG, responsive=True, style={"height": f"{height}px"})
    parts: list[Component] = [html.Div(graph, role="img", className="picture-graph", **{"aria-label": label})]
    if data is not None:
        behind = native_table(data, id=f"{id}-table" if isinstance(id, str) else None, rows=rows)
        parts.append(html.Details([html.Summary("The picture as a table"), behind], className="behind"))
    return html.Figure(parts, className="picture")
