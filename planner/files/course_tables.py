"""[[course]] of event.toml: what a car does per run, lap or minute, and how its recordings are read."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import BeforeValidator, Field

from planner.driving.spelling import unit_of
from planner.driving.vocabulary import BY_NAME
from planner.event import Course, Per, Piece, Reading
from planner.files.fields import BOOST, Acceleration, Boost, Choice, Listed, Measure, Name, Pair, YesNo, near, refuse
from planner.files.tables import Table

_TIME = Measure("time", "0 s", "24 h", above_lowest=True)
_FROM = Measure("time", "0 s", "24 h")
_PIECES = Listed(1, '[{ time = "4 s", boost = "14 psi" }]')
_TIMES = Listed(1, '[["5 psi", "3 s"], ["14 psi", "19 s"]]')
_TIME_AT = Pair(BOOST, _TIME, ("boost", "time"), '["14 psi", "19 s"]')
_LOGS = Listed(1, '["../logs/hill-1.csv"]')
_WINDOWS = Listed(1, '[["0 s", "60 s"], ["75 s", "130 s"]]')
_WINDOW = Pair(_FROM, _TIME, ("start", "end"), '["75 s", "130 s"]')
PairT = tuple[float, float]
Texts = dict[str, str]


def _table_of_texts(value: object, example: str) -> Texts:
    if not isinstance(value, dict) or not all(isinstance(entry, str) for entry in value.values()):
        raise refuse(f"not a table of texts; write {example}")
    for meaning in value:
        if meaning not in BY_NAME:
            guess = near(meaning, BY_NAME)
            hint = f"did you mean {guess}?" if guess else f"known are {', '.join(BY_NAME)}"
            raise refuse(f"nothing is read under {meaning[:40]!r}; {hint}")
    return value


def column_names(value: object) -> Texts:
    """Names of columns by meaning. Raises for a meaning that no recording is searched for."""
    return _table_of_texts(value, '{ boost = "MAP", time = "Time" }')


def column_units(value: object) -> Texts:
    """Units by meaning. Raises for a unit of another dimension."""
    texts = _table_of_texts(value, '{ boost = "kPa" }')
    for meaning, unit in texts.items():
        dimension = BY_NAME[meaning].dimension
        if unit_of(unit, dimension) is None:
            raise refuse(f"{unit[:20]!r} is not a unit of {dimension}, which {meaning} is read in")
    return texts


def path_text(value: object) -> str:
    """A path as text. Raises for anything else."""
    if not isinstance(value, str) or not value.strip() or not value.isprintable():
        raise refuse('not a file; write its path from this file in quotes, such as "../logs/hill-1.csv"')
    return value


def rows_a_second(value: object) -> float:
    """Rows a second [Hz] of a text such as "50 Hz". Raises for anything else."""
    number, _, unit = value.strip().partition(" ") if isinstance(value, str) else ("", "", "")
    try:
        rate = float(number)
    except ValueError:
        rate = 0.0
    if unit.strip().casefold() != "hz" or not 0.01 <= rate <= 1e5:
        raise refuse('not a rate; write the rows a second in quotes, such as "50 Hz"')
    return rate


class PieceTable(Table):
    """course.pieces"""

    time: Annotated[float, BeforeValidator(_TIME)]
    boost: Boost
    longitudinal: Acceleration | None = None
    lateral: Acceleration | None = None

    def record(self) -> Piece:
        """The piece."""
        return Piece(self.time, self.boost, self.lateral, self.longitudinal)


class SplitTable(Table):
    """course.split"""

    column: Name | None = None
    stops_longer: Annotated[float, BeforeValidator(_TIME)] | None = None
    windows: Annotated[tuple[Annotated[PairT, BeforeValidator(_WINDOW)], ...], BeforeValidator(_WINDOWS)] = ()


class CourseTable(Table):
    """[[course]]"""

    name: Name
    per: Annotated[Per, BeforeValidator(Choice("per", ("run", "lap", "minute")))]
    logs: Annotated[tuple[Annotated[str, BeforeValidator(path_text)], ...], BeforeValidator(_LOGS)] = ()
    pieces: Annotated[tuple[PieceTable, ...], BeforeValidator(_PIECES)] = ()
    time_at_boost: Annotated[tuple[Annotated[PairT, BeforeValidator(_TIME_AT)], ...], BeforeValidator(_TIMES)] = ()
    spool: Annotated[float, BeforeValidator(Measure("time", "0 s", "20 s"))] | None = None
    columns: Annotated[Texts, BeforeValidator(column_names)] = Field(default_factory=dict)
    units: Annotated[Texts, BeforeValidator(column_units)] = Field(default_factory=dict)
    absolute: YesNo | None = None
    ambient: Annotated[float, BeforeValidator(Measure("pressure", "0.4 bar", "1.2 bar"))] | None = None
    rate: Annotated[float, BeforeValidator(rows_a_second)] | None = None
    split: SplitTable | None = None

    def reading(self) -> Reading:
        """How the recordings are to be read."""
        split = self.split or SplitTable()
        return Reading(
            columns=tuple(self.columns.items()),
            units=tuple(self.units.items()),
            absolute=self.absolute,
            ambient=self.ambient,
            rate=self.rate,
            split_column=split.column,
            split_stops=split.stops_longer,
            split_windows=split.windows,
        )

    def record(self, folder: Path) -> Course:
        """The course; its logs lie relative to `folder`."""
        return Course(
            name=self.name,
            per=self.per,
            logs=tuple(folder / log for log in self.logs),
            pieces=tuple(piece.record() for piece in self.pieces),
            time_at_boost=self.time_at_boost,
            spool=self.spool or 0.0,
            reading=self.reading(),
        )
