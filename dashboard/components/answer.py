"""The answer: a sentence with its numbers in bold, each opening to where it comes from, beside the tank."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components.native import Numeral
from dashboard.presenters.whence import Part, Whence, as_parts


def numeral_properties(whence: Whence) -> dict[str, Any]:
    """A number with its inputs, formula and source, as the properties of a Numeral."""
    return {
        "text": whence.text,
        "title": whence.title,
        "inputs": whence.inputs,
        "formula": whence.formula,
        "source": whence.source,
    }


def numeral(whence: Whence, strong: bool = False) -> Component:
    """A number that opens to its inputs, formula and source."""
    return Numeral(**numeral_properties(whence), className="strong" if strong else None)


def shown(parts: Part | Sequence[Part], strong: bool = False) -> list[str | Component]:
    """Text and numbers in turn, as children of a sentence, a cell or a heading."""
    return [part if isinstance(part, str) else numeral(part, strong) for part in as_parts(parts)]


def facts(pairs: Sequence[tuple[str, Part | Sequence[Part]]]) -> Component:
    """Names and values, one a line."""
    return html.Dl(
        [part for name, value in pairs for part in (html.Dt(name), html.Dd(shown(value)))], className="facts"
    )


def answer(
    parts: Sequence[Part], *, note: Part | Sequence[Part] | None = None, aside: Component | None = None
) -> Component:
    """The page's answer in one sentence; plain text and numbers in turn. `aside` is the tank drawing."""
    words = [html.P(shown(parts, strong=True), className="answer")]
    if note:
        words.append(html.P(shown(note), className="answer-note"))
    beside = [aside] if aside is not None else []
    return html.Div([*beside, html.Div(words)], className="answer-row" if beside else "answer-alone", role="status")
