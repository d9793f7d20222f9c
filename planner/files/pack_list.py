"""The list for the trailer on paper and as CSV, and all papers of a weekend in one file."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import date
from html import escape
from itertools import groupby
from typing import Any

from planner.files.cautions import BEFORE_MIXING, DEFER
from planner.files.dipstick import DIPSTICK_STYLE, Unit, dipstick_sections
from planner.files.label import LABEL_STYLE, JugLabel, label_text
from planner.files.paper import PAPERS, Paper, document
from planner.files.print_sheet import SHEET_STYLE, sheet_page
from planner.planning.packing import Load, Outing, PackList, pack_json
from planner.planning.recipe import recipe
from planner.planning.stock import choose_containers, fill_containers
from planner.planning.warning import Warning

_STYLE = """
.list td { border-bottom: 0.2mm solid #000; padding: 0.45mm 1.2mm; vertical-align: top; }
.list .box { width: 7mm; }
.list .box span { display: inline-block; width: 4.4mm; height: 4.4mm; border: 0.4mm solid #000; line-height: 4mm;
  text-align: center; font-weight: bold; }
.list .detail { font-size: 9pt; }
.list .number { white-space: nowrap; width: 22mm; }
.list tr { break-inside: avoid; }
.recipe td, .recipe th { border-bottom: 0.2mm solid #000; padding: 0.8mm 1.2mm; }
.jug { border: 0.6mm solid #000; font-size: 4.4mm; width: 150mm; padding: 1em 1.2em; margin: 0 0 6mm; line-height: 1.16;
  break-inside: avoid; }
"""


def pack_csv(packed: PackList, ticked: frozenset[str] = frozenset()) -> str:
    """The list as CSV (RFC 4180) with a heading, for a spreadsheet."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(["group", "item", "detail", "volume_L", "mass_kg", "packed"])
    for item in pack_json(packed, ticked)["items"]:
        numbers = ["" if item[key] is None else f"{item[key]:.3f}" for key in ("volume_L", "mass_kg")]
        writer.writerow([item["group"], item["text"], item["detail"], *numbers, "yes" if item["ticked"] else "no"])
    return out.getvalue()


def pack_page(packed: PackList, ticked: frozenset[str] = frozenset(), weather: Sequence[Warning] = ()) -> str:
    """The list with boxes to tick, the recipe and the cautions before mixing, as a block of HTML."""
    data = pack_json(packed, ticked)
    groups = "".join(
        _group(name, list(items)) for name, items in groupby(data["items"], key=lambda item: item["group"])
    )
    warnings = "".join(_warning(one.as_dict()) for one in (*packed.warnings, *weather))
    return (
        '<section class="page"><h1>For the trailer</h1>'
        f"<p>{escape('; '.join(name for load in packed.loads for name in load.outings))}. "
        f"Fluids {data['fluid_mass_kg']:.1f} kg. {data['not_counted']}</p>{warnings}{groups}</section>"
        f'<section class="page"><h1>How to mix</h1>{"".join(_recipe(load) for load in packed.loads)}{_cautions()}'
        f"<h2>Carriage: {escape(data['carriage']['profile'])}</h2>"
        f'<p class="small">{escape(_carriage(data))}</p></section>'
    )


def _group(name: str, items: Sequence[Mapping[str, Any]]) -> str:
    return f'<h2>{escape(name)}</h2><table class="list">{"".join(_line(item) for item in items)}</table>'


def _line(item: Mapping[str, Any]) -> str:
    mass = "" if item["mass_kg"] is None else f"{item['mass_kg']:.2f} kg"
    return (
        f'<tr><td class="box"><span>{"✓" if item["ticked"] else ""}</span></td><td><b>{escape(item["text"])}</b> '
        f'<span class="detail">{escape(item["detail"])}</span></td><td class="number">{mass}</td></tr>'
    )


def _warning(warning: Mapping[str, str]) -> str:
    return f"<p><b>{warning['level'].upper()}</b> {escape(warning['text'])}</p>"


def _carriage(data: Mapping[str, Any]) -> str:
    carriage = data["carriage"]
    return f"{carriage['source']}. {carriage['remark']} {carriage['advice']}".lstrip(". ")


def _recipe(load: Load) -> str:
    """One blend's recipe: for all of it, and for each container."""
    if not 0 < load.alcohol_share < 1 or load.parts.blend <= 0:
        return ""
    volumes = [one.fill for one in fill_containers(load.parts.blend, choose_containers(load.parts.blend, load.sizes))]
    rows = [("all", load.parts.blend)] + [(f"container {k}", volume) for k, volume in enumerate(volumes, 1)]
    body = "".join(_recipe_row(name, volume, load) for name, volume in rows)
    t, rho = load.parts.temperature, load.parts.mass / load.parts.blend
    return (
        f"<h2>{100 * load.alcohol_share:.3g} % methanol, at {t:g} °C</h2>"
        '<table class="recipe"><thead><tr><th></th><th class="number">blend</th><th class="number">methanol</th>'
        f'<th class="number">water</th><th class="number">or by scale</th></tr></thead>{body}</table>'
        f'<p class="small">Share by volume of the parts before mixing, at 20 °C; the mixture shrinks. By scale: put '
        f"the water in, set to zero, pour methanol. Hydrometer then: {rho:.0f} kg/m³ at {t:g} °C.</p>"
    )


def _recipe_row(name: str, volume: float, load: Load) -> str:
    made = recipe(volume, load.alcohol_share, load.parts.temperature)
    methanol, water = made.poured("methanol"), made.poured("water")
    cells = (
        f"{volume * 1e3:.2f} L",
        f"{methanol.volume * 1e3:.2f} L",
        f"{water.volume * 1e3:.2f} L",
        f"{methanol.mass:.2f} + {water.mass:.2f} kg",
    )
    return f"<tr><td>{name}</td>{''.join(f'<td class=number>{cell}</td>' for cell in cells)}</tr>"


def _cautions() -> str:
    lines = "".join(_warning(one.as_dict()) for one in BEFORE_MIXING)
    return f'<h2>Before you mix</h2><div class="small">{lines}<p>{escape(DEFER)}</p></div>'


def jug_labels(packed: PackList, mixed: date | None = None) -> list[JugLabel]:
    """A label for each container that is loaded, with the date it was mixed, if known."""
    day = mixed.isoformat() if mixed else ""
    labels = []
    for load in packed.loads:
        for share, volume in _contents(load, packed.mixed_there):
            sizes = choose_containers(volume, load.sizes)
            labels += [JugLabel(share, size, day if 0 < share < 1 else "") for size in sizes or (None,)]
    return labels


def _contents(load: Load, mixed_there: bool) -> list[tuple[float, float]]:
    if mixed_there and 0 < load.alcohol_share < 1:
        return [(1.0, load.parts.alcohol), (0.0, load.parts.water)]
    return [(load.alcohol_share, load.parts.blend)]


def dipsticks_page(outings: Sequence[Outing], paper: Paper = PAPERS["a4"], *, unit: Unit = "L") -> str:
    """The dipstick strip of each outing's tank as one self-contained HTML file, graduated in L or US gallons."""
    strips = "".join(dipstick_sections(outing.plan, outing.car, unit) for outing in outings)
    return document("Dipsticks", strips, paper, style=DIPSTICK_STYLE)


def sheets_page(outings: Sequence[Outing], paper: Paper = PAPERS["a4"]) -> str:
    """The sheet of each outing's day as one self-contained HTML file, a page for each."""
    sheets = "".join(sheet_page(outing.plan, outing.car, paper) for outing in outings)
    return document(", ".join(dict.fromkeys(outing.event.name for outing in outings)), sheets, paper, style=SHEET_STYLE)


def all_papers(
    outings: Sequence[Outing],
    packed: PackList,
    ticked: frozenset[str] = frozenset(),
    *,
    paper: Paper = PAPERS["a4"],
    weather: Sequence[Warning] = (),
    mixed: date | None = None,
    unit: Unit = "L",
) -> str:
    """One self-contained HTML file: a sheet for each day, the list, the recipe, a label for each jug, each dipstick."""
    sheets = "".join(sheet_page(outing.plan, outing.car, paper) for outing in outings)
    sticks = "".join(dipstick_sections(outing.plan, outing.car, unit) for outing in outings)
    labels = "".join(f'<div class="label jug">{label_text(label)}</div>' for label in jug_labels(packed, mixed))
    body = f'{sheets}{pack_page(packed, ticked, weather)}<section class="page">{labels}</section>{sticks}'
    title = ", ".join(dict.fromkeys(outing.event.name for outing in outings))
    return document(title, body, paper, style=SHEET_STYLE + LABEL_STYLE + DIPSTICK_STYLE + _STYLE)
