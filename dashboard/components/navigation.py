"""Links that keep the chosen event, the page tabs, the event chooser, and the settings; see assets/shell.js."""

from __future__ import annotations

from typing import ClassVar

from dashboard.components.native import _Native


class Anchor(_Native):
    """A link within the workspace that keeps the chosen event; `plain` True leaves it out."""

    _type = "Anchor"
    _prop_names: ClassVar[list[str]] = ["id", "href", "text", "className", "plain"]


class Tabs(_Native):
    """The page links: items of {"href", "label"}; `home` is the path that "/" shows."""

    _type = "Tabs"
    _prop_names: ClassVar[list[str]] = ["id", "items", "home"]


class Chooser(_Native):
    """A choice that the address holds as `name` ("event"): items of {"value", "label"}; `home` when it names none."""

    _type = "Chooser"
    _prop_names: ClassVar[list[str]] = ["id", "items", "home", "name"]


class Settings(_Native):
    """What the display is: `data` is {"units": "metric", "us" or "imperial", "theme": "light" or "dark",
    "screen": "wide" or "narrow"}."""

    _type = "Settings"
    _prop_names: ClassVar[list[str]] = ["id", "data"]
