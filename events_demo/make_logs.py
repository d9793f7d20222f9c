"""Computes the demo logs: `python -m events_demo.make_logs [FOLDER]`. The same rows come out on every run.

What is assumed, all of it invented:

- The car is a point mass that follows a given line, a row of straights and arcs whose curvature is smoothed over
  SMOOTHING metres. It never slides, rolls or pitches, and the course is flat.
- Speed is quasi-steady: limited in corners by grip, leaving them by grip that is left over (ellipse of lateral and
  longitudinal grip) and by power less air drag, entering them by braking within the same ellipse.
- Grip and power differ from run to run by a few per cent (DRIVER), which stands for driver, tyres and weather.
- Manifold pressure is in proportion to the share of full power that the speed asks for, raised to PEDAL because a
  driver opens the throttle earlier than need be; between SHUT_PRESSURE with the throttle shut and full boost.
- The boost follows with a first-order rise of the car's spool time and falls with FALL_TIME.
- A shift up takes SHIFT_TIME: the throttle is shut and the car coasts. The time it costs is neglected.
- Sensors: white noise, 0.6 kPa on boost and 0.02 g on acceleration, which is also smoothed over 0.1 s.
- Lateral is positive in a left-hand corner, longitudinal when speeding up (ISO 8855). Boost is gauge pressure.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

Array = np.ndarray

GRAVITY = 9.80665  # m/s2
AIR = 101.3  # kPa
SMOOTHING = 6.0  # m
SHUT_PRESSURE = -62.0  # kPa gauge
PEDAL = 0.35
FALL_TIME = 0.08  # s
SHIFT_TIME = 0.22  # s
DRIVER = 0.03
FINE_STEP = 0.01  # s
LAST_DIGIT = (0.001, 0.1, 0.001, 0.001)  # of the columns as written


@dataclass(frozen=True)
class DemoCar:
    """mass [kg], power at the wheels [W], drag [kg/m], grip [1], full_boost [kPa gauge], spool [s], shifts [m/s]."""

    mass: float
    power: float
    drag: float
    grip: float
    full_boost: float
    spool: float
    shifts: tuple[float, ...]


@dataclass(frozen=True)
class DemoCourse:
    """arcs: (length [m], radius [m], positive to the left, 0 for a straight); flying laps or a standing start."""

    name: str
    car: DemoCar
    arcs: tuple[tuple[float, float], ...]
    flying: bool
    rate: float
    logs: int


SNAIL = DemoCar(1180, 180e3, 0.45, 1.05, 115, 0.45, (14.5, 24.5))
TEAPOT = DemoCar(1340, 215e3, 0.48, 1.15, 130, 0.55, (15.0, 26.0, 37.0, 48.0))
GOOSE = DemoCar(1090, 185e3, 0.42, 1.10, 125, 0.50, (13.5, 23.0, 33.5, 44.0))

SNAIL_LOOP = DemoCourse(
    "snail-loop",
    SNAIL,
    (
        *((45, 0), (20, 22), (35, 0), (22, -18), (30, 0), (18, 28), (18, -28), (18, 28), (18, -28), (55, 0)),
        *((34, 12), (60, 0), (26, -30), (24, 26), (70, 0), (40, -14), (35, 0), (30, 40), (28, -24), (48, 0)),
        *((17, 24), (17, -24), (17, 24), (17, -24), (65, 0), (38, -16), (42, 0), (30, 20), (60, 0), (35, 30)),
        *((45, 0), (30, -20), (50, 0)),
    ),
    flying=False,
    rate=50,
    logs=4,
)
TEAPOT_RING = DemoCourse(
    "teapot-ring",
    TEAPOT,
    (
        *((420, 0), (95, -45), (120, 0), (110, 60), (90, -70), (180, 0), (75, 28), (140, 0), (160, -140)),
        *((60, 0), (85, -32), (110, 0), (120, 75), (100, -85), (260, 0), (70, 24), (90, 0), (130, -90), (80, 55)),
        *((150, 0), (90, -38), (130, 0), (140, 100), (60, 0), (110, -50), (70, 0), (85, 34)),
    ),
    flying=True,
    rate=25,
    logs=4,
)
GOOSE_BANK = DemoCourse(
    "goose-bank",
    GOOSE,
    (
        *((150, 0), (60, -40), (110, 0), (45, 18), (90, 0), (70, -60), (60, 50), (170, 0), (55, -25), (80, 0)),
        *((90, 85), (120, 0), (48, 20), (140, 0), (75, -48), (65, 70), (210, 0)),
    ),
    flying=False,
    rate=20,
    logs=3,
)
COURSES = (SNAIL_LOOP, TEAPOT_RING, GOOSE_BANK)


def curvature(arcs: tuple[tuple[float, float], ...], step: float) -> Array:
    """Curvature [1/m] every `step` [m] along the arcs, smoothed over SMOOTHING."""
    bends = [np.full(round(length / step), 1 / radius if radius else 0.0) for length, radius in arcs]
    width = max(1, round(SMOOTHING / step))
    return np.convolve(np.concatenate(bends), np.ones(width) / width, mode="same")


def _faster(speed: float, bend: float, car: DemoCar, step: float) -> float:
    """Speed [m/s] one step on at full throttle."""
    left = np.sqrt(max(0.0, 1 - (speed**2 * bend / (car.grip * GRAVITY)) ** 2))
    push = min(car.power / (car.mass * max(speed, 3.0)), car.grip * GRAVITY * left)
    gained = 2 * step * (push - car.drag * speed**2 / car.mass)
    return float(np.sqrt(max(speed**2 + gained, 1.0)))


def _before_braking(speed: float, bend: float, car: DemoCar, step: float) -> float:
    """Speed [m/s] one step earlier if the car brakes within its grip to `speed`."""
    left = np.sqrt(max(0.0, 1 - (speed**2 * bend / (car.grip * GRAVITY)) ** 2))
    return float(np.sqrt(speed**2 + 2 * step * (car.grip * GRAVITY * left + car.drag * speed**2 / car.mass)))


def speed_along(bends: Array, car: DemoCar, step: float, start: float) -> Array:
    """Speed [m/s] at every step of a course of curvatures `bends`, starting at `start` [m/s]."""
    speed = np.sqrt(car.grip * GRAVITY / np.maximum(np.abs(bends), 1e-4))
    speed[0] = min(speed[0], start)
    for i in range(1, len(speed)):
        speed[i] = min(speed[i], _faster(speed[i - 1], bends[i - 1], car, step))
    for i in range(len(speed) - 2, -1, -1):
        speed[i] = min(speed[i], _before_braking(speed[i + 1], bends[i + 1], car, step))
    return speed


def motion(course: DemoCourse, car: DemoCar) -> tuple[Array, Array, Array, Array]:
    """Time [s], speed [m/s], lateral and longitudinal acceleration [m/s2] every FINE_STEP of one run or lap."""
    step = 0.5
    bends = curvature(course.arcs, step)
    rounds = 2 if course.flying else 1
    speed = speed_along(np.tile(bends, rounds), car, step, start=1.0)[-len(bends) :]
    clock = np.concatenate([[0.0], np.cumsum(step / ((speed[1:] + speed[:-1]) / 2))])
    time = np.arange(0.0, clock[-1], FINE_STEP)
    along = np.interp(time, clock, speed)
    return time, along, along**2 * np.interp(time, clock, bends), np.gradient(along, FINE_STEP)


def _shifting(speed: Array, shifts: tuple[float, ...]) -> Array:
    """(n,) bool: whether a shift up is under way."""
    width = round(SHIFT_TIME / FINE_STEP)
    begun = np.zeros(len(speed), dtype=bool)
    for at in shifts:
        begun[1:] |= (speed[1:] >= at) & (speed[:-1] < at)
    return np.convolve(begun, np.ones(width))[: len(speed)] > 0


def boost_of(wanted: Array, spool: float) -> Array:
    """Boost [kPa gauge] that follows `wanted` with the car's spool time [s] up and FALL_TIME down."""
    boost = np.empty_like(wanted)
    now = wanted[0]
    for i, target in enumerate(wanted):
        lag = spool if target > now else FALL_TIME
        now += (target - now) * (1 - np.exp(-FINE_STEP / lag))
        boost[i] = now
    return boost


def wanted_boost(speed: Array, longitudinal: Array, car: DemoCar) -> Array:
    """Boost [kPa gauge] that the throttle asks for."""
    power = (car.mass * longitudinal + car.drag * speed**2) * speed
    share = np.clip(power / car.power, 0.0, 1.0) ** PEDAL
    return np.clip(share * (AIR + car.full_boost) - AIR, SHUT_PRESSURE, car.full_boost)


def _sensed(values: Array, noise: float, draw: np.random.Generator) -> Array:
    width = round(0.1 / FINE_STEP)
    padded = np.pad(values, (width // 2, width - 1 - width // 2), mode="edge")
    return np.convolve(padded, np.ones(width) / width, mode="valid") + draw.normal(0.0, noise, len(values))


def log_rows(course: DemoCourse, number: int) -> Array:
    """Rows of log `number` of a course, (n, 4): time [s], boost [kPa gauge], lateral [g], longitudinal [g]."""
    draw = np.random.default_rng([len(course.arcs), round(course.rate), number])
    grip, power = 1 + DRIVER * draw.standard_normal(2)
    car = replace(course.car, grip=course.car.grip * grip, power=course.car.power * power)
    time, speed, lateral, longitudinal = motion(course, car)
    shifting = _shifting(speed, car.shifts)
    coasting = np.where(shifting, -car.drag * speed**2 / car.mass, longitudinal)
    wanted = np.where(shifting, SHUT_PRESSURE, wanted_boost(speed, longitudinal, car))
    boost = boost_of(wanted, car.spool) + draw.normal(0.0, 0.6, len(time))
    accelerations = [_sensed(a / GRAVITY, 0.02, draw) for a in (lateral, coasting)]
    every = round(1 / (course.rate * FINE_STEP))
    return np.column_stack([time, boost, *accelerations])[::every]


def logs() -> dict[str, Array]:
    """Every demo log: file name to rows."""
    return {f"{course.name}-{n}.csv": log_rows(course, n) for course in COURSES for n in range(1, course.logs + 1)}


def write_logs(folder: Path) -> None:
    """Write every demo log into a folder."""
    for name, rows in logs().items():
        header = "time_s,boost_kPa,lateral_g,longitudinal_g"
        np.savetxt(folder / name, rows, "%.3f,%.1f,%.3f,%.3f", header=header, comments="", encoding="utf-8")


if __name__ == "__main__":
    write_logs(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent / "logs")
