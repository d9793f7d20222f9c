"""A course's traces: from its recordings, from sketched pieces, or from time at boost."""

from __future__ import annotations
