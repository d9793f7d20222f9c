"""The pieces of the part of the page Tank that compares tanks to buy."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.answer import answer
from dashboard.components.failure import failure_card
from dashboard.components.native import Field, Tick
from dashboard.components.notice import notice
from dashboard.components.table import picture, table
from dashboard.figures.tank_choice_figure import choice_figure, tornado_figure, tornado_height
from dashboard.presenters import tank_choice as shown
from dashboard.presenters import tank_choice_changes as changes
from dashboard.presenters.tank_choice_form import Form, Option
from dashboard.presenters.tank_choice_job import Job
from dashboard.presenters.view import View

KEY = (
    ("worth", "worth considering"),
    ("open", "no other is better in everything"),
    ("worse", "worse in all that counts"),
    ("broken", "some day cannot be driven, or it does not fit"),
)
DOWNLOADS = (("table.csv", "Table, CSV"), ("picture.svg", "Picture, SVG"), ("picture.png", "Picture, PNG"))


def tick_id(kind: str, key: Any) -> dict[str, Any]:
    """The id of a tick for a day or a tank."""
    return {"page": "tank-choice", "kind": kind, "key": key}


def settings(form: Form) -> Component:
    """What to compare: days, sizes, other tanks, space, gaps, other choices; and the button that starts it."""
    typed = form.typed
    return html.Section(
        [
            html.H3("What to compare", id="tank-choice-asked"),
            _ticks("Days", "day", form.days),
            html.P(id="tank-choice-days-fault", className="fault-line", role="alert"),
            html.Div([_text(name, label, typed[name], hint=hint) for name, label, hint in _TEXTS], className="fields"),
            html.Div([_tick(name, label, typed[name]) for name, label in _TICKS], className="tank-choice-ticks"),
            *([_ticks("Other tanks", "tank", form.tanks)] if form.tanks else []),
            html.Div(html.Button("Compare", id="tank-choice-start", type="button", className="do"), className="row"),
        ],
        className="sheet stack no-print",
        **{"aria-labelledby": "tank-choice-asked"},
    )


_TEXTS = (
    ("sizes", "Sizes of its own shape", "such as 1 gal, 8 L; empty for the usual ones"),
    ("space", "Space to fit in", "length x width x height: 400 mm x 200 mm x 200 mm"),
    ("gap", "A gap is long from", ""),
)
_TICKS = (
    ("turn", "It may be turned by 90 degrees to fit"),
    ("changes", "Other choices too: nozzles, boost, blend, pump, second tank"),
)


def _text(name: str, label: str, value: str, *, hint: str) -> Component:
    return Field(id=f"tank-choice-{name}", label=label, value=value, kind="text", hint=hint or None)


def _tick(name: str, label: str, value: bool) -> Component:
    return Tick(id=f"tank-choice-{name}", label=label, value=value)


def _ticks(legend: str, kind: str, options: Sequence[Option]) -> Component:
    ticks = [Tick(id=tick_id(kind, one.key), label=one.label, value=one.ticked) for one in options]
    return html.Fieldset(
        [html.Legend(legend), html.Div(ticks, className="tank-choice-ticks")], className="tank-choice-set"
    )


def progress(job: Job | None) -> list[Component]:
    """The bar of a comparison that runs, with the button that stops it; nothing otherwise."""
    if job is None or not job.running:
        return []
    state = job.state()
    return [
        html.Section(
            [
                html.P("Planning every day with every tank …", id="tank-choice-said", role="status"),
                html.Progress(
                    id="tank-choice-bar", value=str(state["done"]), max=str(max(state["total"], 1)),
                    **{"aria-label": "how far the comparison is"},
                ),
                html.Button("Stop", id="tank-choice-stop", type="button", className="plain"),
            ],
            className="sheet row tank-choice-running",
        )
    ]  # fmt: skip


def outcome(job: Job | None, view: View) -> list[Component]:
    """What the last comparison came to, or what to do for one."""
    if job is None or (job.result is None and job.running):
        return [answer(["Compare sizes over your own days: what each saves in stops and costs in mass."])]
    if job.stopped:
        return [answer(["Stopped. What was worked out is kept; compare again to go on."])]
    if job.result is None:
        return [failure_card("The tanks could not be compared", list(job.refused))]
    return _result(job.result, view)


def _result(result: Mapping[str, Any], view: View) -> list[Component]:
    choice = [_trades(result, view), _key(), _picture(result, view), _downloads()]
    tanks = table(shown.tanks_table(result, view.display), caption=False)
    return [
        answer(shown.choice_answer(result, view.display)),
        html.Div([notice("notice", text) for text in shown.notices_of(result)], className="notices"),
        html.Section(choice, className="sheet"),
        html.Section([html.H3("Every tank"), _unless_narrow(tanks, view), _by_day(result, view)], className="sheet"),
        _sure(result, view),
        *_changes(result, view),
    ]


def _trades(result: Mapping[str, Any], view: View) -> Component:
    pairs = shown.trades(result, view.display)
    return html.Dl(
        [part for name, text in pairs for part in (html.Dt(name), html.Dd(text))], className="tank-choice-trades"
    )


def _key() -> Component:
    items = [
        html.Li([html.Span(className=f"tank-choice-mark {look}", **{"aria-hidden": "true"}), text])
        for look, text in KEY
    ]
    return html.Ul(items, className="key")


def _picture(result: Mapping[str, Any], view: View) -> Component:
    figure = choice_figure(shown.choice_picture(result, view.display), view.theme, view.narrow)
    return picture(
        figure, None, id="tank-choice-picture", label="Stops against mass carried, one mark a tank", height=380
    )


def _downloads() -> Component:
    links = [html.A(text, href=f"/tank-choice/{name}", download=f"tanks-{name}") for name, text in DOWNLOADS]
    return html.P(
        ["Take away: ", *[part for link in links for part in (link, " ")]], className="tank-choice-links no-print"
    )


def _unless_narrow(part: Component, view: View) -> Component:
    """A long table as it is, or on a phone behind a line that opens."""
    return html.Details([html.Summary("The table of all tanks"), part], className="behind") if view.narrow else part


def _by_day(result: Mapping[str, Any], view: View) -> Component:
    days = table(shown.days_table(result, view.display), caption=False)
    return html.Details([html.Summary("The tanks worth considering, day by day"), days], className="behind")


def _sure(result: Mapping[str, Any], view: View) -> Component:
    flips = shown.flips_table(result, view.display)
    parts = [html.H3("How sure"), html.P(shown.sure_text(result, view.display))]
    return html.Section([*parts, *([table(flips)] if flips else [])], className="sheet")


def _changes(result: Mapping[str, Any], view: View) -> list[Component]:
    if result["changes"] is None:
        return []
    bars = changes.tornado(result, view.display)
    figure = tornado_figure(bars, view.theme, view.narrow)
    drawn = picture(
        figure, changes.changes_table(result, view.display), id="tank-choice-tornado",
        label="What each change does to a day’s use", height=tornado_height(len(bars.bars), view.narrow),
    )  # fmt: skip
    words = html.P(changes.change_text(result, view.display))
    said = [html.P("Without changing use:"), html.Ul([html.Li(text) for text in bars.beside])] if bars.beside else []
    return [html.Section([html.H3("Other choices, one at a time"), words, drawn, *said], className="sheet")]
