"""Notices: their level is told by a shape and a word, never by colour alone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from dash import html
from dash.development.base_component import Component

# The levels' meaning follows ANSI Z535.4: danger will, warning could, caution minor injury, notice no injury.
SIGN = {"danger": "⬣", "warning": "▲", "caution": "◆", "notice": "●", "done": "✓"}
WORD = {"danger": "Danger", "warning": "Warning", "caution": "Caution", "notice": "Note", "done": "Done"}


def notice(level: str, content: str | Component | list[str | Component]) -> Component:
    """One notice of a level: danger, warning, caution, notice or done."""
    level = level if level in SIGN else "notice"
    parts = content if isinstance(content, list) else [content]
    text = html.P([html.Span(WORD[level], className="notice-word"), *parts])
    return html.Div(
        [html.Span(SIGN[level], className="notice-sign", **{"aria-hidden": "true"}), text],
        className=f"notice {level}",
    )


def notices(warnings: Iterable[Mapping[str, Any]]) -> Component:
    """Notices, each with `level` and `text` (text, or a list of texts and components), in the order given."""
    return html.Div([notice(one["level"], one["text"]) for one in warnings], className="notices")
