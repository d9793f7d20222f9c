"""What an entry changed, in a sentence or two."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.entry import Entry
from planner.use.learning import level_mean

if TYPE_CHECKING:  # the state is built with these words
    from planner.follow import DayState


def change_of(entry: Entry, earlier: DayState, state: DayState) -> str:
    """What the last entry says, what it does to the car's factor, and what it does to the next action."""
    parts = [_said(entry, earlier, state), _factor_change(earlier, state), _action_change(earlier, state)]
    return " ".join(part for part in parts if part)


def entry_text(entry: Entry) -> str:
    """An entry in a few words, for lists."""
    value = entry.value
    if entry.kind == "level":
        return f"level {value['level_L']:.2f} L ({value['level_mm']:.0f} mm)"
    if entry.kind == "fill":
        return f"filled to {value['mark_L']:.2f} L" if value["to_mark"] else f"added {value['add_L']:.2f} L"
    if entry.kind == "done":
        runs = f", {value['runs']:g} runs" if value.get("runs") is not None else ""
        return f"{value.get('session_name') or value['session']} done{runs}"
    words = {
        "late": lambda: f"late by {value['minutes']:g} min",
        "cancelled": lambda: f"{value.get('session_name') or value['session']} cancelled",
        "stock": lambda: f"{value['left_L']:.1f} L left in the jugs",
        "kept": lambda: f"kept the day's factor, {value['mean']:.2f}",
        "note": lambda: f"note: {value['text']}",
        "undo": lambda: "took an entry back",
    }
    return words[entry.kind]() if entry.kind in words else f"{entry.kind}, which this version does not know"


def _said(entry: Entry, earlier: DayState, state: DayState) -> str:
    if entry.kind == "level" and state.past.watch.judged:
        told = state.past.watch.judged[-1]
        off = (told.reading - told.expected) * 1e3
        side = "as expected" if abs(off) < 0.05 else f"{abs(off):.2f} L {'more' if off > 0 else 'less'} than expected"
        return f"Read {told.reading * 1e3:.2f} L, {side}."
    if entry.kind == "undo":
        undone = next((e for e in state.entries if e.id == entry.value["undoes"]), None)
        return f"Taken back: {entry_text(undone)}." if undone else "Nothing was taken back."
    if entry.kind == "fill":
        before = max(level_mean(earlier.belief), 0.0) * 1e3
        return f"{_sentence(entry_text(entry))}; about {before:.2f} L were left before."
    return f"{_sentence(entry_text(entry))}."


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:]


def _factor_change(earlier: DayState, state: DayState) -> str:
    before, after = earlier.factor[0], state.factor[0]
    if abs(after - before) < 0.005:
        return ""
    return f"The car now counts as using {after:.2f} times its plan ({before:.2f} before)."


def _action_change(earlier: DayState, state: DayState) -> str:
    old, new = earlier.action, state.action
    if old.kind == new.kind == "over":
        return ""
    changed = old.kind != new.kind or old.session != new.session or abs((old.mark or 0) - (new.mark or 0)) > 2.5e-5
    if changed or old.by != new.by:
        return new.text
    return "The plan stands."
