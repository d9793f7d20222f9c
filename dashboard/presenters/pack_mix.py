"""The recipe calculator: any amount and strength, from what is at hand, rounded to what can be measured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from dashboard.presenters.display import THIN, Display, share
from dashboard.presenters.table import Column, Row, TableData
from dashboard.presenters.whence import Whence
from planner.errors import OutsideModel, UnitError
from planner.files.cautions import hazard_class
from planner.physics.blend import COLDEST, HOTTEST
from planner.planning.recipe import Have, Recipe, recipe, recipe_json, rounded_by_mass, rounded_by_volume
from planner.units import Dimension, quantity

ROUNDINGS = (
    ("", "not at all"),
    ("10 mL", "10 mL"),
    ("50 mL", "50 mL"),
    ("100 mL", "100 mL"),
    ("500 mL", "500 mL"),
    ("1 floz", "1 US fluid ounce"),
    ("1 g", "1 g on a scale"),
    ("5 g", "5 g on a scale"),
    ("10 g", "10 g on a scale"),
    ("50 g", "50 g on a scale"),
)
LABELS = {
    "amount": "Finished blend",
    "share": "Strength",
    "temperature": "Liquids at",
    "round": "Round each pour to",
    "have": "Blend at hand",
    "have_share": "Its strength",
    "premix_share": "Premix, strength",
}
HINTS = {
    "amount": "20 L, 5 gal",
    "share": "0.5, 50 %",
    "temperature": "20 degC, 68 degF",
    "have": "used up first",
    "premix_share": "instead of methanol",
}
SOURCE = "Densities fitted to published tables; see Method."


@dataclass(frozen=True, slots=True)
class Mixed:
    """The calculator's answer: a sentence, its pours as a table, what comes out, notes, and faults by field."""

    parts: tuple[str | Whence, ...] = ()
    table: TableData | None = None
    facts: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    faults: Mapping[str, str] = field(default_factory=dict)


def first_texts(
    blend: float | None, alcohol_share: float, display: Display, *, temperature: float = 20.0
) -> dict[str, str]:
    """What the calculator's fields hold at first: an event's blend [L] at its temperature [degC], or a round amount."""
    litres = 10.0 if blend is None else blend
    amount = f"{litres / 3.785411784:.4g} gal" if display.system == "us" else f"{litres:.5g} L"
    warm = f"{display.number(temperature, 'temperature'):.4g} {'degF' if display.system == 'us' else 'degC'}"
    empty = dict.fromkeys(("round", "have", "have_share", "premix_share"), "")
    return {"amount": amount, "share": f"{alcohol_share:g}", "temperature": warm, **empty}


def read_share(text: str) -> float:
    """A share from "0.5" or "50 %". Raises UnitError with the remedy."""
    number = text.strip()
    percent = number.endswith("%")
    try:
        value = float(number.removesuffix("%").strip()) / (100 if percent else 1)
    except ValueError:
        raise UnitError("not a share; write one such as 0.5 or 50 %") from None
    if not percent and 1 < value <= 100:
        raise UnitError(f"write {value / 100:g}, or {value:g} %")
    if not 0 <= value <= 1:
        raise UnitError("a share is 0 to 1, or 0 to 100 %")
    return value


def mixed(texts: Mapping[str, str], display: Display) -> Mixed:
    """The recipe of what is typed, or what is wrong with it."""
    given, faults = _read(texts)
    if faults:
        return Mixed(faults=faults)
    try:
        made = _rounded(_exact(given), texts.get("round", ""))
    except OutsideModel as reason:
        return Mixed(faults={"amount": str(reason)})
    return Mixed(
        _sentence(made, given, display), _table(made, display), _facts(made, display), _notes(made, given, display)
    )


def _read(texts: Mapping[str, str]) -> tuple[dict[str, float | None], dict[str, str]]:
    """SI values by field, None for an empty one, and a sentence for each that cannot be read."""
    dimensions: dict[str, Dimension] = {"amount": "volume", "temperature": "temperature", "have": "volume"}
    given: dict[str, float | None] = {}
    faults: dict[str, str] = {}
    for key in ("amount", "temperature", "have", "share", "have_share", "premix_share"):
        text = (texts.get(key) or "").strip()
        try:
            given[key] = (quantity(text, dimensions[key]) if key in dimensions else read_share(text)) if text else None
        except UnitError as reason:
            faults[key] = str(reason)
    return given, faults or _misfits(given)


def _misfits(given: Mapping[str, float | None]) -> dict[str, str]:
    """What is missing, or sound alone but not together."""
    found = {
        key: f"missing; write one such as {HINTS[key]}"
        for key in ("amount", "share", "temperature")
        if given[key] is None
    }
    amount, temperature, have = given["amount"], given["temperature"], given["have"]
    if amount is not None and amount <= 0:
        found["amount"] = "an amount above zero"
    if temperature is not None and not COLDEST <= temperature <= HOTTEST:
        found["temperature"] = f"the blend model holds from {COLDEST:g} to {HOTTEST:g} degC"
    if have is not None and have < 0:
        found["have"] = "zero or more"
    if (have is None) != (given["have_share"] is None):
        found["have" if have is None else "have_share"] = "amount and strength come together"
    return found


def _exact(given: Mapping[str, float | None]) -> Recipe:
    amount, strength, temperature = given["amount"], given["share"], given["temperature"]
    assert amount is not None
    assert strength is not None
    assert temperature is not None
    volume, at_hand = given["have"], given["have_share"]
    have = Have(volume, at_hand) if volume is not None and at_hand is not None else None
    return recipe(amount, strength, temperature, have=have, premix_share=given["premix_share"])


def _rounded(made: Recipe, step: str) -> Recipe:
    if not step or step not in {value for value, _ in ROUNDINGS}:
        return made
    if step.endswith(" g"):
        return rounded_by_mass(made, quantity(step, "mass"))
    return rounded_by_volume(made, quantity(step, "volume"))


def _sentence(made: Recipe, given: Mapping[str, float | None], display: Display) -> tuple[str | Whence, ...]:
    """ "Pour 7.36 L methanol and 7.36 L water: 14.20 L of 50 % blend."."""
    inputs = (
        ("Strength wanted", share(made.wanted_share)),
        ("Everything at", display.temperature(made.temperature)),
        ("Lost on mixing", display.text(made.shrink * 1e3, "volume", more=1)),
    )
    formula = "Mass of the blend × share of each part by mass ÷ the part's density; mass is conserved."
    parts: list[str | Whence] = ["Pour "]
    for place, pour in enumerate(made.pours):
        joint = "" if not place else " and " if place == len(made.pours) - 1 else ", "
        text = display.text(pour.volume * 1e3, "volume", more=1)
        mass = ("By scale", display.text(pour.mass, "mass", more=2))
        parts += [joint] if joint else []
        parts += [Whence(text, f"{pour.liquid.capitalize()} to pour", (*inputs, mass), formula, SOURCE)]
        parts += [f" {pour.liquid}"]
    blend = display.text(made.parts.blend * 1e3, "volume", more=1)
    return (*parts, f": {blend} of {_percent(made.parts.alcohol_share)} blend.")


def _percent(value: float) -> str:
    return f"{100 * value:.1f}{THIN}%".replace(f".0{THIN}", THIN)


def _table(made: Recipe, display: Display) -> TableData:
    rows, total = [], 0.0
    for pour in made.pours:
        total += pour.mass
        rows.append(
            Row(
                pour.liquid.capitalize(),
                (
                    share(pour.alcohol_share),
                    display.text(pour.volume * 1e3, "volume", more=2),
                    display.text(pour.mass, "mass", more=2),
                    display.text(total, "mass", more=2),
                ),
            )
        )
    columns = (Column("Strength"), Column("By volume"), Column("By scale"), Column("Scale then shows"))
    return TableData("What to pour, in this order", "Pour", columns, tuple(rows))


def _facts(made: Recipe, display: Display) -> tuple[tuple[str, str], ...]:
    data = recipe_json(made)
    hazard = hazard_class(data["alcohol_share"])
    flash = data["flash_degC"]
    codes = " ".join(code for code, _ in hazard.hazards)
    facts = [
        ("Share of the finished volume", _percent(data["share_of_finished_volume"])),
        ("Share of the mass", _percent(data["mass_fraction"])),
        ("Lost on mixing", display.text(data["shrink_L"], "volume", more=1)),
        (
            "Hydrometer should read",
            f"{data['density_kg_m3']:.1f}{THIN}kg/m³ at {display.temperature(made.temperature)}"
            f" ({data['density_20degC_kg_m3']:.1f} at {display.temperature(20.0)})",
        ),
        (f"1{THIN}kg/m³ more or less is", f"{100 * data['strength_per_kg_m3']:.2f}{THIN}% of strength"),
        ("First ice at", display.temperature(data["freezing_degC"])),
        (
            "Flash point",
            f"about {display.temperature(flash)}, to 9{THIN}K" if flash else "does not flash below boiling",
        ),
    ]
    if hazard.signal:
        facts.append(("Hazard class", f"{hazard.signal}, {codes}"))
    return tuple(facts)


def _notes(made: Recipe, given: Mapping[str, float | None], display: Display) -> tuple[str, ...]:
    found = []
    if abs(made.parts.alcohol_share - made.wanted_share) > 5e-5:
        out, wanted = f"{100 * made.parts.alcohol_share:.2f}", f"{100 * made.wanted_share:.1f}"
        found.append(f"Rounded, {out}{THIN}% comes out where {wanted}{THIN}% was wanted.")
    if made.left > 5e-7:
        found.append(f"Of the blend at hand {display.text(made.left * 1e3, 'volume', more=1)} is left over.")
    if given["premix_share"] is not None and not made.poured("bought premix").volume:
        found.append("The premix is not needed here.")
    note = hazard_class(made.parts.alcohol_share).note
    return (*found, note) if note else tuple(found)
