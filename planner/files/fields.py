"""What one value of a file may be: quantities with a unit, shares, counts, names; each fault is a sentence."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Annotated, Any

from pydantic import BeforeValidator
from pydantic_core import PydanticCustomError

from planner import units
from planner.errors import UnitError
from planner.units import Dimension

_LONGEST_NAME = 120
_ABSOLUTE = re.compile(r"(?i)(psi|bar|kpa)\s*\(?a(bs(olute)?)?\)?\s*$")


def near(word: object, known: Iterable[str]) -> str | None:
    """The known word that a misspelled one most likely means, or None."""
    by_letters = {_letters(entry): entry for entry in known}
    match = get_close_matches(_letters(word), list(by_letters), n=1, cutoff=0.72) if isinstance(word, str) else []
    return by_letters[match[0]] if match else None


def _letters(word: str) -> str:
    return word[:80].strip().casefold().replace("-", " ").replace("_", " ")


def refuse(remedy: str) -> PydanticCustomError:
    """The error that a field raises; `remedy` is what the user reads."""
    return PydanticCustomError("fillmark", "{remedy}", {"remedy": remedy})


@dataclass(frozen=True, slots=True)
class Measure:
    """A quantity with a unit between two bounds, given as texts that the user would write."""

    dimension: Dimension
    lowest: str
    highest: str
    above_lowest: bool = False
    shown: str = ""

    @property
    def example(self) -> str:
        """What a file may say."""
        return self.shown or units.EXAMPLE[self.dimension].split(" or ")[0]

    def __call__(self, text: object) -> float:
        value = self._si(text)
        low, high = units.quantity(self.lowest, self.dimension), units.quantity(self.highest, self.dimension)
        if value < low or (self.above_lowest and value == low):
            raise refuse(self._too_low())
        if value > high * (1 + 1e-9) + 1e-12:
            raise refuse(
                f"more than {self.highest}, which no {self.dimension} here can be; check the number and its unit"
            )
        return value

    def _si(self, text: object) -> float:
        if isinstance(text, str) and self.dimension == "pressure" and _ABSOLUTE.search(text):
            raise refuse('an absolute pressure; write the pressure above the outside air, such as "14 psi"')
        try:
            return units.quantity(text, self.dimension)
        except UnitError as reason:
            raise refuse(self._sentence(text, str(reason))) from reason

    def _sentence(self, text: object, reason: str) -> str:
        if isinstance(text, bool | list | dict) or text is None:
            return f"not a {self.dimension}; write it in quotes, such as {units.EXAMPLE[self.dimension]}"
        if isinstance(text, str) and re.match(r"\s*[-+]?\d+,\d", text):
            return f"write a decimal point instead of a comma, such as {units.EXAMPLE[self.dimension]}"
        if isinstance(text, str) and re.match(r"(?i)\s*[-+]?(nan|inf)", text):
            return f"not a finite number; write {units.such_as(self.dimension)}"
        return reason

    def _too_low(self) -> str:
        if self.lowest.startswith("0 "):
            wanted = "more than" if self.above_lowest else "at least"
            return f"must be {wanted} zero; write {units.such_as(self.dimension)}"
        return f"less than {self.lowest}, which no {self.dimension} here can be; check the number and its unit"


@dataclass(frozen=True, slots=True)
class Number:
    """A plain number between two bounds; `example` is shown, `percent` suggests 0.5 for 50."""

    lowest: float
    highest: float
    example: str
    above_lowest: bool = False
    percent: bool = False

    def __call__(self, value: object) -> float:
        number = self._finite(value)
        outside = number < self.lowest or number > self.highest or (self.above_lowest and number == self.lowest)
        if outside:
            raise refuse(self._remedy(number))
        return number

    def _finite(self, value: object) -> float:
        if isinstance(value, str):
            raise refuse(self._remedy_for_text(value))
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise refuse(f"not a number; write a number such as {self.example}")
        if not abs(value) < 1e300:
            raise refuse(f"not a finite number; write a number such as {self.example}")
        return float(value)

    def _remedy_for_text(self, text: str) -> str:
        match = re.fullmatch(r"\s*(\d+(?:\.\d*)?)\s*(%|percent)?\s*", text)
        if match and self.percent and match[2]:
            return f"write a share without quotes: {_share(float(match[1]) / 100)}"
        if match:
            return f"write the number without quotes: {match[1]}"
        return f"not a number; write a number without quotes, such as {self.example}"

    def _remedy(self, number: float) -> str:
        low, high = f"{self.lowest:g}", f"{self.highest:g}"
        span = f"above {low} and up to {high}" if self.above_lowest else f"from {low} to {high}"
        if self.percent and 1 < number <= 100 and number / 100 <= self.highest:
            return f"a share {span}, not a percentage; did you mean {_share(number / 100)}?"
        return f"must be {span}, such as {self.example}"


def _share(value: float) -> str:
    return f"{value:.2f}" if round(value, 2) == value else f"{value:.6g}"


def whole_number(value: object) -> int:
    """A count: 1, 2, 3 ... Raises for anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise refuse("not a count; write a whole number such as 2")
    if value != int(value) or not 1 <= value <= 16:
        raise refuse("a count must be a whole number from 1 to 16, such as 2")
    return int(value)


def name_text(value: object) -> str:
    """A name on one line. Raises for an empty or overlong text, and for anything that is not text."""
    if not isinstance(value, str):
        raise refuse('a name is a text; write it in quotes, such as "Heat 1"')
    if not value.strip() or not value.isprintable():
        raise refuse("a name must be on one line and not empty")
    if len(value) > _LONGEST_NAME:
        raise refuse(f"a name may have at most {_LONGEST_NAME} letters")
    return value.strip()


def yes_or_no(value: object) -> bool:
    """true or false, as TOML writes them. Raises for anything else."""
    if not isinstance(value, bool):
        raise refuse("write true or false, without quotes")
    return value


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several words; a near miss is suggested."""

    what: str
    words: tuple[str, ...]

    @property
    def example(self) -> str:
        """What a file may say."""
        return " or ".join(f'"{word}"' for word in self.words)

    def __call__(self, value: object) -> str:
        if isinstance(value, str) and value in self.words:
            return value
        guess = near(value, self.words)
        if guess:
            raise refuse(f'no such {self.what}; did you mean "{guess}"?')
        raise refuse(f"no such {self.what}; write {self.example}")


@dataclass(frozen=True, slots=True)
class Pair:
    """One entry of a list such as pump.curve: `first` and `second` read its two places, `names` say what they are."""

    first: Measure | Number
    second: Measure | Number
    names: tuple[str, str]
    example: str

    def __call__(self, entry: object) -> tuple[float, float]:
        if not isinstance(entry, list) or len(entry) != 2:
            raise refuse(f"not a pair of {self.names[0]} and {self.names[1]}; write {self.example}")
        faults = [_fault(self.first, entry[0]), _fault(self.second, entry[1])]
        if all(faults) and not _fault(self.first, entry[1]) and not _fault(self.second, entry[0]):
            raise refuse(f"the wrong way round; write the {self.names[0]} first: {self.example}")
        found = [f"{name}: {fault}" for name, fault in zip(self.names, faults, strict=True) if fault]
        if found:
            raise refuse("; ".join(found))
        return self.first(entry[0]), self.second(entry[1])


def _fault(kind: Measure | Number, value: object) -> str:
    """What `kind` finds wrong with a value; empty where nothing is."""
    try:
        kind(value)
    except PydanticCustomError as reason:
        return reason.message()
    return ""


@dataclass(frozen=True, slots=True)
class Listed:
    """An array of at least `least` entries; `example` shows a whole one."""

    least: int
    example: str

    def __call__(self, value: object) -> list[Any]:
        if not isinstance(value, list):
            raise refuse(f"not a list; write {self.example}")
        if len(value) < self.least:
            raise refuse(
                f"needs at least {self.least} {'entry' if self.least == 1 else 'entries'}, such as {self.example}"
            )
        if len(value) > 5000:
            raise refuse("more than 5000 entries; put long recordings in a log and name it under `logs`")
        return value


Name = Annotated[str, BeforeValidator(name_text)]
YesNo = Annotated[bool, BeforeValidator(yes_or_no)]
Count = Annotated[int, BeforeValidator(whole_number)]
BOOST = Measure("pressure", "-1.01325 bar", "10 bar")
PRESSURE = Measure("pressure", "0 bar", "200 bar")
Boost = Annotated[float, BeforeValidator(BOOST)]
Extent = Annotated[float, BeforeValidator(Measure("length", "0 mm", "3 m", above_lowest=True, shown='"180 mm"'))]
Acceleration = Annotated[float, BeforeValidator(Measure("acceleration", "-10 g", "10 g"))]
