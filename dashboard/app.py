"""The dashboard as a Dash app over one workspace folder. See pages/__init__.py for how to add a page."""

from __future__ import annotations

import logging
from pathlib import Path

from dash import Dash
from flask_compress import Compress

from dashboard.access import register_access
from dashboard.access_codes import Access
from dashboard.pack_routes import register_pack_routes
from dashboard.pages import page_modules
from dashboard.pit_routes import register_pit_routes
from dashboard.presenters.workspace import Workspace
from dashboard.security import LOOPBACK, protect
from dashboard.shell import frame, index_page, register_router
from dashboard.tank_choice_routes import register_tank_choice_routes

BROTLI_LEVEL = 4


def create_app(folder: Path, *, hosts: frozenset[str] | None = LOOPBACK, access: Access | None = None) -> Dash:
    """The app for a workspace folder, all pages registered. Several may live in one process.

    hosts: the host names that are answered; None answers any, which a shared dashboard needs.
    access: the codes of a shared dashboard; None asks for none.
    """
    workspace = Workspace(Path(folder).resolve())
    modules = page_modules()
    app = Dash(
        "dashboard",
        assets_folder=str(Path(__file__).parent / "assets"),
        assets_ignore=r"early\.js|plotly-.*\.js|.*\.svg",
        pages_folder="",
        use_pages=False,
        title="Fillmark",
        update_title="",
        index_string=index_page(),
        suppress_callback_exceptions=True,
        meta_tags=[{"name": "viewport", "content": "width=device-width, initial-scale=1"}],
        add_log_handler=False,
    )
    app.layout = lambda: frame(workspace, modules)
    register_router(app, workspace, modules)
    for module in modules:
        module.register(app, workspace)
    register_pit_routes(app.server, workspace)
    register_pack_routes(app.server, workspace)
    register_tank_choice_routes(app.server, workspace)
    _compress(app)
    protect(app, hosts)
    register_access(app.server, access)
    logging.getLogger("fillmark").setLevel(logging.INFO)
    return app


def _compress(app: Dash) -> None:
    """Brotli for everything that is text, as a paddock network needs."""
    app.server.config.update(
        COMPRESS_ALGORITHM=["br", "gzip"],
        COMPRESS_BR_LEVEL=BROTLI_LEVEL,
        COMPRESS_MIN_SIZE=600,
        COMPRESS_MIMETYPES=[
            "text/html",
            "text/css",
            "text/javascript",
            "application/javascript",
            "application/json",
            "image/svg+xml",
        ],
        COMPRESS_STREAMS=True,
    )
    Compress(app.server)
