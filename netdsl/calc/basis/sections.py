"""Sections in which conductors are made."""

from __future__ import annotations

from bisect import bisect_left

#: standard sections, mm2 (IEC 60228)
SECTIONS = tuple(map(float, "0.5 0.75 1 1.5 2.5 4 6 10 16 25 35 50 70 95 120 150 185 240 300 400".split()))


def standard_section(needed: float) -> float:
    """The standard section that is `needed` mm2 or more; beyond the largest, `needed` itself."""
    index = bisect_left(SECTIONS, needed - 1e-6)
    return SECTIONS[index] if index < len(SECTIONS) else needed
