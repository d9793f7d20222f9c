"""Settings that all tests share."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "house", deadline=None, max_examples=60, suppress_health_check=list(HealthCheck), derandomize=True
)
settings.load_profile("house")
