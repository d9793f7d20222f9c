"""The answer: a sentence with its numbers in bold, each opening to where it comes from, beside the tank."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components.native import Numeral
from dashboard.presenters.whence import Whence


def numeral(whence: Whence, strong: bool = False) -> Component:
    """A number that opens to its inputs, formula and source."""
    return Numeral(
        text=whence.text,
        title=whence.title,
        inputs=[list(pair) for pair in whence.inputs],
        formula=whence.formula,
        source=whence.source,
        className="strong" if strong else None,
    )


def answer(parts: Sequence[str | Whence], *, note: str | None = None, aside: Component | None = None) -> Component:
    """The page's answer in one sentence; plain text and numbers in turn. `aside` is the tank drawing."""
    inside = [part if isinstance(part, str) else numeral(part, strong=True) for part in parts]
    words = [html.P(inside, className="answer")]
    if note:
        words.append(html.P(note, className="answer-note"))
    beside = [aside] if aside is not None else []
    return html.Div([*beside, html.Div(words)], className="answer-row" if beside else "answer-alone", role="status")
