"""Thirty clients at once: each polls the board as a phone does and asks for a changed plan now and then."""

from __future__ import annotations

import json
import threading
import time
import urllib.request
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

from tests.benchmarks.page_server import DEMO

CLIENTS, SECONDS, EVERY = 30, 12.0, 1.0


@dataclass
class Tally:
    """What the clients saw: times of polls and of pages [ms], and errors."""

    polls: list[float] = field(default_factory=list)
    pages: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)


def _asked(address: str, body: dict[str, Any] | None = None) -> tuple[float, bytes]:
    data = json.dumps(body).encode() if body else None
    request = urllib.request.Request(address, data, {"Content-Type": "application/json"})
    begin = time.perf_counter()
    with urllib.request.urlopen(request, timeout=30) as answer:
        return (time.perf_counter() - begin) * 1e3, answer.read()


def _page(path: str) -> dict[str, Any]:
    """The router's question, as a browser puts it."""
    return {
        "output": "page.children",
        "outputs": {"id": "page", "property": "children"},
        "inputs": [
            {"id": "url", "property": "pathname", "value": path},
            {"id": "url", "property": "search", "value": f"?event={DEMO}"},
        ],
        "state": [{"id": "settings", "property": "data", "value": None}],
        "changedPropIds": ["url.pathname"],
    }


def _client(server: str, number: int, tally: Tally, ends: float) -> None:
    board = f"{server}/pit/board?event={quote(DEMO, safe='')}"
    time.sleep(EVERY * number / CLIENTS)
    try:
        spent, _ = _asked(f"{server}/_dash-update-component", _page("/pit" if number % 3 else "/day"))
        tally.pages.append(spent)
        version = json.loads(_asked(board)[1])["version"]
        while time.perf_counter() < ends:
            spent, _ = _asked(f"{board}&since={quote(version, safe='')}")
            tally.polls.append(spent)
            time.sleep(max(0.0, EVERY - spent / 1e3))
    except (OSError, ValueError, KeyError) as reason:
        tally.errors.append(str(reason))


def thirty_clients(server: str) -> Tally:
    """What thirty clients see over some seconds."""
    tally, ends = Tally(), time.perf_counter() + SECONDS
    threads = [threading.Thread(target=_client, args=(server, number, tally, ends)) for number in range(CLIENTS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return tally
