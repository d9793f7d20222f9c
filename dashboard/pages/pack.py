"""Pack: what to load and tick off, how to mix it, how to check it, and the papers; for one event or several."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from dash import ALL, Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from dashboard.components import pack_parts
from dashboard.components.failure import failure_card, logged_card
from dashboard.components.notice import notice
from dashboard.presenters import pack_mix, pack_strength
from dashboard.presenters.display import Display
from dashboard.presenters.pack import Packed, companions, packed
from dashboard.presenters.pack_choice import PackChoice, choice_of, keep_choice, kept_choice
from dashboard.presenters.pack_tables import mixed_loads
from dashboard.presenters.view import View, view_of
from dashboard.presenters.workspace import Workspace

PATH = "/pack"
TITLE = "Pack"
USUAL_TEMPERATURE = 20.0  # [degC]

Asked = Callable[[Mapping[str, str], Display], pack_mix.Mixed | pack_strength.Checked]
Said = Callable[[Mapping[str, str], Display], list[Component]]


def layout(view: View) -> Component:
    """The page for the chosen event and those it is packed with; without an event, the calculators alone."""
    if view.event is None:
        return html.Div([html.H1("Pack", className="unseen"), _no_event(), *_calculators(None, view)], id="pack")
    try:
        view.workspace.path(view.event)
    except view.workspace.refusals as reason:
        return failure_card(f"{view.event} cannot be opened", view.workspace.sentences(reason))
    choice = kept_choice(view.workspace, view.event)
    made = packed(view.workspace, choice)
    others = companions(view.workspace, view.event)
    body = html.Div(
        [
            html.Div(pack_parts.pack_body(made, view.display), id="pack-body"),
            pack_parts.before_refilling(),
            pack_parts.papers(choice, made.faults or {}),
            *_calculators(made, view),
        ]
    )
    side = pack_parts.choosing(choice, others, made.faults or {})
    return html.Div(
        [
            html.H1("Pack", className="unseen"),
            html.Div(pack_parts.pack_answer(made, view.display), id="pack-answer"),
            html.Div([body, side], className="with-side"),
        ],
        id="pack",
    )


def _no_event() -> Component:
    words = "No event yet: mix any amount below. With an event this page says what to load."
    return html.Div(html.P(words, className="answer"), className="answer-alone")


def _calculators(made: Packed | None, view: View) -> list[Component]:
    """The recipe of any amount and the strength check, begun with the list's first blend."""
    loads = mixed_loads(made) if made else []
    strength = loads[0].alcohol_share if loads else pack_strength.USUAL_SHARE
    blend = loads[0].parts.blend * 1e3 if loads else None
    temperature = loads[0].parts.temperature if loads else USUAL_TEMPERATURE
    texts = pack_mix.first_texts(blend, strength, view.display, temperature=temperature)
    place = view.event or ""
    return [
        pack_parts.calculator(texts, place, view.display, opened=not view.narrow or made is None),
        pack_parts.strength(made, place, view.display, opened=not view.narrow),
    ]


def register(app: Dash, workspace: Workspace) -> None:
    """The page's callbacks."""
    _register_list(app, workspace)
    _register_form(app, workspace, "mix", "pack-mixed", pack_mix.mixed, said=pack_parts.calculated)
    _register_form(app, workspace, "check", "pack-checked", pack_strength.checked, said=pack_parts.strength_said)


def _register_list(app: Dash, workspace: Workspace) -> None:
    @app.callback(
        Output("pack-answer", "children"),
        Output("pack-body", "children"),
        Output("pack-downloads", "children"),
        Output("pack-densities", "children"),
        Output({"page": "pack", "kind": "set", "key": ALL}, "fault"),
        Output({"page": "pack", "kind": "set", "key": ALL}, "hint"),
        Input({"page": "pack", "kind": "set", "key": ALL}, "value"),
        Input({"page": "pack", "kind": "with", "key": ALL}, "value"),
        Input("settings", "data"),
        State({"page": "pack", "kind": "set", "key": ALL}, "id"),
        State({"page": "pack", "kind": "with", "key": ALL}, "id"),
        State({"page": "pack", "kind": "set", "key": ALL}, "hint"),
        State("url", "search"),
        prevent_initial_call=True,
    )
    def show(values: Any, taken: Any, settings: Any, names: Any, events: Any, hints: Any, search: str) -> Any:
        view = view_of(workspace, search, settings)
        if view.event is None or not names:
            return *[no_update] * 4, [no_update] * len(names), [no_update] * len(names)
        try:
            choice = _chosen(view.event, values, taken, names=names, events=events)
            made = packed(workspace, choice)
            troubles = _keep(view, choice) if ctx.triggered_id != "settings" and not made.faults else []
            said = [*troubles, *pack_parts.pack_answer(made, view.display)]
            body = pack_parts.pack_body(made, view.display)
        except Exception as reason:
            return logged_card(reason), *[no_update] * 3, [no_update] * len(names), [no_update] * len(names)
        faults = [(made.faults or {}).get(one["key"]) for one in names]
        densities = pack_parts.densities(made, view.display)
        return said, body, pack_parts.downloads(choice), densities, faults, pack_parts.hints(choice, names, hints)


def _chosen(event: str, values: Any, taken: Any, *, names: Any, events: Any) -> PackChoice:
    others = [one["key"] for one, on in zip(events, taken, strict=True) if on]
    texts = {one["key"]: value or "" for one, value in zip(names, values, strict=True)}
    return choice_of([event, *others], texts)


def _keep(view: View, choice: PackChoice) -> list[Component]:
    """Keep the choice beside the event; where that fails, say so and go on."""
    assert view.event is not None
    try:
        keep_choice(view.workspace, view.event, choice)
    except view.workspace.refusals as reason:
        return [notice("caution", " ".join(view.workspace.sentences(reason)))]
    return []


def _register_form(app: Dash, workspace: Workspace, kind: str, part: str, asked: Asked, *, said: Said) -> None:
    """A small form's callback: its fields' texts to what it says of them, and each field's fault."""

    @app.callback(
        Output(part, "children"),
        Output({"page": "pack", "kind": kind, "key": ALL}, "fault"),
        Input({"page": "pack", "kind": kind, "key": ALL}, "value"),
        Input("settings", "data"),
        State({"page": "pack", "kind": kind, "key": ALL}, "id"),
        State("url", "search"),
        prevent_initial_call=True,
    )
    def show(values: Any, settings: Any, names: Any, search: str) -> Any:
        display = view_of(workspace, search, settings).display
        texts = {one["key"]: value or "" for one, value in zip(names, values, strict=True)}
        try:
            found, shown = asked(texts, display), said(texts, display)
        except Exception as reason:
            return logged_card(reason), [no_update] * len(names)
        return shown, [found.faults.get(one["key"]) for one in names]
