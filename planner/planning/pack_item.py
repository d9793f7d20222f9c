"""One line of the list for the trailer: words and amounts, so that each reader shows them in the units he likes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

Unit = Literal["L", "kg", "mm", "mL/min", "kg/m3", "degC"]


@dataclass(frozen=True, slots=True)
class Amount:
    """A number within a line's words: its value in the unit named, and how many digits papers show (a format)."""

    value: float
    unit: Unit
    digits: str = ".2f"

    def __str__(self) -> str:
        return f"{self.value:{self.digits}} {self.unit}"


Words = Sequence[str | Amount]


def said(words: Words, show: Callable[[Amount], str] = str) -> str:
    """The words as one text, its amounts as `show` writes them."""
    return "".join(word if isinstance(word, str) else show(word) for word in words)


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the list; `id` stays while the line means the same.

    For a fluid: its volume [m3], mass [kg], alcohol share [1] and container's size [m3]; None where there is none.
    """

    id: str
    group: str
    words: tuple[str | Amount, ...]
    details: tuple[str | Amount, ...] = ()
    volume: float | None = None
    mass: float | None = None
    alcohol_share: float | None = None
    size: float | None = None

    @property
    def text(self) -> str:
        """What to take."""
        return said(self.words)

    @property
    def detail(self) -> str:
        """What to know of it."""
        return said(self.details)


def item_json(item: Item, ticked: bool = False) -> dict[str, Any]:
    """One line as plain data in L and kg."""
    return {
        "id": item.id,
        "group": item.group,
        "text": item.text,
        "detail": item.detail,
        "volume_L": None if item.volume is None else item.volume * 1e3,
        "mass_kg": item.mass,
        "alcohol_share": item.alcohol_share,
        "container_L": None if item.size is None else round(item.size * 1e3, 6),
        "ticked": ticked,
    }
