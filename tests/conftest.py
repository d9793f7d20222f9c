"""Settings that all tests share."""

import functools
import gc

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "house", deadline=None, max_examples=60, suppress_health_check=list(HealthCheck), derandomize=True
)
settings.load_profile("house")


@pytest.fixture(scope="session", autouse=True)
def _cold_caches() -> None:
    """Results kept from before are forgotten: a process forked to try a mutant would answer from them."""
    for thing in gc.get_objects():
        if isinstance(thing, functools._lru_cache_wrapper):
            thing.cache_clear()
