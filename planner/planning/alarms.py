"""Alarms of the day, by predictive chance, each in two steps and each with what to do.

Use: the chances of a sound car's readings, given the readings before, are independent and even between 0 and 1 (Dawid,
J. R. Stat. Soc. A 147, 1984), so their normal scores are independent standard normal whatever the car, the tank and
the dip error. One, two and four readings in a row are judged by their scores' sum, against a chance that shares a
day's budget among its readings. Level and stock: the share of simulated days.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from planner.planning.warning import Level
from planner.use.learning import Predicted
from planner.use.spread import CarFactor, log_sd

Array = np.ndarray

LITTLE_A_DAY, MUCH_A_DAY = 0.005, 0.001
"""Chance of a false alarm a day on each side; too little is the dangerous side and gets the larger part. With what the
other alarms add it stays under 1 % a day: `python -m tests.benchmarks.healthy_days` measures it."""

WINDOWS = {1: 0.4, 2: 1.0, 4: 0.25}
"""Readings in a row that are judged together, and their share of the chance: two tell most within two readings."""

_TESTS = 1.2  # what the windows together cost, against one test a reading; from 400,000 days of 1 to 20 readings
SECOND_STEP = 20.0  # how many times less likely a reading is at the second step, where it does not repeat
SHORT_STEPS, RUN_STEPS, STOCK_STEPS = (0.50, 0.80), (0.90, 0.98), (0.60, 0.95)
"""Chances at which the two steps of an alarm come. A day planned with 99 % comes upon a chance of one half on at most
2 % of days (Ville's inequality: the chance is a martingale), and is then right half the time; less is a notice."""


LOOK_FOR_LITTLE = "nozzle, filter, pump, supply voltage, air in the line"
LOOK_FOR_MUCH = "a leak, a valve that stays open, siphoning"


@dataclass(frozen=True, slots=True)
class Alarm:
    """level: how grave; code: stays; chance [1]: of what the text says; text: what it is and what to do."""

    level: Level
    code: str
    chance: float
    text: str


def alarm_chance(budget: float, readings: int) -> float:
    """Chance [1] under which one test of a reading alarms, so that a day of so many readings spends its budget."""
    return budget / (_TESTS * max(readings, 1))


def least_chances(scores: Sequence[float]) -> tuple[float, float]:
    """Smallest chances (too little used, too much used) over the windows that end with the last score.

    Each is divided by its window's share, to be held against the one `alarm_chance`.
    """
    sums = [(sum(scores[-w:]) / w**0.5, share) for w, share in WINDOWS.items() if w <= len(scores)]
    return min(float(ndtr(-s)) / share for s, share in sums), min(float(ndtr(s)) / share for s, share in sums)


def use_alarm(scores: Sequence[float], told: Predicted, readings: int, *, again: bool) -> Alarm | None:
    """The alarm that the scores so far give, the last reading's among them; None if the use fits.

    readings: how many a day may have; again: whether the reading before gave an alarm too.
    """
    little, much = least_chances(scores)
    for code, chance, budget, words in (
        ("used-too-little", little, LITTLE_A_DAY, _little_text),
        ("used-too-much", much, MUCH_A_DAY, _much_text),
    ):
        limit = alarm_chance(budget, readings)
        if chance <= limit:
            grave = again or chance <= limit / SECOND_STEP
            chance = min(chance, told.lower, 1 - told.lower) or 1e-15
            return Alarm("danger" if grave else "warning", code, chance, words(told, chance, grave))
    return None


def level_rose(told: Predicted) -> Alarm:
    """What a reading says that no use explains: more is in the tank than after the last fill."""
    text = (
        f"{told.reading * 1e3:.2f} L is more than was left before the run. Log the fill that is missing, or undo the "
        "reading if it was misread; until then the level is taken as read and the use is not judged."
    )
    return Alarm("caution", "level-rose", 1 - told.lower, text)


def ran_dry(told: Predicted) -> Alarm:
    """What a reading at the pickup's level says: the pump has drawn air."""
    text = (
        f"The tank is down to what the pickup cannot reach ({told.reading * 1e3:.2f} L): injection has starved. "
        "Do not run again before it is filled and the engine has been looked at; air in the line needs a test spray."
    )
    return Alarm("danger", "ran-dry", 1.0, text)


def level_alarms(end: Array, floor: Array, unit: Array, names: Sequence[str]) -> list[Alarm]:
    """Alarms on the way to the next stop, from simulated levels [m3] at the ends of the sessions until then.

    end: (S, N) levels; floor: (S,) with the final reserve in it; unit: (S,) use of one run or lap [m3].
    """
    if not len(end):
        return []
    below = float(np.mean(np.any(end < floor[:, None], axis=0)))
    tight = float(np.mean(end[-1] < floor[-1] + unit[-1]))
    worst = names[int(np.argmax(np.mean(end < floor[:, None], axis=1)))]
    if below >= SHORT_STEPS[0]:
        return [
            Alarm("danger" if below >= SHORT_STEPS[1] else "warning", "reserve", below, _reserve_text(below, worst))
        ]
    if tight >= RUN_STEPS[0]:
        level: Level = "warning" if tight >= RUN_STEPS[1] else "caution"
        return [Alarm(level, "reserve-and-run", tight, _run_text(tight, names[-1]))]
    return []


def stock_alarm(needed: Array, left: float) -> Alarm | None:
    """Alarm for blend: draws (N,) of what the rest of the day takes from the jugs [m3] against what is left [m3]."""
    chance = float(np.mean(needed > left))
    if chance < STOCK_STEPS[0]:
        return None
    level: Level = "warning" if chance >= STOCK_STEPS[1] else "caution"
    missing = max(float(np.quantile(needed, 0.9)) - left, 0.0) * 1e3
    text = (
        f"The jugs hold about {max(left, 0.0) * 1e3:.1f} L and will not last the day (chance {chance:.0%}). "
        f"Mix or fetch {missing:.1f} L more, or leave out runs at the end."
    )
    return Alarm(level, "stock", chance, text)


@dataclass(frozen=True, slots=True)
class Detectability:
    """Chance [1] that a loss of flow is found within some readings, and a sentence on what stands in the way."""

    chance: float
    possible: bool
    text: str


@dataclass(frozen=True, slots=True)
class Coming:
    """The next two readings: use [m3] before each, run_spread [1] of it, and how well levels are known.

    dip, start: standard deviation [m3] of a level as read, and of the level now; filled: whether the tank is filled to
    a mark between the two.
    """

    use: float
    run_spread: float
    dip: float
    start: float
    filled: bool = True


def detectability(factor: CarFactor, coming: Coming, *, readings: int, share: float = 0.7) -> Detectability:
    """Whether flow falling to a share [1] is found within two readings on 90 % of days of so many readings.

    The first score finds it, or the two together; both are normal in the linear model of factor and level.
    """
    allowed = alarm_chance(LITTLE_A_DAY, readings)
    limits = float(-ndtri(allowed * WINDOWS[1])), float(-ndtri(allowed * WINDOWS[2]))
    chance = _found_in_two(*_score_means(factor, coming, share), limits) if coming.use > 0 else 0.0
    return Detectability(chance, chance >= 0.9, _detectability_text(chance, share, factor, coming))


def _score_means(factor: CarFactor, coming: Coming, share: float) -> tuple[float, float]:
    """Means of the next two readings' scores once flow falls to a share [1]: a Kalman filter of factor and level."""
    car, run = log_sd(factor.variation), log_sd(coming.run_spread)
    dip, start = coming.dip / coming.use, coming.start / coming.use
    from_level = (dip**2 + start**2) / (car**2 + run**2 + dip**2 + start**2)
    less = (1 - from_level) * -np.log(share) + from_level * (
        1 - share
    )  # on the scale on which what spreads it is normal
    step = np.array([[1.0, 0.0], [-1.0, 1.0]])
    spread, bias = np.diag([car**2, start**2]), np.zeros(2)
    means = []
    for _ in range(2):
        spread, bias = step @ spread @ step.T + np.diag([0.0, run**2]), step @ bias + [0.0, less]
        total = spread[1, 1] + dip**2
        gain = spread[:, 1] / total
        means.append(float(bias[1] / np.sqrt(total)))
        spread, bias = spread - np.outer(gain, gain) * total, bias - gain * bias[1]
        if coming.filled:
            spread, bias = np.diag([spread[0, 0], dip**2]), np.array([bias[0], 0.0])
    return means[0], means[1]


NODES = 128  # of the rule, over at most 18 standard deviations


def _found_in_two(first: float, second: float, limits: tuple[float, float]) -> float:
    """Chance that the first score passes its limit, or the two together theirs; scores normal about their means."""

    # Gauss and Legendre's rule over all that counts of a bell one wide; scipy.integrate would take 35 MB to load.
    low, high = min(limits[0], first) - 9, min(limits[0], first + 9)
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    score = (low + high) / 2 + (high - low) / 2 * nodes
    missed = np.exp(-((score - first) ** 2) / 2) * ndtr(2**0.5 * limits[1] - score - second)
    chance = float(weights @ missed) * (high - low) / 2 / np.sqrt(2 * np.pi)
    return float(np.clip(1 - chance, 0.0, 1.0))


def _detectability_text(chance: float, share: float, factor: CarFactor, coming: Coming) -> str:
    head = f"Flow at {share:.0%} would show within two readings on {chance:.0%} of days"
    if chance >= 0.9:
        return head + "."
    parts = {
        "the dip error is large against what is used between readings: read after more runs, or read finer": (
            np.hypot(coming.dip, coming.start) / coming.use if coming.use > 0 else np.inf
        ),
        "the use differs much from session to session: give more recordings of the course": coming.run_spread,
        "the car's own factor is little known: run a flow test, or keep the result of a day": factor.variation,
    }
    return f"{head}: {max(parts, key=lambda text: parts[text])}."


def _little_text(told: Predicted, chance: float, grave: bool) -> str:
    missing = (told.reading - told.expected) * 1e3
    head = f"Used {missing:.2f} L less than expected (chance {chance:.2%} in a sound car). "
    if grave:
        return head + f"Too little is injected: do not run full boost until the cause is found: {LOOK_FOR_LITTLE}."
    return head + f"Read the level again; if it holds, stay off full boost and check {LOOK_FOR_LITTLE}."


def _much_text(told: Predicted, chance: float, grave: bool) -> str:
    missing = (told.expected - told.reading) * 1e3
    head = f"{missing:.2f} L more is gone than expected (chance {chance:.2%} in a sound car). "
    if grave:
        return head + (
            f"Stop and look for {LOOK_FOR_MUCH}. Spilled blend is toxic, and its flame is nearly invisible: "
            "no ignition, wipe it up before the engine starts."
        )
    return head + f"Read the level again; if it holds, look for {LOOK_FOR_MUCH} before the next run."


def _reserve_text(chance: float, name: str) -> str:
    return (
        f"With chance {chance:.0%} the level falls below the final reserve by the end of {name}. "
        "Refill before the car goes out, or leave out runs; come in when the level is doubtful."
    )


def _run_text(chance: float, name: str) -> str:
    return (
        f"With chance {chance:.0%} less than the final reserve and one run is left after {name}. "
        "Refill earlier if a gap allows it, or plan one run fewer."
    )
