"""The choice in words. How volumes and masses are shown is the caller's: the command line's litres, a page's units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


class Units(Protocol):
    """What turns L and kg into text; a page's Display is one."""

    def volume(self, litres: float | None) -> str:
        """A volume [L]."""
        ...

    def mass(self, kg: float | None) -> str:
        """A mass [kg]."""
        ...


@dataclass(frozen=True, slots=True)
class Metric:
    """Litres and kilograms."""

    def volume(self, litres: float | None) -> str:
        """A volume [L]."""
        return "–" if litres is None else f"{litres:.1f} L"

    def mass(self, kg: float | None) -> str:
        """A mass [kg]."""
        return "–" if kg is None else f"{kg:.1f} kg"


def number(count: int) -> str:
    """A count in words as far as twelve."""
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)


def counted(count: int, thing: str) -> str:
    """A count with its thing: no stop, one stop, two stops."""
    return f"{number(count)} {thing}{'s' * (count > 1)}"


def days_text(count: int, days: int) -> str:
    """On how many of the days, as "on the day", "on both days", "on two of five days"."""
    if days == 1:
        return "on the day"
    if count == days:
        return "on both days" if days == 2 else f"on all {number(days)} days"
    return f"on {number(count)} of {number(days)} days"


def listed(words: Sequence[str]) -> str:
    """Words as a list in a sentence."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _gains(trade: Mapping[str, Any]) -> list[str]:
    """What changes in days that can be driven and in stops, each with what it is held against to follow."""
    parts = []
    if trade["saved_days"]:
        more = "more" if trade["saved_days"] > 0 else "less"
        parts.append(f"{counted(abs(trade['saved_days']), 'day')} {more} can be driven")
    saved, days = trade["stops_saved"], trade["days"]
    if saved > 0:
        parts.append(f"{counted(saved, 'stop')} less {days_text(trade['fewer_on'], days)}")
    if saved < 0:
        parts.append(f"{counted(-saved, 'stop')} more {days_text(trade['more_on'], days)}")
    return parts


def _mass_text(trade: Mapping[str, Any], units: Units) -> str:
    heavier = trade["heavier_kg"]
    if abs(heavier) < 0.05:
        return "the same mass carried"
    return f"{units.mass(abs(heavier))} {'more' if heavier > 0 else 'less'} carried on average"


def trade_sentence(row: Mapping[str, Any], base: str, units: Units) -> str:
    """What a tank buys and costs: "Two stops less on two of five days than with today's 4 L, for 3.1 kg more ..."."""
    trade = row["trade"]
    if row["base"]:
        return f"What the others are held against: {counted(row['stops'], 'stop')} in all."
    parts = _gains(trade)
    held = f"{' and '.join(parts)} than with {base}" if parts else f"as many stops as with {base}"
    saves = trade["stops_saved"] > 0 or trade["saved_days"] > 0
    joined = f"{held}, {'for' if saves else 'with'} {_mass_text(trade, units)}"
    if abs(trade["washing"]) >= 0.05:
        more = "more" if trade["washing"] > 0 else "less"
        joined += f"; {abs(trade['washing']):.0%} {more} of the time in the washing band"
    return _capital(joined) + "."


def answer_sentence(result: Mapping[str, Any], units: Units) -> str:
    """The choice in one or two sentences: the tanks worth considering, and the smallest sizes that do it."""
    days = "the day" if len(result["events"]) == 1 else f"{number(len(result['events']))} days"
    names = [row["name"] for row in result["worth"]]
    if not names:
        return f"None of these tanks gets through {days}{_why_none(result)}. {smallest_sentence(result, units)}"
    worth = f"{number(len(names))} tanks are" if len(names) > 1 else "one tank is"
    sentence = f"For {days} {worth} worth considering: {listed(names)}."
    least = min(tank["impossible_days"] for tank in result["tanks"] if tank["worth"])
    if least:
        sentence += f" None drives all the days; {counted(least, 'day')} {'is' if least == 1 else 'are'} left out."
    return f"{sentence} {smallest_sentence(result, units)}"


def _why_none(result: Mapping[str, Any]) -> str:
    return " or fits the space" if result["space_mm"] else ""


def smallest_sentence(result: Mapping[str, Any], units: Units) -> str:
    """The smallest tank of the car's own shape without a stop, with stops in long gaps alone, and with any plan."""
    minutes = f"{result['long_gap_min']:g}"
    answers = (
        ("without a stop", result["smallest_without_stops_L"]),
        (f"with stops only in gaps over {minutes} min", result["smallest_in_long_gaps_L"]),
        ("with any plan", result["smallest_feasible_L"]),
    )
    known: dict[str, list[str]] = {}
    for what, size in answers:
        if size is not None:
            known.setdefault(units.volume(size), []).append(what)
    beyond = [what for what, size in answers if size is None]
    sizes = "; ".join(f"{size} {' and '.join(whats)}" for size, whats in known.items())
    parts = [f"The smallest of the car's own shape: {sizes}."] if known else []
    if beyond:
        parts.append(f"No tank up to sixteen times today's does it {' or '.join(beyond)}.")
    return " ".join(parts)


def sure_sentence(result: Mapping[str, Any]) -> str:
    """Which answers may flip, and which measurement would settle most of them."""
    sure = result["sureness"]
    span = f"{sure['low']:.2f} to {sure['high']:.2f} times what its file says"
    if not sure["flips"]:
        return f"Nothing flips while the car uses {span} (the middle 80 % of what is believed)."
    rows = sure["flips"]
    names = list(dict.fromkeys(row["tank"] for row in rows))
    best = max(sure["measurements"], key=lambda way: way["settles"])
    others = [way for way in sure["measurements"] if way is not best]
    beside = "".join(f" ({other['name']}: {other['settles']:.0%})" for other in others)
    return (
        f"{_capital(counted(len(rows), 'answer'))} for {listed(names)} may flip while the car uses {span}; "
        f"{best['name']} would settle {best['settles']:.0%} of that{beside}."
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def change_sentence(rows: Sequence[Mapping[str, Any]], units: Units) -> str:
    """What moves the day's use and the stops most."""
    if not rows:
        return ""
    use = max(rows, key=lambda row: abs(row["use_more_L"]))
    word = "more" if use["use_more_L"] > 0 else "less"
    sentence = f"Use moves most with {use['name']}: {units.volume(abs(use['use_more_L']))} a day {word}."
    helps = min(rows, key=lambda row: (row["impossible_more"], row["stops_more"], row["carried_more_kg"]))
    if helps["impossible_more"] < 0:
        gained = _capital(counted(-helps["impossible_more"], "day"))
        return f"{sentence} {gained} more can be driven with {helps['name']}."
    if helps["stops_more"] < 0:
        return f"{sentence} Stops fall most with {helps['name']}: {number(-helps['stops_more'])} less in all."
    return f"{sentence} No single change saves a stop."
