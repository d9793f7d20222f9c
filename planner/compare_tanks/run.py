"""The whole question at once: sizes, files or both over the days, with what the caller asks beside them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from planner.compare_tanks import Days, NamedTank, Planner, Progress, compare, own_sizes, usual_capacities
from planner.compare_tanks.changes import compare_changes
from planner.compare_tanks.json import comparison_json
from planner.compare_tanks.pool import Workers
from planner.compare_tanks.smallest import smallest
from planner.compare_tanks.sure import how_sure


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: days, capacities [m3] of the car's own shape and other tanks; whether other choices too.

    Without capacities and tanks the usual sizes are tried; with tanks alone, today's beside them.
    """

    days: Days
    capacities: tuple[float, ...] = ()
    tanks: tuple[NamedTank, ...] = ()
    changes: bool = False

    @property
    def candidates(self) -> list[NamedTank]:
        """Today's tank, the sizes and the others."""
        sizes: Sequence[float] = self.capacities
        if not self.capacities and not self.tanks:
            sizes = usual_capacities(self.days.car)
        return [*own_sizes(self.days.car, sizes), *self.tanks]


def nothing_said(done: int, total: int) -> None:
    """Progress that nobody hears."""


def answered(
    question: Question,
    *,
    kept_in: Path | None = None,
    workers: Workers | None = None,
    draws: int | None = None,
    progress: Progress = nothing_said,
    stop: Callable[[], bool] = lambda: False,
) -> dict[str, Any]:
    """The comparison as plain data; `draws` as for `plan_day`.

    Raises BadInput for what cannot be planned at all, Stopped where it is stopped.
    """
    with workers or Workers() as working:
        planner = Planner(working, kept_in=kept_in, draws=draws, progress=progress, stop=stop)
        comparison = compare(question.days, question.candidates, planner)
        least = smallest(question.days, comparison.candidates, planner)
        sure = how_sure(question.days, comparison.candidates, comparison.answer.worth, planner=planner)
        changes = compare_changes(question.days, planner) if question.changes else None
    return comparison_json(comparison, least, sure=sure, changes=changes)
