"""The tank's side view as a component: it stands beside every answer."""

from __future__ import annotations

from dash.development.base_component import Component

from dashboard.components.native import Drawing
from dashboard.figures.tank_drawing import TankSide, tank_drawing


def tank_view(side: TankSide, label: str, id: str | None = None) -> Component:
    """The drawing of a tank; `label` says in words what it shows."""
    return Drawing(id=id, tree=tank_drawing(side, label), className="tank-view")
