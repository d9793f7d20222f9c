"""Strength by the hydrometer, both ways: what it should read, and how strong what it reads is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from dashboard.presenters.display import THIN, Display, share
from dashboard.presenters.table import Column, Row, TableData
from dashboard.presenters.whence import Whence
from planner.errors import OutsideModel, UnitError
from planner.physics.blend import COLDEST, HOTTEST, density, density_slope, freezing_point
from planner.planning.strength import MODEL_ERROR, strength_from_density
from planner.units import Dimension, quantity

LABELS = {"density": "Hydrometer reads", "temperature": "At", "error": "Reading's error"}
HINTS = {
    "density": "927 kg/m3, 0.927 g/mL",
    "temperature": "20 degC, 68 degF",
    "error": "of the hydrometer",
}
FIRST = {"density": "", "temperature": "20 degC", "error": "1 kg/m3"}
USUAL_SHARE = 0.5  # where no event says another
_TEMPERATURES = (-10.0, 0.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0)
ONE_ANSWER = (
    "A density has one answer at each temperature: it falls with strength everywhere from -20 to 50 °C. It tells least "
    "at 10 to 30 % and in the cold."
)


@dataclass(frozen=True, slots=True)
class Checked:
    """The strength of what was measured: a sentence, notes, and faults by field; empty before anything is typed."""

    parts: tuple[str | Whence, ...] = ()
    notes: tuple[str, ...] = ()
    faults: Mapping[str, str] = field(default_factory=dict)


def density_table(alcohol_share: float, display: Display, weather: Sequence[float | None] = ()) -> TableData:
    """What a hydrometer reads in a blend of this strength by temperature, and what a unit's error means there.

    `weather`: the day's own temperatures [degC], which get rows of their own where the model holds; None is none.
    """
    ice = float(freezing_point(alcohol_share))
    own = {t for t in weather if t is not None and COLDEST <= t <= HOTTEST}
    rows = tuple(
        Row(
            display.temperature(t) + (", the day's" if t in own else ""),
            (
                f"{float(density(alcohol_share, t)):.1f}",
                f"{float(density(alcohol_share, t)) / 1000:.4f}",
                f"{-100 / float(density_slope(alcohol_share, t)):.2f}{THIN}%",
            ),
        )
        for t in sorted({*_TEMPERATURES, *own})
        if t > ice
    )
    columns = (
        Column("kg/m³", about="Fitted to published densities of methanol and water, 0.11 % (see Method)."),
        Column("g/mL"),
        Column("1 kg/m³ is", about="Strength, by volume before mixing, that one kg/m³ of reading stands for."),
    )
    return TableData(f"Hydrometer in a {share(alcohol_share)} blend", "At", columns, rows)


def checked(texts: Mapping[str, str], display: Display) -> Checked:
    """How strong the measured blend is, and how sure that is."""
    given, faults = _read(texts)
    if faults or given["density"] is None:
        return Checked(faults=faults)
    rho, temperature, error = given["density"], given["temperature"], given["error"]
    assert temperature is not None
    assert error is not None
    try:
        found = strength_from_density(rho, temperature, density_error=error)
    except OutsideModel as reason:
        return Checked(faults={"density": str(reason)})
    shown = f"{100 * found.alcohol_share:.1f}{THIN}%"
    inputs = (
        ("1 kg/m³ of reading", f"{100 * found.per_kg_m3:.2f}{THIN}%"),
        ("1 K of temperature", f"{100 * found.per_kelvin:.2f}{THIN}%"),
        ("Hydrometer", f"{error:.3g}{THIN}kg/m³"),
        ("Model", f"{MODEL_ERROR:.3g}{THIN}kg/m³"),
        ("Thermometer", f"1{THIN}K"),
    )
    formula = "The share whose density at this temperature is the reading; errors add as squares."
    parts = (
        f"{rho:.1f}{THIN}kg/m³ at {display.temperature(temperature)} is ",
        Whence(shown, "Strength by density", inputs, formula, "Density fit of the page Method, inverted."),
        f" methanol, give or take {100 * found.error:.1f}{THIN}%.",
    )
    return Checked(parts, found.notices)


def _read(texts: Mapping[str, str]) -> tuple[dict[str, float | None], dict[str, str]]:
    dimensions: dict[str, Dimension] = {"density": "density", "temperature": "temperature", "error": "density"}
    given: dict[str, float | None] = {}
    faults: dict[str, str] = {}
    for key, dimension in dimensions.items():
        text = (texts.get(key) or FIRST[key]).strip()
        try:
            given[key] = quantity(text, dimension) if text else None
        except UnitError as reason:
            faults[key] = str(reason)
    temperature, error = given.get("temperature"), given.get("error")
    if temperature is not None and not COLDEST <= temperature <= HOTTEST:
        faults["temperature"] = f"the blend model holds from {COLDEST:g} to {HOTTEST:g} degC"
    if error is not None and error < 0:
        faults["error"] = "zero or more"
    return given, faults
