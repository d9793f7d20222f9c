"""The day's tables: sessions with their refills between them, what to bring, the priorities side by side."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dashboard.presenters.day_answer import several_days
from dashboard.presenters.display import Display, day_and_clock, minutes, share
from dashboard.presenters.table import Column, Row, TableData

Plan = Mapping[str, Any]


SESSION_COLUMNS = (
    ("Start", ""),
    ("Runs", ""),
    (
        "Use (99 of 100)",
        "The car's flow at each boost, summed over the course's boost in time, times the runs: the mean, and in "
        "brackets what 99 of 100 such sessions stay below. Flow: pump, line and nozzles in balance (orifice law; see "
        "Method). Spread: one unknown factor for the car and one for each session, both lognormal.",
    ),
    ("Level", "Expected before and after the session: the middle of the simulated days."),
    ("After it, worst of 100", "The level that 99 of 100 simulated days end the session above."),
    (
        "Floor",
        "The largest of: what the pickup cannot reach on level ground, what it cannot reach while this course throws "
        "the fluid about, and the low-level switch; the final reserve comes on top (structure after 14 CFR 25.959 and "
        "121.647).",
    ),
    ("Chance short", "Share of the simulated days in which this session ends below its floor."),
)


def _runs(value: float) -> str:
    return f"{value:g}"


def _session_row(plan: Plan, session: Mapping[str, Any], display: Display) -> Row:
    days = several_days(plan)
    driver = session.get("driver") or ""
    driver = f" · {driver}" if driver and driver not in session["name"] else ""
    return Row(
        f"{session['number']}  {session['name']}{driver}",
        (
            day_and_clock(session["start"], days),
            _runs(session["runs"]),
            f"{display.volume(session['use_mean_L'])} ({display.volume(session['use_p99_L'])})",
            f"{display.volume(session['level_start_p50_L'])} → {display.volume(session['level_end_p50_L'])}",
            display.volume(session["level_end_p01_L"]),
            display.volume(session["floor_L"]),
            share(session["short_chance"]) if session["short_chance"] else "none seen",
        ),
    )


def _refill_row(plan: Plan, fill: Mapping[str, Any], display: Display) -> Row:
    first = fill["before_session"] == plan["sessions"][0]["number"]
    words = "Fill" if first else "Refill"
    mark = f"{display.mark_volume(fill['mark_L'], plan['fill_limit_L'])}, {display.mark_length(fill['mark_mm'])}"
    pour = f"pour {display.volume(fill['add_p50_L'])} to {display.volume(fill['add_p99_L'])}"
    when = f"by {day_and_clock(fill['by'], several_days(plan))}"
    text = f"▶ {words} to {mark} · {pour} · {minutes(fill['minutes_needed'])}"
    return Row(text, (when, "", "", "", "", "", ""), "refill-row")


def sessions_table(plan: Plan, display: Display) -> TableData:
    """Sessions in order, each refill as a row before its session."""
    fills = {fill["before_session"]: fill for fill in plan["refills"]}
    rows: list[Row] = []
    for session in plan["sessions"]:
        if session["number"] in fills:
            rows.append(_refill_row(plan, fills[session["number"]], display))
        rows.append(_session_row(plan, session, display))
    columns = tuple(Column(label, about=about) for label, about in SESSION_COLUMNS)
    return TableData("Sessions and refills", "Session", columns, tuple(rows))


def floors_table(plan: Plan, display: Display) -> TableData:
    """What sets each session's floor."""
    rows = tuple(
        Row(
            f"{session['number']}  {session['name']}",
            (
                display.volume(session["unusable_level_L"]),
                display.volume(session["unusable_slosh_L"]),
                display.volume(session["low_level_switch_L"]) if session.get("low_level_switch_L") else "none",
                display.volume(session["final_reserve_L"]),
                display.volume(session["floor_L"]),
                session["floor_set_by"],
            ),
        )
        for session in plan["sessions"]
    )
    labels = ("Pickup, level ground", "Pickup, cornering", "Low-level switch", "Final reserve", "Floor")
    columns = (*(Column(label) for label in labels), Column("Set by", figure=False))
    caption = "Floor: the largest of the first three, and the final reserve on top"
    return TableData(caption, "Session", columns, rows)


def gaps_table(plan: Plan) -> TableData:
    """Each gap: its minutes, whether a refill fits, and why not."""
    names = {session["number"]: session["name"] for session in plan["sessions"]}
    rows = tuple(
        Row(
            f"Before {names[gap['before_session']]}",
            (
                minutes(gap["minutes"]) if gap["minutes"] is not None else "as long as you like",
                "yes" if gap["refill_possible"] else "no",
                gap["reason"],
            ),
        )
        for gap in plan["gaps"]
    )
    columns = (Column("Time"), Column("Refill", figure=False), Column("Why not", figure=False))
    return TableData("Gaps between the sessions", "Gap", columns, rows)


def bring_facts(plan: Plan, display: Display) -> list[tuple[str, str]]:
    """What to bring, as pairs of name and text."""
    bring = plan["bring"]
    sizes = [f"{display.volume(one['size_L'])} with {display.volume(one['fill_L'])}" for one in bring["containers"]]
    facts = [
        ("Blend", f"{display.text(bring['blend_L'], 'volume')} · {display.mass(bring['mass_kg'])}"),
        ("Methanol", f"{display.volume(bring['alcohol_L'], 1)} · {display.mass(bring['alcohol_kg'])}"),
        ("Water, distilled", f"{display.volume(bring['water_L'], 1)} · {display.mass(bring['water_kg'])}"),
        ("Containers", "; ".join(sizes) if sizes else "none are listed in [stock]"),
    ]
    if bring["cost"] is not None:
        facts.append(("Cost", f"{bring['cost']:.2f}"))
    return facts


def priorities_table(plan: Plan, display: Display) -> TableData:
    """The three priorities side by side."""
    rows = []
    for choice in plan["alternatives"]:
        marks = [display.mark_volume(fill["mark_L"], plan["fill_limit_L"]) for fill in choice["refills"]]
        chosen = choice["priority"] == plan.get("priority")
        rows.append(
            Row(
                choice["priority"].capitalize() + (" (chosen)" if chosen else ""),
                (
                    str(choice["stops"]),
                    ", ".join(marks[:4]) + (" …" if len(marks) > 4 else ""),
                    display.mass(choice["mean_carried_kg"]),
                    share(choice["slosh_risk_share"]),
                ),
                "chosen" if chosen else "",
            )
        )
    columns = (
        Column("Stops"),
        Column("Marks", figure=False),
        Column("Carried, on average"),
        Column("Time in the washing band"),
    )
    return TableData("Among plans with the least stops, three priorities", "Priority", columns, tuple(rows))
