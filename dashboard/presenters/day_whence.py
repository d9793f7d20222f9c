"""Where each number of a day's plan comes from: its own inputs, the formula, the source."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dashboard.presenters.display import Display, day_and_clock, minutes, share
from dashboard.presenters.whence import Whence

Plan = Mapping[str, Any]
Session = Mapping[str, Any]
SIMULATED = "This plan's simulation; see Method, Spread and Plan."
FLOW = "Flow: pump, line and nozzles in balance (orifice law, see Method). Spread: a car's and a session's factor."
RESERVE = "Structure of the reserve after 14 CFR 25.959 and 121.647; slosh by linear theory (see Method, Floor)."


def several_days(plan: Plan) -> bool:
    """Whether the sessions lie on more than one date."""
    return len({session["start"][: len("2000-01-01")] for session in plan["sessions"]}) > 1


def factor_inputs(plan: Plan) -> tuple[tuple[str, str], ...]:
    """The car's one factor of the day, as inputs."""
    factor = plan["car_factor"]
    return (("Car's factor", f"{factor['mean']:.2f}, uncertain by {share(factor['variation'])}"),)


def start_whence(plan: Plan, session: Session) -> Whence:
    """A session's start."""
    inputs = (("Ends", day_and_clock(session["end"], several_days(plan))), ("Time zone", plan["timezone"]))
    formula = "As written, in the event's time zone."
    text = day_and_clock(session["start"], several_days(plan))
    return Whence(text, f"Start of {session['name']}", inputs, formula, "The event's file, [[session]].")


def runs_whence(session: Session) -> Whence:
    """A session's runs, laps or minutes."""
    inputs = (("Course", session["course"]),)
    formula = "As written, in the course's own measure: runs, laps or minutes."
    return Whence(
        f"{session['runs']:g}", f"Runs of {session['name']}", inputs, formula, "The event's file, [[session]]."
    )


def use_whence(plan: Plan, session: Session, display: Display) -> Whence:
    """A session's use: the mean, and what 99 of 100 stay below."""
    mean, runs = session["use_mean_L"], session["runs"]
    inputs = (
        ("Course", session["course"]),
        ("Runs × use of each", f"{runs:g} × {display.volume(mean / runs, 2)}"),
        *factor_inputs(plan),
        ("Half of the sessions use less than", display.volume(session["use_p50_L"])),
        ("9 of 10 less than", display.volume(session["use_p90_L"])),
        ("99 of 100 less than", display.volume(session["use_p99_L"])),
    )
    if session["siphon_mean_L"] > 0:
        inputs += (("Siphoned besides", display.volume(session["siphon_mean_L"])),)
    formula = (
        "Mean: runs × (flow at each boost, summed over the course's boost in time) × the car's factor. In brackets: "
        "what 99 of 100 such sessions stay below, both factors lognormal."
    )
    text = f"{display.volume(mean)} ({display.volume(session['use_p99_L'])})"
    return Whence(text, f"Use of {session['name']}", inputs, formula, FLOW)


def _before(plan: Plan, session: Session, display: Display) -> tuple[str, str]:
    """What the level at a session's start follows from: a fill's mark, or the session before."""
    fill = next((one for one in plan["refills"] if one["before_session"] == session["number"]), None)
    if fill:
        return "Filled before it to", display.mark_volume(fill["mark_L"], plan["fill_limit_L"])
    place = [one["number"] for one in plan["sessions"]].index(session["number"])
    if not place:
        return "In the tank at the start", display.volume(plan["balance"]["in_tank_L"])
    earlier = plan["sessions"][place - 1]
    return f"Left by {earlier['name']}", display.volume(earlier["level_end_p50_L"])


def level_whence(plan: Plan, session: Session, display: Display, which: str) -> Whence:
    """The expected level before ("start") or after ("end") a session."""
    inputs = [_before(plan, session, display)]
    if which == "end":
        inputs.append(("Use, middle of the days", display.volume(session["use_p50_L"])))
    formula = (
        "The middle of the simulated days' levels at the session's start."
        if which == "start"
        else "The middle of the simulated days' levels at its end: level before − use and siphoning."
    )
    title = f"Level {'before' if which == 'start' else 'after'} {session['name']}"
    return Whence(display.volume(session[f"level_{which}_p50_L"]), title, tuple(inputs), formula, SIMULATED)


def worst_whence(plan: Plan, session: Session, display: Display) -> Whence:
    """The level that 99 of 100 days end a session above."""
    inputs = (
        _before(plan, session, display),
        ("Use, 99 of 100 less than", display.volume(session["use_p99_L"])),
        ("Floor", display.volume(session["floor_L"])),
        *factor_inputs(plan),
    )
    formula = "The level at the session's end that 99 of 100 simulated days stay above; earlier sessions count too."
    return Whence(
        display.volume(session["level_end_p01_L"]), f"Worst of 100 after {session['name']}", inputs, formula, SIMULATED
    )


def floor_whence(session: Session, display: Display) -> Whence:
    """A session's floor, with its parts."""
    switch = session.get("low_level_switch_L")
    inputs = (
        ("Pickup cannot reach, level ground", display.volume(session["unusable_level_L"])),
        ("Pickup cannot reach, cornering", display.volume(session["unusable_slosh_L"])),
        ("Low-level switch", display.volume(switch) if switch else "none"),
        ("Final reserve", display.volume(session["final_reserve_L"])),
        ("Set by", session["floor_set_by"]),
    )
    formula = "The largest of the first three, and the final reserve on top."
    return Whence(display.volume(session["floor_L"]), f"Floor of {session['name']}", inputs, formula, RESERVE)


_PARTS = {
    "unusable_level_L": (
        "What the pickup cannot reach on level ground",
        "The volume below the pickup's mouth in the tank's shape.",
        "The car's [tank] table: shape and pickup.",
    ),
    "unusable_slosh_L": (
        "What the pickup cannot reach on this course",
        "The least level at which the pickup stays covered while fluid flows: surface tilted by the course's "
        "acceleration ÷ g, and moved by the first sloshing mode.",
        "The course's acceleration; NASA SP-106, see Method, Floor.",
    ),
    "low_level_switch_L": ("Low-level switch", "As written.", "The car's [tank] table."),
    "final_reserve_L": (
        "Final reserve",
        "reserve.final × the car's largest flow.",
        "The event's [reserve] table; structure after 14 CFR 121.647.",
    ),
}


def floor_part_whence(plan: Plan, session: Session, display: Display, key: str) -> Whence | str:
    """One part of a session's floor."""
    if key == "low_level_switch_L" and not session.get(key):
        return "none"
    title, formula, source = _PARTS[key]
    inputs: tuple[tuple[str, str], ...] = (("Course", session["course"]), ("Session", session["name"]))
    if key == "final_reserve_L":
        inputs = (("Largest flow", display.flow(plan["largest_flow_mL_min"])), *inputs)
    if key == "unusable_slosh_L" and session.get("floor_reason"):
        inputs = (*inputs, ("How", session["floor_reason"]))
    return Whence(display.volume(session[key]), title, inputs, formula, source)


def starves_whence(session: Session, display: Display) -> Whence:
    """The level below which the pickup may starve, the larger of its two parts."""
    inputs = (
        ("On level ground", display.volume(session["unusable_level_L"])),
        ("On this course", display.volume(session["unusable_slosh_L"])),
    )
    most = max(session["unusable_level_L"], session["unusable_slosh_L"])
    return Whence(display.volume(most), f"Starves below, {session['name']}", inputs, "The larger of the two.", RESERVE)


def short_whence(plan: Plan, session: Session, display: Display) -> Whence:
    """The chance that a session ends below its floor."""
    inputs = (
        ("Floor", display.volume(session["floor_L"])),
        ("Level after, worst of 100", display.volume(session["level_end_p01_L"])),
        ("Accepted for the whole day", share(1 - plan["confidence"])),
    )
    text = share(session["short_chance"]) if session["short_chance"] else "none seen"
    formula = "Simulated days in which this session ends below its floor ÷ all simulated days."
    return Whence(text, f"Chance that {session['name']} runs short", inputs, formula, SIMULATED)


def day_short_whence(plan: Plan) -> Whence:
    """The chance that the level falls below a floor at some time of the day."""
    worst = max(plan["sessions"], key=lambda session: session["short_chance"])
    inputs = (
        ("Asked for", f"{share(plan['confidence'])} that it does not"),
        ("Session that is short most often", f"{worst['name']} ({share(worst['short_chance'])})"),
        *factor_inputs(plan),
    )
    formula = "Simulated days in which any session ends below its floor ÷ all simulated days."
    return Whence(share(plan["short_chance"]), "Chance of running short", inputs, formula, SIMULATED)


def pour_whence(fill: Mapping[str, Any], display: Display) -> Whence:
    """What a fill takes, the middle and the most."""
    usual, most = display.volume(fill["add_p50_L"]), display.volume(fill["add_p99_L"])
    text = usual if usual == most else f"{usual} to {most}"
    inputs = (
        ("Mark", display.volume(fill["mark_L"], 2)),
        ("Middle of the days", usual),
        ("99 of 100 take less than", most),
    )
    return Whence(text, "To pour", inputs, "Mark − what is left in the tank, day by day.", SIMULATED)


def pour_minutes_whence(fill: Mapping[str, Any], display: Display) -> Whence:
    """How long a fill takes."""
    inputs = (("Most to pour", display.volume(fill["add_p99_L"])),)
    formula = "refill.setup + most to pour ÷ refill.pour_rate."
    return Whence(minutes(fill["minutes_needed"]), "Time of this fill", inputs, formula, "The event's [refill] table.")


def gap_whence(plan: Plan, gap: Mapping[str, Any], display: Display) -> Whence | str:
    """The minutes of a gap."""
    if gap["minutes"] is None:
        return "as long as you like"
    sessions, days = plan["sessions"], several_days(plan)
    place = [one["number"] for one in sessions].index(gap["before_session"])
    inputs: tuple[tuple[str, str], ...] = (("Session begins", day_and_clock(sessions[place]["start"], days)),)
    if place:
        earlier = sessions[place - 1]
        inputs = ((f"{earlier['name']} ends", day_and_clock(earlier["end"], days)), *inputs)
    if gap.get("can_pour_L") is not None:
        inputs = (*inputs, ("Can be poured in it", display.volume(gap["can_pour_L"])))
    formula = "Start − end of the session before. Poured: (gap − refill.setup) × refill.pour_rate."
    return Whence(minutes(gap["minutes"]), "Time of the gap", inputs, formula, "The event's [[session]] and [refill].")


def choice_mark_whence(plan: Plan, fill: Mapping[str, Any], display: Display) -> Whence:
    """A mark of one priority's plan."""
    inputs = (
        ("Before", fill["session_name"]),
        ("On the dipstick", display.mark_length(fill["mark_mm"])),
        ("Poured, middle of the days", display.volume(fill["add_p50_L"])),
        ("Poured, 99 of 100 less than", display.volume(fill["add_p99_L"])),
    )
    formula = "The lowest mark with which the confidence holds, moved as far as the priority gains from it."
    return Whence(display.mark_volume(fill["mark_L"], plan["fill_limit_L"]), "Mark", inputs, formula, SIMULATED)


def choice_whence(plan: Plan, choice: Mapping[str, Any], display: Display, key: str) -> Whence:
    """A number of one priority's plan: "stops", "mean_carried_kg" or "slosh_risk_share"."""
    low, high = plan.get("washing_band_L", (0.0, 0.0))
    told = {
        "stops": (str(choice["stops"]), "Stops", "The fewest with which the confidence holds, by an exact search."),
        "mean_carried_kg": (
            display.mass(choice["mean_carried_kg"]),
            "Carried, on average",
            "Mean level over the sessions × density of the blend.",
        ),
        "slosh_risk_share": (
            share(choice["slosh_risk_share"]),
            "Time in the washing band",
            "Share of the sessions' time in which the expected level lies in the band.",
        ),
    }
    text, title, formula = told[key]
    marks = ", ".join(display.mark_volume(fill["mark_L"], plan["fill_limit_L"]) for fill in choice["refills"][:4])
    inputs: tuple[tuple[str, str], ...] = (("Priority", choice["priority"]), ("Marks", marks or "none"))
    if key == "slosh_risk_share":
        inputs = (*inputs, ("Band", f"{display.volume(low)} to {display.volume(high)}"))
    return Whence(text, title, inputs, formula, SIMULATED)


_BRING = {
    "mass_kg": ("Mass of the blend", "Methanol's mass + water's mass.", "[blend] and the density tables, see Method."),
    "alcohol_L": (
        "Methanol",
        "Blend's mass × methanol's mass share ÷ methanol's density; mixing shrinks, so the parts add up to more.",
        "[blend] alcohol_share; density tables, see Method, Blend.",
    ),
    "water_L": (
        "Water",
        "Blend's mass × water's mass share ÷ water's density.",
        "[blend] alcohol_share; density tables, see Method, Blend.",
    ),
}


def bring_whence(plan: Plan, display: Display, key: str) -> Whence:
    """A number of what is brought: "mass_kg", "alcohol_L", "water_L", or a mass of the two."""
    bring = plan["bring"]
    liquid = "alcohol_L" if key.startswith("alcohol") else "water_L" if key.startswith("water") else "mass_kg"
    title, formula, source = _BRING[liquid]
    inputs = (
        ("Blend", display.text(bring["blend_L"], "volume")),
        ("Methanol", f"{display.volume(bring['alcohol_L'], 2)}, {display.mass(bring['alcohol_kg'])}"),
        ("Water", f"{display.volume(bring['water_L'], 2)}, {display.mass(bring['water_kg'])}"),
        ("Both together", display.mass(bring["mass_kg"])),
    )
    text = display.mass(bring[key]) if key.endswith("kg") else display.volume(bring[key], 1)
    return Whence(text, title, inputs, formula, source)


def container_whence(plan: Plan, one: Mapping[str, Any], display: Display) -> Whence:
    """A container with what goes into it."""
    text = f"{display.volume(one['size_L'])} with {display.volume(one['fill_L'])}"
    inputs = (
        ("Size", display.volume(one["size_L"])),
        ("Blend, all together", display.volume(plan["bring"]["blend_L"])),
    )
    formula = "Of the sizes listed, those that hold the blend with the least volume left over."
    return Whence(text, "Container", inputs, formula, "The event's [stock] containers.")


def cost_whence(plan: Plan, display: Display) -> Whence:
    """The cost of what is brought."""
    bring = plan["bring"]
    inputs = (("Methanol", display.volume(bring["alcohol_L"], 2)), ("Water", display.volume(bring["water_L"], 2)))
    return Whence(
        f"{bring['cost']:.2f}",
        "Cost",
        inputs,
        "Volume × price, both liquids.",
        "The event's [stock] prices, any currency.",
    )
