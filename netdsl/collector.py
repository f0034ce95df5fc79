"""Python's search for cycles, paused while large structures grow: plants, networks and drawings are no garbage and hold few
cycles, and looking through them again and again costs up to half of the time."""

from __future__ import annotations

import gc


class collector_paused:
    """No search for cycles meanwhile; afterwards as before. A class: a generator takes five times as long to enter and leave."""

    __slots__ = ("_running",)

    def __enter__(self) -> None:
        self._running = gc.isenabled()
        gc.disable()

    def __exit__(self, *_: object) -> None:
        if self._running:
            gc.enable()
