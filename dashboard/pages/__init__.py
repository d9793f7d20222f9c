"""The pages, in the order of their tabs. Wiring only: inputs, outputs, one call to a presenter.

To add a page, write a module here with

    PATH = "/tank"                                  the address
    TITLE = "Tank"                                  the tab's text
    def layout(view: View) -> Component             the page as it first shows; `view` has workspace, event, settings
    def register(app: Dash, workspace: Workspace)   its callbacks, every one through `app.callback`

and name it in NAMES. Take what to show from dashboard/presenters (plain data, no Dash), pictures from
dashboard/figures (no Dash), pieces from dashboard/components. Ids begin with the page's name ("tank-..."), since all
pages share one app. Every callback takes Input("settings", "data") and gives its units to presenters.display.Display:
nothing else knows which units are shown. Wrap what may fail in components.failure.guarded.
"""

from __future__ import annotations

from importlib import import_module
from importlib.util import find_spec
from types import ModuleType

NAMES = ("day", "car", "courses", "tank", "pack", "pit", "new", "method")
IN_FOOTER = ("new", "method")


def page_modules() -> tuple[ModuleType, ...]:
    """The modules of all pages, in order."""
    return tuple(import_module(f"{__name__}.{name}") for name in NAMES if find_spec(f"{__name__}.{name}"))
