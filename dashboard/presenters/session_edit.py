"""Changes to many sessions at once, on rows of text as the session grid holds them. Rows in, new rows out.

A row whose start cannot be read stays as it is, so that nothing typed is lost.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta

Row = dict[str, str]
DAY_MINUTES = 24 * 60
MOST_ROWS = 100


def minutes_of(text: str) -> int | None:
    """Minutes since midnight of a time such as "9:40" or "09:40"; None for anything else."""
    match = re.fullmatch(r"\s*(\d{1,2}):(\d{2})\s*", text or "")
    if not match or int(match[1]) > 23 or int(match[2]) > 59:
        return None
    return 60 * int(match[1]) + int(match[2])


def text_of_minutes(minutes: int) -> str:
    """The time of so many minutes since midnight, "09:40"."""
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def length_minutes(text: str) -> float | None:
    """A length such as "20 min", "90 s" or "1.5 h" in minutes; None for anything else."""
    match = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(s|sec|min|h)\s*", text or "")
    return float(match[1]) * {"s": 1 / 60, "sec": 1 / 60, "min": 1.0, "h": 60.0}[match[2]] if match else None


def _moved(row: Row, minutes: int, day: str) -> Row:
    """A row so many minutes later; past midnight its date moves on, counted from `day` where it names none."""
    start = minutes_of(row.get("start", ""))
    if start is None:
        return dict(row)
    days, rest = divmod(start + minutes, DAY_MINUTES)
    moved = {**row, "start": text_of_minutes(rest)}
    if days:
        try:
            moved["date"] = (date.fromisoformat(row.get("date") or day) + timedelta(days=days)).isoformat()
        except ValueError:
            return dict(row)
    return moved


def shifted(rows: Sequence[Row], minutes: int, day: str = "") -> list[Row]:
    """All sessions so many minutes later, or earlier for a negative number."""
    return [_moved(row, minutes, day) for row in rows]


def numbered(name: str, step: int, taken: Sequence[str] = ()) -> str:
    """A name with its last number raised by `step`, or with one added, not among those taken."""
    match = re.search(r"(\d+)(?!.*\d)", name)
    if match:
        made = f"{name[: match.start()]}{int(match[1]) + step}{name[match.end() :]}"
    else:
        made = f"{name} {step + 1}".strip()
    while made in taken:
        made = numbered(made, 1)
    return made


def repeated(rows: Sequence[Row], every: int, times: int, day: str = "") -> list[Row]:
    """The last session again so many times, each `every` minutes after the one before."""
    if not rows:
        return []
    made = [dict(row) for row in rows]
    for step in range(1, min(times, MOST_ROWS - len(rows)) + 1):
        row = _moved(rows[-1], every * step, day)
        made.append({**row, "name": numbered(rows[-1].get("name", ""), step, [one["name"] for one in made])})
    return made


def for_two_drivers(rows: Sequence[Row], drivers: tuple[str, str], later: int, day: str = "") -> list[Row]:
    """Each session twice: the first driver's, and the second's so many minutes later, on the grid, without a refill."""
    first, second = drivers
    made: list[Row] = []
    for row in rows[: MOST_ROWS // 2]:
        made.append({**row, "name": f"{row.get('name', '')} {first}".strip(), "driver": first})
        after = _moved(row, later, day)
        made.append(
            {**after, "name": f"{row.get('name', '')} {second}".strip(), "driver": second, "gap": "grid", "refill": ""}
        )
    return made


def heats(template: Row, starts: Sequence[int], runs: int, every: int) -> list[Row]:
    """A day of heats: at each start so many sessions of one run, `every` minutes apart; a heat's first may refill."""
    made: list[Row] = []
    for number, start in enumerate(starts, 1):
        for run in range(1, runs + 1):
            gap = template.get("gap", "") if run == 1 else "grid"
            name = f"Heat {number} run {run}"
            made.append({**template, "name": name, "start": text_of_minutes((start + every * (run - 1)) % DAY_MINUTES),
                         "runs": "1", "gap": gap, "refill": ""})  # fmt: skip
    return made[:MOST_ROWS]
