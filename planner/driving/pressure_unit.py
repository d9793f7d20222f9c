"""The unit of a pressure column: found where none is given, and doubted where the values cannot be in the one given."""

from __future__ import annotations

from planner.driving.columns import Column
from planner.driving.pressure_kind import AIR, Evidence, kind_of
from planner.driving.source import refuse
from planner.driving.spelling import unit_of

HIGHEST_BOOST = 500e3  # [Pa gauge]
_TRIED = ("kPa", "psi", "bar", "mbar")
_STILL = 8e3  # [Pa]


def pascal(unit: str) -> float:
    """The pressure [Pa] of one of a unit."""
    known = unit_of(unit, "pressure")
    assert known is not None
    return float(known.si(1.0))  # type: ignore[arg-type]


def fits(evidence: Evidence, absolute: bool | None) -> bool:
    """Whether the values [Pa] could be a manifold's pressure of that kind; None leaves the kind open."""
    if absolute is None:
        return fits(evidence, True) or fits(evidence, False)
    if absolute:
        off = evidence.off is None or AIR[0] <= evidence.off <= AIR[1]
        return off and 60e3 <= evidence.high <= HIGHEST_BOOST and 8e3 <= evidence.low <= AIR[1]
    vacuum = evidence.low > -1e3 or evidence.low <= -16e3
    return vacuum and -AIR[1] <= evidence.low <= 15e3 and 20e3 <= evidence.high <= 320e3


def unit_found(raw: Evidence, stated: bool | None) -> str | None:
    """The only unit in which raw values, in no known unit, could be a manifold's pressure; None where several could.

    Inches of mercury are thought of only where the values in kPa would show no boost: then they may hide some.
    """
    possible = []
    for unit in _TRIED:
        evidence = raw.scaled(pascal(unit))
        kind = kind_of(evidence, stated)
        if fits(evidence, kind.absolute if kind else None):
            possible.append(unit)
    hidden = possible == ["kPa"] and raw.high * 1e3 <= AIR[1] and fits(raw.scaled(pascal("inHg")), True)
    return possible[0] if len(possible) == 1 and not hidden else None


def doubt_unit(evidence: Evidence, column: Column, absolute: bool, file: str, given: str) -> None:
    """Raise BadInput where the values [Pa] cannot be a manifold's pressure in the unit `given` by the file."""
    shown = f"{evidence.low / pascal(given):.4g} to {evidence.high / pascal(given):.4g} {given}"
    key = f'column "{column.name}"'
    air = AIR[1] if absolute else 0.0
    if evidence.high - air > HIGHEST_BOOST:
        refuse(file, f"no manifold reaches that; {_hint(evidence, absolute, given)}", key=key, value=shown)
    if column.unit_given or evidence.duration < 20:
        return
    if not absolute:
        if evidence.low > -_STILL and evidence.high < _STILL and _better(evidence, absolute, given):
            refuse(file, f"neither boost nor vacuum; {_hint(evidence, absolute, given)}", key=key, value=shown)
        return
    known_air = evidence.off if evidence.off is not None and evidence.off > 0 else None
    if evidence.high < 60e3 and not (known_air and AIR[0] <= known_air <= AIR[1]):
        refuse(file, f"too low for an absolute pressure; {_hint(evidence, absolute, given)}", key=key, value=shown)


def _better(evidence: Evidence, absolute: bool, given: str) -> list[str]:
    """Other units in which the values could be a manifold's pressure."""
    raw = evidence.scaled(1 / pascal(given))
    return [unit for unit in _TRIED if unit != given and fits(raw.scaled(pascal(unit)), absolute)]


def _hint(evidence: Evidence, absolute: bool, given: str) -> str:
    """What to state instead of the unit that the file gives."""
    ways = [f"--unit boost={unit}" for unit in (*_better(evidence, absolute, given), given)]
    return f"say the unit that it is in ({' or '.join(ways)}), or another column with --column boost=NAME"
