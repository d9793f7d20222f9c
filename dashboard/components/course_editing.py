"""What can be changed on the page Courses: the chosen course's fields, its recordings, its sketch, its columns."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.course_parts import act_button
from dashboard.components.draft import part_id
from dashboard.components.native import Field, Grid
from dashboard.presenters import course_options as options
from dashboard.presenters.course_draft import Drafted, why_not_dropped
from dashboard.presenters.course_form import (
    PER_OPTIONS,
    SOURCE_OPTIONS,
    SOURCES,
    SPLIT_OPTIONS,
    STARTERS,
    grid_of,
    logs_of,
    value_of,
)
from dashboard.presenters.course_use import CourseView

Values = Mapping[str, Any]
PAGE = "courses"


def _field(key: str, label: str, value: Any, *, choices: Any = None, hint: str = "", **more: Any) -> Component:
    kind = "choice" if choices is not None else "text"
    name = part_id(PAGE, "field", key)
    return Field(id=name, label=label, value=str(value), kind=kind, options=choices, hint=hint or None, **more)


@dataclass(frozen=True, slots=True)
class _Form:
    """The chosen course's fields as they stand, each with its fault."""

    slot: str
    draft: Values
    base: Values
    made: Drafted

    def of(self, name: str) -> str:
        """A field's value."""
        return str(value_of(self.draft, self.base, f"{self.slot}.{name}"))

    def field(self, name: str, label: str, *, choices: Any = None, hint: str = "") -> Component:
        """A field of the course."""
        key = f"{self.slot}.{name}"
        return _field(key, label, self.of(name), choices=choices, hint=hint, fault=self.made.fields.get(key))

    def grid(self, name: str, columns: list[dict[str, Any]], **more: Any) -> Component:
        """A grid of the course."""
        key = f"{self.slot}.{name}"
        rows, faults = grid_of(self.draft, self.base, key), dict(self.made.cells.get(key, {}))
        return Grid(id=part_id(PAGE, "grid", key), columns=columns, rows=rows, faults=faults, least=1, **more)


def editing_part(
    view: CourseView, made: Drafted, draft: Values, base: Values, files: Sequence[dict[str, str]]
) -> list[Component]:
    """The fields of the chosen course; `files` are recordings that can be put into it."""
    form = _Form(view.slot, draft, base, made)
    head = [
        form.field("name", "Name"),
        form.field("per", "Counted per", choices=options.sequence_of(PER_OPTIONS)),
        form.field("source", "Comes from", choices=options.sequence_of(SOURCE_OPTIONS)),
    ]
    source = form.of("source")
    inside = {
        "logs": lambda: _recordings(form, view, files),
        "pieces": lambda: _pieces(form),
        "time_at_boost": lambda: _times(form),
    }[source if source in SOURCES else "logs"]()
    why_kept = why_not_dropped(made, view.slot)
    drop = (
        html.P(f"It cannot be deleted: {why_kept}", className="small")
        if why_kept
        else act_button("Delete this course", "drop", view.slot)
    )
    return [html.Div(head, className="fields"), *inside, html.Div(drop, className="row")]


def _recordings(form: _Form, view: CourseView, files: Sequence[dict[str, str]]) -> list[Component]:
    names = [log.rpartition("/")[2] for log in logs_of(form.draft, form.base, form.slot)]
    listed = [
        html.Li([html.Span(name), act_button("Detach", "detach", f"{form.slot}|{place}", label=f"Detach {name}")])
        for place, name in enumerate(names)
    ]
    empty = html.P("No recordings yet: add some below, or put one of the workspace's here.")
    choose = [{"value": "", "label": "choose"}, *files]
    pick = Field(id="courses-pick", label="A recording of the workspace", kind="choice", options=choose, value="")
    attach = html.Div([pick, act_button("Put it into this course", "attach", form.slot)], className="row")
    shown: list[Component] = [html.Ul(listed, className="logs") if listed else empty, *[attach] * bool(files)]
    return [html.H3("Recordings"), *shown, _split(form, view)]


def _split(form: _Form, view: CourseView) -> Component:
    kind = form.of("split")
    fields = [form.field("split", "Cut a recording in runs", choices=options.sequence_of(SPLIT_OPTIONS))]
    if kind == "column":
        columns = options.split_columns(view, form.of("split.column"))
        fields.append(form.field("split.column", "Column that changes", choices=columns))
    if kind == "stops":
        fields.append(form.field("split.stops", "Stops longer than", hint='such as "20 s"; needs a road speed'))
    if kind == "windows":
        hint = 'such as "0 s to 60 s; 75 s to 130 s", from the first row'
        fields.append(form.field("split.windows", "Start and end times", hint=hint))
    fields.append(form.field("ambient", "Air outside", hint='only for absolute pressure, such as "98 kPa"'))
    return html.Div(fields, className="fields")


def _pieces(form: _Form) -> list[Component]:
    says = "Pieces follow each other; accelerations may stay empty. The picture above follows as you type."
    drawn = form.grid(
        "pieces",
        options.piece_columns(),
        label="The course, piece by piece",
        thing="piece",
        fresh=STARTERS["pieces"][0],
    )
    lag = form.field("spool", "Spool time", hint='how long boost takes to rise, such as "0.5 s"')
    return [html.P(says, className="small"), drawn, lag]


def _times(form: _Form) -> list[Component]:
    rest = " What is left of the minute is driven without boost." * (form.of("per") == "minute")
    says = f"How long each boost is held in one {form.of('per') or 'run'}.{rest} The picture above follows as you type."
    drawn = form.grid(
        "time_at_boost",
        options.time_columns(),
        label="Time at boost",
        thing="boost",
        fresh=STARTERS["time_at_boost"][0],
        className="small-grid",
    )
    return [html.P(says, className="small"), drawn]


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
