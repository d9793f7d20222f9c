"""Courses: what each takes, boost over time and time at boost beside flow, how recordings are read, and sketching."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from dash import Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboard import upload_routes
from dashboard.components import course_editing, course_parts
from dashboard.components.draft import (
    Kept,
    draft_stores,
    fault_answers,
    fault_outputs,
    fault_states,
    register_draft,
)
from dashboard.components.drop_zone import DropZone
from dashboard.components.failure import failure_card, logged_card
from dashboard.components.native import Field
from dashboard.components.saving import bar_look, changes, register_saving, save_bar, take_back_button
from dashboard.pages import course_actions, new
from dashboard.presenters.course_draft import drafted_courses, said_changes, shown_slot
from dashboard.presenters.course_file import course_file
from dashboard.presenters.course_form import all_values, slots_of
from dashboard.presenters.course_options import free_logs, header_groups, picture_key, shape_of
from dashboard.presenters.course_upload import MOST_BYTES, megabytes
from dashboard.presenters.course_use import course_view
from dashboard.presenters.view import View, view_of
from dashboard.presenters.workspace import Workspace

PATH = "/courses"
TITLE = "Courses"
SHOWN = ("answer", "list", "pictures", "reading")
HINT = (
    "CSV and other text tables, Parquet or Excel, also packed as .gz or .zip; "
    f"up to {megabytes(MOST_BYTES)} each. They stay in the workspace's folder."
)


def event_path(view: View) -> Path:
    """The chosen event's file. Raises FillmarkError for one outside the workspace."""
    return view.workspace.path(view.event or "")


def layout(view: View) -> Component:
    """The page for the chosen event, as its file has it."""
    if view.event is None:
        return new.layout(view)
    try:
        base = course_file(view.workspace).form(event_path(view))
        parts = _parts(view, {}, base, None)
    except view.workspace.refusals as reason:
        return failure_card(f"{view.event} cannot be opened", view.workspace.sentences(reason))
    return html.Div(
        [
            *draft_stores("courses", view.event, base),
            Kept(id="courses-choice", place=f"courses-choice:{view.event}", data=""),
            dcc.Store(id="courses-shape", data=parts["shape"]),
            dcc.Store(id="courses-drawn", data=parts["drawn"]),
            html.H1("Courses", className="unseen"),
            *[html.Div(parts[name], id=f"courses-{name}") for name in SHOWN],
            html.Section(
                [html.H2("Change this course"), html.Div(parts["editing"], id="courses-editing", className="stack")],
                className="sheet no-print",
            ),
            _upload(parts["into"]),
            html.Div(parts["mapping"], id="courses-mapping"),
            html.Div(take_back_button("courses"), className="row no-print"),
            save_bar("courses"),
        ],
        id="courses",
    )


def _upload(into: list[dict[str, str]]) -> Component:
    drop = DropZone(
        id="courses-upload", address=upload_routes.ADDRESS, most=MOST_BYTES, hint=HINT,
        label="Drop recordings here, or choose them",
    )  # fmt: skip
    where = Field(id="courses-into", label="Put them into", kind="choice", options=into, value="")
    return html.Section(
        [html.H2("Add recordings"), where, drop, html.P(id="courses-upload-said", role="status")],
        className="sheet stack no-print",
    )


def _parts(
    view: View, draft: dict[str, Any], base: dict[str, Any], choice: str | None, drawn: str = ""
) -> dict[str, Any]:
    """Everything on the page that follows from a draft; pictures whose key is `drawn` stand already."""
    path = event_path(view)
    made = drafted_courses(path, draft, base, view.workspace.folder)
    slot = shown_slot(choice, slots_of(draft, base))
    views = [course_view(made, one) for one in made.names]
    shown = next((one for one in views if one.slot == slot), None)
    parts: dict[str, Any] = {"made": made, "into": course_parts.into_options(made.names)}
    others = course_parts.others_part(made.others)
    if shown is None:
        nothing = failure_card("This event has no course yet", ["Add one below, or send a recording."])
        empty: dict[str, Any] = {"pictures": [], "reading": [], "editing": [], "mapping": [], "shape": "", "drawn": ""}
        return {**parts, **empty, "answer": [nothing, *others], "list": course_parts.list_part([], "", view)}
    key = picture_key(shown, view.settings)
    return parts | {
        "answer": [*course_parts.answer_part(shown, view), *others],
        "list": course_parts.list_part(views, slot, view),
        "pictures": no_update if key == drawn else course_parts.pictures_part(shown, view),
        "drawn": key,
        "reading": course_parts.reading_part(shown, view),
        "shape": shape_of(shown, made, draft, base),
        "editing": course_editing.editing_part(
            shown, made, draft, base, free_logs(view.workspace, path, draft, base, slot)
        ),
        "mapping": course_editing.mapping_part(header_groups(shown, all_values(draft, base))),
    }


def register(app: Dash, workspace: Workspace) -> None:
    """The page's callbacks and the route for uploads."""
    register_draft(app, "courses")
    register_saving(app, workspace, course_file(workspace), event_path)
    course_actions.register(app, workspace)
    upload_routes.register(app, workspace)
    _register_answer(app, workspace)


def _register_answer(app: Dash, workspace: Workspace) -> None:
    @app.callback(
        *[Output(f"courses-{name}", "children") for name in SHOWN],
        Output("courses-editing", "children"),
        Output("courses-mapping", "children"),
        Output("courses-shape", "data"),
        Output("courses-drawn", "data"),
        Output("courses-into", "options"),
        Output("courses-changes", "children"),
        Output("courses-bar", "className"),
        *fault_outputs("courses"),
        Input("courses-draft", "data"),
        Input("courses-choice", "data"),
        Input("settings", "data"),
        Input("courses-pulse", "back"),
        State("courses-base", "data"),
        State("courses-shape", "data"),
        State("courses-drawn", "data"),
        State("url", "search"),
        *fault_states("courses"),
        prevent_initial_call=True,
    )
    def answer(draft: Any, choice: Any, settings: Any, back: Any, *stand: Any) -> tuple[Any, ...]:
        base, shape, drawn, search, *faults_now = stand
        draft, view = draft or {}, view_of(workspace, search, settings)
        try:
            parts = _parts(view, draft, base, choice, drawn or "")
        except Exception as reason:
            kept = fault_answers(None, *faults_now)
            return (logged_card(reason), *[no_update] * 10, *kept)
        said, made = said_changes(draft), parts["made"]
        same = parts["shape"] == shape
        return (
            *(parts[name] for name in SHOWN),
            *(no_update if same else parts[name] for name in ("editing", "mapping", "shape")),
            parts["drawn"],
            parts["into"],
            changes(said),
            bar_look(said, draft),
            *fault_answers(made, *faults_now),
        )
