"""Access codes of a shared workspace, and how often an address may try them.

Codes and the key that signs sessions lie in the user's own data folder, not in the workspace, so that neither a copy of
the workspace nor a restart in the paddock changes who may enter.
"""

from __future__ import annotations

import hmac
import ipaddress
import json
import secrets
import threading
import time
from collections import OrderedDict
from dataclasses import asdict, dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Literal

from planner.files.atomic import write_whole

Right = Literal["crew", "look"]
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that is taken for another
CODE_LETTERS = 8  # 31 ** 8 codes: at TRIES a WINDOW, 30,000 years on average to guess one from 250 addresses
TRIES, WINDOW = 8, 300.0  # wrong codes allowed from one address in so many seconds
MOST_ADDRESSES = 4096


@dataclass(frozen=True, slots=True)
class Access:
    """The codes of a shared workspace, and the key that signs its sessions."""

    crew: str
    look: str
    secret: str = field(repr=False)

    def right_of(self, typed: str) -> Right | None:
        """What a code as typed allows; compared in constant time. Blanks, hyphens and capitals do not matter."""
        code = "".join(letter for letter in typed[:64].lower() if letter.isalnum()).encode()
        crew = hmac.compare_digest(code, self.crew.encode())
        look = hmac.compare_digest(code, self.look.encode())
        return "crew" if crew else "look" if look else None


def new_access() -> Access:
    """Fresh codes and key."""
    crew, look = ("".join(secrets.choice(LETTERS) for _ in range(CODE_LETTERS)) for _ in range(2))
    return Access(crew, look, secrets.token_hex(32))


def spoken(code: str) -> str:
    """A code in two groups, as it is read out."""
    return f"{code[: CODE_LETTERS // 2]}-{code[CODE_LETTERS // 2 :]}"


def access_of(folder: Path, home: Path, *, renew: bool = False) -> Access:
    """The access of a workspace folder, kept in `home`; made where there is none, or anew. Raises NotWritten."""
    path = home / f"{sha256(str(folder).encode()).hexdigest()[:16]}.json"
    if not renew and path.exists():
        try:
            return Access(**json.loads(path.read_text(encoding="utf-8")))
        except (OSError, ValueError, TypeError):
            pass
    access = new_access()
    home.mkdir(parents=True, exist_ok=True, mode=0o700)
    path.touch(mode=0o600)
    write_whole(path, json.dumps(asdict(access)).encode())
    return access


class Tries:
    """Wrong codes by address: how long an address must wait before the next try."""

    def __init__(self) -> None:
        self._wrong: OrderedDict[str, list[float]] = OrderedDict()
        self._lock = threading.Lock()

    def wait(self, address: str) -> float:
        """Seconds until this address may try again, 0 if it may now."""
        with self._lock:
            recent = self._recent(address)
            return 0.0 if len(recent) < TRIES else max(recent[0] + WINDOW - time.monotonic(), 0.0)

    def wrong(self, address: str) -> None:
        """Count a wrong code; the addresses longest unheard of are dropped where there are too many."""
        with self._lock:
            self._wrong[_network(address)] = [*self._recent(address), time.monotonic()][-TRIES:]
            self._wrong.move_to_end(_network(address))
            while len(self._wrong) > MOST_ADDRESSES:
                self._wrong.popitem(last=False)

    def _recent(self, address: str) -> list[float]:
        since = time.monotonic() - WINDOW
        return [moment for moment in self._wrong.get(_network(address), ()) if moment > since]


def _network(address: str) -> str:
    """An IPv4 address, or the network of 64 bits that one device's IPv6 addresses come from."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return "unknown"
    return address if parsed.version == 4 else str(ipaddress.ip_network(f"{address}/64", strict=False))
