"""What every command prints through: one JSON object, a rich console for tables, complaints to stderr."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from typing import Any

from rich.console import Console


def print_json(data: dict[str, Any]) -> None:
    """Print one JSON object to standard output. Raises ValueError on NaN, which JSON has not."""
    sys.stdout.write(json.dumps(data, ensure_ascii=False, allow_nan=False, indent=2) + "\n")


def console() -> Console:
    """Console for tables: as wide as the terminal, 80 columns where there is none; it prints brackets as they are."""
    return Console(width=None if sys.stdout.isatty() else 80, highlight=False, markup=False)


def complain(text: str) -> None:
    """Print a message to standard error."""
    print(text, file=sys.stderr)


def print_result(result: dict[str, Any], *, as_json: bool, show: Callable[[dict[str, Any]], None]) -> None:
    """Print a command's result as JSON or through `show`, its notices to standard error first."""
    for notice in result["notices"]:
        complain(f"NOTICE: {notice}")
    if as_json:
        print_json(result)
    else:
        show(result)
