"""For the tests of all rooms: Python's search for cycles stands still within a test, and is done between two of them."""

from __future__ import annotations

import gc

from hypothesis import HealthCheck, settings

# how long an example takes depends on what else the machine does: no test fails by the clock
settings.register_profile("whenever", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("whenever")

#: objects made and still there, beyond which what the last tests left is searched
GARBAGE = 5_000_000


def pytest_collection_finish() -> None:
    """Without the collector, which looks through every network and sheet again and again, the run takes a tenth less."""
    gc.collect()
    gc.disable()


def pytest_runtest_logfinish() -> None:
    """Search what is new alone: with no search at all two processes take 2.7 GB each, and no less time."""
    if gc.get_count()[0] > GARBAGE:
        gc.collect(0)
