"""This machine's addresses in the network around it, found without sending anything."""

from __future__ import annotations

import socket
from contextlib import suppress

import qrcode

_ELSEWHERE = "192.0.2.1"  # an address for documentation (RFC 5737); connecting a datagram socket sends nothing


def own_addresses() -> tuple[str, ...]:
    """IPv4 addresses by which other devices reach this machine, the likeliest first; empty without a network."""
    found: list[str] = []
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect((_ELSEWHERE, 9))
        found.append(probe.getsockname()[0])
    with suppress(OSError):
        found += [str(info[4][0]) for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    return tuple(dict.fromkeys(address for address in found if not address.startswith(("127.", "0."))))


def sign_in_address(address: str, port: int, code: str) -> str:
    """Where a device signs in; the code stands behind a #, which browsers do not send on."""
    return f"http://{address}:{port}/sign-in#{code}"


def picture_code(text: str) -> qrcode.QRCode:
    """A QR code (ISO/IEC 18004) of a text, with its quiet zone."""
    picture = qrcode.QRCode(error_correction=qrcode.ERROR_CORRECT_M, border=4)
    picture.add_data(text)
    picture.make(fit=True)
    return picture


def picture_path(text: str) -> tuple[int, str]:
    """Modules a side, and the dark ones of a QR code as the path of an SVG drawing."""
    rows = picture_code(text).get_matrix()
    dark = (f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, on in enumerate(row) if on)
    return len(rows), "".join(dark)
