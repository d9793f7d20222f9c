"""The text of a car or event file: read from disk, parsed, and every way that this can fail said in a sentence."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Literal

from planner.errors import BadInput, Fault

_LARGEST = 1_000_000
_EVENT_KEYS = {"session", "course", "timezone", "reserve", "refill", "stock", "date"}
_CAR_KEYS = {"tank", "pump", "nozzle", "controller", "blend", "line"}
_A = {"car": "a car", "event": "an event", None: ""}


def read_text(path: Path, shown: str) -> str:
    """The file's text. Raises BadInput for a folder, a missing or overlong file, or one that is not UTF-8."""
    return decoded(read_content(path, shown), shown)


def read_content(path: Path, shown: str) -> bytes:
    """The file's bytes. Raises BadInput for a folder, or a missing or overlong file."""
    if os.path.isdir(path):
        raise BadInput([Fault(shown, "", "", "a folder, not a file; name the .toml file inside it")])
    try:
        raw = _first_bytes(path)
    except FileNotFoundError as reason:
        raise BadInput([Fault(shown, "", "", f"no such file; {_neighbour(path)}")]) from reason
    except (OSError, ValueError) as reason:
        why = getattr(reason, "strerror", None) or str(reason)
        remedy = f"cannot be read ({why}); check the name and the file's permissions"
        raise BadInput([Fault(shown, "", "", remedy)]) from reason
    if len(raw) > _LARGEST:
        remedy = "larger than 1 MB, so no car or event file; name the .toml file, not a log"
        raise BadInput([Fault(shown, "", "", remedy)])
    return raw


def _first_bytes(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(_LARGEST + 1)


def decoded(raw: bytes, shown: str) -> str:
    """The text of a file's bytes. Raises BadInput for what is not UTF-8."""
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = raw.count(b"\n", 0, reason.start) + 1
        remedy = f"not UTF-8 text (line {line}); save it as UTF-8 in the editor"
        raise BadInput([Fault(shown, "", "", remedy)]) from reason


def _neighbour(path: Path) -> str:
    """Names a similar file in the same folder, or says that the folder is missing."""
    if not os.path.isdir(path.parent):
        return f"there is no folder {path.parent} either; check the path"
    names = [entry.name for entry in path.parent.iterdir()]
    near = get_close_matches(path.name, names, n=1)
    return f"did you mean {near[0]}?" if near else "check the name and the folder"


def kind_of(document: Mapping[str, Any]) -> Literal["car", "event"] | None:
    """Whether a document is a car's or an event's, by its tables; None where it has tables of neither."""
    of_event, of_car = len(_EVENT_KEYS & document.keys()), len(_CAR_KEYS & document.keys())
    if of_event == of_car:
        return None
    return "event" if of_event > of_car else "car"


def parsed(text: str, shown: str, kind: Literal["car", "event"]) -> dict[str, Any]:
    """The TOML document as plain data. Raises BadInput with the line of a syntax error, or for another kind of file."""
    document = _loaded(text, shown)
    found = kind_of(document)
    if found not in (kind, None):
        raise BadInput([Fault(shown, "", "", f"this is the file of {_A[found]}; name that of {_A[kind]} here")])
    return document


def _loaded(text: str, shown: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text.replace("\r\n", "\n"))
    except RecursionError as reason:
        raise BadInput(
            [Fault(shown, "", "", "brackets are nested too deeply; check that each [ has its ]")]
        ) from reason
    except ValueError as reason:
        raise BadInput([Fault(shown, *_syntax(text, str(reason)))]) from reason


def _syntax(text: str, reason: str) -> tuple[str, str, str]:
    """Key, value and remedy of a syntax error: the line's number, the line, and what TOML wants."""
    match = re.search(r"at line (\d+), column \d+", reason)
    lines = text.splitlines()
    number = int(match[1]) if match else len(lines)
    line = lines[number - 1].strip() if 0 < number <= len(lines) else ""
    what = re.sub(r"\s*\(at [^)]*\)", "", reason)
    return f"line {number}", short(line), f"not TOML: {what[:1].lower()}{printable(what[1:80])}; {_hint(line, what)}"


def _hint(line: str, what: str) -> str:
    if "overwrite" in what or "declare" in what or "mutate" in what:
        return "a key or table may be written once only"
    if re.match(r"[^=#]+=\s*[-+]?[\d.]+\s*[^\s\d.#,:eE_T\]}-]", line):
        return 'put a value with a unit in quotes, such as "14 psi"'
    if "=" in line and line.count('"') % 2:
        return "a quotation mark is missing"
    return "write key = value, with texts in quotes"


def short(value: object) -> str:
    """A value as TOML would show it, on one line and at most 60 characters."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return _cut("{ " + ", ".join(f"{key} = {short(entry)}" for key, entry in list(value.items())[:4]) + " }")
    if isinstance(value, list):
        return _cut("[" + ", ".join(short(entry) for entry in value[:4]) + (", ..." if len(value) > 4 else "") + "]")
    if isinstance(value, str):
        return _cut(f'"{printable(value[:80])}"')
    return _cut(str(value) if not isinstance(value, int) or abs(value) < 10**30 else "a number of over 30 digits")


def printable(text: str) -> str:
    """A text on one line, with ? for what no terminal can show."""
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def _cut(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."
