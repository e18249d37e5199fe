"""Settings that hold for all tests: the same examples in every run, no limit on the time of one."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

settings.register_profile("same", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("search", deadline=None, max_examples=2_000, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile(os.environ.get("SOPC_PROPERTIES", "same"))
