"""What differs between two states of a sheet, as bars beside the drawing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from render.layout.bounds import bounds_of
from render.sheet import Label, Primitive, Sheet

#: bars with less between them are one, so that the mark of a revision has its place above each, mm
JOINED = 11.0

#: from where to where a sheet changed, y in mm
Bars = tuple[tuple[float, float], ...]


def changes(before: Sheet | None, now: Sheet) -> Bars:
    """Where `now` says something else than `before`: what was added, changed or taken away, by height. A sheet that is new has
    changed all along.

    Texts count by what they say and of what, wherever they stand, so that rows that only moved are no change; lines count only
    where no text differs.
    """
    if before is None:
        return _joined(now.primitives)
    texts = [_differing(_texts(before), _texts(now)), _differing(_texts(now), _texts(before))]
    found = [part for parts in texts for part in parts]
    if not found:
        found = [*_differing(before.primitives, now.primitives), *_differing(now.primitives, before.primitives)]
    return _joined(found)


def _texts(sheet: Sheet) -> list[Primitive]:
    return [part for part in sheet.primitives if isinstance(part, Label)]


def _differing(these: Sequence[Primitive], others: Sequence[Primitive]) -> list[Primitive]:
    """Those of `these` that `others` lack, each as often as it is missing."""
    left = Counter(map(_said, others))
    found = []
    for part in these:
        said = _said(part)
        if left[said]:
            left[said] -= 1
        else:
            found.append(part)
    return found


def _said(part: Primitive) -> object:
    return (part.text, part.of) if isinstance(part, Label) else part


def _joined(parts: Iterable[Primitive]) -> Bars:
    boxes = sorted((box.top, box.bottom) for box in map(bounds_of, parts))
    bars: list[tuple[float, float]] = []
    for top, bottom in boxes:
        if bars and top - bars[-1][1] < JOINED:
            bars[-1] = bars[-1][0], max(bars[-1][1], bottom)
        else:
            bars.append((top, bottom))
    return tuple(bars)
