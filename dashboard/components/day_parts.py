"""The parts of the page Day, from an outcome to layout."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.answer import answer, facts, shown
from dashboard.components.draft import try_button
from dashboard.components.native import Drawing, Field
from dashboard.components.notice import notice, notices
from dashboard.components.table import picture, table, table_rows
from dashboard.components.tank_view import tank_view
from dashboard.figures.day_figure import day_figure
from dashboard.figures.day_paper import day_paper
from dashboard.figures.tank_drawing import TankSide
from dashboard.figures.template import blank
from dashboard.presenters.day_answer import answer_note, answer_parts, rough_courses
from dashboard.presenters.day_infeasible import MendButton, mend_buttons, no_plan_sentence
from dashboard.presenters.day_picture import ON_A_PHONE, PICTURE_COLUMNS, day_picture, part_of, picture_table
from dashboard.presenters.day_tables import bring_facts, floors_table, gaps_table, priorities_table, sessions_table
from dashboard.presenters.display import Display
from dashboard.presenters.outcome import Outcome
from dashboard.presenters.table import Column, TableData
from dashboard.presenters.tank_side import level_mm, tank_side
from dashboard.presenters.view import View
from dashboard.presenters.warning_whence import warning_parts

Plan = Mapping[str, Any]
KEY = (
    ("line", "level expected"),
    ("band", "worst to best of 100 days"),
    ("floor", "floor"),
    ("starving", "pickup may starve"),
    ("washing", "fluid washes hardest"),
    ("rise", "refill"),
)
EMPTY = {"tag": "svg", "attributes": {"aria-hidden": "true"}}
LABEL = "Level in the tank over the day, with sessions, refills and floors; the table below holds the same numbers"


def opening_tank(outcome: Outcome, display: Display) -> Component:
    """The tank filled to the day's first mark."""
    plan, car = outcome.plan, outcome.car
    assert plan is not None
    assert car is not None
    first = plan["sessions"][0]
    fill = plan["refills"][0] if plan["refills"] else None
    litres = fill["mark_L"] if fill and fill["before_session"] == first["number"] else first["level_start_p50_L"]
    mark, floor_text = display.mark_volume(litres, plan["fill_limit_L"]), display.volume(first["floor_L"])
    height, floor = level_mm(car.tank, litres), level_mm(car.tank, first["floor_L"])
    lines = ((height, (mark, display.mark_length(height)), "mark"), (floor, (f"floor {floor_text}",), "floor"))
    side = TankSide(level=height, lines=lines, **tank_side(car.tank, display))
    return tank_view(side, f"Side view of the tank, filled to {mark}; floor at {floor_text}")


def key() -> Component:
    """What the picture's lines and areas are."""
    return html.Ul([html.Li([html.Span(className=f"swatch {kind}"), text]) for kind, text in KEY], className="key")


def picture_state(plan: Plan | None, view: View, first: int) -> dict[str, Any]:
    """What changes at once in the picture's sheet with the plan: the figure, and the phone's choice.

    On a phone four sessions are shown at a time, from place `first`. Without a plan the sheet is hidden.
    """
    if plan is None:
        return {"hidden": True, "figure": blank(view.theme), "choice": []}
    shown, choice, count = day_picture(plan, view.display), [], len(plan["sessions"])
    if view.narrow and count > ON_A_PHONE:
        first = first if first < count else 0
        shown, choice = part_of(shown, first), [_stretches(count, first)]
    figure = day_figure(shown, view.theme, width=330 if view.narrow else 600)
    return {"hidden": False, "figure": figure, "choice": choice}


def behind_picture(plan: Plan | None, view: View) -> dict[str, Any]:
    """The same as a table's rows and as the paper's drawing, which few look at while they move a slider."""
    if plan is None:
        return {"rows": [], "paper": None}
    rows = table_rows(picture_table(plan, view.display))
    return {"rows": rows, "paper": day_paper(day_picture(plan, view.display), LABEL)}


def picture_sheet(state: Mapping[str, Any], view: View) -> Component:
    """Level over the day with its key and table; on paper a drawing made for it."""
    table = TableData("Level over the day", "Session", tuple(map(Column, PICTURE_COLUMNS)))
    drawn = picture(
        state["figure"],
        table,
        rows=state["rows"],
        id="day-picture",
        label=LABEL,
        height=380 if view.narrow else 420,
    )
    choice = html.Div(state["choice"], id="day-stretches")
    on_screen = html.Div([key(), choice, drawn], className="screen-only")
    on_paper = html.Div(Drawing(id="day-paper", tree=state["paper"] or EMPTY), className="paper-only")
    return html.Section(
        [html.H2("Level over the day"), on_screen, on_paper],
        id="day-picture-part",
        className="sheet",
        hidden=state["hidden"],
    )


def _stretches(count: int, first: int) -> Component:
    """The stretches of the day that a phone can show, as a choice."""
    options = [
        {"value": str(start), "label": f"Sessions {start + 1} to {min(start + ON_A_PHONE, count)} of {count}"}
        for start in range(0, count, ON_A_PHONE)
    ]
    return Field(
        id="day-stretch", label="Part of the day", kind="choice", options=options, value=str(first), quiet=True
    )


def _hazards(plan: Plan) -> tuple[list[Any], list[Any]]:
    """Warnings that come before the picture, and those that come after the tables."""
    first = [one for one in plan["warnings"] if one["level"] in ("danger", "warning") and one["code"] != "methanol"]
    return first, [one for one in plan["warnings"] if one not in first]


def _worded(warnings: Sequence[Mapping[str, Any]], outcome: Outcome, display: Display) -> list[dict[str, Any]]:
    plan, car = outcome.plan, outcome.car
    assert plan is not None
    assert car is not None
    return [{"level": one["level"], "text": shown(warning_parts(one, plan, car, display))} for one in warnings]


def day_answer(outcome: Outcome, display: Display) -> list[Component]:
    """The answer with the tank, and what must be said before anything else."""
    plan = outcome.plan
    assert plan is not None
    first, _ = _hazards(plan)
    aside = opening_tank(outcome, display)
    rough = [
        {
            "level": "caution",
            "text": f"Rough: the course {name} is sketched, not recorded. One recording makes this plan firmer.",
        }
        for name in rough_courses(outcome)
    ]
    said = notices([*rough, *_worded(first, outcome, display)])
    title = html.P(f"{plan['event']} · {plan['car']} · {plan['date']}", className="paper-only paper-title")
    return [title, answer(answer_parts(outcome, display), note=answer_note(plan), aside=aside), said]


def day_tables(outcome: Outcome, display: Display) -> list[Component]:
    """Sessions and refills, what to bring, priorities, floors, gaps, and the rest of the warnings."""
    plan = outcome.plan
    assert plan is not None
    choose = [
        html.Span("in use") if choice["priority"] == plan["priority"] else
        try_button("day", "Try it", "priority", choice["priority"])
        for choice in plan["alternatives"]
    ]  # fmt: skip
    _, later = _hazards(plan)
    sessions = table(sessions_table(plan, display), caption=False)
    bring = html.Section([html.H2("Bring"), facts(bring_facts(plan, display))], className="sheet")
    priorities = [html.H2("Priorities side by side"), table(priorities_table(plan, display), choose)]
    return [
        html.Section([html.H2("Sessions and refills"), sessions], className="sheet"),
        bring,
        html.Section(priorities, className="sheet"),
        html.Details(
            [html.Summary("Where each floor comes from"), table(floors_table(plan, display))], className="sheet"
        ),
        html.Details([html.Summary("Gaps"), table(gaps_table(plan, display))], className="sheet"),
        notices(_worded(later, outcome, display)),
    ]


def _mend(button: MendButton) -> Component:
    return try_button("day", button.text, button.key, button.value, do=button.first)


def no_plan_part(outcome: Outcome, display: Display) -> list[Component]:
    """Why the day cannot be driven, and each mend as one click."""
    found = mend_buttons(outcome, display)
    buttons = [_mend(button) for button in found if button.key]
    texts = [html.P(button.text) for button in found if not button.key]
    says = "Each of these would mend it. A click tries it; nothing is written until you save."
    mends = [html.P(says), html.Div(buttons, className="row")] if buttons else []
    words = [html.P(no_plan_sentence(outcome, display), className="answer")]
    return [
        html.Div(words, className="answer-alone", role="status"),
        html.Section([*mends, *texts], className="sheet mends"),
    ]


def faults_part(sentences: Sequence[str]) -> list[Component]:
    """What keeps the day from being planned at all."""
    head = "The day cannot be planned as it stands" + (
        f": {len(sentences)} things to mend" if len(sentences) > 1 else ""
    )
    items = html.Ul([html.Li(sentence) for sentence in sentences])
    return [html.Section([notice("warning", head), items], className="sheet", role="alert")]
