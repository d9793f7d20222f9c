"""A warning: how grave, a code that stays, and a sentence. Levels are worded after ANSI Z535.4."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["danger", "warning", "caution", "notice"]


@dataclass(frozen=True, slots=True)
class Warning:
    """level: danger (will harm), warning (could), caution (minor harm), notice (no harm); code; text."""

    level: Level
    code: str
    text: str

    def as_dict(self) -> dict[str, str]:
        """The warning as plain data."""
        return {"level": self.level, "code": self.code, "text": self.text}
