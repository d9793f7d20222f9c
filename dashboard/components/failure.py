"""What a page shows when a part of it fails: what went wrong, what to do, and the rest of the page keeps working."""

from __future__ import annotations

import logging
from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any

from dash import html
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboard.components.notice import notice

_log = logging.getLogger("fillmark")


def failure_card(title: str, sentences: Sequence[str]) -> Component:
    """A card that names a failure and what to do about it."""
    lines = [html.Li(sentence) for sentence in sentences]
    body = html.Ul(lines) if len(lines) > 1 else html.P([*sentences])
    return html.Section([notice("warning", title), body], className="sheet failure", role="alert")


def guarded(build: Callable[..., Any]) -> Callable[..., Any]:
    """Wrap a callback of one output: what it raises becomes a card in that output's place."""

    @wraps(build)
    def safe(*arguments: Any, **named: Any) -> Any:
        try:
            return build(*arguments, **named)
        except PreventUpdate:
            raise
        except Exception:
            _log.exception("%s failed", build.__qualname__)
            return unforeseen_card()

    return safe


def logged_card(reason: Exception) -> Component:
    """A card for a failure that no one foresaw; the details go to the log."""
    _log.error("a part of a page failed", exc_info=reason)
    return unforeseen_card()


def unforeseen_card() -> Component:
    """The card of a failure that no one foresaw."""
    return failure_card(
        "This part could not be worked out",
        [
            "Undo the last change or reload the page. What you typed is kept.",
            "The window in which the server runs has the details.",
        ],
    )
