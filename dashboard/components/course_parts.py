"""The parts of the page Courses that show: the answer, what is asked, the list, the pictures, how files were read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components.answer import answer
from dashboard.components.failure import failure_card
from dashboard.components.notice import notice
from dashboard.components.table import picture, table
from dashboard.figures.course_figure import bands_figure, time_figure
from dashboard.presenters.course_answer import answer_note, answer_parts, courses_table, runs_table, runs_title
from dashboard.presenters.course_picture import CoursePicture, bands_table, below_said, course_picture, time_table
from dashboard.presenters.course_report import (
    LogReport,
    Question,
    files_table,
    merged_notices,
    outline_table,
    question_of,
    report_of,
)
from dashboard.presenters.course_use import CourseView
from dashboard.presenters.table import TableData
from dashboard.presenters.view import View

MOST_FILES = 12  # whose columns are told one by one
MANY_RUNS = 8  # beyond which their table stands closed

KEY = {
    "only": ("line", "the run"),
    "most": ("run-most", "takes most"),
    "least": ("run-least", "takes least"),
    "other": ("run-other", "others"),
}


def act_button(
    text: str, do: str, arg: str, *, look: str = "plain", label: str | None = None, pressed: bool | None = None
) -> Component:
    """A button that the server answers: what it does, and to what; `pressed` for one of several that is chosen."""
    name = {"page": "courses", "kind": "act", "do": do, "arg": arg}
    more = {"aria-label": label} if label else {}
    more |= {} if pressed is None else {"aria-pressed": "true" if pressed else "false"}
    return html.Button(text, id=name, type="button", className=look, **more)


def answer_part(view: CourseView, shown: View) -> list[Component]:
    """The answer for the chosen course, and what keeps it from being one."""
    said = [answer(answer_parts(view, shown.display), note=answer_note(view, shown.display))]
    asked = {question.header: question for log in view.logs if (question := question_of(log))}
    open_faults = [report_of(log, shown.display) for log in view.logs if log.fault and not question_of(log)]
    lines = [*view.sentences, *(f"{one.name}: {one.says}" for one in open_faults)]
    said += [_question(question) for question in asked.values()]
    if lines:
        said.append(failure_card(f"{len(lines)} thing{'s' * (len(lines) > 1)} to mend in this course", lines))
    return said


def _question(question: Question) -> Component:
    buttons = [
        act_button(
            text, "settle", f"{question.header}|{name}|{value}", look="do" if len(question.answers) < 3 else "plain"
        )
        for text, name, value in question.answers
    ]
    return html.Section([notice("caution", question.text), html.Div(buttons, className="row")], className="sheet ask")


def others_part(sentences: Sequence[str]) -> list[Component]:
    """What is wrong beside the courses."""
    return [failure_card("Something else must be mended before use can be worked out", sentences)] if sentences else []


def list_part(views: Sequence[CourseView], chosen: str, shown: View) -> list[Component]:
    """The event's courses, each of which can be chosen, and one more."""
    actions = [_choose(view, chosen=view.slot == chosen) for view in views]
    add = act_button("Add a course", "add", "")
    listed = table(courses_table(views, chosen, shown.display), actions, caption=False)
    return [html.Section([html.H2("The event's courses"), listed, html.Div(add, className="row")], className="sheet")]


def _choose(view: CourseView, *, chosen: bool) -> Component:
    text = "Shown" if chosen else "Show"
    return act_button(text, "show", view.slot, label=f"{text} {view.name}", pressed=chosen)


def pictures_part(view: CourseView, shown: View) -> list[Component]:
    """Boost and flow over time, and time at boost, side by side."""
    try:
        found = course_picture(view, shown.display)
    except shown.workspace.refusals as reason:
        return [failure_card("This course cannot be drawn", shown.workspace.sentences(reason))]
    if found is None:
        return []
    return [
        html.Div([_time_sheet(view, found, shown), _bands_sheet(found, shown)], className="columns course-pictures")
    ]


def _time_sheet(view: CourseView, found: CoursePicture, shown: View) -> Component:
    roles = dict.fromkeys(line.role for line in found.lines)
    key = [html.Li([html.Span(className=f"swatch {KEY[role][0]}"), KEY[role][1]]) for role in KEY if role in roles]
    count = len(view.traces)
    runs = f"{count} runs on top of each other" if count > 1 else "one run"
    label = f"Boost and flow over time, {runs}; the table follows the one that takes most"
    behind = time_table(view, shown.display)
    zoom = not shown.narrow
    drawn = picture(time_figure(found, shown.theme, zoom=zoom), behind, id="courses-time", label=label, height=420)
    left = [html.P(f"{found.left_out} more runs are not drawn; the table has them.", className="small")] * (
        found.left_out > 0
    )
    legend = [html.Ul(key, className="key")] if len(key) > 1 else []
    left += [html.P("Drag across to look closer; a double click shows all.", className="small no-print")] * zoom
    return html.Section([html.H2("Boost over time"), *legend, drawn, *left], className="sheet")


def _bands_sheet(found: CoursePicture, shown: View) -> Component:
    label = f"Time at each boost per {found.per}, above the car's flow there; the table has the numbers"
    behind = bands_table(found, shown.display)
    drawn = picture(bands_figure(found, shown.theme), behind, id="courses-bands", label=label, height=420)
    below = below_said(found)
    return html.Section(
        [html.H2("Time at boost"), drawn, *([html.P(below, className="small")] if below else [])], className="sheet"
    )


def reading_part(view: CourseView, shown: View) -> list[Component]:
    """The use of each run, and how each file was read."""
    parts: list[Component] = []
    if view.use is not None and len(view.use.traces) > 1:
        runs = table(runs_table(view, shown.display), caption=False)
        title, many = runs_title(view), len(view.use.traces) > MANY_RUNS
        parts.append(
            html.Details([html.Summary(f"{title}: {len(view.use.traces)} of them"), runs], className="sheet")
            if many
            else html.Section([html.H2(title), runs], className="sheet")
        )
    if view.logs:
        parts.append(_readings(view, shown))
    return parts


def _readings(view: CourseView, shown: View) -> Component:
    """One row a file, what must be told, and behind lines that open each file's columns."""
    reports = [report_of(log, shown.display) for log in view.logs]
    files = table(files_table(reports), caption=False)
    told = html.Div([notice("notice", text) for text in merged_notices(reports)], className="notices")
    opened = [_file(report) for report in reports[:MOST_FILES] if not report.broken]
    firsts = {log.header: log for log in reversed(view.logs) if log.header}
    columns = [_outlined(outlined) for log in firsts.values() if (outlined := outline_table(log))]
    return html.Section([html.H2("How each file was read"), files, told, *opened, *columns], className="sheet readings")


def _file(report: LogReport) -> Component:
    more = [table(one) for one in (report.columns, report.gaps) if one]
    return html.Details([html.Summary(f"{report.name}: its columns, and why"), html.P(report.says), *more])


def _outlined(outlined: TableData) -> Component:
    return html.Details([html.Summary(outlined.caption), table(outlined, caption=False)])


def into_options(names: Mapping[str, str]) -> list[dict[str, str]]:
    """Where recordings that are sent can be put."""
    courses = [{"value": slot, "label": name} for slot, name in names.items()]
    return [
        {"value": "", "label": "the course that is shown"},
        *courses,
        {"value": "new", "label": "a new course"},
        {"value": "none", "label": "no course, only the folder"},
    ]
