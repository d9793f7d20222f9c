"""How each recording of a course was read, in the page's own words, and what the page must ask."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from dashboard.presenters.course_answer import seconds
from dashboard.presenters.course_mapping import ABSOLUTE, GAUGE, outline
from dashboard.presenters.course_use import LogView
from dashboard.presenters.display import Display
from dashboard.presenters.planner_words import page_words
from dashboard.presenters.table import Column, Row, TableData
from planner.driving.report import recording_json
from planner.errors import Fault

MOST_COLUMNS = 100  # of a file that are told one by one


@dataclass(frozen=True, slots=True)
class Question:
    """What the page asks of a header: a sentence, and its answers as (text, field's name, value)."""

    header: str
    text: str
    answers: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class LogReport:
    """How a recording was read: a sentence, cells of one row about it, its columns and gaps as tables, and notices.

    `broken` where it could not be read; the sentence then says why.
    """

    name: str
    says: str
    broken: bool
    cells: tuple[str, ...] = ()
    columns: TableData | None = None
    gaps: TableData | None = None
    notices: tuple[str, ...] = ()


def question_of(log: LogView) -> Question | None:
    """What must be asked before a recording can be read, if answers can be offered."""
    fault = log.fault
    if fault is None or log.header is None:
        return None
    asked = _bare(fault.key)
    if "--gauge or --absolute" in fault.remedy:
        text = (
            f"{log.name}: what does {asked} count from? It runs from {fault.value}, and the recording does not settle "
            "it. The answer changes the use entirely, so it is not guessed."
        )
        answers = (("From the air outside (gauge)", "kind", GAUGE), ("From vacuum (absolute)", "kind", ABSOLUTE))
        return Question(log.header, text, answers)
    if "gives no unit of pressure" in fault.remedy:
        units = ("kPa", "bar", "psi", "mbar", "inHg")
        text = f"{log.name}: which unit is {asked} in? The file does not say, and its values fit more than one."
        return Question(log.header, text, tuple((unit, "unit.boost", unit) for unit in units))
    return None


def _bare(key: str) -> str:
    return key.removeprefix("column ") or "the pressure"


def fault_words(fault: Fault) -> str:
    """A recording's fault as a sentence, without its path."""
    value = f" ({fault.value})" if fault.value else ""
    start = f"{fault.key}{value}: " if fault.key not in ("", "boost") else ""
    text = page_words(f"{start}{fault.remedy}").rstrip(".")
    return f"{text[:1].upper()}{text[1:]}."


def report_of(log: LogView, display: Display) -> LogReport:
    """How a recording was read."""
    if log.recording is None:
        return LogReport(log.name, fault_words(log.fault) if log.fault else "", broken=True)
    found = recording_json(log.recording)
    return LogReport(
        log.name,
        _says(found, len(log.runs), display),
        broken=False,
        cells=_cells(found, log),
        columns=_columns(found, log.name),
        gaps=_gaps(found, log.name),
        notices=tuple(page_words(text) for text in found["notices"]),
    )


def _says(found: dict[str, Any], runs: int, display: Display) -> str:
    parts = [f"{seconds(found['recorded_s'])} recorded"]
    missing = found["duration_s"] - found["recorded_s"]
    if missing > 0.5:
        count = len(found["gaps"])
        parts.append(f"{count} gap{'s' * (count != 1)} of {seconds(missing)} in all, which carry no use")
    if runs > 1:
        parts.append(f"{runs} runs")
    if found["spikes_removed"]:
        parts.append(f"{found['spikes_removed']} spike{'s' * (found['spikes_removed'] != 1)} taken out")
    parts.append("cornering known" if found["cornering_known"] else "no cornering")
    return f"{', '.join(parts)}. {_pressure(found, display)}"


FILE_COLUMNS = (
    Column("Recorded", about="Time that the recording covers; gaps are left out."),
    Column(
        "Gaps", about="Stretches of more than 5.5 usual intervals, at least 0.5 s, without a row. They carry no use."
    ),
    Column("Boost new every", about="How often the logger truly asked for the pressure; rows between repeat it."),
    Column("Pressure", figure=False),
    Column("Spikes", about="Single samples beyond what a manifold can do; they were taken out."),
    Column("Cornering", figure=False),
)


def _cells(found: dict[str, Any], log: LogView) -> tuple[str, ...]:
    missing = found["duration_s"] - found["recorded_s"]
    boost: dict[str, Any] = next((one for one in found["columns"] if one["meaning"] == "boost"), {})
    every = boost.get("refresh_interval_s")
    return (
        seconds(found["recorded_s"]) + (f" in {len(log.runs)} runs" if len(log.runs) > 1 else ""),
        f"{len(found['gaps'])}, {seconds(missing)}" if found["gaps"] else "none",
        "" if every is None else f"{every:.3g} s",
        "absolute" if found["absolute"] else "gauge",
        str(found["spikes_removed"]) if found["spikes_removed"] else "none",
        "known" if found["cornering_known"] else "not recorded",
    )


def files_table(reports: Sequence[LogReport]) -> TableData:
    """How all files of a course were read, a row each."""
    blank = ("not readable", *[""] * (len(FILE_COLUMNS) - 1))
    rows = tuple(Row(one.name, blank if one.broken else one.cells, "broken" if one.broken else "") for one in reports)
    return TableData("How each file was read", "File", FILE_COLUMNS, rows)


def merged_notices(reports: Sequence[LogReport]) -> list[str]:
    """What the files' reading must tell, once each, with the files' names where it does not hold for all."""
    files: dict[str, list[str]] = {}
    for report in reports:
        for text in dict.fromkeys(report.notices):
            files.setdefault(text, []).append(report.name)
    return [text if len(names) == len(reports) else f"{_few(names)}: {text}" for text, names in files.items()]


def _few(names: Sequence[str], most: int = 3) -> str:
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")


def _pressure(found: dict[str, Any], display: Display) -> str:
    if not found["absolute"]:
        return "The pressure is read as gauge, above the air outside."
    air = display.text(found["ambient_kPa"], "pressure", more=1)
    return f"The pressure is absolute; {air} was taken off for the air outside ({found['ambient_how']})."


def _columns(found: dict[str, Any], name: str) -> TableData:
    rows = []
    for column in found["columns"]:
        every = column["refresh_interval_s"]
        fresh = "" if every is None else f"{every:.3g} s"
        rows.append(Row(column["name"], (column["meaning"], column["unit"], fresh, column["how"])))
    columns = (
        Column("Read as", figure=False),
        Column("Unit", figure=False),
        Column("New every", about="How often the logger truly asked for the signal; rows between repeat it."),
        Column("Because", figure=False),
    )
    return TableData(f"Columns that were used of {name}", "Column", columns, tuple(rows))


def _gaps(found: dict[str, Any], name: str) -> TableData | None:
    if not found["gaps"]:
        return None
    rows = tuple(Row(seconds(g["start_s"]), (seconds(g["duration_s"]), g["reason"])) for g in found["gaps"][:40])
    return TableData(
        f"Gaps of {name}, which carry no use", "From", (Column("For"), Column("Because", figure=False)), rows
    )


def outline_table(log: LogView) -> TableData | None:
    """Every column of a recording: its name, unit, first cells, and what it is read as."""
    found = outline(log.path, log.reading)
    if found is None:
        return None
    taken = {name: meaning for meaning, name in reversed(found.taken)}
    rows = tuple(
        Row(one.name[:80], (taken.get(one.name, ""), one.unit[:20], ", ".join(one.first_cells[:3])[:80]))
        for one in found.columns[:MOST_COLUMNS]
    )
    left = len(found.columns) - len(rows)
    columns = tuple(Column(label, figure=False) for label in ("Would be read as", "Unit", "First cells"))
    caption = f"The first {len(rows)} of {len(rows) + left} columns" if left else "Every column"
    return TableData(f"{caption} of {log.name}", "Column", columns, rows)
