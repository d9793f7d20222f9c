"""What is typed on a page that edits a file: kept in the browser, undone step by step, saved to the file when asked.

A draft is plain data: {"values": {key: text}, "grids": {key: rows}, "trial": {what is tried}, "past": [...],
"fingerprint" and "from": of the file it began from}. Every field, grid, slider and try-button carries an id of
`part_id`, and one browser-side callback (assets/draft.js) turns their changes into the draft, so that typing costs no
round trip. The page listens to Input(f"{page}-draft", "data") and works out everything from it.

Per page there stand: "{page}-draft" (the draft), "{page}-base" (the file's own values, grids and fingerprint),
"{page}-given" (values and grids that a server callback worked out), "{page}-pulse" (`beat` looks at the file again,
`back` counts returns of the server), "{page}-undo", "{page}-drop" and what components/saving.py adds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from dash import ALL, ClientsideFunction, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard.components.native import Field, Grid, Slider, _Native
from dashboard.presenters.form import FieldSpec


class Kept(_Native):
    """A value `data` that the browser keeps under `place`, over reloads and restarts."""

    _type = "Kept"
    _prop_names: ClassVar[list[str]] = ["id", "place", "data"]


class Pulse(_Native):
    """`beat` counts up while the page is looked at, `back` whenever the server answers again after it did not."""

    _type = "Pulse"
    _prop_names: ClassVar[list[str]] = ["id", "beat", "back"]


def part_id(page: str, kind: str, key: Any) -> dict[str, Any]:
    """The id of a field, grid or slider of a page."""
    return {"page": page, "kind": kind, "key": key}


def draft_stores(page: str, place: str, base: Mapping[str, Any]) -> list[Component]:
    """The page's stores; `place` names the file, `base` holds its values, grids and fingerprint."""
    return [
        Kept(id=f"{page}-draft", place=f"{page}:{place}", data={}),
        dcc.Store(id=f"{page}-base", data=dict(base)),
        dcc.Store(id=f"{page}-given"),
        Pulse(id=f"{page}-pulse"),
    ]


def try_button(page: str, text: str, key: str, value: Any, *, do: bool = False) -> Component:
    """A button that tries one change at a click, without writing anything."""
    name = {**part_id(page, "try", key), "value": value}
    return html.Button(text, id=name, type="button", className="do" if do else "plain")


def slider(page: str, data: Mapping[str, Any]) -> Component:
    """A what-if slider from key, label, stops, value and home."""
    named = {name: data[name] for name in ("label", "stops", "value", "home")}
    return Slider(id=part_id(page, "slider", data["key"]), **named)


def field(page: str, spec: FieldSpec, value: str, *, assumed: bool = False, fault: str | None = None) -> Component:
    """A form field of a file's key."""
    attributes = {"inputMode": "decimal"} if spec.kind == "number" else None
    return Field(
        id=part_id(page, "field", spec.key),
        label=spec.label,
        value=value,
        kind="choice" if spec.options else "text",
        options=[{"value": option, "label": label} for option, label in spec.options] or None,
        hint=spec.hint or None,
        unset=assumed,
        fault=fault,
        attributes=attributes,
    )


def fields(page: str, specs: Sequence[FieldSpec], base: Mapping[str, Any]) -> Component:
    """The fields of a form, with the file's values; what the file leaves out shows as assumed."""
    values, assumed = base["values"], base["assumed"]
    return html.Div(
        [field(page, spec, values.get(spec.key, ""), assumed=spec.key in assumed) for spec in specs], className="fields"
    )


def grid(page: str, key: str, columns: list[dict[str, Any]], base: Mapping[str, Any], **more: Any) -> Component:
    """An editable grid of a file's list of tables."""
    return Grid(id=part_id(page, "grid", key), columns=columns, rows=base["grids"][key], **more)


def fault_outputs(page: str) -> list[Output]:
    """Outputs of a page's faults: beside its fields, and in its grids' cells."""
    return [Output(part_id(page, "field", ALL), "fault"), Output(part_id(page, "grid", ALL), "faults")]


def fault_states(page: str) -> list[State]:
    """States from which `fault_answers` knows what stands there now."""
    names = ("field", "id"), ("field", "fault"), ("grid", "id"), ("grid", "faults")
    return [State(part_id(page, kind, ALL), prop) for kind, prop in names]


def fault_answers(made: Any, fields: Any, faults: Any, grids: Any, cells: Any) -> list[list[Any]]:
    """Answers to `fault_outputs`, from what was made of the draft (.fields, .cells; None keeps all) and the states.

    What stands there already is not sent again: each part that a callback answers costs the browser a walk of all.
    """
    if made is None:
        return [[no_update] * len(fields), [no_update] * len(grids)]
    told = [made.fields.get(one["key"]) for one in fields]
    in_cells = [dict(made.cells.get(one["key"], {})) for one in grids]
    return [
        [no_update if new == old else new for new, old in zip(told, faults, strict=True)],
        [no_update if new == (old or {}) else new for new, old in zip(in_cells, cells, strict=True)],
    ]


def register_draft(app: Dash, page: str) -> None:
    """The browser-side callback that turns what is typed, slid and clicked on a page into its draft."""

    def every(kind: str, prop: str) -> Input:
        return Input({"page": page, "kind": kind, "key": ALL}, prop)

    tries = Input({"page": page, "kind": "try", "key": ALL, "value": ALL}, "n_clicks")
    app.clientside_callback(
        ClientsideFunction("draft", "reduce"),
        Output(f"{page}-draft", "data"),
        Output({"page": page, "kind": "grid", "key": ALL}, "rows"),
        Output({"page": page, "kind": "field", "key": ALL}, "value"),
        Output({"page": page, "kind": "slider", "key": ALL}, "value"),
        every("field", "value"),
        every("slider", "value"),
        every("grid", "rows"),
        tries,
        Input(f"{page}-undo", "n_clicks"),
        Input(f"{page}-drop", "n_clicks"),
        Input(f"{page}-given", "data"),
        Input(f"{page}-draft", "data"),
        Input(f"{page}-base", "data"),
        State({"page": page, "kind": "field", "key": ALL}, "id"),
        State({"page": page, "kind": "slider", "key": ALL}, "id"),
        State({"page": page, "kind": "grid", "key": ALL}, "id"),
        prevent_initial_call=True,
    )
