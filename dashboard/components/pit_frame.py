"""The frame of the pit board, and the board within it as one list of components."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from dash import html
from dash.development.base_component import Component

from dashboard.components import pit_parts
from dashboard.presenters.pit_page import PitView


@dataclass(frozen=True, slots=True)
class Head:
    """What the board's script needs to know of the board that the page came with."""

    event: str
    version: str
    server_time: str
    zone: str
    zone_name: str
    can_write: bool


def board(view: PitView, *, narrow: bool, can_write: bool) -> list[Component]:
    """The parts that change with the day, in the order in which they are read."""
    parts = [
        pit_parts.alarm_list(view.urgent, "Alarms"),
        pit_parts.coming_part(view.coming),
        pit_parts.todo_part(view.todo),
        pit_parts.key_part(view.main_key, view.panels) if can_write else None,
        pit_parts.change_part(view.change),
        pit_parts.level_part(view.levels, view.side, view.side_label),
        pit_parts.alarm_list(view.others, "Notes"),
        pit_parts.forecast_part(view.picture, view.table, narrow=narrow, more=view.more),
        pit_parts.entry_list(view.entries, can_write=can_write),
    ]
    names = ("alarms", "coming", "todo", "log", "change", "level", "others", "forecast", "entries")
    return [
        html.Div(part, className=f"pit-part pit-part-{name}") for name, part in zip(names, parts, strict=True) if part
    ]


def frame(head: Head, parts: list[Component]) -> Component:
    """The page: how live it is, what waits to be sent, the board, and what comes after the day."""
    data = {
        "data-event": head.event,
        "data-version": head.version,
        "data-server-time": head.server_time,
        "data-zone": head.zone,
        "data-can-write": str(head.can_write).lower(),
    }
    looking = [] if head.can_write else [html.P("This device may look, not log.", className="pit-looking")]
    return html.Div(
        [
            html.H1("Pit", className="unseen"),
            _status(head),
            *looking,
            html.Div(
                id="pit-waiting", className="pit-waiting", role="region", **{"aria-label": "Entries on their way"}
            ),
            html.Div(parts, id="pit-board", className="pit-board"),
            html.Details(
                [html.Summary("After the day"), html.Div("…", id="pit-after", className="pit-after")],
                id="pit-after-part",
                className="sheet no-print",
            ),
            _elsewhere(head),
            html.Div(id="pit-said", className="pit-said no-print", role="status"),
            html.Dialog(id="pit-dialog", className="pit-dialog"),
        ],
        id="pit",
        className="pit",
        **data,
    )


def _status(head: Head) -> Component:
    clock = html.P(
        [html.Span(id="pit-clock", className="pit-clock"), html.Span(f" {head.zone_name}", className="pit-zone")],
        className="pit-time-line",
    )
    live = html.P("● Live", id="pit-link", className="pit-link live", role="status")
    return html.Div([html.Div([live, clock], className="pit-status"), html.P("", id="pit-lost", className="pit-lost")])


NETWORK = (
    "Every device that shows this board sees an entry within about two seconds.",
    "Without network the last board stays readable, with its age beside it, and its countdowns go on.",
    "Entries then wait in this browser, marked as waiting, and are sent in order, once, when the network is back; "
    "they outlive closing the page and switching the phone off.",
    "What needs the network: opening or reloading this page, what other devices log, and a new forecast.",
)


def _elsewhere(head: Head) -> Component:
    """The log as a table, other devices, and what works without network."""
    address = f"/pit/log.csv?event={quote(head.event, safe='')}"
    parts: list[Component] = [html.P(html.A("Take the log away as a table (CSV)", href=address))]
    if head.can_write:
        add = html.Button("Add the entries of such a table", type="button", className="plain", **{"data-import": "yes"})
        parts += [html.P(add), html.P(html.A("Share this board with other devices", href="/share"))]
    return html.Details(
        [
            html.Summary("Other devices, no network, the log as a table"),
            html.Ul([html.Li(sentence) for sentence in NETWORK]),
            *parts,
        ],
        className="sheet no-print",
    )
