"""Every speed goal of the project against its yardstick: `python -m tests.benchmarks [NAME ...]`. Never fails."""

from __future__ import annotations

import sys

from tests.benchmarks import driving, pages, planning, recordings_memory, slosh, start, tanks

GROUPS = {
    "use": driving.rows,
    "memory": recordings_memory.rows,
    "slosh": slosh.rows,
    "plan": planning.rows,
    "start": start.rows,
    "tanks": tanks.rows,
    "pages": pages.rows,
}


def main(names: list[str]) -> None:
    """Print a row for each goal: what, measured, goal, whether it is reached, and the spread of the repeats."""
    print(f"{'what':64} {'median':>10} {'goal':>10}  reached  spread")
    for name in names or list(GROUPS):
        for row in GROUPS[name]():
            print(row.line(), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
