"""What a plan's reader must be told beside its numbers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from math import isinf

from planner.day import DayPlan
from planner.driving.course import course_notices, course_traces
from planner.physics.blend import flash_point
from planner.planning.warning import Warning

TIGHT_MINUTES = 2.0


def warnings_of(plan: DayPlan) -> list[Warning]:
    """Warnings of a plan, gravest first."""
    found = [*_hazards(plan), *_model(plan), *_recordings(plan), *_tight_gaps(plan)]
    order = ("danger", "warning", "caution", "notice")
    return sorted(found, key=lambda warning: order.index(warning.level))


def _hazards(plan: DayPlan) -> Iterator[Warning]:
    share = plan.car.blend.alcohol_share
    if share <= 0:
        return
    yield Warning(
        "danger",
        "methanol",
        "Methanol kills or blinds when swallowed and passes through skin; its flame is nearly invisible in sunlight. "
        f"{_vapour(float(flash_point(share)))} Engine and "
        "ignition off, nobody in the car, gloves, goggles, an extinguisher in a second person's hand. "
        "Local code, the venue and the event's rules prevail.",
    )


def _vapour(flash: float) -> str:
    if isinf(flash):
        return "This blend is too weak to flash below boiling; the methanol it is mixed from is not."
    return f"This blend's vapour can catch fire from about {flash:.0f} degC on, sooner in a part-empty jug."


def _model(plan: DayPlan) -> Iterator[Warning]:
    siphoned = sum(use.siphoned * session.runs for use, session in zip(plan.uses, plan.sessions, strict=True))
    if siphoned > 0:
        yield Warning(
            "warning",
            "siphoning",
            f"Manifold vacuum draws about {siphoned * 1e3:.2f} L through the nozzle while the controller is off; "
            "a shut-off valve would stop it.",
        )
    if not plan.refills.complete:
        yield Warning(
            "notice", "search-cut", "There are too many refill sets to compare all; the stops are least, the rest good."
        )
    for name in dict.fromkeys(session.course for session in plan.sessions):
        course = plan.event.course(name)
        if not any(trace.cornering_known for trace in course_traces(course)):
            yield Warning(
                "notice",
                "cornering-unknown",
                f"Nothing is known of the cornering on course {name}; a cautious default is taken for its floor.",
            )


def _recordings(plan: DayPlan) -> Iterator[Warning]:
    for name in dict.fromkeys(session.course for session in plan.sessions):
        for text in course_notices(plan.event.course(name)):
            yield Warning("notice", "recording", f"Course {name}: {text}")


def _tight_gaps(plan: DayPlan) -> Iterator[Warning]:
    problem = plan.problem
    for stop in plan.refills.best.stops:
        gap, added = plan.gaps[stop], plan.refills.levels.added(problem, stop)
        spare = timedelta(
            seconds=gap.seconds - plan.event.refill.setup - float(added.max()) / plan.event.refill.pour_rate
        )
        if spare < timedelta(minutes=TIGHT_MINUTES):
            yield Warning(
                "caution",
                "tight-gap",
                f"The refill before {plan.sessions[stop].name} leaves under {TIGHT_MINUTES:.0f} min to spare.",
            )
