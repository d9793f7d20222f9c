"""The planner's sentences, which speak in its own units and name the command line's options, as a page says them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from dashboard.presenters.display import THIN, Display

_VOLUME = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) L\b")
_LENGTH = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) mm\b")
_TEMPERATURE = re.compile(r"(?<![\w.])(-?\d+(?:\.\d+)?) degC\b")
_MAPPING = re.compile(
    r'--(?P<option>column|unit) (?:"(?P<key>[\w ]+)=(?P<quoted>[^"]*)"|(?P<word>\w+)=(?:"(?P<inner>[^"]*)"|'
    r"(?P<bare>(?:[^\s;,.)]|\.(?=\w))*)))"
)
_WORDS = (
    (r"--gauge or --absolute(?: \([^)]*\))?", "what the pressure counts from, under Columns"),
    (r"--(?:gauge|absolute)", "what the pressure counts from, under Columns,"),
    (r'Say it with --ambient, such as --ambient "98 kPa"', 'Enter it under Change this course, such as "98 kPa"'),
    (r"--ambient", "the air outside under Change this course"),
    (r"--rate", "under Columns"),
    (r'give --to-mark, or --add with an amount such as "([^"]+)"', r'fill to the mark, or say how much, such as "\1"'),
    (r"use --add(?: with an amount)?", "say how much instead"),
    (r"--split-\w+", "the cut in runs under Change this course"),
    (r"name the column with columns = \{ boost = \.\.\. \}", "choose the column for boost under Columns"),
)


def in_units(text: str, display: Display) -> str:
    """A sentence of the planner, which speaks in L, mm and degC, in the units shown; no line breaks before a unit."""
    text = _TEMPERATURE.sub(lambda found: display.temperature(float(found[1])), text)
    if display.system == "metric":
        return _LENGTH.sub(rf"\1{THIN}mm", _VOLUME.sub(rf"\1{THIN}L", text))

    def shown(convert: Callable[[float], str]) -> Callable[[re.Match[str]], str]:
        return lambda found: convert(float(found[1]))

    return _LENGTH.sub(shown(display.length), _VOLUME.sub(shown(display.volume), text))


def warning_words(warning: Mapping[str, Any], display: Display) -> str:
    """A plan's warning; how a recording was read is changed on another page, which is named."""
    text = in_units(warning["text"], display)
    if warning["code"] != "recording":
        return text
    return re.sub(r"\b(under (?:Columns|Change this course))", r"\1 on the page Courses", page_words(text))


def page_words(text: str) -> str:
    """A sentence of the reader with the command line's options turned into places on the page."""
    text = _MAPPING.sub(_place_of, text)
    for pattern, said in _WORDS:
        text = re.sub(pattern, said, text)
    return text


def _place_of(option: re.Match[str]) -> str:
    """Where on the page an option such as --column boost=MAP or --unit boost=kPa stands."""
    meaning = option["key"] or option["word"]
    value = next(text for text in (option["quoted"], option["inner"], option["bare"]) if text is not None)
    if option["option"] == "unit":
        return f"{value} as its unit under Columns" if value else "its unit under Columns"
    if value.startswith("-"):
        return f'"{value[1:]}, sign reversed" under Columns'
    return f"the column for {meaning} under Columns" if value == "NAME" else f'"{value}" for {meaning} under Columns'
