"""What can be changed on the page Courses: the chosen course's fields, its recordings, its sketch, its columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.course_parts import act_button
from dashboard.components.draft import part_id
from dashboard.components.native import Field, Grid
from dashboard.presenters import course_options as options
from dashboard.presenters.course_form import (
    PER_OPTIONS,
    SOURCE_OPTIONS,
    SPLIT_OPTIONS,
    STARTERS,
    grid_of,
    logs_of,
    value_of,
)

Values = Mapping[str, Any]
PAGE = "courses"


def _field(key: str, label: str, value: Any, *, choices: Any = None, hint: str = "", quiet: bool = False) -> Component:
    return Field(
        id=part_id(PAGE, "field", key),
        label=label,
        value=str(value),
        kind="choice" if choices is not None else "text",
        options=choices,
        hint=hint or None,
        quiet=quiet or None,
    )


def editing_part(
    view: Any, draft: Values, base: Values, files: Sequence[dict[str, str]], why_kept: str
) -> list[Component]:
    """The fields of the chosen course; `files` are recordings that can be put into it, `why_kept` bars its deletion."""
    slot = view.slot

    def of(name: str) -> Any:
        return value_of(draft, base, f"{slot}.{name}")

    head = [
        _field(f"{slot}.name", "Name", of("name")),
        _field(f"{slot}.per", "Counted per", of("per"), choices=options.sequence_of(PER_OPTIONS)),
        _field(f"{slot}.source", "Comes from", of("source"), choices=options.sequence_of(SOURCE_OPTIONS)),
    ]
    source = of("source")
    if source == "logs":
        inside = _recordings(view, logs_of(draft, base, slot), files, of)
    else:
        inside = _sketch(slot, source, grid_of(draft, base, f"{slot}.{source}"), of("spool"))
    drop = (
        html.P(f"It cannot be deleted: {why_kept}", className="small")
        if why_kept
        else act_button("Delete this course", "drop", slot)
    )
    return [html.Div(head, className="fields"), *inside, html.Div(drop, className="row course-drop")]


def _recordings(view: Any, logs: Sequence[str], files: Sequence[dict[str, str]], of: Any) -> list[Component]:
    listed = [
        html.Li(
            [
                html.Span(log.rpartition("/")[2]),
                act_button("Detach", "detach", f"{view.slot}|{place}", label=f"Detach {log.rpartition('/')[2]}"),
            ]
        )
        for place, log in enumerate(logs)
    ]
    empty = html.P("No recordings yet: send some above, or put one of the workspace's here.")
    pick: list[Component] = []
    if files:
        choose = [{"value": "", "label": "choose"}, *files]
        pick = [
            html.Div(
                [
                    Field(
                        id="courses-pick", label="A recording of the workspace", kind="choice", options=choose, value=""
                    ),
                    act_button("Put it into this course", "attach", view.slot),
                ],
                className="row",
            )
        ]
    return [html.H3("Recordings"), html.Ul(listed, className="logs") if listed else empty, *pick, *_split(view, of)]


def _split(view: Any, of: Any) -> list[Component]:
    slot, kind = view.slot, of("split")
    fields = [_field(f"{slot}.split", "Cut a recording in runs", kind, choices=options.sequence_of(SPLIT_OPTIONS))]
    if kind == "column":
        columns = options.split_columns(view, str(of("split.column")))
        fields.append(_field(f"{slot}.split.column", "Column that changes", of("split.column"), choices=columns))
    if kind == "stops":
        hint = 'such as "20 s"; needs a road speed'
        fields.append(_field(f"{slot}.split.stops", "Stops longer than", of("split.stops"), hint=hint))
    if kind == "windows":
        hint = 'such as "0 s to 60 s; 75 s to 130 s", from the first row'
        fields.append(_field(f"{slot}.split.windows", "Start and end times", of("split.windows"), hint=hint))
    hint = 'only for absolute pressure, such as "98 kPa"'
    return [html.Div([*fields, _field(f"{slot}.ambient", "Air outside", of("ambient"), hint=hint)], className="fields")]


def _sketch(slot: str, source: str, rows: list[dict[str, str]], spool: str) -> list[Component]:
    pieces = source == "pieces"
    drawn = Grid(
        id=part_id(PAGE, "grid", f"{slot}.{source}"),
        columns=options.piece_columns() if pieces else options.time_columns(),
        rows=rows,
        label="The course, piece by piece" if pieces else "Time at boost",
        thing="piece" if pieces else "boost",
        least=1,
        fresh=STARTERS[source][0],
        className="small-grid" if not pieces else "",
    )
    says = (
        "Pieces follow each other; accelerations may stay empty. The picture above follows as you type."
        if pieces
        else "How long each boost is held in one run, lap or minute; the rest is driven without boost."
    )
    lag = [_field(f"{slot}.spool", "Spool time", spool, hint='how long boost takes to rise, such as "0.5 s"')] * pieces
    return [html.P(says, className="small"), drawn, *lag]


def mapping_part(groups: Sequence[options.HeaderGroup]) -> list[Component]:
    """The mapping of each header of the chosen course."""
    return [_group(group) for group in groups]


def _group(group: options.HeaderGroup) -> Component:
    heads = [html.Span(text) for text in ("What it is", "Column", "Unit")]
    rows = [html.Div(heads, className="mapping-row heads", **{"aria-hidden": "true"}), *map(_row, group.fields)]
    last = html.Div(
        [
            _field(group.kind_key, "The pressure counts from", group.kind, choices=options.KIND_OPTIONS),
            _field(group.rate_key, "Rows a second", group.rate, hint='where there is no time column, such as "50 Hz"'),
        ],
        className="fields",
    )
    says = "Correct here what was found wrongly. Saved with the course, and remembered for files with the same header."
    forget = act_button("Find everything by itself again", "forget", group.header)
    inside = [
        html.P(says, className="small"),
        html.Div(rows, className="mapping"),
        last,
        html.Div(forget, className="row"),
    ]
    return html.Details(
        [html.Summary(group.title), html.Div(inside, className="stack")],
        className="sheet no-print",
        open=group.broken,
    )


def _row(one: options.MappingField) -> Component:
    column = _field(one.column_key, f"Column for {one.label.lower()}", one.column, choices=one.options, quiet=True)
    parts = [html.Span(one.label, className="mapping-name"), column]
    if len(one.units) > 1:
        parts.append(_field(one.unit_key, f"Unit of {one.label.lower()}", one.unit, choices=one.units, quiet=True))
    return html.Div(parts, className="mapping-row")
