"""Recordings named on the command line: the options that say how to read them, and what is remembered of their headers.

A mapping given by options is remembered for files with the same header, in a folder beside the recording.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from planner.cli.options import numbers, option_fault
from planner.driving.recording import Recording, read_recording
from planner.driving.remembered import completed, forget, in_words, key_of, memory_of, remember, remembered
from planner.driving.runs import runs_of
from planner.driving.trace import Trace
from planner.errors import BadInput, Fault, UnitError
from planner.event import Reading
from planner.units import quantity


def reading_arguments(parser: argparse.ArgumentParser) -> None:
    """The options that say how to read a recording where guessing is not enough."""
    parser.add_argument("--column", action="append", default=[], metavar="MEANING=NAME", help="which column is what")
    parser.add_argument("--unit", action="append", default=[], metavar="MEANING=UNIT", help="the unit of a column")
    kind = parser.add_mutually_exclusive_group()
    kind.add_argument("--absolute", action="store_true", help="the pressure counts from vacuum")
    kind.add_argument("--gauge", action="store_true", help="the pressure counts from outside air")
    parser.add_argument("--ambient", metavar="PRESSURE", help='outside air, such as "98 kPa"')
    parser.add_argument("--rate", type=float, metavar="HZ", help="rows a second, where there is no time column")
    parser.add_argument("--split-column", metavar="NAME", help="a run or lap ends where this column changes")
    parser.add_argument("--split-stops", metavar="TIME", help='a run ends at a stop longer than this, such as "20 s"')
    parser.add_argument(
        "--split-window",
        action="append",
        nargs=2,
        default=[],
        metavar=("START", "END"),
        help='a run from START to END, counted from the first row, such as "12 s" "1.5 min"; may repeat',
    )
    parser.add_argument(
        "--forget",
        action="store_true",
        help="drop the columns, units and kind remembered for files with such a header, and remember none now",
    )


def _pairs(texts: Sequence[str], option: str) -> tuple[tuple[str, str], ...]:
    for text in texts:
        if not all(part.strip() for part in text.partition("=")[::2]):
            raise BadInput([Fault("", option, text, f"write {option} MEANING=NAME, such as {option} boost=MAP")])
    return tuple((text.partition("=")[0].strip(), text.partition("=")[2].strip()) for text in texts)


def _windows(pairs: Sequence[Sequence[str]]) -> tuple[tuple[float, float], ...]:
    windows = []
    for start, end in pairs:
        try:
            windows.append((quantity(start, "time"), quantity(end, "time")))
        except UnitError as reason:
            raise BadInput([option_fault("split_window", f"{start} {end}", str(reason))]) from reason
    return tuple(windows)


def reading_of(args: argparse.Namespace) -> Reading:
    """The reading that the options ask for. Raises BadInput."""
    if args.rate is not None and not 0 < args.rate <= 1e5:
        raise BadInput([Fault("", "--rate", str(args.rate), "write the rows a second, between 0 and 100000")])
    given = numbers(args, {"ambient": "pressure", "split_stops": "time"})
    return Reading(
        columns=_pairs(args.column, "--column"),
        units=_pairs(args.unit, "--unit"),
        absolute=True if args.absolute else False if args.gauge else None,
        ambient=given["ambient"],
        rate=args.rate,
        split_column=args.split_column,
        split_stops=given["split_stops"],
        split_windows=_windows(args.split_window),
    )


@dataclass(frozen=True, slots=True, eq=False)
class ReadLog:
    """A recording, its runs, and sentences on what is remembered of its header."""

    recording: Recording
    runs: tuple[Trace, ...]
    notices: tuple[str, ...] = ()


def read_log(path: Path, given: Reading, *, forgetting: bool = False) -> ReadLog:
    """A recording read as the options say and, where they are silent, as remembered; what was given is remembered.

    Raises BadInput; where a remembered mapping was used, its remedy says so.
    """
    folder = memory_of(path)
    if not folder.is_dir() and not _mapping(given):
        said = ("nothing was remembered for its header.",) if forgetting else ()
        return replace(_read(path, given), notices=said)
    key = key_of(path)
    if forgetting:
        return replace(_read(path, given), notices=(_forgotten(folder, key),))
    return _with_memory(path, given, folder, key)


def _with_memory(path: Path, given: Reading, folder: Path, key: str) -> ReadLog:
    stored = remembered(folder, key)
    if stored is None:
        return replace(_read(path, given), notices=_remembering(folder, key, given, Reading()))
    reading = replace(completed(given, stored), split_column=given.split_column)
    told = f"read as remembered for its header: {in_words(stored)} (--forget drops that)"
    try:
        log = _read(path, reading)
    except BadInput as reason:
        raise BadInput([replace(fault, remedy=f"{fault.remedy}; it was {told}") for fault in reason.faults]) from reason
    return replace(log, notices=(f"{told}.", *_remembering(folder, key, given, stored)))


def _read(path: Path, reading: Reading) -> ReadLog:
    recording = read_recording(path, reading)
    return ReadLog(recording, runs_of(recording, reading))


def _mapping(given: Reading) -> str:
    """In words, what of a reading is worth remembering: not how it is split, which is the business of one use."""
    return in_words(replace(given, split_column=None))


def _forgotten(folder: Path, key: str) -> str:
    known = (folder / f"{key}.json").exists()
    forget(folder, key)
    return "what was remembered for its header is forgotten." if known else "nothing was remembered for its header."


def _remembering(folder: Path, key: str, given: Reading, stored: Reading) -> tuple[str, ...]:
    """Remember a mapping that was given, with what was known before, and say so."""
    mapping = Reading(columns=given.columns, units=given.units, absolute=given.absolute, rate=given.rate)
    kept = completed(mapping, stored)
    if not _mapping(given) or kept == stored:
        return ()
    try:
        remember(folder, key, kept)
    except OSError as reason:
        return (f"the mapping could not be remembered ({reason.strerror}); give it again next time.",)
    return (f"remembered for files with this header: {in_words(kept)} (in {folder}; --forget drops that).",)
