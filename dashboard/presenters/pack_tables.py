"""Tables of the page Pack: the recipe of each load, and the load against the carriage limits chosen."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from dashboard.presenters.display import THIN, Display, share
from dashboard.presenters.pack import Packed
from dashboard.presenters.table import Column, Row, TableData
from dashboard.presenters.whence import Whence
from planner.planning.carriage import ADVICE, PROFILES, carriage_json
from planner.planning.packing import Load
from planner.planning.recipe import Pour, Recipe, recipe
from planner.planning.stock import choose_containers, fill_containers

CONVENTION = (
    "Strength is methanol's share by volume of the two parts before mixing, at 20 °C. The mixture is smaller than its "
    "parts, so measure both before you pour them together."
)
BY_SCALE = "Put the water in, set the scale to zero, pour methanol up to its figure."
SOURCE = "Densities fitted to published tables (page Method)."
LIMIT_FIELDS = (
    ("package_volume", "One container, volume"),
    ("package_mass", "One container, mass"),
    ("vehicle_volume", "Each vehicle, volume"),
    ("vehicle_mass", "Each vehicle, mass"),
)


def mixed_loads(made: Packed) -> list[Load]:
    """The loads that have to be mixed of two parts."""
    loads = made.listed.loads if made.listed else ()
    return [load for load in loads if 0 < load.alcohol_share < 1 and load.parts.blend > 0]


def recipe_table(load: Load, display: Display) -> TableData:
    """What to pour for all of a load, and for each of its containers."""
    held = fill_containers(load.parts.blend, choose_containers(load.parts.blend, load.sizes))
    amounts = [("All together", load.parts.blend)] if len(held) != 1 else []
    amounts += [(f"Jug {number}, {_litres(one.size, display)}", one.fill) for number, one in enumerate(held, 1)]
    rows = tuple(_recipe_row(name, volume, load, display=display) for name, volume in amounts)
    columns = (
        Column("Blend"),
        Column("Methanol"),
        Column("Water"),
        Column("By scale: water"),
        Column("then methanol"),
    )
    caption = f"{share(load.alcohol_share)} blend, everything at {display.temperature(load.parts.temperature)}"
    return TableData(caption, "For", columns, rows)


def _litres(size: float, display: Display) -> str:
    text = display.text(size * 1e3, "volume", more=1)
    return text.replace(".00", "").replace(".50", ".5")


def _recipe_row(name: str, volume: float, load: Load, *, display: Display) -> Row:
    made = recipe(volume, load.alcohol_share, load.parts.temperature)
    water, methanol = made.poured("water"), made.poured("methanol")
    blend = display.text(volume * 1e3, "volume", more=1)
    return Row(name, (blend, *_volumes((methanol, water), made, display), *_masses((water, methanol), made, display)))


def _inputs(pour: Pour, made: Recipe, display: Display) -> tuple[tuple[str, str], ...]:
    return (
        ("Finished blend", display.text(made.parts.blend * 1e3, "volume", more=1)),
        ("Its mass", display.text(made.parts.mass, "mass", more=2)),
        (f"Share of {pour.liquid} by mass", share(pour.mass / made.parts.mass)),
        (f"Density of {pour.liquid}", f"{pour.mass / pour.volume:.1f}{THIN}kg/m³"),
        ("Everything at", display.temperature(made.temperature)),
    )


def _volumes(pours: Sequence[Pour], made: Recipe, display: Display) -> list[Whence]:
    formula = "Blend's mass × the part's share of it ÷ the part's density."
    return [
        Whence(display.text(pour.volume * 1e3, "volume", more=1), f"{pour.liquid.capitalize()} to pour, by volume",
               _inputs(pour, made, display), formula, SOURCE)
        for pour in pours
    ]  # fmt: skip


def _masses(pours: Sequence[Pour], made: Recipe, display: Display) -> list[Whence]:
    formula = "Blend's mass × the part's share of it; mass is conserved."
    return [
        Whence(display.text(pour.mass, "mass", more=1), f"{pour.liquid.capitalize()} to pour, by scale",
               _inputs(pour, made, display), formula, SOURCE)
        for pour in pours
    ]  # fmt: skip


def limits_table(made: Packed, display: Display) -> TableData:
    """The largest container and each vehicle's share of the load, against the limits chosen."""
    assert made.listed is not None
    packages, limits, vehicles = made.listed.packages, made.listed.limits, made.settings.vehicles
    figures = (
        (max((one.size for one in packages), default=0.0), limits.package_volume, "L"),
        (max((one.mass for one in packages), default=0.0), limits.package_mass, "kg"),
        (sum(one.volume for one in packages) / vehicles, limits.vehicle_volume, "L"),
        (sum(one.mass for one in packages) / vehicles, limits.vehicle_mass, "kg"),
    )
    rows = []
    for (_, name), (amount, limit, unit) in zip(LIMIT_FIELDS, figures, strict=True):
        over = limit is not None and amount > limit * (1 + 1e-9)
        show: Callable[[float], str] = _shown(unit, display)
        verdict = "over: see above" if over else "within" if limit is not None else "not checked"
        cells = (show(amount), "none" if limit is None else show(limit), verdict)
        rows.append(Row(name, cells, "broken" if over else ""))
    columns = (Column("This load"), Column("Limit"), Column("", figure=False))
    return TableData(f"Methanol and its blends, profile {limits.name}", "What", columns, tuple(rows))


def _shown(unit: str, display: Display) -> Callable[[float], str]:
    """Legal figures are in L and kg; other units stand in brackets."""

    def show(value: float) -> str:
        litres = value * 1e3 if unit == "L" else value
        text = f"{litres:.1f}".removesuffix(".0") + f" {unit}"
        if display.system == "metric":
            return text
        return f"{text} ({display.text(litres, 'volume' if unit == 'L' else 'mass')})"

    return show


def profile_figures(name: str) -> dict[str, str]:
    """A profile's own figures, as hints beside the fields that may be typed over."""
    data = carriage_json(PROFILES[name], ()) if name in PROFILES else {}
    units = {"package_volume": ("package_L", "L"), "package_mass": ("package_kg", "kg")}
    units |= {"vehicle_volume": ("vehicle_L", "L"), "vehicle_mass": ("vehicle_kg", "kg")}
    return {
        key: f"profile: {data[place]:g} {unit}" if data.get(place) is not None else "profile: no limit"
        for key, (place, unit) in units.items()
    }


def profile_words(made: Packed) -> list[str]:
    """Where the chosen limits come from, and that they are no advice."""
    assert made.listed is not None
    limits = made.listed.limits
    source = [f"Source: {limits.source}."] if limits.source else []
    return [*source, *([limits.remark] if limits.remark else []), ADVICE]
