"""The day on one sheet of paper, black and white, to be read at arm's length."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from typing import Any

from planner.car import Car
from planner.files.cautions import BEFORE_REFILLING, DEFER, EMERGENCY
from planner.files.paper import PAPERS, Paper, clock, day_of, document, mark_text
from planner.files.tank_drawing import tank_drawing
from planner.planning.recipe import recipe

SHEET_STYLE = """
.sheet { font-size: 10.5pt; }
.answer { font-size: 13pt; font-weight: bold; margin: 1mm 0 2mm; line-height: 1.2; }
.day { table-layout: fixed; }
.day td { height: var(--row); font-size: var(--letter); line-height: 1; }
.day small { font-size: var(--small); }
.day td { border-bottom: 0.2mm solid #000; white-space: nowrap; overflow: hidden; text-overflow: ellipsis; }
.day th { border-bottom: 0.5mm solid #000; font-size: 8.5pt; font-weight: normal; line-height: 1.05; }
.day th { padding-bottom: 0.7mm; vertical-align: bottom; }
.day .date td { font-weight: bold; border-bottom: 0.5mm solid #000; }
.day .fill td { border: 0.5mm solid #000; border-width: 0.5mm 0; }
.day .fill .mark { background: #000; color: #fff; text-align: center; }
.day .fill .mark { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
.two { display: grid; grid-template-columns: 1fr 1fr; column-gap: 6mm; }
.small.three .lines p { display: flex; margin: 0 0 2.6mm; gap: 2mm; }
.lines span { flex: 1; border-bottom: 0.3mm solid #000; }
.three { display: grid; grid-template-columns: 0.8fr 1fr 1fr; column-gap: 5mm; }
.tank { margin-top: 1.5mm; }
"""
ROWS_WITH_DRAWING = 14
_LINES = ("Emergency number", "Poison centre", "Where we are", "Nearest hospital")


@dataclass(frozen=True, slots=True)
class Row:
    """One session of the sheet: texts, ready to print; `fill` and `begin` are empty without a refill before it."""

    number: int
    date: str
    start: str
    name: str
    runs: str
    begin: str
    fill: str
    dip_after: str
    floor: str


def sheet_rows(plan: Mapping[str, Any], car: Car) -> tuple[Row, ...]:
    """The sessions of a plan with marks in L and mm, when to begin each fill, and what the dip should read after."""
    fills = {fill["before_session"]: fill for fill in plan["refills"]}
    return tuple(_row(number, row, fills.get(number), plan=plan, car=car) for number, row in numbered(plan))


def numbered(plan: Mapping[str, Any]) -> list[tuple[int, Mapping[str, Any]]]:
    """The sessions of a plan with their numbers, which count from 1."""
    return [(row.get("number", place), row) for place, row in enumerate(plan["sessions"], 1)]


def _row(
    number: int, row: Mapping[str, Any], fill: Mapping[str, Any] | None, *, plan: Mapping[str, Any], car: Car
) -> Row:
    driver = f" ({row['driver']})" if row.get("driver") else ""
    return Row(
        number=number,
        date=day_of(row["start"]),
        start=clock(row["start"]),
        name=f"{number}. {row['name']}{driver}",
        runs=f"{row['runs']:g}",
        begin=clock(fill["by"]) if fill else "",
        fill=mark_text(fill) if fill else "",
        dip_after=_dip(row["level_end_p50_L"], car),
        floor=_dip(row["floor_L"], car),
    )


def _dip(litres: float, car: Car) -> str:
    """A level in mm, and in L beside it."""
    volume = min(max(litres / 1e3, 0.0), car.tank.capacity)
    return f"{float(car.tank.shape.level_from_volume(volume)) * 1e3:.0f} mm · {litres:.1f} L"


def print_sheet(plan: Mapping[str, Any], car: Car, paper: Paper = PAPERS["a4"]) -> str:
    """One page of HTML for a day's plan (the dictionary of `plan --json`), up to 36 sessions."""
    return document(f"{plan['event']}, {plan['car']}", sheet_page(plan, car, paper), paper, style=SHEET_STYLE)


def sheet_page(plan: Mapping[str, Any], car: Car, paper: Paper = PAPERS["a4"]) -> str:
    """The sheet as a block of HTML, to stand among other pages."""
    rows = sheet_rows(plan, car)
    return (
        f'<section class="page sheet"><h1>{escape(plan["event"])}</h1>'
        f"<p>{escape(rows[0].date)} · {escape(plan['car'])} · {escape(plan.get('timezone', ''))} time</p>"
        f'<p class="answer">{escape(sheet_answer(plan))}</p>'
        f"{_table(rows, paper)}"
        f'<div class="two"><div>{_recipe(plan, car)}</div><div>{_before_refilling()}</div></div>'
        f"{_emergency()}</section>"
    )


def sheet_answer(plan: Mapping[str, Any]) -> str:
    """The day in one sentence."""
    first = numbered(plan)[0][0]
    fills = [f"{mark_text(fill)} before {fill['before_session']}" for fill in plan["refills"]]
    later = [str(fill["before_session"]) for fill in plan["refills"] if fill["before_session"] != first]
    start = f"Fill to {fills[0]}" if len(fills) > len(later) else "Start with what is in the tank"
    stops = f"refill before {_and(later)}" if later else "no refill after that"
    return f"{start}; {stops}. Chance of running short {plan['short_chance']:.1%}."


def _and(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def row_height(count: int, paper: Paper) -> float:
    """Height of the table's rows [mm] so that `count` of them leave room for what stands below."""
    below = 148.0 if count <= ROWS_WITH_DRAWING else 141.0
    return max(3.0, min(11.0, (paper.inner_height - below) / (count + 1)))


def _table(rows: tuple[Row, ...], paper: Paper) -> str:
    dates = len({row.date for row in rows})
    height = row_height(len(rows) + (dates if dates > 1 else 0), paper)
    widths = "".join(f'<col style="width:{width}%">' for width in (9, 24, 7, 10, 23, 14, 13))
    heads = ("start", "session", "runs", "begin filling", "FILL TO", "dip after, about", "never below")
    body, shown = "", ""
    for row in rows:
        if dates > 1 and row.date != shown:
            body += f'<tr class="date"><td colspan="7">{escape(row.date)}</td></tr>'
            shown = row.date
        body += _table_row(row)
    size = min(height * 0.58, 4.9)
    return (
        f'<table class="day" style="--row:{height:.2f}mm;--letter:{size:.2f}mm;--small:{min(size * 0.8, 2.9):.2f}mm">'
        f"<colgroup>{widths}</colgroup><thead><tr>"
        f"{''.join(f'<th>{head}</th>' for head in heads)}</tr></thead>{body}</table>"
    )


def _table_row(row: Row) -> str:
    return (
        f"<tr{' class=fill' if row.fill else ''}><td><b>{row.start}</b></td><td>{escape(row.name)}</td>"
        f'<td>{row.runs}</td><td class="mark">{row.begin}</td><td class="mark"><b>{row.fill}</b></td>'
        f"<td><small>{row.dip_after}</small></td><td><small>{row.floor}</small></td></tr>"
    )


def _recipe(plan: Mapping[str, Any], car: Car) -> str:
    bring, blend = plan["bring"], car.blend
    litre = recipe(1e-3, blend.alcohol_share, blend.temperature)
    methanol, water = litre.poured("methanol"), litre.poured("water")
    jugs = ", ".join(f"{one['size_L']:g} L jug with {one['fill_L']:.1f} L" for one in bring["containers"])
    small = len(plan["sessions"]) <= ROWS_WITH_DRAWING
    drawing = f'<div class="tank">{tank_drawing(plan, car, (80.0, 30.0))}</div>' if small else ""
    return (
        f"<h2>Blend: {bring['blend_L']:.1f} L, {blend.alcohol_share:.0%} methanol</h2>"
        f"<p><b>{bring['alcohol_L']:.2f} L methanol</b> ({bring['alcohol_kg']:.2f} kg)<br>"
        f"<b>{bring['water_L']:.2f} L water</b> ({bring['water_kg']:.2f} kg)</p>"
        f'<div class="small"><p>Each litre: {methanol.volume * 1e6:.0f} + {water.volume * 1e6:.0f} mL, or '
        f"{methanol.mass * 1e3:.0f} + {water.mass * 1e3:.0f} g. Share by volume before mixing; volumes at "
        f"{blend.temperature:g} °C. Hydrometer then: {litre.parts.mass / litre.parts.blend:.0f} kg/m³.</p>"
        f"<p>{escape(jugs)}</p></div>{drawing}"
    )


def _before_refilling() -> str:
    lines = "".join(f"<p><b>{one.level.upper()}</b> {escape(one.text)}</p>" for one in BEFORE_REFILLING)
    return f'<h2>Before you refill</h2><div class="small">{lines}<p>{escape(DEFER)}</p></div>'


def _emergency() -> str:
    blanks = "".join(f"<p>{line} <span></span></p>" for line in _LINES)
    cases = [f"<p><b>{case}</b> {escape(text)}</p>" for case, text in EMERGENCY]
    half = len(cases) // 2
    return (
        "<h2>Emergency: write these in before the day</h2>"
        f'<div class="small three"><div class="lines">{blanks}</div>'
        f"<div>{''.join(cases[:half])}</div><div>{''.join(cases[half:])}</div></div>"
    )
