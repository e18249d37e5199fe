"""Settings that hold for all tests: the same examples in every run, no limit on the time of one."""

from __future__ import annotations

import gc
import os
import signal

from hypothesis import HealthCheck, settings

settings.register_profile("same", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("search", deadline=None, max_examples=2_000, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile(os.environ.get("SOPC_PROPERTIES", "same"))

gc.set_threshold(100_000, 20, 20)  # most of what tests make is kept to the end; looking through it again takes time

# Begun in the background, the tests and all that they start would be deaf to the interrupt that some of them send.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)
