"""Whole processes measured: seconds on the clock and peak resident memory."""

from __future__ import annotations

import math
import os
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Measured:
    """`seconds` on the clock, `mebibytes` at the peak, `code`: exit code, None where it was stopped for time."""

    seconds: float
    mebibytes: float
    code: int | None


def run(command: Sequence[str], limit_s: float = 600.0) -> Measured:
    """Run `command` alone to its end, or stop it after `limit_s`."""
    begin = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    while True:
        pid, status, usage = os.wait4(process.pid, os.WNOHANG)
        seconds = time.perf_counter() - begin
        if pid:
            process.returncode = os.waitstatus_to_exitcode(status)
            return Measured(seconds, usage.ru_maxrss / 1024, process.returncode)
        if seconds > limit_s:
            process.kill()
            process.wait()
            return Measured(seconds, math.nan, None)
        time.sleep(0.002)


def growth(points: Sequence[tuple[float, float]]) -> float:
    """Exponent b of y = a x^b through `points` by least squares on logarithms."""
    logs = [(math.log(x), math.log(y)) for x, y in points]
    mean_x = sum(x for x, _ in logs) / len(logs)
    mean_y = sum(y for _, y in logs) / len(logs)
    return sum((x - mean_x) * (y - mean_y) for x, y in logs) / sum((x - mean_x) ** 2 for x, _ in logs)
