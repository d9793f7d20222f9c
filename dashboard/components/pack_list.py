"""The trailer's list, ticked off in the browser at once and kept by the server; its browser side is assets/pack.js."""

from __future__ import annotations

from typing import ClassVar

from dashboard.components.native import _Native


class TickList(_Native):
    """Lines to tick off: `groups` of {"name", "items": [{"id", "text", "detail"}]}, `ticked` ids.

    address: where ticks are read and written, which names the list; what could not be sent yet waits in the browser.
    """

    _type = "TickList"
    _prop_names: ClassVar[list[str]] = ["id", "groups", "ticked", "address"]
