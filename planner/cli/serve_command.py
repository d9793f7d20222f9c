"""`fillmark serve`: the dashboard over a workspace folder, on this machine only unless it is shared."""

from __future__ import annotations

import argparse
import ctypes
import shutil
import socket
import sys
import threading
import webbrowser
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from planner.cli.output import complain
from planner.errors import BadInput, Fault

if TYPE_CHECKING:  # the dashboard is loaded in run()
    from dashboard.access_codes import Access

_M_ARENA_MAX = -8  # of glibc's malloc.h; a C library without it refuses or ignores it
HELP = "open the dashboard over a folder of cars, events and logs"
PORT = 8050
PORTS_TRIED = 20
THREADS = 8
LARGEST_REQUEST = 300_000_000  # bytes; routes set narrower bounds of their own
CONNECTIONS = 400


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "folder", nargs="?", type=Path, help="the workspace; without it, a private copy of the demo days"
    )
    parser.add_argument("--port", type=int, help=f"port to listen on (default: {PORT}, or the next free one)")
    parser.add_argument("--no-browser", action="store_true", help="do not open a browser")
    parser.add_argument("--share", action="store_true", help="let other devices of the network in, by an access code")
    parser.add_argument("--new-codes", action="store_true", help="with --share: new codes; every device signs in anew")


def run(args: argparse.Namespace) -> int:
    """Serve until interrupted. Raises BadInput for a folder or port that cannot be used."""
    _keep_memory_lean()
    folder = _workspace(args.folder)
    # These load Dash, which would slow every other command's start.
    from waitress import create_server

    from dashboard.app import create_app

    access = _access(folder, renew=args.new_codes) if args.share else None
    app = create_app(folder, hosts=None, access=access) if access else create_app(folder)
    listener = _listener("0.0.0.0" if access else "127.0.0.1", args.port)
    server = create_server(
        app.server,
        sockets=[listener],
        threads=THREADS,
        ident="fillmark",
        clear_untrusted_proxy_headers=True,
        max_request_body_size=LARGEST_REQUEST,
        connection_limit=CONNECTIONS,
    )
    port = listener.getsockname()[1]
    address = f"http://127.0.0.1:{port}/"
    if access:
        _invite(access, folder, port)
    else:
        complain(f"Fillmark shows {folder} at {address} on this machine only. Ctrl+C ends it.")
    if not args.no_browser:
        threading.Timer(0.3, webbrowser.open, [address]).start()
    try:
        server.run()
    finally:
        server.close()
    return 0


def _access(folder: Path, *, renew: bool) -> Access:
    """The codes of a shared folder, from the user's data folder."""
    # Only a shared dashboard needs the folder and the codes.
    from platformdirs import user_data_path

    from dashboard.access_codes import access_of

    return access_of(folder, user_data_path("fillmark", appauthor=False) / "share", renew=renew)


def _invite(access: Access, folder: Path, port: int) -> None:
    """Print where other devices find the dashboard, the codes, and the crew's sign-in address as a QR code."""
    # Only a shared dashboard needs the network's addresses and the QR code.
    from dashboard.access_codes import spoken
    from dashboard.network import own_addresses, picture_code, sign_in_address

    addresses = own_addresses()
    shown = " or ".join(f"http://{address}:{port}/" for address in addresses) or "no address yet: join a network"
    complain(f"Fillmark shares {folder} with the network at {shown}; here it is http://127.0.0.1:{port}/.")
    complain(f"Access code of the crew: {spoken(access.crew)}   only to look: {spoken(access.look)}")
    if addresses:
        picture_code(sign_in_address(addresses[0], port, access.crew)).print_ascii(out=sys.stderr, invert=True)
    complain("The page /share shows these again. Share it on a network you trust. Ctrl+C ends it.")


def _keep_memory_lean() -> None:
    """Let the C library keep two heaps for all threads; by default each thread fills one of its own."""
    if sys.platform == "linux":
        with suppress(OSError, AttributeError):
            ctypes.CDLL(None).mallopt(_M_ARENA_MAX, 2)


def _workspace(folder: Path | None) -> Path:
    """The folder to serve. Raises BadInput for one that is not there."""
    if folder is None:
        return demo_copy()
    if not folder.is_dir():
        remedy = "no such folder; name one, or leave it out to see the demo days"
        raise BadInput([Fault(str(folder), "", "", remedy)])
    return folder.resolve()


def demo_copy() -> Path:
    """A private copy of the demo days in the user's data folder; one that is there already is kept as it is."""
    # The demo is data of the package, wanted by this command alone.
    from platformdirs import user_data_path

    import events_demo

    target = user_data_path("fillmark", appauthor=False) / "demo"
    if not target.exists():
        target.parent.mkdir(parents=True, exist_ok=True)
        ignore = shutil.ignore_patterns("*.py", "__pycache__", "*.sqlite*")
        shutil.copytree(events_demo.FOLDER, target, ignore=ignore)
    return target


def _listener(host: str, port: int | None) -> socket.socket:
    """A listening socket on the port asked for, or on the first free one. Raises BadInput where there is none."""
    ports = [port] if port is not None else range(PORT, PORT + PORTS_TRIED)
    for number in ports:
        if not 0 <= number <= 65535:
            raise BadInput([Fault("", "--port", str(number), "a port is a number from 1 to 65535, such as 8050")])
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if sys.platform != "win32":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((host, number))
            return listener
        except OSError:
            listener.close()
    taken = str(port) if port is not None else f"{PORT} to {PORT + PORTS_TRIED - 1}"
    raise BadInput([Fault("", "--port", taken, "in use or not allowed; name a free port, such as --port 9000")])
