"""Traces as keys: equal by every sample they hold and by nothing else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from planner.driving.trace import Trace
from planner.use.content import trace_set

TIME = np.arange(5.0)
TRACE = Trace(TIME, 1e3 * TIME, np.ones(5), np.zeros(5), np.ones(4, dtype=bool), name="one")


def test_names_and_copies_do_not_count() -> None:
    other = replace(TRACE, name="two", lateral=np.repeat(TRACE.lateral, 2)[::2])
    assert trace_set([TRACE]) == trace_set([other])
    assert hash(trace_set([TRACE])) == hash(trace_set([other]))
    assert trace_set([TRACE]).traces == (TRACE,)
    assert len(trace_set([TRACE]).digests[0]) == 16


@pytest.mark.parametrize(
    "changes",
    [
        {"time": TIME + 1},
        {"boost": 1e3 * TIME + 1},
        {"lateral": np.full(5, 1.1)},
        {"longitudinal": np.full(5, 0.1)},
        {"covered": np.array([True, True, False, True])},
        {"lateral": None},
        {"longitudinal": None},
        {"lateral": np.zeros(5), "longitudinal": np.ones(5)},
    ],
    ids=lambda changes: " and ".join(changes),
)
def test_any_sample_that_differs_makes_another_key(changes: dict[str, np.ndarray | None]) -> None:
    assert trace_set([TRACE]) != trace_set([replace(TRACE, **changes)])


def test_which_of_two_accelerations_lacks_and_the_order_of_traces_count() -> None:
    without_side = replace(TRACE, lateral=None, longitudinal=np.ones(5))
    without_along = replace(TRACE, lateral=np.ones(5), longitudinal=None)
    assert trace_set([without_side]) != trace_set([without_along])
    assert trace_set([without_side, without_along]) != trace_set([without_along, without_side])
    assert trace_set([]) == trace_set(()) != trace_set([TRACE])
