"""A place to drop recordings, or to choose them; see assets/drop_zone.js."""

from __future__ import annotations

from typing import ClassVar

from dashboard.components.native import _Native


class DropZone(_Native):
    """Sends files one by one to `address`, showing how far each is; `most` [bytes] is refused before it is sent.

    `taken` becomes {"files": [path in the workspace, ...], "at": time} when all that were chosen are through.
    """

    _type = "DropZone"
    _prop_names: ClassVar[list[str]] = ["id", "address", "most", "label", "hint", "taken"]
