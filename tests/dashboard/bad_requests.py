"""What the tests of bad requests share: what an answer says to a person, and what must hold of a refusal."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from werkzeug.test import TestResponse

from tests.dashboard.course_days import recorded_day
from tests.dashboard.open_page import name_of, parts_of

EVENT, CAR, LOG = "events/moth.toml", "cars/plum.toml", "logs/meadow-1.csv"
# What a browser holds and no one reads; a word there would say nothing.
UNREAD = {"figure", "tree", "rows", "data", "value", "options", "id", "href", "place", "props.id", "className", "keys"}
NEVER = ("Traceback", "could not be worked out", "The server failed", "root:x:", ".py")


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below a folder and what it holds."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def workspace(folder: Path) -> Path:
    """A workspace with a car, an event and two recordings; its folder."""
    recorded_day(folder)
    return folder


def _texts(node: Any) -> Iterator[str]:
    if isinstance(node, str):
        yield node
    elif isinstance(node, Mapping):
        for key, inner in node.items():
            if key not in UNREAD:
                yield from _texts(inner)
    elif isinstance(node, list):
        for inner in node:
            yield from _texts(inner)


def sentences(*answers: TestResponse) -> list[str]:
    """What answers say to a person, text by text."""
    found: list[str] = []
    for answer in answers:
        if answer.status_code == 204:
            continue
        found += _texts(answer.get_json()) if answer.is_json else answer.get_data(as_text=True).split("\n")
    return found


def hold(answer: TestResponse, named: str, folder: Path, status: int = 200) -> None:
    """Hold that an answer refuses in a sentence with the words named, and gives nothing of the program away."""
    told = sentences(answer)
    assert answer.status_code == status, told
    assert any(named in one and len(one.split()) > 3 for one in told), [one for one in told if len(one) > 20]
    gives_nothing_away(answer, folder)


def gives_nothing_away(answer: TestResponse, folder: Path) -> None:
    """Hold that an answer tells neither of the program's insides nor where the workspace lies."""
    whole = answer.get_json() if answer.is_json else answer.get_data(as_text=True)  # Dash writes "/" as \\u002f
    text = json.dumps(whole, ensure_ascii=False)
    assert not [word for word in (*NEVER, str(folder)) if word in text]


def fault_at(answer: TestResponse, ident: Any) -> Any:
    """The fault that an answer puts beside a part, a sentence or sentences by cell: into it, or with it as a whole."""
    response = (answer.get_json() or {}).get("response", {})
    whole = [props for props in parts_of(response) if props["id"] == ident]
    for props in (response.get(name_of(ident), {}), *whole):
        found = props.get("fault") or props.get("faults")
        if found:
            return found
    return None
