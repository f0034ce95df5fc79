"""How messages print names, lengths, currents and other numbers."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import ceil, floor, log10

from netdsl.calc.basis import Gap


def metres(length_m: float) -> str:
    """A length as printed: below one metre in mm."""
    return f"{length_m * 1000:.0f} mm" if length_m < 1 else f"{length_m:g} m"


def lacking(gap: Gap) -> str:
    """What a calculation lacks: data that is not stated, or a row that no table has."""
    of = f" of {listed(list(gap.things))}" if gap.things else ""
    return f"no table covers the {gap.kind}{of}" if gap.remedy.startswith("no table") else f"{gap.kind}{of} not stated"


def listed(names: list[str], limit: int = 6) -> str:
    """Names in backticks, joined by commas, the number of those left out at the end."""
    shown = ", ".join(f"`{name}`" for name in names[:limit])
    return f"{shown} and {len(names) - limit} more" if len(names) > limit else shown


def amps(value: float) -> str:
    """A current as printed, rounded to three figures."""
    return f"{value:.3g} A" if value < 1000 else f"{value:.0f} A"


def kiloamperes(amperes: float) -> str:
    """A fault current as printed, rounded up to three figures."""
    step = 10.0 if amperes < 10_000 else 100.0
    return f"{ceil(amperes / step - 1e-9) * step / 1000:g} kA"


def ticked(text: str) -> str:
    """A text with the designation before its bracket in backticks: "broken by `-Q1` (C25)"."""
    return re.sub(r"(\S+) \(", r"`\1` (", text)


def above(value: float) -> str:
    """A value as printed, rounded up to three figures."""
    return _figures(value, ceil)


def below(value: float) -> str:
    """A value as printed, rounded down to three figures."""
    return _figures(value, floor)


def _figures(value: float, whole: Callable[[float], int]) -> str:
    step = 10.0 ** (2 - floor(log10(abs(value)))) if value else 1.0
    return f"{whole(value * step) / step:.6g}"
