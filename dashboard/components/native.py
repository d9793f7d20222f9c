"""Form fields, sliders, grids, drawings and numbers as plain HTML elements; their browser side is assets/*.js.

They replace a component library: native elements bring the phone's own keyboards and pickers, work with a screen
reader, take our style, and weigh 10 kB. Each class lists its properties; `id` may be text or a pattern.
"""

from __future__ import annotations

from typing import Any, ClassVar

from dash.development.base_component import Component


class _Native(Component):
    _children_props: ClassVar[list[str]] = []
    _base_nodes: ClassVar[list[str]] = ["children"]
    _namespace = "fillmark"
    _type = "_Native"
    _prop_names: ClassVar[list[str]] = ["id"]
    _valid_wildcard_attributes: ClassVar[list[str]] = []
    available_wildcard_properties: ClassVar[list[str]] = []

    def __init__(self, **properties: Any) -> None:
        self.available_properties = self._prop_names
        unknown = properties.keys() - set(self._prop_names)
        if unknown:
            raise TypeError(f"{self._type} has no {', '.join(sorted(unknown))}; it has {', '.join(self._prop_names)}")
        # Dash would look for a package of our namespace's name once for each property, which takes most of a page.
        super().__init__()
        for name, value in properties.items():
            if value is not None:
                setattr(self, name, value)


class Field(_Native):
    """A labelled text, choice or long text. `kind`: an input type, "choice" (with `options`) or "long".

    value, label, hint, fault (a sentence that marks the field), unset (True shows it as assumed), quiet (True hides
    the label from sight), keep (a place in the browser's storage where the value stays over reloads), preset
    ("timezone" begins with the browser's own zone), delay [ms] before what is typed is reported, attributes of the
    element, className.
    """

    _type = "Field"
    _prop_names: ClassVar[list[str]] = [
        "id",
        "value",
        "label",
        "kind",
        "options",
        "hint",
        "fault",
        "unset",
        "quiet",
        "keep",
        "preset",
        "delay",
        "attributes",
        "className",
    ]


class Tick(_Native):
    """A labelled checkbox with a boolean `value`."""

    _type = "Tick"
    _prop_names: ClassVar[list[str]] = ["id", "value", "label", "fault", "attributes", "className"]


class Slider(_Native):
    """A slider over `stops`, each {"value", "text"}; `home` is the stop that counts as unchanged."""

    _type = "Slider"
    _prop_names: ClassVar[list[str]] = ["id", "value", "label", "stops", "home", "changed", "attributes"]


class Drawing(_Native):
    """One SVG drawing from plain data: `tree` is {"tag", "attributes", "children" or "text"}."""

    _type = "Drawing"
    _prop_names: ClassVar[list[str]] = ["id", "tree", "className"]


class Numeral(_Native):
    """A number that opens to where it comes from: `inputs` as pairs of text, `formula`, `source`."""

    _type = "Numeral"
    _prop_names: ClassVar[list[str]] = ["id", "text", "title", "inputs", "formula", "source", "className"]


class Table(_Native):
    """A table of text and numbers, cards on a phone. `columns`: label, figure; rows: [head, cells, look].

    A head or cell is a text, or a list of texts and of Numerals' properties; quiet True hides the caption from sight.
    """

    _type = "Table"
    _prop_names: ClassVar[list[str]] = ["id", "caption", "quiet", "head", "columns", "rows"]


class Grid(_Native):
    """An editable table, cards on a phone. `columns`: key, label, kind ("text" or "choice"), options, mode, size.

    rows: list of dicts of text; faults: {"0.start": sentence}; done: what the last change was, in words;
    thing: what a row is; fresh: a new row; fixed: True forbids adding and removing; least: rows that must stay.
    """

    _type = "Grid"
    _prop_names: ClassVar[list[str]] = [
        "id",
        "columns",
        "rows",
        "faults",
        "label",
        "thing",
        "fresh",
        "fixed",
        "least",
        "done",
        "className",
    ]
