"""Self-contained HTML for paper: sizes, one style in black and white, and small pieces that the sheets share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from html import escape
from typing import Any, Literal

from planner.errors import BadInput, Fault

PaperName = Literal["A4", "Letter"]


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet: its name in CSS, width and height [mm], and the margin [mm] kept on every side."""

    name: str
    width: float
    height: float
    margin: float = 12.0

    @property
    def inner_width(self) -> float:
        """Width between the margins [mm]."""
        return self.width - 2 * self.margin

    @property
    def inner_height(self) -> float:
        """Height between the margins [mm]."""
        return self.height - 2 * self.margin


PAPERS = {"a4": Paper("A4", 210.0, 297.0), "letter": Paper("Letter", 215.9, 279.4)}

_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

_STYLE = """
* { box-sizing: border-box; }
html, body { margin: 0; padding: 0; background: #fff; color: #000; }
body { font: 11pt/1.3 Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; }
body { font-variant-numeric: tabular-nums; }
h1 { font-size: 17pt; margin: 0 0 1mm; line-height: 1.15; }
h2 { font-size: 11.5pt; margin: 3.5mm 0 1mm; border-bottom: 0.4mm solid #000; }
p { margin: 0 0 1mm; }
table { border-collapse: collapse; width: 100%; }
td, th { text-align: left; vertical-align: middle; padding: 0 1.2mm; }
.small { font-size: 9pt; line-height: 1.24; }
.small p { margin: 0 0 0.7mm; }
.number { text-align: right; }
.page { break-after: page; overflow: hidden; }
.page:last-child { break-after: auto; }
@media screen { body { padding: 8mm; } .page { max-width: 190mm; margin: 0 auto 12mm; } }
"""


def paper_of(name: str) -> Paper:
    """The paper of a name, in any case. Raises BadInput for another one."""
    if name.lower() not in PAPERS:
        raise BadInput([Fault("", "--paper", name, "no such paper here; take a4 or letter")])
    return PAPERS[name.lower()]


def document(title: str, body: str, paper: Paper, *, style: str = "") -> str:
    """A whole HTML page that asks nothing of the network, for printing on `paper`."""
    page = f"@page {{ size: {paper.width:g}mm {paper.height:g}mm; margin: {paper.margin:g}mm; }}"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{page}{_STYLE}{style}</style></head>\n<body>{body}</body></html>\n"
    )


def clock(iso: str) -> str:
    """Hours and minutes of an ISO 8601 time."""
    return datetime.fromisoformat(iso).strftime("%H:%M")


def day_of(iso: str) -> str:
    """Weekday and date of an ISO 8601 time, such as Sat 16 May 2026; the same in every locale."""
    moment = datetime.fromisoformat(iso)
    return f"{_WEEKDAYS[moment.weekday()]} {moment.day} {_MONTHS[moment.month - 1]} {moment.year}"


def mark_text(fill: Mapping[str, Any]) -> str:
    """A fill's mark in L and mm, as it stands on every paper; the plan has rounded it to what a jug shows."""
    return f"{fill['mark_L']:.2f} L · {fill['mark_mm']:.0f} mm"
