"""Recordings written in any dialect, for reading them back."""

from __future__ import annotations

import csv
import gzip
import io
import zipfile
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from hypothesis import strategies as st

PRESSURES = {
    "kPa": 1e3, "bar": 1e5, "mbar": 1e2, "hPa": 1e2, "psi": 6894.757293168361, "inHg": 3386.388640341, "atm": 101325.0,
    "kg/cm2": 98066.5,
}  # fmt: skip
GAUGE_NAMES = (
    "Boost",
    "boost pressure",
    "Turbo boost",
    "Manifold gauge pressure",
    "Pression de suralimentation",
    "Presión de sobrealimentación",
    "BoostPressure",
)
ABSOLUTE_NAMES = (
    "MAP",
    "Manifold Absolute Pressure",
    "intake manifold absolute pressure",
    "Saugrohr absolutdruck",
    "Ladedruck absolut",
    "INTAKE_MANIFOLD_ABSOLUTE_PRESSURE",
)
OTHERS = (
    "Engine RPM [rpm]",
    "Oil pressure [bar]",
    "Throttle [%]",
    "Coolant temperature [°C]",
    "AFR",
    "Target boost [kPa]",
    "Fuel pressure (psi)",
)
CLOCKS = ("s", "ms", "of day", "iso", "epoch s", "epoch ms", "german", "min:s")
TIME_NAMES = ("Time", "time", "Zeit", "Elapsed time", "timestamp", "Temps", "tiempo")
UNIT_STYLES = ("[]", "()", "/", "_", "line", "cells", "line in brackets")
AMBIENT = 98e3


@dataclass(frozen=True)
class Style:
    """A way to write a recording."""

    separator: str = ","
    decimal: str = "."
    encoding: str = "utf-8"
    newline: str = "\n"
    clock: str = "s"
    time_name: str = "Time"
    unit: str = "kPa"
    absolute: bool = False
    boost_name: str = "Boost"
    unit_style: str = "[]"
    quoted: bool = False
    trailing: bool = False
    title: tuple[str, ...] = ()
    comment_header: bool = False
    empty_lines: int = 0
    packed: str = ""
    others: tuple[str, ...] = ()
    time_place: int = 0
    between: str = ""
    units_first: bool = False
    tail: str = ""


@st.composite
def styles(draw: st.DrawFn) -> Style:
    """Any style in which the table stays unambiguous."""
    pick = lambda *options: draw(st.sampled_from(options))  # noqa: E731
    separator = pick(",", ";", "\t", "|", " ")
    decimal = pick(".", ",")
    absolute = draw(st.booleans())
    style = Style(
        separator=separator,
        decimal=decimal,
        encoding=pick("utf-8", "utf-8-sig", "latin-1", "utf-16", "utf-16-be", "utf-16-le"),
        newline=pick("\n", "\r\n", "\r"),
        clock=pick(*CLOCKS),
        time_name=pick(*TIME_NAMES),
        unit=pick(*PRESSURES),
        absolute=absolute,
        boost_name=pick(*(ABSOLUTE_NAMES if absolute else GAUGE_NAMES)),
        unit_style=pick(*UNIT_STYLES),
        quoted=draw(st.booleans()) or (separator == "," and decimal == ","),
        trailing=draw(st.booleans()),
        title=pick((), ("Session of the Gherkin club",), ("# made by hand", "", "# second line"), ("Car;Pickle", "")),
        comment_header=draw(st.booleans()),
        empty_lines=draw(st.integers(0, 2)),
        packed=pick("", "", "gz", "zip"),
        others=tuple(draw(st.lists(st.sampled_from(OTHERS), unique=True, max_size=5))),
        time_place=draw(st.integers(0, 2)),
        between=pick("", "", "# the data begin here", "---", "# one, two; three"),
        units_first=draw(st.booleans()),
        tail=pick("", "", separator * 2, separator, "End of log", "\0" * 8),
    )
    return _unambiguous(style)


def _unambiguous(style: Style) -> Style:
    """Blanks as separators need names, times and cells without blanks; units in the header then stand after "_"."""
    if style.separator != " ":
        return style
    clock = style.clock if style.clock != "german" else "s"
    kept = tuple(name for name in style.others if " " not in name)
    unit_style = style.unit_style if style.unit_style in ("_", "line") else "_"
    plain = {"quoted": False, "trailing": False, "others": kept, "clock": clock, "unit_style": unit_style, "tail": ""}
    names = {"time_name": "Time", "boost_name": style.boost_name.replace(" ", "_")}
    return replace(style, title=(), **plain, **names)


@dataclass(frozen=True)
class Run:
    """time (n,) [s], boost (n,) [Pa gauge]."""

    time: np.ndarray = field(repr=False)
    boost: np.ndarray = field(repr=False)


@st.composite
def drives(draw: st.DrawFn, most_rows: int = 200, *, even: bool = False) -> Run:
    """A drive with vacuum and boost, smooth as a manifold is, at steps of whole milliseconds, some of them uneven."""
    rows = draw(st.integers(20, most_rows))
    seed = draw(st.integers(0, 2**32 - 1))
    generator = np.random.default_rng(seed)
    step = draw(st.sampled_from((10, 20, 50, 100, 250, 1000)))
    uneven = (
        generator.integers(0, max(step // 4, 1) + 1, rows)
        if not even and draw(st.booleans())
        else np.zeros(rows, dtype=int)
    )
    time = np.cumsum(np.full(rows, step) + uneven) / 1e3
    time = time - time[0]
    rates = 2 * np.pi * generator.uniform(0.05, 0.4, 3)
    swings = generator.uniform(0.3, 1, 3)[:, None] * np.sin(np.outer(rates, time) + generator.uniform(0, 6, 3)[:, None])
    shape = swings.sum(axis=0)
    shape = (shape - shape.min()) / np.ptp(shape)
    return Run(time, -50e3 + draw(st.floats(120e3, 200e3)) * shape)


def _clock_cells(time: np.ndarray, clock: str) -> list[str]:
    start = datetime(2026, 5, 16, 23, 59, 58, tzinfo=UTC)
    moments = [start + timedelta(milliseconds=round(1e3 * t)) for t in time]
    written = {
        "s": lambda t, m: f"{t:.3f}",
        "ms": lambda t, m: f"{1e3 * t:.0f}",
        "of day": lambda t, m: m.strftime("%H:%M:%S.") + f"{m.microsecond // 1000:03d}",
        "iso": lambda t, m: m.strftime("%Y-%m-%dT%H:%M:%S.") + f"{m.microsecond // 1000:03d}Z",
        "german": lambda t, m: m.strftime("%d.%m.%Y %H:%M:%S.") + f"{m.microsecond // 1000:03d}",
        "epoch s": lambda t, m: f"{m.timestamp():.3f}",
        "epoch ms": lambda t, m: f"{1e3 * m.timestamp():.0f}",
        "min:s": lambda t, m: f"{int(t // 60)}:{t % 60:06.3f}",
    }[clock]
    return [written(t, m) for t, m in zip(time, moments, strict=True)]


def _localised(cells: list[str], style: Style) -> list[str]:
    return [cell.replace(".", ",") if style.decimal == "," and cell.count(".") == 1 else cell for cell in cells]


def _columns(run: Run, style: Style) -> list[tuple[str, str, list[str]]]:
    """Name, unit and cells of each column."""
    pressure = run.boost + (AMBIENT if style.absolute else 0.0)
    boost = [f"{p / PRESSURES[style.unit]:.10g}" for p in pressure]
    generator = np.random.default_rng(1)
    others = [(name, "", [f"{v:.3f}" for v in 50 + generator.normal(0, 1, run.time.size)]) for name in style.others]
    time_unit = {"s": "s", "ms": "ms"}.get(style.clock, "")
    columns = [(style.boost_name, style.unit, _localised(boost, style))]
    columns += [(name, unit, _localised(cells, style)) for name, unit, cells in others]
    if style.clock == "none":
        return columns
    clock = _clock_cells(run.time, style.clock)
    place = min(style.time_place, len(columns))
    return [*columns[:place], (style.time_name, time_unit, _localised(clock, style)), *columns[place:]]


def _headed(name: str, unit: str, style: Style) -> str:
    if not unit or style.unit_style in ("line", "line in brackets"):
        return name
    if style.unit_style == "cells":
        return name if unit not in ("s", "ms") else f"{name} [{unit}]"
    return {"[]": f"{name} [{unit}]", "()": f"{name} ({unit})", "/": f"{name} / {unit}", "_": f"{name}_{unit}"}[
        style.unit_style
    ]


def lines(run: Run, style: Style) -> list[str]:
    """The recording's lines."""
    columns = _columns(run, style)
    head = [_headed(name, unit, style) for name, unit, _ in columns]
    units = [f"[{unit}]" if style.unit_style == "line in brackets" and unit else unit for _, unit, _ in columns]
    in_cells = style.unit_style == "cells"
    cells = [
        [f"{c} {unit}" if in_cells and unit not in ("", "s", "ms") else c for c in column]
        for _, unit, column in columns
    ]
    quoting = csv.QUOTE_ALL if style.quoted else csv.QUOTE_MINIMAL
    out = io.StringIO()
    writer = csv.writer(out, delimiter=style.separator, quoting=quoting, lineterminator="\n")
    above = [head]
    if style.unit_style in ("line", "line in brackets"):
        line = [unit or ("-" if style.separator == " " else "") for unit in units]
        above = [line, head] if style.units_first else [head, line]
    writer.writerows(above)
    writer.writerows(zip(*cells, strict=True))
    table = out.getvalue().splitlines()
    table, data = table[: len(above)], table[len(above) :]
    if style.trailing:
        data = [line + style.separator for line in data]
    if style.comment_header and style.title:
        table[0] = "# " + table[0]
    between, tail = ([text] if text else [] for text in (style.between, style.tail))
    return [*style.title, *table, *between, *data, *tail, *[""] * style.empty_lines]


def written(run: Run, style: Style, folder: Path) -> Path:
    """The path of the recording, written in the style."""
    data = (style.newline.join(lines(run, style)) + style.newline).encode(style.encoding, errors="replace")
    path = folder / f"drive.csv{'.' + style.packed if style.packed else ''}"
    if style.packed == "gz":
        data = gzip.compress(data)
    if style.packed == "zip":
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("drive.csv", data)
        data = packed.getvalue()
    path.write_bytes(data)
    return path
