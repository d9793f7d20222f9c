"""A day without a plan: each mend as something that one click tries."""

from __future__ import annotations

from dataclasses import dataclass

from dashboard.presenters.display import Display, share
from dashboard.presenters.outcome import Outcome


@dataclass(frozen=True, slots=True)
class MendButton:
    """A mend: its text, and what it sets in the trial (`key` empty: nothing that a click could do)."""

    text: str
    key: str
    value: float | int
    first: bool = False


def mend_buttons(outcome: Outcome, display: Display) -> list[MendButton]:
    """The mends of a day that has no plan, the first one as the one to do."""
    no_plan, car = outcome.no_plan, outcome.car
    assert no_plan is not None
    assert car is not None
    found: list[MendButton] = []
    for mend in no_plan["mends"]:
        kind, value = mend["kind"], mend["value"]
        first = not found
        if kind == "tank":
            text = f"Try a tank of {display.volume(value * 1e3)}, same shape"
            found.append(MendButton(text, "tank", round(value / car.tank.capacity, 4), first))
        elif kind == "confidence":
            found.append(MendButton(f"Accept {share(value)} instead", "confidence", value, first))
        elif kind == "extra":
            found.append(MendButton("Keep no extra run", "extra", 0, first))
        elif kind == "gap":
            found.append(MendButton(_sentence(mend["text"]), "allow", int(value), first))
        else:
            found.append(MendButton(_sentence(mend["text"]), "", 0))
    return found


def no_plan_sentence(outcome: Outcome, display: Display) -> str:
    """Which session cannot be driven, with which confidence, and how much the tank may hold."""
    no_plan, event, car = outcome.no_plan, outcome.event, outcome.car
    assert no_plan is not None
    assert event is not None
    assert car is not None
    number = no_plan["session"]
    return (
        f"No plan exists: session {number} ({event.sessions[number - 1].name}) cannot be driven with "
        f"{share(event.reserve.confidence)} confidence, even with the tank filled to "
        f"{display.volume(car.tank.limit * 1e3, 1)} at every allowed stop."
    )


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
