"""The parts of the page Tank, from what the slosh model says to layout."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component
from plotly.graph_objects import Figure

from dashboard.components.answer import answer
from dashboard.components.native import Drawing, Field, Slider
from dashboard.components.notice import notice, notices
from dashboard.components.table import picture, table
from dashboard.components.tank_view import tank_view
from dashboard.figures.tank_drawing import TankSide
from dashboard.figures.tank_risk_levels import risk_levels_figure
from dashboard.figures.tank_risk_side import SideWords, tank_risk_side
from dashboard.figures.tank_risk_time import time_figure
from dashboard.figures.tank_risk_washing import force_figure, spectrum_figure
from dashboard.presenters.tank_risk import TankRisk, answer_note, answer_parts, side_lines
from dashboard.presenters.tank_risk_changes import changes_table, today_words
from dashboard.presenters.tank_risk_choice import MODES, OWN_G, SURFACES, VIEWS, Choice
from dashboard.presenters.tank_risk_levels import levels_table, risk_levels, starving_sentence
from dashboard.presenters.tank_risk_moment import (
    level_stops,
    moment_seconds,
    moment_view,
    recording_choices,
    side_words,
    time_rows,
    time_stops,
    time_table,
    time_view,
)
from dashboard.presenters.tank_risk_washing import (
    excitation_words,
    risk_force,
    risk_spectrum,
    spectrum_table,
    washing_table,
    washing_words,
)
from dashboard.presenters.tank_side import tank_side
from dashboard.presenters.view import View

_MODE_WORDS = ("the recording, at a moment", "two sliders, held steady")
_SURFACE_WORDS = ("moving: first sloshing mode", "still: follows at once")
LEVELS_LABEL = "Share of the flowing time in which the pickup is bare over fill level, with what holds at each level"
TIME_LABEL = "Depth of fluid over the pickup and flow in time, starving spells hatched; a click chooses the moment"


def _swatches(*pairs: tuple[str, str]) -> Component:
    return html.Ul([html.Li([html.Span(className=f"swatch {kind}"), text]) for kind, text in pairs], className="key")


def risk_answer(risk: TankRisk, view: View) -> Component:
    """The answer beside the tank filled to where starving begins, and the course's notices."""
    side = TankSide(**side_lines(risk, view.display), **tank_side(risk.car.tank, view.display))
    drawn = tank_view(side, "Side view of the tank, filled to the level below which starving threatens")
    said = answer(answer_parts(risk, view.display), note=answer_note(risk, view.display), aside=drawn)
    told = [{"level": "caution", "text": text} for text in risk.slosh["notices"]]
    return html.Div([said, *([notices(told)] if told else [])])


def moment_parts(risk: TankRisk, choice: Choice, view: View) -> tuple[dict[str, Any], list[Component]]:
    """The tank at the chosen moment as an SVG tree, and what happens then, with what the level is like all along."""
    shown, row = moment_view(risk, choice, view.display), risk.rows[choice.level]
    words = SideWords(**side_words(shown, view.display))
    tree = tank_risk_side(shown.picture, shown.rest, words, longest=260 if view.narrow else 520)
    level = [
        html.P([html.Strong("Starving. "), starving_sentence(row, view.display)]),
        html.P([html.Strong("Washing. "), washing_words(row, view.display)]),
    ]
    return tree, [notice(*shown.verdict), html.P(shown.happening), html.Div(level, className="columns")]


def time_parts(risk: TankRisk, choice: Choice, view: View) -> tuple[Figure, Component]:
    """Depth over the pickup and flow in time as a figure, and as a table."""
    seconds = moment_seconds(time_rows(risk, choice), choice)
    figure = time_figure(time_view(risk, choice, view.display), seconds, view.theme, narrow=view.narrow)
    return figure, table(time_table(risk, choice, view.display))


def _choice(id: str, label: str, values: Sequence[str], words: Sequence[str], chosen: str) -> Component:
    options = [{"value": value, "label": word} for value, word in zip(values, words, strict=True)]
    return Field(id=id, label=label, kind="choice", options=options, value=chosen)


def _own_slider(id: str, label: str, ways: tuple[str, str], value: float) -> Component:
    def text(g: float) -> str:
        return f"{abs(g):.2f} g{', ' + ways[0 if g > 0 else 1] if g else ''}"

    stops = [{"value": g, "text": text(g)} for g in OWN_G]
    return Slider(id=id, label=label, stops=stops, value=value)


def _controls(risk: TankRisk, choice: Choice, view: View) -> Component:
    recordings = recording_choices(risk)
    values, words = [one["value"] for one in recordings], [one["label"] for one in recordings]
    level = Slider(id="tank-level", label="Fill", stops=level_stops(risk, view.display), value=choice.level)
    return html.Div(
        [
            level,
            _choice("tank-view", "Seen", VIEWS, VIEWS, choice.view),
            _choice("tank-mode", "Accelerations from", MODES, _MODE_WORDS, choice.mode),
            html.Div(
                [
                    _choice("tank-recording", "Recording", values, words, str(choice.recording)),
                    _choice("tank-surface", "Surface", SURFACES, _SURFACE_WORDS, choice.surface),
                ],
                className="only-recorded stack",
            ),
            html.Div(
                [
                    _own_slider("tank-lateral", "Cornering", ("left-hand corner", "right-hand corner"), choice.lateral),
                    _own_slider("tank-longitudinal", "Along", ("speeding up", "slowing"), choice.longitudinal),
                ],
                className="only-own stack",
            ),
        ],
        className="stack tank-controls",
    )


def mode_look(mode: str) -> str:
    """The class of the moment's sheet: which of its parts show."""
    return f"sheet tank-moment from-{mode}"


def moment_sheet(risk: TankRisk, choice: Choice, view: View) -> Component:
    """The tilted surface at a chosen moment, with what chooses it."""
    key = _swatches(
        ("line", "moving surface"),
        ("still", "still surface"),
        ("starving", "starving: bare or short of the margin while fluid flows"),
        ("moment", "the moment shown"),
    )
    stops = time_stops(time_rows(risk, choice))
    figure, rows = time_parts(risk, choice, view)
    behind = html.Div(rows, id="tank-depth-rows")
    buttons = [html.Button("Worst moment", id="tank-worst", type="button", className="plain")]
    chooser = Slider(id="tank-time", label="Moment", stops=stops, value=choice.time)
    moment = [
        html.Div([chooser, *buttons], className="tank-when"),
        key,
        picture(figure, None, id="tank-depth", label=TIME_LABEL, height=360),
        html.Details([html.Summary("The picture as a table"), behind], className="behind"),
    ]  # fmt: skip
    tree, told = moment_parts(risk, choice, view)
    drawing = Drawing(id="tank-drawing", tree=tree, className="tank-large")
    said = html.Div(told, id="tank-said", role="status", className="tank-said")
    return html.Section(
        [
            html.H2("The tank at one moment"),
            html.Div([drawing, html.Div([_controls(risk, choice, view)])], className="tank-at"),
            said,
            html.Div(moment, className="only-recorded"),
        ],
        id="tank-moment",
        className=mode_look(choice.mode),
    )


def levels_sheet(risk: TankRisk, view: View) -> Component:
    """Risk over fill level."""
    key = _swatches(
        ("line", "moving surface"),
        ("still", "still surface"),
        ("dots", "left of this line starving threatens: spells of 0.1 s or more"),
    )
    figure = risk_levels_figure(risk_levels(risk, view.display), view.theme, width=200 if view.narrow else 900)
    drawn = picture(figure, levels_table(risk, view.display), id="tank-levels", label=LEVELS_LABEL, height=470)
    return html.Section(
        [html.H2(f"Starving and washing at each fill on {risk.course.name}"), key, drawn], className="sheet"
    )


def washing_sheet(risk: TankRisk, view: View) -> Component:
    """Force, frequency and moment."""
    display = view.display
    force, spectrum = risk_force(risk, display), risk_spectrum(risk)
    key = _swatches(("band", "force on the mounts, F to 1.5 F"), ("dashes", "frozen fluid"), ("dotted", "dead weight"))
    force_label = "Peak sideways force on the mounts over fill level"
    swaying_label = "How strongly the course sways over frequency, with the tank's first modes from 10 to 95 % full"
    drawn = force_figure(force, view.theme)
    left = [key, picture(drawn, None, id="tank-force", label=force_label, height=320)]
    swaying = spectrum_figure(spectrum, view.theme)
    right = [
        html.P(excitation_words(risk), className="small"),
        picture(swaying, spectrum_table(spectrum), id="tank-spectrum", label=swaying_label, height=320),
    ]
    numbers = html.Details(
        [html.Summary("Washing as a table"), table(washing_table(risk, display))], className="behind"
    )
    return html.Section(
        [
            html.H2("Washing"),
            html.Div([html.Div(left), html.Div(right)], className="columns"),
            numbers,
        ],
        className="sheet",
    )


def changes_part(risk: TankRisk, view: View) -> list[Component]:
    """What each change to the tank would gain."""
    return [html.P(today_words(risk, view.display)), table(changes_table(risk, view.display))]


def limits_sheet(risk: TankRisk) -> Component:
    """What the model does not know."""
    return html.Section(
        [html.H2("Limits"), html.Ul([html.Li(limit) for limit in risk.slosh["limits"]])], className="sheet"
    )
