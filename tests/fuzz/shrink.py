"""A text that breaks something made small: lines are taken out, then words, as long as it still breaks in the same way."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

from tests.fuzz.damage import TOKEN

T = TypeVar("T")


def shrunk(data: bytes, breaks: Callable[[bytes], bool], seconds: float) -> bytes:
    """The smallest text found within `seconds` for which `breaks` still holds."""
    end = time.monotonic() + seconds
    try:
        text = data.decode()
    except UnicodeDecodeError:
        return _less([bytes([each]) for each in data], b"".join, breaks, end)
    text = _less(text.splitlines(keepends=True), lambda parts: "".join(parts).encode(), breaks, end).decode()
    return _less(TOKEN.findall(text), lambda parts: "".join(parts).encode(), breaks, end)


def _less(parts: list[T], whole: Callable[[list[T]], bytes], breaks: Callable[[bytes], bool], end: float) -> bytes:
    """Runs of parts left out, long ones first."""
    size = max(1, len(parts) // 2)
    while time.monotonic() < end:
        at, fewer = 0, False
        while at < len(parts) and time.monotonic() < end:
            tried = parts[:at] + parts[at + size :]
            if breaks(whole(tried)):
                parts, fewer = tried, True
            else:
                at += size
        if size == 1 and not fewer:
            break
        size = max(1, size // 2)
    return whole(parts)
