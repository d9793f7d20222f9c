"""Whether who asks may only look: set for each request of a shared dashboard, heeded wherever a file is written."""

from __future__ import annotations

from contextvars import ContextVar

ONLY_LOOKING: ContextVar[bool] = ContextVar("only_looking", default=False)
REFUSAL = "this device may only look; sign in with the crew's code to change anything"


def may_only_look() -> bool:
    """Whether the request at hand comes from a device that may only look."""
    return ONLY_LOOKING.get()
