"""Risk over fill level as plain data: what figures.tank_risk_levels draws, and the table behind it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from dashboard.presenters.display import Display, share
from dashboard.presenters.table import Column, Row, TableData
from dashboard.presenters.tank_risk import TankRisk

Level = Mapping[str, Any]
LEAST_SHOWN = 0.1  # [%] where the picture's axis begins


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of fill levels, from and to in the unit shown, and what holds there, in words."""

    start: float
    end: float
    word: str


@dataclass(frozen=True, slots=True)
class RiskLevels:
    """Per level, (m,): fill in the unit shown, shares of the flowing time bare [%], and texts; stretches below.

    floor: where starving begins; limit: how far the tank may be filled; capacity: all it holds.
    """

    fill: list[float]
    moving: list[float]
    still: list[float]
    texts: list[str]
    starving: list[Stretch]
    borderline: list[Stretch]
    washing: list[Stretch]
    resonance: list[Stretch]
    floor: float
    limit: float
    capacity: float
    unit: str


def _edges(rows: Sequence[Level], capacity: float) -> list[float]:
    """Levels [L] halfway between the rows', from the empty tank to the full one."""
    levels = [row["level_L"] for row in rows]
    return [0.0, *((a + b) / 2 for a, b in pairwise(levels)), capacity]


def _stretches(
    rows: Sequence[Level], edges: Sequence[float], word: Callable[[Level], str], display: Display
) -> list[Stretch]:
    """Runs of rows with the same word, those without one left out."""
    found: list[Stretch] = []
    for k, row in enumerate(rows):
        text = word(row)
        start, end = (display.number(edge, "volume") for edge in edges[k : k + 2])
        if found and found[-1].word == text and found[-1].end == start:
            found[-1] = Stretch(found[-1].start, end, text)
        elif text:
            found.append(Stretch(start, end, text))
    return found


def _percent(value: float) -> float:
    return max(100 * value, LEAST_SHOWN)


REMARKS = (("borderline", "borderline"), ("washing", "washes hardest"), ("resonant", "near resonance"))


def remarks(row: Level) -> list[str]:
    """What holds at a level besides its band of starving."""
    return [word for key, word in REMARKS if row[key]]


def level_words(row: Level) -> str:
    """What a level is, in words: its band of starving, and what else holds."""
    return ", ".join([f"starving {row['starving']} of the flowing time", *remarks(row)])


def _hover(row: Level, display: Display) -> str:
    return f"<b>{display.volume(row['level_L'])}</b>, {share(row['fill_share'])} full<br>{level_words(row)}"


def risk_levels(risk: TankRisk, display: Display) -> RiskLevels:
    """The picture's data."""
    rows, slosh = risk.rows, risk.slosh
    capacity = slosh["tank_capacity_L"]
    edges = _edges(rows, capacity)

    def shown(litres: float) -> float:
        return display.number(litres, "volume")

    def found(word: Callable[[Level], str]) -> list[Stretch]:
        return _stretches(rows, edges, word, display)

    low, high = (shown(litres) for litres in slosh["borderline_L"])
    band = [shown(litres) for litres in slosh["washing_band_L"]]
    return RiskLevels(
        fill=[shown(row["level_L"]) for row in rows],
        moving=[_percent(row["uncovered_of_flow_share"]) for row in rows],
        still=[_percent(row["still"]["uncovered_of_flow_share"]) for row in rows],
        texts=[_hover(row, display) for row in rows],
        starving=found(lambda row: row["starving"]),
        borderline=[Stretch(low, high, "borderline")] if high > low else [],
        washing=[Stretch(band[0], band[1], "washes hardest")],
        resonance=found(lambda row: "near resonance" if row["resonant"] else ""),
        floor=shown(slosh["unusable_slosh_L"]),
        limit=shown(slosh["fill_limit_L"]),
        capacity=shown(capacity),
        unit=display.unit("volume"),
    )


def _seconds(value: float) -> str:
    return f"{value:.1f} s" if value else "–"


_COLUMNS = (
    Column("Full"),
    Column(
        "Starving, of the flowing time",
        False,
        "By the surface that says more, still or moving. The model is no better than these bands.",
    ),
    Column("Longest bare with flow", about="Of the moving surface; a spell counts from 0.1 s."),
    Column("Spells", about="Starving spells of the moving surface over all recordings."),
    Column("Bridged", about="Spells that draw less than the hose holds, so that no air need reach the nozzle."),
    Column("Bare, still", about="Share of the recorded time, flowing or not, by the still surface."),
    Column("Bare, moving", about="Share of the recorded time, flowing or not, by the moving surface."),
    Column("Remarks", False),
)


def _cells(row: Level) -> tuple[str, ...]:
    return (
        share(row["fill_share"]),
        row["starving"],
        f"{row['longest_starving_s']:.1f} s",
        str(row["starving_spells"]),
        str(row["bridged_spells"]),
        share(row["still"]["uncovered_share"]),
        share(row["uncovered_share"]),
        ", ".join(remarks(row)),
    )


def levels_table(risk: TankRisk, display: Display) -> TableData:
    """Every second level: its band, longest spells, and what else holds there."""
    rows = [
        Row(display.volume(row["level_L"], more=1), _cells(row), "broken" if row["starving"] == "over 10 %" else "")
        for row in risk.rows[1::2]
    ]
    return TableData(f"Starving at each fill level on {risk.course.name}", "Level", _COLUMNS, tuple(rows))


def starving_sentence(row: Level, display: Display) -> str:
    """What starving is like at a level, in words."""
    level = display.volume(row["level_L"], more=1)
    if not row["starving_spells"] and not row["still"]["starving_spells"]:
        return f"At {level} the pickup stays covered while fluid flows."
    longest = max(row["longest_starving_s"], row["still"]["longest_starving_s"])
    words = (
        f"At {level} the pickup is bare, or short of its margin, for {row['starving']} of the time in which fluid "
        f"flows, at most {longest:.1f} s at once"
    )
    if 0 < row["starving_spells"] == row["bridged_spells"]:
        return f"{words}; each such spell draws less than the hose holds, which may hide it, and the plan counts it."
    return f"{words}."
