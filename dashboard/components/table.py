"""Tables that become cards on a phone, and pictures with the same numbers as a table behind them."""

from __future__ import annotations

from typing import Any

from dash import dcc, html
from dash.development.base_component import Component
from plotly.graph_objects import Figure

from dashboard.presenters.table import Row, TableData

GRAPH_CONFIG = {
    "displayModeBar": False,
    "showSendToCloud": False,
    "plotlyServerURL": "",
    "responsive": True,
    "scrollZoom": False,
    "doubleClick": "reset",
}


def _row(row: Row, data: TableData) -> Component:
    cells = [
        html.Td(
            text,
            className=" ".join(word for word in ("figure" if column.figure else "", "" if text else "blank") if word),
            **{"data-label": column.label},
        )
        for column, text in zip(data.columns, row.cells, strict=True)
    ]
    return html.Tr([html.Th(row.head, scope="row"), *cells], className=row.look or None)


def table(data: TableData) -> Component:
    """A table with its caption; each row becomes a card on a phone."""
    heads = [html.Th(data.head, scope="col")]
    heads += [
        html.Th(column.label, scope="col", className="figure" if column.figure else None) for column in data.columns
    ]
    body = [_row(row, data) for row in data.rows]
    inside = [html.Caption(data.caption), html.Thead(html.Tr(heads)), html.Tbody(body)]
    return html.Div(
        html.Table(inside, className="cards"),
        className="table-wrap",
        tabIndex="0",
        role="region",
        **{"aria-label": data.caption},
    )


def picture(figure: Figure, data: TableData | None, *, id: Any, label: str, height: int = 360) -> Component:
    """A figure with a name for screen readers, and the same numbers as a table behind it."""
    graph = dcc.Graph(id=id, figure=figure, config=GRAPH_CONFIG, responsive=True, style={"height": f"{height}px"})
    parts: list[Component] = [html.Div(graph, role="img", className="picture-graph", **{"aria-label": label})]
    if data is not None:
        parts.append(html.Details([html.Summary("The picture as a table"), table(data)], className="behind"))
    return html.Figure(parts, className="picture")
