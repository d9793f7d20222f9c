"""The day's answer in one sentence, its numbers with where they come from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.presenters.day_whence import day_short_whence, several_days
from dashboard.presenters.display import Display, day_and_clock, share
from dashboard.presenters.outcome import Outcome
from dashboard.presenters.whence import Whence

Plan = Mapping[str, Any]
TIMES = ("no times", "once", "twice")


def legs(plan: Plan) -> list[tuple[Mapping[str, Any] | None, list[Mapping[str, Any]]]]:
    """The day's legs: the fill that begins each (None where the day begins without one), and its sessions."""
    fills = {fill["before_session"]: fill for fill in plan["refills"]}
    found: list[tuple[Mapping[str, Any] | None, list[Mapping[str, Any]]]] = []
    for session in plan["sessions"]:
        if session["number"] in fills or not found:
            found.append((fills.get(session["number"]), []))
        found[-1][1].append(session)
    return found


def mark_whence(plan: Plan, fill: Mapping[str, Any], display: Display, text: str | None = None) -> Whence:
    """A fill's mark, with the leg that it must carry."""
    leg = next(sessions for start, sessions in legs(plan) if start is fill)
    top = max(leg, key=lambda session: session["floor_L"])
    mark = display.mark_volume(fill["mark_L"], plan["fill_limit_L"])
    inputs = (
        (
            "Sessions of this leg",
            f"{leg[0]['number']} to {leg[-1]['number']}" if len(leg) > 1 else str(leg[0]["number"]),
        ),
        ("Use expected", display.volume(sum(session["use_mean_L"] for session in leg))),
        ("Highest floor", f"{display.volume(top['floor_L'])} ({top['name']})"),
        ("Chance for the day", share(plan["confidence"])),
        ("May be filled to", display.volume(plan["fill_limit_L"])),
        ("In percent of the tank", f"{fill['mark_percent']:.0f}\u202f%"),
    )
    formula = (
        "The lowest mark from which no session of the leg ends below its floor, in as many simulated days as the "
        "confidence asks, and which holds the expected use and the extra run besides."
    )
    source = "This plan's simulation; the reserve is built like aviation's (14 CFR 121.647, 25.959)."
    return Whence(
        text or f"{mark} ({display.mark_length(fill['mark_mm'])})", "Mark to fill to", inputs, formula, source
    )


def time_whence(plan: Plan, fill: Mapping[str, Any], display: Display) -> Whence:
    session = next(one for one in plan["sessions"] if one["number"] == fill["before_session"])
    days = several_days(plan)
    inputs = (
        ("Session begins", day_and_clock(session["start"], days)),
        ("Most to pour", display.volume(fill["add_p99_L"])),
        ("Minutes needed", f"{fill['minutes_needed']:.0f}"),
    )
    return Whence(
        day_and_clock(fill["by"], days),
        "Begin the refill by",
        inputs,
        "Session's start − (setup + most to pour ÷ pour rate), to the full minute.",
        "The event's [refill] table.",
    )


def blend_whence(plan: Plan, display: Display) -> Whence:
    bring, balance = plan["bring"], plan.get("balance", {})
    inputs = [("In the tank at the start", display.volume(balance.get("in_tank_L")))] if balance else []
    inputs += [("Use expected, whole day", display.volume(plan["mean_use_L"]))]
    if balance:
        inputs += [
            ("Spilled", display.volume(balance["spilled_mean_L"])),
            ("Left in the tank at the end", display.volume(balance["left_mean_L"])),
        ]
    inputs += [("Chance that it is enough", share(plan["confidence"]))]
    formula = "What all fills to their marks take, in as many simulated days as the confidence asks, spills included."
    return Whence(
        display.text(bring["blend_L"], "volume"), "Blend to bring", tuple(inputs), formula, "This plan's simulation."
    )


def _stop_parts(
    plan: Plan, outcome: Outcome, stops: Sequence[Mapping[str, Any]], display: Display
) -> list[str | Whence]:
    """ "refill once, at 12:05 before Session 5 (lunch), to 6.1 L", or the first few of several times."""
    names = {session["number"]: session["name"] for session in plan["sessions"]}
    gaps = {number: s.gap for number, s in enumerate(outcome.event.sessions, 1)} if outcome.event else {}
    count = len(stops)
    parts: list[str | Whence] = [f", refill {TIMES[count] if count < 3 else f'{count} times'}, by "]
    for place, stop in enumerate(stops[:3]):
        number = stop["before_session"]
        where = f" ({gaps[number]})" if gaps.get(number) else ""
        parts += [time_whence(plan, stop, display), f" before {names[number]}{where}"]
        if count == 1:
            parts += [", to ", mark_whence(plan, stop, display)]
        if place < min(count, 3) - 1:
            parts.append(", " if place < min(count, 3) - 2 or count > 3 else " and ")
    if count > 3:
        parts.append(f" and {count - 3} more below")
    return parts


def answer_parts(outcome: Outcome, display: Display) -> list[str | Whence]:
    """The answer: "Fill to 5.2 L (118 mm) before Session 1, refill once, by 12:05 ...; bring 14 L."."""
    plan = outcome.plan
    assert plan is not None
    fills, first = plan["refills"], plan["sessions"][0]
    opening = next((fill for fill in fills if fill["before_session"] == first["number"]), None)
    stops = [fill for fill in fills if fill is not opening]
    parts: list[str | Whence] = []
    if opening:
        parts += ["Fill to ", mark_whence(plan, opening, display), f" before {first['name']}"]
    else:
        parts += [f"Start {first['name']} with what is in the tank"]
    parts += _stop_parts(plan, outcome, stops, display) if stops else [", no refill all day"]
    parts += ["; bring ", blend_whence(plan, display), "."]
    return parts


def rough_courses(outcome: Outcome) -> list[str]:
    """Names of the day's courses that are sketched and not recorded."""
    event = outcome.event
    if event is None:
        return []
    used = {session.course for session in event.sessions}
    return [course.name for course in event.courses if course.name in used and not course.logs]


def brief(plan: Plan, display: Display) -> str:
    """The answer in a few words, for beside the sliders."""
    first = plan["sessions"][0]["number"]
    marks = [display.mark_volume(fill["mark_L"], plan["fill_limit_L"]) for fill in plan["refills"]]
    opening = marks.pop(0) if plan["refills"] and plan["refills"][0]["before_session"] == first else "what is in it"
    count = len(marks)
    stops = "no refill" if not count else f"{count} refill{'s' if count > 1 else ''} ({', '.join(marks[:4])})"
    return f"Fill to {opening}, {stops}, bring {display.text(plan['bring']['blend_L'], 'volume')}"


def answer_note(plan: Plan) -> list[str | Whence]:
    """The chance, in a sentence under the answer."""
    accepted = f"{share(1 - plan['confidence'])} is accepted"
    rest = f"below a floor at some time of the day; {accepted}."
    if plan["short_chance"] > 0:
        return [day_short_whence(plan), f" chance that the level falls {rest}"]
    return [f"No simulated day let the level fall {rest}"]
