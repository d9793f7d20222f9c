"""`fillmark blend`: what to pour for a blend, what it weighs, and how to check its strength."""

from __future__ import annotations

import argparse
from typing import Any

from rich.console import Console
from rich.table import Table

from planner.cli.options import numbers, option_fault
from planner.cli.output import complain, console, print_json
from planner.errors import BadInput, OutsideModel
from planner.files.cautions import BEFORE_MIXING, DEFER, hazard_class
from planner.physics.blend import COLDEST, HOTTEST
from planner.planning.recipe import Have, Recipe, recipe, recipe_json, rounded_by_mass, rounded_by_volume
from planner.planning.strength import Strength, strength_from_density, strength_json
from planner.planning.weather import Weather, weather_json

HELP = "mixing recipe by volume and by mass, strength check, freezing and flash points"
CONVENTION = "Strength is methanol's share by volume of the parts before mixing, at 20 degC"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    add = parser.add_argument
    add("--alcohol-share", required=True, metavar="SHARE", help=f"0 to 1. {CONVENTION}")
    add("--volume", required=True, metavar="VOLUME", help='finished blend, such as "20 L"')
    add("--temperature", default="20 degC", help='of liquids and scale room, such as "20 degC" (the default)')
    add("--have", metavar="VOLUME", help='blend at hand to use up first, such as "6 L"')
    add("--have-share", metavar="SHARE", help="the strength of the blend at hand")
    add("--premix-share", metavar="SHARE", help="mix from a bought premix of this strength instead of methanol")
    add("--round", metavar="VOLUME", help='round each pour to what can be measured, such as "50 mL"')
    add("--round-scale", metavar="MASS", help='round each pour to what the scale shows, such as "10 g"')
    add("--density", metavar="DENSITY", help='measured at the temperature, such as "927 kg/m3": how strong is it?')
    add("--density-error", metavar="DENSITY", default="1 kg/m3", help="of the hydrometer (default 1 kg/m3)")
    add("--night-low", metavar="TEMPERATURE", help='the night before, such as "2 degC"')
    add("--day-high", metavar="TEMPERATURE", help='the day of the event, such as "31 degC"')
    add("--boot", metavar="TEMPERATURE", help='the hot boot or trailer, such as "45 degC"')
    add("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Print the recipe."""
    given = _read(args)
    made = made_from(given)
    data = {**recipe_json(made), **_checks(made, given)}
    if args.json:
        print_json(data)
    else:
        show(data, console())
    return 0


def _read(args: argparse.Namespace) -> dict[str, Any]:
    given = numbers(
        args,
        {
            "volume": "volume",
            "temperature": "temperature",
            "have": "volume",
            "round": "volume",
            "round_scale": "mass",
            "density": "density",
            "density_error": "density",
            "night_low": "temperature",
            "day_high": "temperature",
            "boot": "temperature",
        },
        ("alcohol_share", "have_share", "premix_share"),
    )
    _refuse_misfits(args, given)
    return given


def _refuse_misfits(args: argparse.Namespace, given: dict[str, Any]) -> None:
    """Options that are sound alone but not together, or not above zero."""
    faults = []
    if (given["have"] is None) != (given["have_share"] is None):
        missing = "have_share" if given["have_share"] is None else "have"
        faults.append(option_fault(missing, None, "missing; --have and --have-share come together"))
    if given["round"] is not None and given["round_scale"] is not None:
        faults.append(option_fault("round_scale", args.round_scale, "give one of --round and --round-scale"))
    for name in ("volume", "round", "round_scale"):
        if given[name] is not None and given[name] <= 0:
            faults.append(option_fault(name, getattr(args, name), "give an amount above zero"))
    for name in ("temperature", "boot"):
        if given[name] is not None and not COLDEST <= given[name] <= HOTTEST:
            remedy = f"the blend model holds from {COLDEST:g} to {HOTTEST:g} degC; give one within it"
            faults.append(option_fault(name, getattr(args, name), remedy))
    for name in ("have", "density_error"):
        if given[name] is not None and given[name] < 0:
            faults.append(option_fault(name, getattr(args, name), "give zero or more"))
    if faults:
        raise BadInput(faults)


def made_from(given: dict[str, Any]) -> Recipe:
    """The recipe that the options ask for, rounded if they say so."""
    have = None if given["have"] is None else Have(given["have"], given["have_share"])
    made = recipe(
        given["volume"],
        given["alcohol_share"],
        given["temperature"],
        have=have,
        premix_share=given["premix_share"],
    )
    if given["round"] is not None:
        return rounded_by_volume(made, given["round"])
    return made if given["round_scale"] is None else rounded_by_mass(made, given["round_scale"])


def _checks(made: Recipe, given: dict[str, Any]) -> dict[str, Any]:
    """Strength by the measured density, weather, hazard class, as far as they are asked for."""
    share = made.parts.alcohol_share
    hazard = hazard_class(share)
    found: dict[str, Any] = {"signal_word": hazard.signal, "hazard_codes": [code for code, _ in hazard.hazards]}
    found["hazard_note"] = hazard.note
    found["weather"] = weather_json(share, Weather(given["night_low"], given["day_high"], given["boot"]))
    if given["density"] is not None:
        found["measured"] = {"density_kg_m3": given["density"], **strength_json(_measured(given))}
    found["cautions"] = [caution.as_dict() for caution in BEFORE_MIXING]
    return found


def _measured(given: dict[str, Any]) -> Strength:
    try:
        return strength_from_density(given["density"], given["temperature"], density_error=given["density_error"])
    except OutsideModel as reason:
        raise BadInput([option_fault("density", f"{given['density']:g} kg/m3", str(reason))]) from reason


def show(data: dict[str, Any], out: Console) -> None:
    """Print a recipe in 80 columns: what to pour, what comes out, how to check it, what to mind."""
    t = data["temperature_degC"]
    out.print(f"{data['blend_L']:.2f} L of blend, {data['alcohol_share']:.1%} methanol: {_poured(data)}", style="bold")
    out.print(f"{CONVENTION}; volumes here at {t:g} degC.\n")
    out.print(_pour_table(data))
    out.print()
    if abs(data["alcohol_share"] - data["wanted_alcohol_share"]) > 5e-5:
        out.print(f"Rounded: {data['alcohol_share']:.2%} comes out, {data['wanted_alcohol_share']:.1%} was wanted.")
    if data["have_left_L"] > 5e-4:
        out.print(f"Left over of the blend at hand: {data['have_left_L']:.2f} L.")
    _show_properties(data, out)
    _show_measured(data, out)
    for warning in data["weather"]["warnings"]:
        out.print(f"{warning['level'].upper()}: {warning['text']}")
    for caution in BEFORE_MIXING:
        complain(f"{caution.level.upper()}: {caution.text}")
    complain(DEFER)


def _poured(data: dict[str, Any]) -> str:
    return ", ".join(f"{pour['volume_L']:.2f} L {pour['liquid']}" for pour in data["pours"])


def _pour_table(data: dict[str, Any]) -> Table:
    table = Table(box=None, pad_edge=False)
    table.add_column("pour")
    for heading in ("strength", "L", "kg", "scale shows, kg"):
        table.add_column(heading, justify="right")
    total = 0.0
    for pour in data["pours"]:
        total += pour["mass_kg"]
        share = f"{pour['alcohol_share']:.0%}"
        table.add_row(pour["liquid"], share, f"{pour['volume_L']:.3f}", f"{pour['mass_kg']:.3f}", f"{total:.3f}")
    shrink = f"{data['shrink_L']:.3f} L shrinks away"
    table.add_row("blend", f"{data['alcohol_share']:.1%}", f"{data['blend_L']:.3f}", f"{data['mass_kg']:.3f}", shrink)
    return table


def _show_properties(data: dict[str, Any], out: Console) -> None:
    finished, mass = data["share_of_finished_volume"], data["mass_fraction"]
    out.print(f"Counted otherwise: {finished:.1%} of the finished volume, {mass:.1%} by mass.")
    out.print(
        f"Hydrometer: {data['density_kg_m3']:.1f} kg/m3 at {data['temperature_degC']:g} degC "
        f"({data['density_20degC_kg_m3']:.1f} at 20); 1 kg/m3 is {100 * data['strength_per_kg_m3']:.2f} % of strength."
    )
    flash = "none below boiling" if data["flash_degC"] is None else f"about {data['flash_degC']:.0f} degC, to 9 K"
    out.print(f"First ice at {data['freezing_degC']:.0f} degC; flash point {flash}: never take a blend for safe.")
    if data["signal_word"]:
        out.print(f"Class: {data['signal_word']}, {' '.join(data['hazard_codes'])}. {data['hazard_note']}".rstrip())


def _show_measured(data: dict[str, Any], out: Console) -> None:
    measured = data.get("measured")
    if not measured:
        return
    out.print(
        f"Measured {measured['density_kg_m3']:.1f} kg/m3: {measured['alcohol_share']:.1%} methanol, "
        f"give or take {measured['error']:.1%}; a thermometer 1 K off is {measured['per_kelvin']:.2%}."
    )
    for notice in measured["notices"]:
        out.print(f"NOTICE: {notice}")
