"""Options of the command line that carry a unit or a share: every fault at once, each naming its option."""

from __future__ import annotations

import argparse
from collections.abc import Mapping

from planner.errors import BadInput, Fault, UnitError
from planner.units import Dimension, quantity


def numbers(
    args: argparse.Namespace, quantities: Mapping[str, Dimension], shares: tuple[str, ...] = ()
) -> dict[str, float | None]:
    """SI values of the options named, None where one is not given; temperatures in degC, shares 0 to 1.

    Raises BadInput with a fault for each option that cannot be read.
    """
    values: dict[str, float | None] = {}
    faults: list[Fault] = []
    for name in (*quantities, *shares):
        text = getattr(args, name)
        try:
            values[name] = None if text is None else _number(text, quantities.get(name))
        except UnitError as reason:
            faults.append(option_fault(name, text, str(reason)))
    if faults:
        raise BadInput(faults)
    return values


def option_fault(name: str, value: object, remedy: str) -> Fault:
    """A fault of an option, under the name by which it is typed."""
    return Fault("", "--" + name.replace("_", "-"), "" if value is None else str(value), remedy)


def _number(text: str, dimension: Dimension | None) -> float:
    return quantity(text, dimension) if dimension else _share(text)


def _share(text: str) -> float:
    try:
        share = float(text)
    except ValueError:
        raise UnitError("not a share; write a number from 0 to 1, such as 0.5") from None
    if 1 < share <= 100:
        raise UnitError(f"a share is 0 to 1, not a percentage; write {share / 100:g}")
    if not 0 <= share <= 1:
        raise UnitError("a share is 0 to 1; write one such as 0.5")
    return share
