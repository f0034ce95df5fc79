"""Python's search for cycles, paused while large structures grow: plants, networks and drawings are no garbage and hold few
cycles, and looking through them again and again costs up to half of the time."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collector_paused() -> Iterator[None]:
    """No search for cycles meanwhile; afterwards as before."""
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()
