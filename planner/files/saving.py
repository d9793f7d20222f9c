"""Opening a car or event file for editing and saving it: never a file that the reader would refuse."""

from __future__ import annotations

import math
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from planner.errors import BadInput, Conflict, Fault
from planner.files.atomic import content_if_unchanged, fingerprint_of, write_whole
from planner.files.car_file import parse_car
from planner.files.event_file import parse_day
from planner.files.locking import locked
from planner.files.toml_text import decoded, kind_of, read_content
from planner.files.undo import remember


@dataclass(frozen=True, slots=True)
class Opened:
    """A file's document, to be changed in place, and the fingerprint of the file as it was read."""

    path: Path
    document: tomlkit.TOMLDocument
    fingerprint: str


def open_file(path: Path, fingerprint: str | None = None) -> Opened:
    """A car or event file opened for editing; it may hold faults, but must be TOML.

    Raises BadInput, and Conflict where a fingerprint is given that the file has no more.
    """
    content = read_content(path, path.name) if fingerprint is None else content_if_unchanged(path, fingerprint)
    text = decoded(content, path.name)
    try:
        return Opened(path, tomlkit.parse(text), fingerprint_of(content))
    except (TOMLKitError, ValueError, RecursionError) as reason:
        remedy = f"not TOML ({str(reason)[:120]}); mend it in an editor first"
        raise BadInput([Fault(path.name, "", "", remedy)]) from reason


def save(opened: Opened) -> str:
    """Check a changed document as the reader does and write it; the file's new fingerprint.

    Raises BadInput for what the reader would refuse, Conflict where the file changed outside, NotWritten. Nothing
    is written then. What the file held before is kept for `undo`.
    """
    text = text_of(opened.document)
    check(text, opened.path)
    content = text.encode()
    with locked(opened.path):
        before = content_if_unchanged(opened.path, opened.fingerprint)
        if before == content:
            return opened.fingerprint
        remember(opened.path, before)
        write_whole(opened.path, content)
    return fingerprint_of(content)


def create(path: Path, text: str) -> str:
    """Write a new car or event file; its fingerprint. Raises BadInput, NotWritten, Conflict where one stands there."""
    check(text, path)
    with locked(path):
        if path.exists():
            raise Conflict(f"there is a {path.name} already: choose another name")
        write_whole(path, text.encode())
    return fingerprint_of(text.encode())


def check(text: str, path: Path) -> None:
    """Raise BadInput with every fault that the reader would find in a text standing at `path`.

    Faults of the car's own file do not keep an event from being saved.
    """
    try:
        kind = kind_of(tomllib.loads(text))
    except (ValueError, RecursionError):
        kind = "car"
    if kind == "event":
        _check_event(text, path)
    else:
        parse_car(text, path.name)


def _check_event(text: str, path: Path) -> None:
    try:
        parse_day(text, path)
    except BadInput as reason:
        own = [
            Fault(path.name, fault.key, fault.value, fault.remedy) for fault in reason.faults if fault.file == str(path)
        ]
        if own:
            raise BadInput(own) from reason


def text_of(document: tomlkit.TOMLDocument) -> str:
    """A document's text, with its own line ends throughout. Raises BadInput where text and document disagree."""
    text = tomlkit.dumps(document)
    if text.count("\r\n") * 2 > text.count("\n"):
        text = re.sub(r"\r?\n", "\r\n", text)
    try:
        faithful = _same(tomllib.loads(text), document.unwrap())
    except ValueError:
        faithful = False
    if not faithful:
        remedy = "this change cannot be written without disturbing the rest of the file; make it in an editor"
        raise BadInput([Fault("", "", "", remedy)])
    return text


def _same(one: Any, other: Any) -> bool:
    """Whether two documents say the same; a nan, which the reader refuses by name, is the same as another."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return bool(one == other) or (type(one) is type(other) is float and math.isnan(one) and math.isnan(other))
