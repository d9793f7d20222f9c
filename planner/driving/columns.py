"""Meaning and unit of a recording's columns, by generic words in several languages or by the user's mapping."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from planner.driving.cells import MEASURED, is_missing, is_value
from planner.driving.source import refuse
from planner.driving.spelling import Unit, unit_of
from planner.driving.table import Table
from planner.driving.vocabulary import BY_NAME, MEANINGS, Meaning
from planner.event import Reading

_BRACKETED = re.compile(r"[\[({<]\s*([^\])}>]*?)\s*[\])}>]")


@dataclass(frozen=True, slots=True)
class Column:
    """A column taken for a meaning: its place in the table, name as written, folded words, unit, and why.

    reversed: the user asked for the opposite sign.
    """

    index: int
    name: str
    words: str
    unit: Unit | None
    meaning: str
    how: str
    reversed: bool = False


def folded(name: str) -> str:
    """A name in lower case, without accents or brackets, its words parted by single blanks."""
    plain = unicodedata.normalize("NFKD", name.replace("ß", "ss").replace("ł", "l"))
    plain = "".join(ch for ch in plain if not unicodedata.combining(ch))
    parted = re.sub(r"(?<=[a-z])(?=[A-Z][a-z])|(?<=[a-z]{3})(?=[A-Z])", " ", plain)
    return re.sub(r"[^a-z0-9°%]+", " ", parted.lower()).strip()


def unit_in(name: str) -> tuple[str, Unit | None]:
    """The bare name and the unit that a header cell such as "Boost [kPa]", "boost_kPa" or "boost / kPa" holds."""
    for match in reversed(list(_BRACKETED.finditer(name))):
        unit = unit_of(match[1])
        if unit:
            return (name[: match.start()] + " " + name[match.end() :]).strip(), unit
    for splitter in (r"\s*/\s*", r"_", r"\s*,\s*", r"\s+in\s+", r"\s+", r"[.:]"):
        parts = [(m.start(), m.end()) for m in re.finditer(splitter, name)]
        for start, end in parts:
            unit = unit_of(name[end:].replace("_", " "))
            if unit and start > 0 and (len(name) - end > 1 or unit.text in "gs"):
                return name[:start].strip(), unit
    return name, None


def column_named(table: Table, wanted: str) -> int | None:
    """The number of the column of that name, exact first, then without case, blanks and unit, then by number."""
    if wanted in table.names:
        return table.names.index(wanted)
    keys = [folded(name) for name in table.names]
    bare = [folded(unit_in(name)[0]) for name in table.names]
    for names in (keys, bare):
        if names.count(folded(wanted)) == 1:
            return names.index(folded(wanted))
    number = wanted.strip()
    return int(number) - 1 if number.isdigit() and 0 < int(number) <= len(table.names) else None


def find_columns(table: Table, file: str, reading: Reading) -> dict[str, Column]:
    """The column of each meaning that the table holds. Raises BadInput where a mapping names none."""
    mapped = dict(reading.columns)
    found = {meaning: _mapped(table, file, meaning, name) for meaning, name in mapped.items()}
    taken = {column.index for column in found.values()}
    for meaning in MEANINGS:
        if meaning.name not in found:
            ranked = sorted(_candidates(table, meaning, taken))
            if ranked:
                found[meaning.name] = ranked[0][1]
                taken.add(ranked[0][1].index)
    return found


def _mapped(table: Table, file: str, meaning: str, name: str) -> Column:
    if meaning not in BY_NAME:
        refuse(file, f"no such meaning; one of: {', '.join(BY_NAME)}", key="column", value=meaning)
    index = column_named(table, name)
    turned = index is None and name.startswith("-")
    index = column_named(table, name[1:]) if turned else index
    if index is None:
        refuse(file, f"no such column; the file has: {listed(table.names)}", key=f"column {meaning}", value=name)
    bare, unit = _unit_of_column(table, index, BY_NAME[meaning].dimension)
    return Column(index, table.names[index], folded(bare), unit, meaning, "given by the user", turned)


def listed(names: Sequence[str], most: int = 40) -> str:
    """Names as a list in a sentence, the first `most` of them."""
    shown = ", ".join(f'"{name}"' for name in names[:most])
    return shown + (f" and {len(names) - most} more" if len(names) > most else "")


def _unit_of_column(table: Table, index: int, dimension: str) -> tuple[str, Unit | None]:
    """Bare name and unit of a column, from its name, the units line or its cells; None where none is of the dimension."""
    bare, unit = unit_in(table.names[index])
    cell = next((MEASURED.fullmatch(cell) for cell in table.samples[index] if MEASURED.fullmatch(cell)), None)
    for text in (unit.text if unit else "", table.units[index], cell[2] if cell else ""):
        known = (
            unit_of(text, dimension)
            if text and dimension in ("pressure", "time", "speed", "acceleration", "turn rate", "angle")
            else None
        )
        if known:
            kept = unit if unit and unit.dimension == dimension else known
            return bare, kept
    return bare, unit


def _candidates(table: Table, meaning: Meaning, taken: set[int]) -> list[tuple[int, Column]]:
    ranked: list[tuple[int, Column]] = []
    for index, name in enumerate(table.names):
        if index in taken or not any(is_value(c) for c in table.samples[index] if not is_missing(c)):
            continue
        bare, unit = _unit_of_column(table, index, meaning.dimension)
        rank = _rank(meaning, folded(bare), unit)
        if rank is not None:
            ranked.append((rank, Column(index, name, folded(bare), unit, meaning.name, f'by the words "{bare}"')))
    return sorted(ranked, key=lambda pair: (pair[0], pair[1].index))


def _rank(meaning: Meaning, words: str, unit: Unit | None) -> int | None:
    """0 for the best words; None where the words or the unit rule the column out."""
    if meaning.not_words.search(words):
        return None
    if unit is not None and unit.dimension != meaning.dimension:
        known = meaning.dimension in ("rotation", "count") and unit.dimension in ("other",)
        if not known and not (meaning.name == "time" and unit.dimension == "other"):
            return None
    for rank, pattern in enumerate(meaning.words):
        if pattern.fullmatch(words):
            return 2 * rank + (0 if unit else 1)
    return None
