"""A piecewise-linear function of boost with jumps, and its exact mean over a straight change of boost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.errors import OutsideModel

Array = np.ndarray

STILL = 0.1
"""A change [Pa] below which a mean is taken as the value: a quotient of differences would lose digits."""


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """Where arguments fall: segment (n,) int, and offset (n,) from the segment's left knot."""

    segment: Array
    offset: Array


@dataclass(frozen=True, slots=True, eq=False)
class Straight:
    """An argument that runs straight from sample to sample: its places, changes (n - 1,), and where it holds still."""

    place: Place
    change: Array
    still: Array


class Knots:
    """Rising knots (m + 1,); finds segments by a table of equal bins, then steps over the few knots in a bin."""

    def __init__(self, knots: Array) -> None:
        self.x = np.asarray(knots, dtype=float)
        bins = 2 * self.x.size
        self._per_unit = bins / (self.x[-1] - self.x[0])
        edges = self.x[0] + np.arange(bins + 1) / self._per_unit
        first = np.searchsorted(self.x, edges - 1e-9 / self._per_unit, side="right") - 1
        self._first = np.clip(first, 0, self.x.size - 2).astype(np.intp)
        self._steps = int(np.max(np.diff(np.append(first, self.x.size - 1)))) + 1
        self._next = self.x[1:].copy()
        self._next[-1] = np.inf

    def locate(self, argument: Array) -> Place:
        """Segment and offset of each argument (n,). Raises OutsideModel for one beyond the knots or NaN."""
        if argument.size and not (argument.min() >= self.x[0] and argument.max() <= self.x[-1]):
            raise OutsideModel(
                f"boost of {np.nanmin(argument) / 1e3:.0f} to {np.nanmax(argument) / 1e3:.0f} kPa gauge is outside "
                f"{self.x[0] / 1e3:.0f} to {self.x[-1] / 1e3:.0f} kPa; "
                "check the column's unit and whether it is absolute"
            )
        segment = self._first[((argument - self.x[0]) * self._per_unit).astype(np.intp)]
        for _ in range(self._steps):
            beyond = argument >= self._next[segment]
            if not beyond.any():
                break
            segment += beyond
        return Place(segment, argument - self.x[segment])

    def straight(self, argument: Array) -> Straight:
        """An argument (n,) for means between its samples. Raises OutsideModel for one beyond the knots or NaN."""
        change = np.diff(argument)
        still = np.flatnonzero(np.abs(change) < STILL)
        change[still] = 1.0
        return Straight(self.locate(argument), change, still)


class PiecewiseLinear:
    """Values at the left and right end of each segment of shared knots; at a knot the value from the right holds."""

    def __init__(self, knots: Knots, left: Array, right: Array) -> None:
        widths = np.diff(knots.x)
        self.left = np.asarray(left, dtype=float)
        self.right = np.asarray(right, dtype=float)
        self._slope = (self.right - self.left) / widths
        self._half_slope = self._slope / 2
        self._integral = np.concatenate(([0.0], np.cumsum((self.left + self.right) / 2 * widths)))

    @property
    def largest(self) -> float:
        """The largest value anywhere."""
        return float(max(self.left.max(), self.right.max()))

    def values(self, place: Place) -> Array:
        """Value at each place, (n,)."""
        return self.left[place.segment] + self._slope[place.segment] * place.offset

    def integrals(self, place: Place) -> Array:
        """Integral from the first knot to each place, (n,)."""
        i, d = place.segment, place.offset
        return self._integral[i] + d * (self.left[i] + d * self._half_slope[i])

    def means(self, argument: Straight) -> Array:
        """Mean value, (n - 1,), while the argument (n,) runs straight from each sample to the next."""
        if not self.left.any() and not self.right.any():
            return np.zeros_like(argument.change)
        mean = np.diff(self.integrals(argument.place)) / argument.change
        place, still = argument.place, argument.still
        mean[still] = self.values(Place(place.segment[still], place.offset[still]))
        return mean
