"""Which tank to buy: candidates with what each makes of every day in, the few worth considering out.

What counts: days that cannot be driven, stops in all, and the mass carried. A tank is worse in everything that counts
where another is no worse in all three and better in one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from planner.car import Tank

MOST_NAMED = 3
"""How many tanks the answer names at most (a design choice)."""


@dataclass(frozen=True, slots=True)
class TankDay:
    """What a tank makes of one event at its best plan; volumes [m3], masses [kg], times [min], shares [1].

    feasible: whether a plan exists; where none does, the rest is told with every allowed refill made to the limit.
    stops: how many; stop_gaps: the gap before each; spare_time: the least that a gap is longer than its refill,
    None without stops. in_long_gaps: whether a plan exists whose stops all lie in gaps longer than was asked.
    short_chance: of falling below a floor in the day; least_margin: over the floor at the tightest session of a
    middling day; spare: room left over the highest mark. carried: the fluid's mean over the driving; washing: share
    of the sessions' time in the washing band. floor: the highest, set by floor_by. left: in the tank at the end, mean;
    bring: blend to bring; use: mean of the day. breaks: the session (from 1) that breaks an impossible day.
    """

    feasible: bool
    stops: int
    stop_gaps: tuple[float, ...]
    spare_time: float | None
    in_long_gaps: bool
    short_chance: float
    least_margin: float
    spare: float | None
    carried: float
    washing: float
    floor: float
    floor_by: str
    left: float
    bring: float | None
    use: float
    breaks: int | None = None
    with_every_gap: bool = True

    @property
    def gaps_suffice(self) -> bool:
        """Whether the gaps are as many and as long as the best plan needs, or the tank fails for another reason."""
        return self.feasible or not self.with_every_gap


@dataclass(frozen=True, slots=True)
class Candidate:
    """A tank with what it makes of each day, in the events' order.

    capacity [m3]; fluid [kg] when filled to the limit; empty [kg] or None where it is not known. scaled: the car's
    own shape in another size; today: the car's own tank; fits: in the space asked, None where none was; turned: by
    90 degrees to fit.
    """

    name: str
    tank: Tank
    days: tuple[TankDay, ...]
    fluid: float
    empty: float | None = None
    scaled: bool = False
    today: bool = False
    fits: bool | None = None
    turned: bool = False

    @property
    def capacity(self) -> float:
        """Inside volume [m3]."""
        return self.tank.capacity

    @property
    def full_mass(self) -> float:
        """Mass [kg] filled to the limit, the empty tank included where it is known."""
        return self.fluid + (self.empty or 0.0)

    @property
    def impossible(self) -> int:
        """Days for which no plan exists."""
        return sum(not day.feasible for day in self.days)

    @property
    def stops(self) -> int:
        """Stops in all, over the days that can be driven."""
        return sum(day.stops for day in self.days if day.feasible)

    @property
    def carried(self) -> float:
        """Mean mass [kg] carried over the days that can be driven, the empty tank included; infinite without any."""
        masses = [day.carried for day in self.days if day.feasible]
        return sum(masses) / len(masses) + (self.empty or 0.0) if masses else float("inf")

    @property
    def washing(self) -> float:
        """Mean share [1] of the sessions' time in the washing band, over the days that can be driven."""
        shares = [day.washing for day in self.days if day.feasible]
        return sum(shares) / len(shares) if shares else 0.0

    @property
    def short_chance(self) -> float:
        """The worst day's chance [1] of running short."""
        return max(day.short_chance for day in self.days)

    @property
    def counts(self) -> tuple[float, float, float]:
        """What counts, less is better: impossible days, stops, mass carried [kg]."""
        return self.impossible, self.stops, self.carried


def dominates(one: Candidate, other: Candidate) -> bool:
    """Whether `one` is no worse than `other` in everything that counts, and better in something."""
    pairs = list(zip(one.counts, other.counts, strict=True))
    return all(a <= b for a, b in pairs) and any(a < b for a, b in pairs)


def undominated(candidates: Sequence[Candidate]) -> tuple[int, ...]:
    """Places of the candidates that no other one is better than in everything that counts.

    Taken in the order of what counts, a tank stands unless one that stands before it carries as little or less with
    as few impossible days and stops.
    """
    kept: list[int] = []
    for place in sorted(range(len(candidates)), key=lambda k: candidates[k].counts):
        if not any(dominates(candidates[other], candidates[place]) for other in kept):
            kept.append(place)
    return tuple(sorted(kept))


def worth_considering(candidates: Sequence[Candidate]) -> tuple[int, ...]:
    """Places of the two or three tanks to choose from, fewest stops first; all fit, none is worse in all that counts.

    They drive as many of the days as any does: the one with the fewest stops, the lightest, and between them the one
    that lies farthest below the straight line from one to the other.
    """
    fitting = [k for k, one in enumerate(candidates) if one.fits is not False]
    if not fitting:
        return ()
    front = [fitting[k] for k in undominated([candidates[k] for k in fitting])]
    least = min(candidates[k].impossible for k in front)
    if least == len(candidates[front[0]].days):
        return ()
    by_stops = {candidates[k].stops: k for k in reversed(front) if candidates[k].impossible == least}
    places = [by_stops[stops] for stops in sorted(by_stops)]
    if len(places) <= MOST_NAMED:
        return tuple(places)
    return places[0], _knee(candidates, places), places[-1]


def _knee(candidates: Sequence[Candidate], places: Sequence[int]) -> int:
    """The place, neither first nor last, that lies farthest below the line from the first to the last."""
    first, last = candidates[places[0]], candidates[places[-1]]

    def below(place: int) -> float:
        one = candidates[place]
        along = (one.stops - first.stops) / (last.stops - first.stops)
        return first.carried + along * (last.carried - first.carried) - one.carried

    return max(places[1:-1], key=below)


@dataclass(frozen=True, slots=True)
class Trade:
    """What a tank buys and costs against another: stops and days fewer (or, below zero, more), kg carried more.

    fewer_on, more_on: on how many of the days it stops less or more often; saved_days: days that become possible.
    washing: change of the share [1] of time in the washing band.
    """

    stops_saved: int
    fewer_on: int
    more_on: int
    days: int
    saved_days: int
    heavier: float
    washing: float


def trade(one: Candidate, against: Candidate) -> Trade:
    """What `one` buys and costs against another; stops are compared on the days that both can drive."""
    pairs = [(a, b) for a, b in zip(one.days, against.days, strict=True) if a.feasible and b.feasible]
    saved = [b.stops - a.stops for a, b in pairs]
    known = one.empty is not None and against.empty is not None
    empty = (one.empty or 0.0) - (against.empty or 0.0) if known else 0.0
    count = max(len(pairs), 1)
    return Trade(
        stops_saved=sum(saved),
        fewer_on=sum(stops > 0 for stops in saved),
        more_on=sum(stops < 0 for stops in saved),
        days=len(one.days),
        saved_days=against.impossible - one.impossible,
        heavier=sum(a.carried - b.carried for a, b in pairs) / count + empty,
        washing=sum(a.washing - b.washing for a, b in pairs) / count,
    )


@dataclass(frozen=True, slots=True)
class Answer:
    """The few tanks to choose from and what each buys against `base`; places among the candidates."""

    undominated: tuple[int, ...]
    worth: tuple[int, ...]
    base: int
    trades: tuple[Trade, ...] = field(default=())


def answer_of(candidates: Sequence[Candidate]) -> Answer:
    """The choice: against today's tank where that is a candidate, else the lightest worth considering."""
    worth = worth_considering(candidates)
    today = [k for k, one in enumerate(candidates) if one.today]
    base = today[0] if today else (worth[-1] if worth else 0)
    trades = tuple(trade(candidates[k], candidates[base]) for k in worth)
    return Answer(undominated(candidates), worth, base, trades)
