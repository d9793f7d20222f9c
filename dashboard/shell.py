"""The frame around every page: header, page tabs, event chooser, settings, and the router."""

from __future__ import annotations

import json
from html import escape
from types import ModuleType
from typing import Any

from dash import Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component
from flask import has_request_context, request

from dashboard.components.failure import failure_card, guarded
from dashboard.components.native import Drawing
from dashboard.components.navigation import Anchor, Chooser, Settings, Tabs
from dashboard.components.notice import notice
from dashboard.figure_library import bundle_address
from dashboard.figures.template import on_paper
from dashboard.pages import IN_FOOTER
from dashboard.presenters.view import view_of
from dashboard.presenters.workspace import Workspace

INDEX = """<!DOCTYPE html>
<html lang="en" data-theme="light" data-plotly="{bundle}" data-paper="{paper}">
<head>
{{%metas%}}
<title>{{%title%}}</title>
<link rel="icon" type="image/svg+xml" href="/assets/favicon.svg">
{{%css%}}
<script src="/assets/early.js"></script>
</head>
<body>
<a class="skip" href="#page">To the page's content</a>
{{%app_entry%}}
{{%config%}}
{{%scripts%}}
{{%renderer%}}
</body>
</html>"""

LINK_LOST = "The server does not answer. What you type stays in this browser; the figures come back with the server."
SETTINGS = {"units": ("metric", "us", "imperial"), "theme": ("light", "dark"), "screen": ("wide", "narrow")}

_WORDMARK: dict[str, Any] = {
    "tag": "svg",
    "attributes": {"viewBox": "0 0 26 26", "aria-hidden": "true"},
    "children": [
        {"tag": "path", "attributes": {"className": "tank-fluid", "d": "M4 13h18v8.5h-18z"}},
        {"tag": "path", "attributes": {"className": "tank-wall", "d": "M4 4v18h18V4"}},
        {"tag": "path", "attributes": {"className": "tank-surface", "d": "M5 13h16"}},
        {"tag": "path", "attributes": {"className": "tank-mark", "d": "M8.5 5.5h9l-4.5 6z"}},
    ],
}


def index_page() -> str:
    """The HTML page that Dash fills."""
    return INDEX.format(bundle=bundle_address(), paper=escape(json.dumps(on_paper())))


def kept_settings() -> dict[str, str]:
    """The settings that this request's cookie holds; what it does not hold is metric, light and wide."""
    kept = (request.cookies.get("fillmark-settings", "") if has_request_context() else "").split(".")
    return {key: next((word for word in words if word in kept), words[0]) for key, words in SETTINGS.items()}


def _items(modules: tuple[ModuleType, ...]) -> list[dict[str, str]]:
    shown = [module for module in modules if module.__name__.rsplit(".", 1)[-1] not in IN_FOOTER]
    return [{"href": module.PATH, "label": module.TITLE} for module in shown]


def _masthead(workspace: Workspace, modules: tuple[ModuleType, ...]) -> Component:
    events = [{"value": entry.key, "label": entry.label} for entry in workspace.events()]
    name = html.Span("Fillmark", className="wordmark-text")
    mark = html.A([Drawing(tree=_WORDMARK), name], href="/", className="wordmark")
    top = [
        mark,
        Chooser(id="event-choice", items=events, home=workspace.home_event()),
        Settings(id="settings", data=kept_settings()),
    ]
    return html.Header(
        [
            html.Div(top, className="masthead-row"),
            Tabs(id="tabs", items=_items(modules), home=modules[0].PATH),
            html.Div(className="graduated"),
        ],
        className="masthead",
    )


def _footer(modules: tuple[ModuleType, ...]) -> Component:
    extra = [module for module in modules if module.__name__.rsplit(".", 1)[-1] in IN_FOOTER]
    links = [Anchor(id=f"foot-{module.PATH.strip('/')}", href=module.PATH, text=module.TITLE) for module in extra]
    return html.Footer(
        [*links, html.Span("A plan is an estimate. Local code, the venue and the event's rules prevail.")],
        className="foot",
    )


def frame(workspace: Workspace, modules: tuple[ModuleType, ...]) -> Component:
    """The whole document's content; the router fills "page"."""
    return html.Div(
        [
            dcc.Location(id="url", refresh="callback-nav"),
            dcc.Location(id="reload", refresh=True),
            _masthead(workspace, modules),
            html.Main(id="page", className="page", tabIndex="-1"),
            html.Div(id="toast", className="toast", role="status"),
            html.Div(notice("warning", LINK_LOST), className="link-lost", role="alert"),
            _footer(modules),
        ]
    )


def _absent(path: str) -> Component:
    return failure_card("There is no such page", [f"Nothing is at {path}. Choose a page above."])


def register_router(app: Dash, workspace: Workspace, modules: tuple[ModuleType, ...]) -> None:
    """The callbacks of the frame: which page shows, and the settings kept in the browser."""
    by_path = {"/": modules[0], **{module.PATH: module for module in modules}}

    @app.callback(
        Output("page", "children"), Input("url", "pathname"), Input("url", "search"), State("settings", "data")
    )
    @guarded
    def page(path: str | None, search: str | None, settings: dict[str, Any] | None) -> Component:
        module = by_path.get((path or "/").rstrip("/") or "/")
        if module is None:
            return _absent(path or "")
        content: Component = module.layout(view_of(workspace, search, settings))
        return content
