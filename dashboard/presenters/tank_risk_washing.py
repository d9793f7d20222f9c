"""Washing as plain data: mass that moves, first mode against the course's swaying, force on the mounts, moment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from dashboard.presenters.display import Display, share
from dashboard.presenters.table import Column, Row, TableData
from dashboard.presenters.tank_risk import TankRisk
from dashboard.presenters.tank_risk_levels import remarks

Level = Mapping[str, Any]
POUND_FORCE = 4.4482216152605  # [N], by definition
FOOT = 0.3048  # [m]


def force_unit(display: Display) -> str:
    """The unit of force shown."""
    return "N" if display.system == "metric" else "lbf"


def force_number(newtons: float, display: Display) -> float:
    """A force [N] in the unit shown."""
    return newtons if display.system == "metric" else newtons / POUND_FORCE


def force_range(row: Level, display: Display) -> str:
    """The peak force on the mounts as a range."""
    low, high = (force_number(row[key], display) for key in ("mount_force_N", "mount_force_high_N"))
    return f"{low:.0f} to {high:.0f} {force_unit(display)}"


def moment_text(newton_metres: float, display: Display) -> str:
    """A moment [N m] in the unit shown."""
    if display.system == "metric":
        return f"{newton_metres:.1f} N·m"
    return f"{newton_metres / POUND_FORCE / FOOT:.1f} lbf·ft"


@dataclass(frozen=True, slots=True)
class RiskForce:
    """Peak sideways force over fill level, in the units shown, all (m,)."""

    fill: list[float]
    low: list[float]
    high: list[float]
    frozen: list[float]
    weight: list[float]
    texts: list[str]
    washing: tuple[float, float]
    capacity: float
    fill_unit: str
    force_unit: str


def risk_force(risk: TankRisk, display: Display) -> RiskForce:
    """The force picture's data."""
    rows = risk.rows

    def forces(key: str) -> list[float]:
        return [round(force_number(row[key], display), 2) for row in rows]

    low, high = (display.number(litres, "volume") for litres in risk.slosh["washing_band_L"])
    return RiskForce(
        fill=[display.number(row["level_L"], "volume") for row in rows],
        low=forces("mount_force_N"),
        high=forces("mount_force_high_N"),
        frozen=forces("frozen_force_N"),
        weight=forces("weight_N"),
        texts=[f"<b>{display.volume(row['level_L'])}</b><br>{force_range(row, display)}" for row in rows],
        washing=(low, high),
        capacity=display.number(risk.slosh["tank_capacity_L"], "volume"),
        fill_unit=display.unit("volume"),
        force_unit=force_unit(display),
    )


@dataclass(frozen=True, slots=True)
class RiskSpectrum:
    """How strongly the course sways at each frequency [Hz], per octave, of the strongest [%], (k,); first modes' spans.

    modes: (low, high) [Hz] of the first mode from 10 to 95 % full, left to right and then along the car.
    """

    frequency: list[float]
    lateral: list[float]
    longitudinal: list[float]
    modes: tuple[tuple[float, float], tuple[float, float]]


def risk_spectrum(risk: TankRisk) -> RiskSpectrum:
    """The spectrum's data."""
    excitation = risk.slosh["excitation"]
    frequency = excitation["frequency_Hz"]
    lateral, along = (
        [power * f for power, f in zip(excitation[f"{axis}_m2_s3"], frequency, strict=True)]
        for axis in ("lateral", "longitudinal")
    )
    most = max(*lateral, *along, 1e-9)
    kept = [row for row in risk.rows if 0.1 <= row["fill_share"] <= 0.95]

    def span(key: str) -> tuple[float, float]:
        found = [row[key] for row in kept]
        return min(found), max(found)

    return RiskSpectrum(
        frequency,
        [round(100 * value / most, 2) for value in lateral],
        [round(100 * value / most, 2) for value in along],
        (span("first_mode_Hz"), span("first_mode_along_Hz")),
    )


def washing_words(row: Level, display: Display) -> str:
    """What washing is like at a level, in words."""
    moving, frequency = display.mass(row["moving_mass_kg"]), row["first_mode_Hz"]
    words = (
        f"{moving} of the fluid swings from side to side, at {frequency:.2f} Hz. "
        f"A 1 g corner throws a moment of {moment_text(row['weight_moment_Nm'], display)} aside. The mounts take "
        f"{force_range(row, display)} at the peak"
    )
    if row["frozen_force_N"]:
        words += f", from {row['mount_force_N'] / row['frozen_force_N']:.1f} times what frozen fluid would give"
    if row["resonant"]:
        return (
            f"{words}. Near resonance: the course swings the fluid {row['mode_gain']:.1f} times as far as a slow tilt."
        )
    return f"{words}."


def excitation_words(risk: TankRisk) -> str:
    """How the course sways, in words."""
    excitation = risk.slosh["excitation"]
    named = (("lateral", "left to right"), ("longitudinal", "along the car"))
    strongest = [(excitation[f"strongest_{key}_Hz"], name) for key, name in named]
    parts = [f"{value:.2f} Hz {name}" for value, name in strongest if value is not None]
    if not parts:
        return "This course holds no acceleration, so nothing sways the fluid."
    return f"This course sways strongest at {' and '.join(parts)}."


_COLUMNS = (
    Column("Full"),
    Column("Moving mass", about="Fluid that swings with the first mode, left to right."),
    Column("First mode, left to right"),
    Column("First mode, along"),
    Column("Gain", about="How far the course swings the first mode, over a slow tilt; near resonance from 1.25 on."),
    Column("Weight moment", about="Of the weight that a steady 1 g corner throws aside; greatest about half full."),
    Column(
        "Force on the mounts",
        about="Peak sideways force, both axes together: F of the linear model to 1.5 F. It grows with the mass, so it "
        "is largest near full; over frozen fluid it is largest at low fills.",
    ),
    Column("Frozen fluid", about="The same mass times the largest acceleration, as if it did not move."),
    Column("Dead weight"),
    Column("Remarks", False),
)


def _cells(row: Level, display: Display) -> tuple[str, ...]:
    unit = force_unit(display)
    frozen, weight = (f"{force_number(row[key], display):.0f} {unit}" for key in ("frozen_force_N", "weight_N"))
    return (
        share(row["fill_share"]),
        display.mass(row["moving_mass_kg"]),
        f"{row['first_mode_Hz']:.2f} Hz",
        f"{row['first_mode_along_Hz']:.2f} Hz",
        f"{row['mode_gain']:.2f}",
        moment_text(row["weight_moment_Nm"], display),
        force_range(row, display),
        frozen,
        weight,
        ", ".join(word for word in remarks(row) if word != "borderline"),
    )


def washing_table(risk: TankRisk, display: Display) -> TableData:
    """What washes, every tenth of the tank."""
    rows = [
        Row(display.volume(row["level_L"], more=1), _cells(row, display), "chosen" if row["washing"] else "")
        for row in risk.rows[3::4]
    ]
    return TableData("Washing at each fill level", "Level", _COLUMNS, tuple(rows))


def spectrum_table(data: RiskSpectrum) -> TableData:
    """The spectrum at every few frequencies."""
    step = max(1, len(data.frequency) // 24)
    rows = [
        Row(f"{f:.2f} Hz", (f"{a:.0f} %", f"{b:.0f} %"))
        for f, a, b in list(zip(data.frequency, data.lateral, data.longitudinal, strict=True))[::step]
    ]
    columns = (Column("Left to right"), Column("Along the car"))
    return TableData("How strongly the course sways per octave, of the strongest", "Frequency", columns, tuple(rows))
