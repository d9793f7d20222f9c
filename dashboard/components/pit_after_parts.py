"""What stands under "After the day": sentences, tables, and the question whether the day's factor is to be kept."""

from __future__ import annotations

import json

from dash import html
from dash.development.base_component import Component

from dashboard.components.native import Drawing
from dashboard.components.table import table
from dashboard.figures.pit_factor_drawing import FactorDay, factor_drawing
from dashboard.presenters.pit_after import AfterView

PHONE_WIDTH, DESK_WIDTH = 348.0, 700.0


def after_parts(view: AfterView, *, narrow: bool, can_write: bool) -> list[Component]:
    """The whole part."""
    return [
        html.P(view.text),
        table(view.sessions),
        html.H3("Do the bands hold?"),
        html.P(view.calibration),
        *_keep(view, can_write),
        *_history(view, narrow),
    ]


def _keep(view: AfterView, can_write: bool) -> list[Component]:
    if view.keep and can_write:
        asked = {"data-keep": json.dumps(view.keep, ensure_ascii=False)}
        return [html.P(html.Button("Keep it for the car", type="button", className="plain pit-key", **asked))]
    return [html.P(view.refusal)] if view.refusal else []


def _history(view: AfterView, narrow: bool) -> list[Component]:
    if view.history is None:
        return []
    days = [FactorDay(**day) for day in view.days]
    drawing = factor_drawing(days, PHONE_WIDTH if narrow else DESK_WIDTH, view.history_label)
    return [
        html.H3("The car from day to day"),
        html.P(view.history_label),
        html.Figure(Drawing(tree=drawing, className="pit-factors"), className="picture"),
        table(view.history),
    ]
