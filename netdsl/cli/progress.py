"""Progress on standard error, for steps that take longer than a second.

A thread shows it once the second is over: most steps are shorter, and the library that draws on a terminal takes longer to load
than such a step.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.status import Status

#: a step shorter than this is not mentioned, s
PATIENCE_S = 1.0


class _Notice:
    """What is shown about one step: a turning sign on a terminal, a plain line elsewhere."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._status: Status | None = None
        self._lock = threading.Lock()
        self._over = False
        self._shown = False

    def show(self) -> None:
        """Begin to show it, unless the step is over already."""
        terminal = sys.stderr.isatty()
        if terminal:
            from rich.console import Console
            from rich.status import Status
        with self._lock:
            if self._over:
                return
            self._shown = True
            if terminal:
                self._status = Status(f"netdsl: {self._text} ...", console=Console(stderr=True))
                self._status.start()
            else:
                print(f"netdsl: {self._text} ...", file=sys.stderr, flush=True)

    def end(self, seconds: float) -> None:
        """Take it away; a step that was shown says how long it took."""
        with self._lock:
            self._over = True
            if self._status:
                self._status.stop()
            if self._shown:
                print(f"netdsl: {self._text}: {seconds:.1f} s", file=sys.stderr, flush=True)


@contextmanager
def step(text: str) -> Iterator[None]:
    """Do a step of the work; `text` such as `reading the text` appears when it takes longer than a second."""
    notice = _Notice(text)
    timer = threading.Timer(PATIENCE_S, notice.show)
    timer.daemon = True
    begin = time.perf_counter()
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        notice.end(time.perf_counter() - begin)
