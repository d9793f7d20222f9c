"""The pit log as a CSV table and back, without loss."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Sequence
from datetime import datetime

from planner.entry import Entry, checked, value_text
from planner.errors import BadInput, Fault

COLUMNS = ("id", "at", "kind", "value", "written", "undone")
LARGEST_TABLE = 20_000_000  # characters


def table_from_entries(entries: Sequence[Entry]) -> str:
    """CSV text with one row an entry, in order; `value` is JSON, times are ISO 8601 with an offset."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for entry in entries:
        written = entry.written.isoformat() if entry.written else ""
        undone = "yes" if entry.undone else "no"
        writer.writerow((entry.id, entry.at.isoformat(), entry.kind, value_text(entry), written, undone))
    return out.getvalue()


def entries_from_table(text: str, file: str = "table") -> list[Entry]:
    """Entries of such a CSV text, in order; column `undone` may be missing, since the undo entries say it.

    Raises BadInput with every faulty row.
    """
    if len(text) > LARGEST_TABLE:
        raise BadInput([Fault(file, "", "", f"a pit log's table has at most {LARGEST_TABLE} characters")])
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    missing = [name for name in COLUMNS[:5] if name not in (reader.fieldnames or ())]
    if missing:
        remedy = f"not a pit log's table: column {', '.join(missing)} is missing; export one to see the form"
        raise BadInput([Fault(file, "", "", remedy)])
    found = list(_read(reader, file))
    faults = [item for item in found if isinstance(item, Fault)]
    if faults:
        raise BadInput(faults)
    return [item for item in found if isinstance(item, Entry)]


def _read(reader: csv.DictReader[str], file: str) -> Iterator[Entry | Fault]:
    """Each row as an entry, or what is wrong with it."""
    for row in reader:
        line = f"line {reader.line_num}"
        try:
            yield checked(_entry(row))
        except BadInput as reason:
            yield from (Fault(file, f"{line}: {fault.key}", fault.value, fault.remedy) for fault in reason.faults)
        except (ValueError, TypeError, RecursionError) as reason:
            yield Fault(file, line, "", f"the row cannot be read ({reason}); leave exported rows as they are")


def _entry(row: dict[str, str]) -> Entry:
    value = json.loads(row["value"])
    if not isinstance(value, dict):
        raise ValueError("value is not a JSON object")
    written = datetime.fromisoformat(row["written"]) if row["written"] else None
    return Entry(row["id"], datetime.fromisoformat(row["at"]), row["kind"], value, written)
