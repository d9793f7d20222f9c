"""Which tank to buy, as plain data: the answer, what each tank buys, the table, the picture, and how sure it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from dashboard.presenters.display import THIN, Display, minutes, share
from dashboard.presenters.table import Column, Row, TableData
from dashboard.presenters.whence import Part, Whence
from planner.compare_tanks.words import answer_sentence, listed, smallest_sentence, sure_sentence, trade_sentence

PLANNED = "Each day planned with this tank as the page Day plans it, with the same simulated days."
WORTH = (
    "Of the tanks that no other beats in days driven, stops and mass carried: the one with the fewest stops, the "
    "lightest, and between them the one that saves most for its mass."
)


@dataclass(frozen=True, slots=True)
class Dot:
    """A tank in the picture: mass carried in the unit shown, stops, its look ("worth", "open", "worse", "broken")."""

    mass: float
    stops: int
    name: str
    look: str
    text: str


@dataclass(frozen=True, slots=True)
class ChoicePicture:
    """Stops against mass carried; `unit` of the mass."""

    dots: tuple[Dot, ...]
    unit: str


def size_text(litres: float, display: Display) -> str:
    """A tank's size as it is called by it, to three digits without trailing zeros."""
    return f"{display.number(litres, 'volume'):.3g}{THIN}{display.unit('volume')}"


def named(result: Mapping[str, Any], display: Display) -> dict[str, Any]:
    """The result with sizes named in the units shown."""
    names = {}
    for tank in result["tanks"]:
        size = size_text(tank["capacity_L"], display)
        names[tank["name"]] = f"today’s {size}" if tank["today"] else size if tank["scaled"] else tank["name"]

    def renamed(row: Mapping[str, Any], key: str = "name") -> dict[str, Any]:
        return {**row, key: names[row[key]]}

    sure = result["sureness"]
    return {
        **result,
        "base": names[result["base"]],
        "tanks": [renamed(tank) for tank in result["tanks"]],
        "worth": [renamed(row) for row in result["worth"]],
        "sureness": sure and {**sure, "flips": [renamed(flip, "tank") for flip in sure["flips"]]},
    }


def _tank_whence(tank: Mapping[str, Any], display: Display) -> Whence:
    inputs = (
        ("stops in all", str(tank["stops"])),
        ("mass carried, mean", display.mass(tank["mean_carried_kg"])),
        ("mass when full", display.mass(tank["full_mass_kg"])),
        ("running short, worst day", share(tank["short_chance"])),
        ("inside", " × ".join(display.length(tank[f"{side}_mm"]) for side in ("length", "width", "height"))),
    )
    return Whence(tank["name"], f"Tank of {display.volume(tank['capacity_L'])}", inputs, WORTH, PLANNED)


def _smallest_whence(text: str, what: str) -> Whence:
    formula = "Sizes of the car’s own shape, halved between one that fails and one that holds on every day."
    return Whence(text, f"Smallest tank {what}", (), formula, PLANNED)


def choice_answer(result: Mapping[str, Any], display: Display) -> list[Part]:
    """The answer in one or two sentences, each tank opening to its figures."""
    shown = named(result, display)
    opened = {tank["name"]: _tank_whence(tank, display) for tank in shown["tanks"] if tank["worth"]}
    smallest = smallest_sentence(shown, display)
    sentence = answer_sentence(shown, display).removesuffix(smallest)
    return [*_opened(sentence, opened), *_opened(smallest, _smallest(result, display))]


def _smallest(result: Mapping[str, Any], display: Display) -> dict[str, Whence]:
    keys = {"without_stops": "without a stop", "in_long_gaps": "with stops in long gaps only", "feasible": "of all"}
    sizes = {key: result[f"smallest_{key}_L"] for key in keys}
    texts = {display.volume(size): keys[key] for key, size in sizes.items() if size is not None}
    return {text: _smallest_whence(text, what) for text, what in texts.items()}


def _opened(sentence: str, known: Mapping[str, Whence]) -> list[Part]:
    """A sentence in parts, with every text that is known as a number that opens; the longest is looked for first."""
    parts: list[Part] = [sentence]
    for text in sorted(known, key=len, reverse=True):
        for place, part in enumerate(parts):
            if isinstance(part, str) and text in part:
                before, after = part.split(text, 1)
                parts[place : place + 1] = [before, known[text], after]
                break
    return [part for part in parts if part]


def trades(result: Mapping[str, Any], display: Display) -> list[tuple[str, str]]:
    """Each tank worth considering with what it buys and costs."""
    shown = named(result, display)
    return [(row["name"], trade_sentence(row, shown["base"], display)) for row in shown["worth"]]


def _look(tank: Mapping[str, Any]) -> str:
    if tank["worth"]:
        return "worth"
    if tank["impossible_days"] or tank["fits"] is False:
        return "broken"
    return "open" if tank["undominated"] else "worse"


def choice_picture(result: Mapping[str, Any], display: Display) -> ChoicePicture:
    """Every tank that drives a day, as a dot."""
    dots = []
    for tank in named(result, display)["tanks"]:
        if tank["mean_carried_kg"] is None:
            continue
        carried = display.mass(tank["mean_carried_kg"])
        text = f"{tank['name']}: {_stops(tank['stops'])}, {carried} carried{_but(tank)}"
        dots.append(
            Dot(display.number(tank["mean_carried_kg"], "mass"), tank["stops"], tank["name"], _look(tank), text)
        )
    return ChoicePicture(tuple(sorted(dots, key=lambda dot: dot.look == "worth")), display.unit("mass"))


def _stops(count: int) -> str:
    return f"{count} stop{'s' * (count != 1)}" if count else "no stop"


def _but(tank: Mapping[str, Any]) -> str:
    said = []
    if tank["impossible_days"]:
        said.append(f"{tank['impossible_days']} day{'s' * (tank['impossible_days'] > 1)} not driven")
    if tank["fits"] is False:
        said.append("does not fit")
    return f"; {listed(said)}" if said else ""


REMARKS = {"worth": "worth considering", "open": "", "worse": "worse in all that counts", "broken": ""}


def tanks_table(result: Mapping[str, Any], display: Display) -> TableData:
    """Every tank over all days together."""
    shown = named(result, display)
    columns = (
        Column("stops", about="In all, over the days that can be driven, at the best plan of each."),
        Column("days not driven", about="Days for which no plan exists with this tank."),
        Column("running short", about="The worst day’s chance that the level falls below a floor, at the best plan."),
        Column("full", about="Filled to the limit; with the empty tank where its mass is known."),
        Column("carried", about="Mean over the driving of all days, the empty tank included where it is known."),
        Column("time washing", about="Share of the sessions’ time in the band in which fluid washes hardest."),
        Column("highest floor", about="The level that must remain, on the day that asks for most."),
        Column("left over", about="Mean in the tank at the end of the day that leaves most."),
        Column("remark", figure=False),
    )
    return TableData(
        "Every tank over all days", "tank", columns, tuple(_tank_row(tank, display) for tank in shown["tanks"])
    )


def _tank_row(tank: Mapping[str, Any], display: Display) -> Row:
    look, days = _look(tank), tank["events"]
    remarks = [REMARKS[look], "does not fit" if tank["fits"] is False else "", "turned" if tank["turned"] else ""]
    cells = (
        str(tank["stops"]),
        str(tank["impossible_days"] or "–"),
        share(tank["short_chance"]),
        display.mass(tank["full_mass_kg"]),
        display.mass(tank["mean_carried_kg"]),
        share(tank["slosh_risk_share"]),
        display.volume(max(day["floor_L"] for day in days)),
        display.volume(max(day["left_L"] for day in days)),
        ", ".join(filter(None, remarks)),
    )
    return Row(tank["name"], cells, {"worth": "chosen", "broken": "broken"}.get(look, ""))


def days_table(result: Mapping[str, Any], display: Display) -> TableData:
    """The tanks worth considering, day by day."""
    columns = (
        Column("stops"),
        Column("running short", about="Chance that the level falls below a floor at some time of the day."),
        Column("least margin", about="Over the floor at the tightest session of a middling day."),
        Column("spare room", about="From the highest mark to the fill limit."),
        Column("floor", about="The highest floor of the day."),
        Column("left over", about="Mean in the tank at the day’s end."),
        Column("to bring"),
        Column(
            "gaps", figure=False, about="Whether the gaps suffice, and how much longer than its refill the tightest is."
        ),
    )
    rows: list[Row] = []
    for tank in named(result, display)["tanks"]:
        if tank["worth"]:
            rows.append(Row(tank["name"], ("",) * len(columns), "refill-row"))
            rows += [_day_row(day, display) for day in tank["events"]]
    return TableData("The tanks worth considering, day by day", "day", columns, tuple(rows))


def _day_row(day: Mapping[str, Any], display: Display) -> Row:
    cells = (
        str(day["stops"]) if day["feasible"] else "no plan",
        share(day["short_chance"]),
        display.volume(day["least_margin_L"]),
        display.volume(day["spare_L"]),
        display.volume(day["floor_L"]),
        display.volume(day["left_L"]),
        display.volume(day["bring_L"]),
        _gaps(day),
    )
    return Row(day["event"], cells, "" if day["feasible"] else "broken")


def _gaps(day: Mapping[str, Any]) -> str:
    if not day["feasible"]:
        return "too few or too short" if not day["gaps_suffice"] else "no gap would mend it"
    if day["spare_time_min"] is None:
        return "none needed"
    return f"suffice, by {minutes(day['spare_time_min'])}"


def sure_text(result: Mapping[str, Any], display: Display) -> str:
    """How sure the choice is, in a sentence or two."""
    return sure_sentence(named(result, display))


def flips_table(result: Mapping[str, Any], display: Display) -> TableData | None:
    """Every answer that may flip; None where none does."""
    sure = named(result, display)["sureness"]
    if not sure["flips"]:
        return None
    columns = (
        Column(f"stops at {sure['low']:.2f}", about="Were the car known to use this multiple of what its file says."),
        Column("as planned"),
        Column(f"stops at {sure['high']:.2f}"),
        Column("changes at", about="The multiple of the file’s use at which the answer changes."),
        Column("chance", about="That the car lies on the other side of it than the plan takes."),
        *(Column(f"{way['name']} settles", about=f"Error {share(way['error'])}.") for way in sure["measurements"]),
    )
    rows = [
        Row(
            f"{flip['tank']}, {flip['event']}",
            (
                *(_count(flip[key]) for key in ("stops_low", "stops_planned", "stops_high")),
                f"× {flip['factor']:.2f}",
                share(flip["chance"]),
                *(share(chance) for chance in flip["settled"]),
            ),
        )
        for flip in sure["flips"]
    ]
    return TableData("Answers that may flip", "tank and day", columns, tuple(rows))


def _count(stops: int | None) -> str:
    return "no plan" if stops is None else str(stops)


def notices_of(result: Mapping[str, Any]) -> Sequence[str]:
    """What must be told beside the answer."""
    return list(result["notices"])
