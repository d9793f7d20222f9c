"""Jug labels: strength, date, hazards by the blend's class, first aid, a blank for the name; on common label sheets.

The sheets' measures are common practice, from memory; print one on plain paper first and hold it against the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from planner.errors import BadInput, Fault
from planner.files.cautions import first_aid_line, hazard_class
from planner.files.paper import PAPERS, Paper, document
from planner.physics.blend import freezing_point


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A sheet of labels [mm]: paper, columns and rows, a label's width and height, first corner, pitch of both."""

    name: str
    paper: Paper
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    column_pitch: float
    row_pitch: float

    @property
    def count(self) -> int:
        """Labels on a sheet."""
        return self.columns * self.rows

    def corners(self) -> list[tuple[float, float]]:
        """Upper left corners [mm] of the labels, row by row."""
        across = [self.left + column * self.column_pitch for column in range(self.columns)]
        down = [self.top + row * self.row_pitch for row in range(self.rows)]
        return [(x, y) for y in down for x in across]


@dataclass(frozen=True, slots=True)
class JugLabel:
    """What a label says: the alcohol share [1], the jug's size [m3] or None, and the date as text, or empty."""

    alcohol_share: float
    size: float | None = None
    mixed: str = ""


_A4, _LETTER = PAPERS["a4"], PAPERS["letter"]
SHEETS = {
    sheet.name: sheet
    for sheet in (
        LabelSheet("a4-2", _A4, 1, 2, 199.6, 143.5, 5.2, 5.0, 199.6, 143.5),
        LabelSheet("a4-4", _A4, 2, 2, 99.1, 139.0, 4.65, 9.5, 101.6, 139.0),
        LabelSheet("a4-8", _A4, 2, 4, 99.1, 67.7, 4.65, 13.1, 101.6, 67.7),
        LabelSheet("letter-2", _LETTER, 1, 2, 215.9, 139.7, 0.0, 0.0, 215.9, 139.7),
        LabelSheet("letter-6", _LETTER, 2, 3, 101.6, 84.67, 3.97, 12.7, 106.36, 84.67),
        LabelSheet("letter-10", _LETTER, 2, 5, 101.6, 50.8, 3.97, 12.7, 106.36, 50.8),
    )
}

SHEETS_FROM_MEMORY = (
    "The label sheets' measures are from memory: print one page on plain paper at 100 % and hold it against your sheet."
)

_STYLE = """
@page { margin: 0; }
@media print { .before-print { display: none; } }
@media screen { .before-print { padding: 8mm 8mm 4mm; } }
body { padding: 0 !important; }
.labels { position: relative; break-after: page; overflow: hidden; max-width: none !important; margin: 0 !important; }
.labels:last-child { break-after: auto; }
.label { position: absolute; overflow: hidden; padding: 1.2em 1.3em; line-height: 1.16; }
@media screen { .label { outline: 1px dashed #999; } }
"""
LABEL_STYLE = """
.label .what { font-size: 2.15em; font-weight: bold; line-height: 1; margin: 0 0 0.2em; }
.label .signal { font-size: 1.6em; font-weight: bold; letter-spacing: 0.06em; border: 0.14em solid #000;
  padding: 0 0.35em; display: inline-block; line-height: 1.15; }
.label p { margin: 0 0 0.3em; }
.label .row { display: flex; gap: 1em; align-items: center; margin-bottom: 0.35em; }
.label .blanks { display: flex; gap: 1em; margin: 0.7em 0 0; }
.label .blanks span { flex: 1; white-space: nowrap; border-bottom: 0.1em solid #000; min-height: 1.5em; }
.label .blanks .date { flex: 1.5; }
"""


def label_sheet(name: str) -> LabelSheet:
    """The sheet of a name. Raises BadInput for another one."""
    if name not in SHEETS:
        raise BadInput([Fault("", "--label-sheet", name, f"no such label sheet; take one of {', '.join(SHEETS)}")])
    return SHEETS[name]


def labels_page(labels: list[JugLabel], sheet: LabelSheet) -> str:
    """Labels as self-contained HTML, laid on as many sheets as they need."""
    pages = [labels[first : first + sheet.count] for first in range(0, len(labels), sheet.count)]
    body = _on_screen(labels) + "".join(_sheet(page, sheet) for page in pages)
    return document("Jug labels", body, sheet.paper, style=LABEL_STYLE + _STYLE)


def _on_screen(labels: list[JugLabel]) -> str:
    """What to know before printing; it stays off the paper."""
    notes = dict.fromkeys([SHEETS_FROM_MEMORY, *(hazard_class(one.alcohol_share).note for one in labels)])
    return f'<div class="before-print">{"".join(f"<p>{escape(note)}</p>" for note in notes if note)}</div>'


def _sheet(labels: list[JugLabel], sheet: LabelSheet) -> str:
    size = f"width:{sheet.paper.width:g}mm;height:{sheet.paper.height - 0.2:g}mm"
    placed = "".join(
        f'<div class="label" style="left:{x:g}mm;top:{y:g}mm;width:{sheet.width:g}mm;height:{sheet.height:g}mm;'
        f'font-size:{letter_size(sheet.width, sheet.height):.2f}mm">{label_text(label)}</div>'
        for label, (x, y) in zip(labels, sheet.corners(), strict=False)
    )
    return f'<section class="labels" style="{size}">{placed}</section>'


def letter_size(width: float, height: float) -> float:
    """Size of the letters [mm] that fills a label of width and height [mm]."""
    return min(width / 30.0, height / 20.0, (width * height / 640.0) ** 0.5)


def label_text(label: JugLabel) -> str:
    """The label's words as HTML; sizes in em."""
    share, hazard = label.alcohol_share, hazard_class(label.alcohol_share)
    codes = " · ".join(f"<b>{code}</b> {escape(words)}" for code, words in hazard.hazards)
    signal = f'<span class="signal">{hazard.signal.upper()}</span>' if hazard.signal else ""
    first_aid = f"<p><b>First aid:</b> {escape(first_aid_line())}</p>" if hazard.signal else ""
    return (
        f'<p class="what">{escape(what_is_in(share))}</p>'
        f'<div class="row">{signal}<b>NOT A DRINK</b></div>'
        f"<p>{codes}</p>{first_aid}<p>{escape(_keeping(label))}</p>"
        f'<div class="blanks"><span class="date">Mixed: {escape(label.mixed)}</span>'
        "<span>By:</span><span>Phone:</span></div>"
    )


def what_is_in(share: float) -> str:
    """The fluid's name with its strength."""
    if share <= 0:
        return "Water, distilled"
    return "Methanol, pure" if share >= 1 else f"Methanol {100 * share:.3g} % in water"


def _keeping(label: JugLabel) -> str:
    """How strong it is counted, how far to fill, and how to keep it."""
    share, size = label.alcohol_share, label.size
    counted = "Share by volume before mixing. " if 0 < share < 1 else ""
    full = f"Fill to {0.95 * size * 1e3:.3g} L of {size * 1e3:.3g} L. " if size else "Fill to 95 %. "
    if share <= 0:
        return f"{full}For the injection tank."
    freezing = f"{float(freezing_point(share)):.0f}\u00a0°C"
    return (
        f"{counted}{full}Freezes below {freezing}. Shut, upright, out of cabin and sun; "
        "no flame or spark near. By day the flame can hardly be seen."
    )
