"""What a page's layout is given: the workspace, the chosen event, the settings, and the rest of the address."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any
from urllib.parse import parse_qs

from dashboard.presenters.display import SYSTEMS, Display
from dashboard.presenters.workspace import Workspace


@dataclass(frozen=True)
class View:
    """`event` is the chosen event's key in the workspace, or None where there is none yet."""

    workspace: Workspace
    event: str | None
    settings: dict[str, Any] = field(default_factory=dict)
    search: dict[str, str] = field(default_factory=dict)

    @property
    def display(self) -> Display:
        """The units shown; metric where the settings name none that there are."""
        units = self.settings.get("units")
        return Display(units if units in SYSTEMS else SYSTEMS[0])

    @property
    def theme(self) -> str:
        """One of "light" and "dark"."""
        return "dark" if self.settings.get("theme") == "dark" else "light"

    @property
    def narrow(self) -> bool:
        """Whether the screen is a phone's."""
        return self.settings.get("screen") == "narrow"


def search_values(search: str | None) -> dict[str, str]:
    """The address's query as a dict, the first value of each key: "?event=a.toml" gives {"event": "a.toml"}."""
    return {key: values[0] for key, values in parse_qs((search or "").removeprefix("?")).items()}


def chosen_event(workspace: Workspace, search: str | None) -> str | None:
    """The event that the address names, or the workspace's own choice."""
    return search_values(search).get("event") or workspace.home_event()


def view_of(workspace: Workspace, search: str | None, settings: dict[str, Any] | None) -> View:
    """The view for an address and the browser's settings."""
    known = settings if isinstance(settings, dict) else {}
    return View(workspace, chosen_event(workspace, search), known, search_values(search))
