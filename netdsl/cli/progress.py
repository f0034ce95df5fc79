"""Progress on standard error, for steps that take longer than a second.

A thread shows it once the second is over: most steps are shorter, and the library that draws on a terminal takes longer to load
than such a step. One thread looks after all steps of a command, for to begin one takes as long as many a step.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress
    from rich.status import Status

#: a step shorter than this is not mentioned, s
PATIENCE_S = 1.0
#: what looks after the steps of the command that runs in this process: without one there is nobody to whom a step is shown
_watch: _Watch | None = None


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
                _tell(f"netdsl: {self._text} ...")

    def end(self, seconds: float) -> None:
        """Take it away; a step that was shown says how long it took."""
        with self._lock:
            self._over = True
            if self._status:
                self._status.stop()
            if self._shown:
                _tell(f"netdsl: {self._text}: {seconds:.1f} s")


class _Watch:
    """Shows the steps of a command that take long."""

    def __init__(self) -> None:
        self._steps: dict[_Notice, float] = {}  # those that are not shown yet, with when they are
        self._thread: threading.Thread | None = None
        self._over = threading.Event()

    def begin(self, notice: _Notice) -> None:
        """Look after a step, with the first one in a thread."""
        self._steps[notice] = time.monotonic() + PATIENCE_S
        if self._thread is None:
            self._thread = threading.Thread(target=self._look, daemon=True)
            self._thread.start()

    def end(self, notice: _Notice) -> None:
        """Look no longer after a step."""
        self._steps.pop(notice, None)

    def close(self) -> None:
        """Let the thread end."""
        self._over.set()

    def _look(self) -> None:
        # a step that begins meanwhile is not to be shown before the wait is over
        wait = PATIENCE_S
        while not self._over.wait(wait):
            now = time.monotonic()
            for notice, due in list(self._steps.items()):
                if due <= now and self._steps.pop(notice, None) is not None:
                    notice.show()
            wait = min([PATIENCE_S, *(due - now for due in list(self._steps.values()) if due > now)])


def _tell(text: str) -> None:
    """Say it, if anyone can be told: the work goes on in any case."""
    with suppress(OSError, ValueError):
        print(text, file=sys.stderr, flush=True)


@contextmanager
def shown() -> Iterator[None]:
    """Run a command, whose long steps are shown."""
    global _watch
    before, _watch = _watch, _Watch()
    try:
        yield
    finally:
        _watch.close()
        _watch = before


@contextmanager
def step(text: str) -> Iterator[None]:
    """Do a step of the work; `text` such as `reading the text` appears when it takes longer than a second."""
    watch = _watch
    if watch is None:
        yield
        return
    notice, begin = _Notice(text), time.perf_counter()
    watch.begin(notice)
    try:
        yield
    finally:
        watch.end(notice)
        notice.end(time.perf_counter() - begin)


class _Bar:
    """A bar of work that is counted, on a terminal once it takes long; nothing elsewhere."""

    def __init__(self, text: str, total: int | None) -> None:
        self._text, self._total = text, total
        self._from = time.perf_counter() if sys.stderr.isatty() else None
        self._shown: Progress | None = None

    def told(self, done: int) -> None:
        """So much of it is done."""
        if self._shown is not None:
            self._shown.update(self._shown.task_ids[0], completed=done)
        elif self._from is not None and time.perf_counter() - self._from > PATIENCE_S:
            self._show(done)

    def _show(self, done: int) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

        columns = TextColumn("netdsl: {task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn()
        self._shown = Progress(*columns, console=Console(stderr=True), transient=True)
        self._shown.add_task(self._text, total=self._total, completed=done)
        self._shown.start()

    def end(self) -> None:
        """Take it away."""
        if self._shown is not None:
            self._shown.stop()


@contextmanager
def counted(text: str, total: int | None = None) -> Iterator[Callable[[int], None]]:
    """Do work of about `total` pieces, None where nothing is known of that; what this gives is called with how many are done.
    Where it takes longer than a second a terminal shows that, and the time that is left."""
    bar = _Bar(text, total)
    try:
        yield bar.told
    finally:
        bar.end()
