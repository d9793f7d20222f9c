"""Everything the pit board shows of one board, in the units shown: one call for the page and for its updates."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from dashboard.presenters import pit_board, pit_forecast, pit_keys
from dashboard.presenters.display import SYSTEMS, Display
from dashboard.presenters.pit_words import change_words
from dashboard.presenters.table import TableData
from planner.car import Car
from planner.event import Event
from planner.files.looking import may_only_look


@dataclass(frozen=True, slots=True)
class PitView:
    """The board's parts as presenters give them; picture is None once no session is ahead."""

    urgent: list[tuple[str, str]]
    coming: pit_board.Coming
    todo: pit_board.Todo
    main_key: tuple[str, str]
    panels: dict[str, Any]
    levels: pit_board.Levels
    side: dict[str, Any]
    side_label: str
    others: list[tuple[str, str]]
    picture: pit_forecast.Forecast | None
    more: int
    table: TableData
    entries: list[pit_board.Logged]
    change: str


def pit_view(board: Mapping[str, Any], event: Event, car: Car, display: Display, *, narrow: bool) -> PitView:
    """What a board shows; narrow: on a phone, whose picture holds the next sessions alone."""
    counted = {course.name: course.per for course in event.courses}
    whole = pit_forecast.forecast(board, display)
    picture = pit_forecast.first_of(whole) if whole and narrow else whole
    return PitView(
        urgent=pit_board.alarms(board, display, urgent=True),
        coming=pit_board.coming(board, counted),
        todo=pit_board.todo(board, display),
        main_key=pit_keys.main_key(board, display),
        panels=pit_keys.panels(board, counted, display),
        levels=pit_board.levels(board, display),
        side=pit_board.side(board, car.tank, display),
        side_label=pit_board.side_label(board, display),
        others=pit_board.alarms(board, display, urgent=False),
        picture=picture,
        more=len(whole.slots) - len(picture.slots) if whole and picture else 0,
        table=pit_forecast.forecast_table(board, display),
        entries=pit_board.logged(board, display),
        change=change_words(board["change"], board["next"]["text"], display),
    )


def can_write() -> bool:
    """Whether the device that asks may log anything."""
    return not may_only_look()


def settings_from_cookie(text: str) -> dict[str, str]:
    """Units and screen as the browser keeps them, such as "us.dark.narrow"; metric and wide where it keeps none."""
    words = text.split(".")
    units = next((word for word in words if word in SYSTEMS), SYSTEMS[0])
    return {"units": units, "screen": "narrow" if "narrow" in words else "wide"}
