"""Meaning and unit of a recording's columns, by generic words in several languages or by the user's mapping."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from planner.driving.cells import MEASURED, is_missing, is_number, is_time
from planner.driving.names import folded, unit_in
from planner.driving.source import refuse
from planner.driving.spelling import TABLES, Unit, stated_unit, unit_of
from planner.driving.table import Table
from planner.driving.vocabulary import BY_NAME, KIND_AT_END, MEANINGS, PLACES, Meaning
from planner.errors import UnitError
from planner.event import Reading

_NOTHING = ("", "none")
_LOOKED_AT = 8


@dataclass(frozen=True, slots=True)
class Column:
    """A column taken for a meaning: its place in the table, name as written, folded words, unit, and why.

    reversed: the user asked for the opposite sign. given: the user named it.
    """

    index: int
    name: str
    words: str
    unit: Unit | None
    meaning: str
    how: str
    given: bool = False
    unit_given: bool = False
    reversed: bool = False


def column_named(table: Table, wanted: str) -> int | None:
    """The number of the column of that name, exact first, then without case, blanks and unit, then by number."""
    if wanted in table.names:
        return table.names.index(wanted)
    keys = [folded(name) for name in table.names]
    bare = [folded(unit_in(name)[0]) for name in table.names]
    for names in (keys, bare):
        if folded(wanted) and names.count(folded(wanted)) == 1:
            return names.index(folded(wanted))
    number = wanted.strip()
    return int(number) - 1 if number.isdecimal() and 0 < int(number[:9]) <= len(table.names) else None


def find_columns(table: Table, file: str, reading: Reading) -> dict[str, tuple[Column, ...]]:
    """The columns that may have each meaning, best first. Raises BadInput where a mapping names no column."""
    mapped = {_meaning_named(meaning, file): name.strip() for meaning, name in reading.columns}
    units = {_meaning_named(meaning, file, "unit"): unit.strip() for meaning, unit in reading.units}
    headers = described(table)
    found: dict[str, tuple[Column, ...]] = {}
    for meaning, name in mapped.items():
        found[meaning] = () if name.lower() in _NOTHING else (_mapped(table, headers, file, meaning, name),)
    taken = {columns[0].index for columns in found.values() if columns}
    for wanted in MEANINGS:
        if wanted.name not in found:
            found[wanted.name] = _candidates(table, headers, wanted, taken)
            taken.update(column.index for column in found[wanted.name][:1])
    return {m: tuple(_in_unit(c, units.get(m), file) for c in columns) for m, columns in found.items() if columns}


def _meaning_named(text: str, file: str, key: str = "column") -> str:
    name = text.strip().lower().replace("_", " ").replace("-", " ")
    if name not in BY_NAME:
        refuse(file, f"no such meaning; one of: {', '.join(BY_NAME)}", key=key, value=text)
    return name


def _mapped(table: Table, headers: Sequence[Described], file: str, meaning: str, name: str) -> Column:
    turned = name.startswith("-") and name not in table.names
    index = column_named(table, name[1:].strip() if turned else name)
    if index is None:
        refuse(file, f"no such column; the file has: {listed(table.names)}", key=f"column {meaning}", value=name)
    unit = headers[index].unit(BY_NAME[meaning].dimension)
    fits = unit if unit and unit.dimension == BY_NAME[meaning].dimension else None
    how = "given by the user" + (", sign reversed" if turned else "")
    return Column(index, table.names[index], headers[index].words, fits, meaning, how, given=True, reversed=turned)


def _in_unit(column: Column, unit: str | None, file: str) -> Column:
    """The column with the unit that the user states, if any."""
    if unit is None:
        return column
    try:
        stated = stated_unit(unit, BY_NAME[column.meaning].dimension)
    except UnitError as reason:
        refuse(file, str(reason), key=f"unit {column.meaning}", value=unit)
    how = f"{column.how}, unit given by the user"
    c = column
    return Column(c.index, c.name, c.words, stated, c.meaning, how, given=c.given, unit_given=True, reversed=c.reversed)


def listed(names: Sequence[str], most: int = 40) -> str:
    """Names as a list in a sentence, the first `most` of them."""
    shown = ", ".join(f'"{name[:60]}"' for name in names[:most])
    return shown + (f" and {len(names) - most} more" if len(names) > most else "")


@dataclass(frozen=True, slots=True)
class Described:
    """What a header tells of a column: bare name, folded, whole name, folded, and the units met, best first."""

    bare: str
    words: str
    whole: str
    units: tuple[str, ...]

    def unit(self, dimension: str) -> Unit | None:
        """The first unit of the dimension, else the first of any, else None."""
        of_dimension = (unit_of(text, dimension) for text in self.units if dimension in TABLES)
        of_any = (unit_of(text) for text in self.units)
        return next((unit for unit in (*of_dimension, *of_any) if unit), None)


def described(table: Table) -> tuple[Described, ...]:
    """What the header, the line of units and the first cells tell of each column."""
    return tuple(_described(table, index) for index in range(len(table.names)))


def _described(table: Table, index: int) -> Described:
    name = table.names[index]
    bare, unit = unit_in(name)
    some = table.samples[index][-_LOOKED_AT:]
    measured = (MEASURED.fullmatch(cell) for cell in some if not is_number(cell) and not is_time(cell))
    cell = next((match[2] for match in measured if match), "")
    units = tuple(text for text in (unit.text if unit else "", table.units[index], cell) if text)
    marked = _marked(unit)
    return Described(bare, folded(bare), folded(name), (marked, *units) if marked else units)


def _marked(unit: Unit | None) -> str:
    """The spelling of a unit that keeps its mark of gauge or absolute."""
    if unit is None or unit.absolute is None:
        return ""
    return f"{unit.text} {'absolute' if unit.absolute else 'gauge'}"


def _candidates(table: Table, headers: Sequence[Described], meaning: Meaning, taken: set[int]) -> tuple[Column, ...]:
    """The columns that may have a meaning, best first."""
    ranked = []
    for index, header in enumerate(headers):
        unit = header.unit(meaning.dimension)
        rank = None if index in taken else _rank(meaning, header, unit)
        if rank is not None and _has_values(table.samples[index]):
            late = 10 if meaning.name == "time" and not _rises(table.samples[index]) else 0
            ranked.append((rank + late, index, _column(table, index, header, meaning, unit)))
    if not ranked and meaning.name == "time":
        return _like_a_clock(table, headers, taken)
    return tuple(column for _, _, column in sorted(ranked, key=lambda entry: entry[:2]))


def _has_values(cells: Sequence[str]) -> bool:
    return len(cells) >= 100 or any(not is_missing(cell) for cell in cells)


def _column(table: Table, index: int, header: Described, meaning: Meaning, unit: Unit | None) -> Column:
    fits = unit if unit and unit.dimension == meaning.dimension else None
    how = f'by the words "{header.bare}"' + (f" and the unit {fits.text}" if fits else "")
    return Column(index, table.names[index], header.words, fits, meaning.name, how)


def _rank(meaning: Meaning, header: Described, unit: Unit | None) -> int | None:
    """0 for the best words; None where the words or the unit rule the column out."""
    if meaning.not_words.search(header.words):
        return None
    if unit and unit.dimension not in (meaning.dimension, "rotation" if meaning.name == "rpm" else ""):
        told = meaning.name == "time" and unit.dimension == "other"
        if not told and meaning.name not in ("rpm", "lap"):
            return None
    if unit is None and header.words in PLACES:
        return None
    spelled = (header.words, header.whole, KIND_AT_END.sub("", header.words))
    for rank, pattern in enumerate(meaning.words):
        if any(pattern.fullmatch(words) for words in spelled):
            return 2 * rank + (0 if unit else 1)
    return None


def _rises(cells: Sequence[str]) -> bool:
    """Whether cells go on like a clock: times of day, or numbers that never fall and rise at least once."""
    present = [cell for cell in cells if not is_missing(cell)]
    if present and all(is_time(cell) for cell in present[:20]):
        return True
    try:
        numbers = [float(cell.replace(",", ".")) for cell in present]
    except ValueError:
        return True
    falls = sum(1 for a, b in pairwise(numbers) if b < a)
    return len(numbers) > 1 and numbers[-1] > numbers[0] and falls <= 0.05 * len(numbers)


def _like_a_clock(table: Table, headers: Sequence[Described], taken: set[int]) -> tuple[Column, ...]:
    """A column that goes on like a clock, where none is named so: of times, in a unit of time, or else the first.

    A first column that counts the rows is no clock: it tells nothing of seconds.
    """
    for index, cells in enumerate(table.samples):
        present = [cell for cell in cells if not is_missing(cell)]
        unit = headers[index].unit("time")
        fits = unit if unit and unit.dimension == "time" else None
        timed = bool(present) and all(is_time(cell) for cell in present)
        numbers = len(present) >= 3 and is_number(present[0]) and _rises(cells)
        first = index == 0 and unit is None and not _counts_rows(present)
        if index not in taken and (timed or (numbers and (fits or first))):
            how = "no column is named as a time; this is the first that rises like a clock"
            return (Column(index, table.names[index], headers[index].words, fits, "time", how),)
    return ()


def _counts_rows(cells: Sequence[str]) -> bool:
    """Whether cells are whole numbers, each the one before and 1."""
    return all(cell.isdecimal() for cell in cells) and all(int(b) - int(a) == 1 for a, b in pairwise(cells))
