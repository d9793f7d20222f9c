"""The day's tables: sessions with their refills between them, what to bring, the priorities side by side."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import islice
from typing import Any

from dashboard.presenters import day_whence as whence
from dashboard.presenters.day_answer import blend_whence, mark_whence, time_whence
from dashboard.presenters.display import Display
from dashboard.presenters.table import Cell, Column, Row, TableData

Plan = Mapping[str, Any]
SESSION_COLUMNS = ("Start", "Runs", "Use (99 of 100)", "Level", "After it, worst of 100", "Floor", "Chance short")


def _session_row(plan: Plan, session: Mapping[str, Any], display: Display) -> Row:
    driver = session.get("driver") or ""
    driver = f" · {driver}" if driver and driver not in session["name"] else ""
    levels = [whence.level_whence(plan, session, display, which) for which in ("start", "end")]
    return Row(
        f"{session['number']}  {session['name']}{driver}",
        (
            whence.start_whence(plan, session),
            whence.runs_whence(session),
            whence.use_whence(plan, session, display),
            (levels[0], " → ", levels[1]),
            whence.worst_whence(plan, session, display),
            whence.floor_whence(session, display),
            whence.short_whence(plan, session, display),
        ),
    )


def _refill_row(plan: Plan, fill: Mapping[str, Any], display: Display) -> Row:
    first = fill["before_session"] == plan["sessions"][0]["number"]
    mark = f"{display.mark_volume(fill['mark_L'], plan['fill_limit_L'])}, {display.mark_length(fill['mark_mm'])}"
    head = (
        f"▶ {'Fill' if first else 'Refill'} to ",
        mark_whence(plan, fill, display, mark),
        " by ",
        time_whence(plan, fill, display),
        " · pour ",
        whence.pour_whence(fill, display),
        " · ",
        whence.pour_minutes_whence(fill, display),
    )
    return Row(head, ("",) * len(SESSION_COLUMNS), "refill-row")


def sessions_table(plan: Plan, display: Display) -> TableData:
    """Sessions in order, each refill as a row before its session."""
    fills = {fill["before_session"]: fill for fill in plan["refills"]}
    rows: list[Row] = []
    for session in plan["sessions"]:
        if session["number"] in fills:
            rows.append(_refill_row(plan, fills[session["number"]], display))
        rows.append(_session_row(plan, session, display))
    return TableData("Sessions and refills", "Session", tuple(map(Column, SESSION_COLUMNS)), tuple(rows))


def floors_table(plan: Plan, display: Display) -> TableData:
    """What sets each session's floor."""
    keys = ("unusable_level_L", "unusable_slosh_L", "low_level_switch_L", "final_reserve_L")
    rows = tuple(
        Row(
            f"{session['number']}  {session['name']}",
            (
                *(whence.floor_part_whence(plan, session, display, key) for key in keys),
                whence.floor_whence(session, display),
                session["floor_set_by"],
            ),
        )
        for session in plan["sessions"]
    )
    labels = ("Pickup, level ground", "Pickup, cornering", "Low-level switch", "Final reserve", "Floor")
    columns = (*(Column(label) for label in labels), Column("Set by", figure=False))
    caption = "Floor: the largest of the first three, and the final reserve on top"
    return TableData(caption, "Session", columns, rows)


def gaps_table(plan: Plan, display: Display) -> TableData:
    """Each gap: its minutes, whether a refill fits, and why not."""
    names = {session["number"]: session["name"] for session in plan["sessions"]}
    rows = tuple(
        Row(
            f"Before {names[gap['before_session']]}",
            (whence.gap_whence(plan, gap, display), "yes" if gap["refill_possible"] else "no", gap["reason"]),
        )
        for gap in plan["gaps"]
    )
    columns = (Column("Time"), Column("Refill", figure=False), Column("Why not", figure=False))
    return TableData("Gaps between the sessions", "Gap", columns, rows)


def bring_facts(plan: Plan, display: Display) -> list[tuple[str, Cell]]:
    """What to bring, as pairs of name and what is shown of it."""
    bring = plan["bring"]

    def of(key: str) -> whence.Whence:
        return whence.bring_whence(plan, display, key)

    boxes = [part for one in bring["containers"] for part in ("; ", whence.container_whence(plan, one, display))]
    facts: list[tuple[str, Cell]] = [
        ("Blend", (blend_whence(plan, display), " · ", of("mass_kg"))),
        ("Methanol", (of("alcohol_L"), " · ", of("alcohol_kg"))),
        ("Water, distilled", (of("water_L"), " · ", of("water_kg"))),
        ("Containers", tuple(boxes[1:]) if boxes else "none are listed in [stock]"),
    ]
    if bring["cost"] is not None:
        facts.append(("Cost", whence.cost_whence(plan, display)))
    return facts


def _marks(plan: Plan, choice: Mapping[str, Any], display: Display) -> Cell:
    """The first marks of a priority's plan."""
    fills = choice["refills"]
    parts = [part for fill in islice(fills, 4) for part in (", ", whence.choice_mark_whence(plan, fill, display))]
    return (*parts[1:], " …") if len(fills) > 4 else tuple(parts[1:])


def priorities_table(plan: Plan, display: Display) -> TableData:
    """The three priorities side by side."""
    rows = []
    for choice in plan["alternatives"]:
        chosen = choice["priority"] == plan.get("priority")
        stops, carried, washing = (
            whence.choice_whence(plan, choice, display, key) for key in ("stops", "mean_carried_kg", "slosh_risk_share")
        )
        name = choice["priority"].capitalize() + (" (chosen)" if chosen else "")
        look = "chosen" if chosen else ""
        rows.append(Row(name, (stops, _marks(plan, choice, display), carried, washing), look))
    columns = (
        Column("Stops"),
        Column("Marks", figure=False),
        Column("Carried, on average"),
        Column("Time in the washing band"),
    )
    return TableData("Among plans with the least stops, three priorities", "Priority", columns, tuple(rows))
