"""Terminals that stand too far from the one that names their device: they name it too, where there is room."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from render.drawings.circuit_draft import Draft
from render.drawings.circuit_parts import Part

_FAR = 10.0  # mm between two blocks from which on one designation does not serve both


def named_apart(
    looks: Mapping[str, Draft],
    before: Mapping[str, str],
    ways: Mapping[str, Sequence[int]],
    x: Sequence[float],
    led: Callable[[Part], Draft],
) -> Iterator[tuple[str, Draft]]:
    """Each terminal that is to name its device, with its look then. `before`: what stands left of a part; `ways`: its columns;
    `x`: where these are, mm; `led`: the look of a part that names its device."""
    for key, other in before.items():
        if other not in looks or looks[key].part.kind != "pin" or looks[other].part.device != looks[key].part.device:
            continue
        part, frame, left = looks[key].part, looks[key].frame, looks[other].frame
        if frame is None or left is None:
            continue
        gap = x[ways[key][0]] - frame.left - x[ways[other][-1]] - left.right
        if gap > _FAR and (look := led(part)).left[0] <= gap + frame.left - 1.0:
            yield key, look
