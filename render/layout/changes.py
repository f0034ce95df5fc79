"""What differs between two states of a sheet, as bars beside the drawing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from difflib import SequenceMatcher

from render.layout.bounds import bounds_of
from render.sheet import Label, Primitive, Sheet

#: bars with less between them are one, so that the mark of a revision has its place above each, mm
JOINED = 11.0

#: texts of one thing that may all stand elsewhere than before and count as exchanged, each of them
_FEW = 4

#: from where to where a sheet changed, y in mm
Bars = tuple[tuple[float, float], ...]


def changes(before: Sheet | None, now: Sheet, rewired: Collection[str] = ()) -> Bars:
    """Where `now` says something else than `before`: what was added, changed or taken away, by height. A sheet that is new has
    changed all along.

    Texts count by what they say and of what, wherever they stand, so that rows that only moved are no change; those of one thing
    that stand in another order, as two cores exchanged, are one, and so are those of what is `rewired`. Lines count only where no
    text differs.
    """
    if before is None:
        return _joined(now.primitives)
    texts = [_differing(_labels(before), _labels(now)), _differing(_labels(now), _labels(before))]
    found = [part for parts in texts for part in parts]
    found += exchanged([_labels(now)], [_labels(before)])
    found += [label for label in _labels(now) if label.of in rewired]
    if not found:
        found = [*_differing(before.primitives, now.primitives), *_differing(now.primitives, before.primitives)]
    return _joined(found)


def exchanged(these: Iterable[Sequence[Label]], others: Iterable[Sequence[Label]]) -> list[Label]:
    """Texts on `these` sheets that the `others` have too, of the same thing, but in another order as they are read: line by line,
    from the left. `others` have their names as these have them."""
    there = _by_thing(others)
    found: list[Label] = []
    for of, labels in _by_thing(these).items():
        own, its = [label.text for label in labels], [label.text for label in there.get(of, ())]
        if own != its and Counter(own) == Counter(its):
            apart = [label for label, text in zip(labels, its, strict=True) if label.text != text]
            if len(apart) > _FEW:  # one that moved past many: they are where they were to each other
                blocks = SequenceMatcher(None, its, own, autojunk=False).get_opcodes()
                apart = [label for kind, _, _, start, end in blocks if kind != "equal" for label in labels[start:end]]
            found += apart
    return found


def _by_thing(sheets: Iterable[Sequence[Label]]) -> dict[str, list[Label]]:
    """Texts by designation, in the order in which they are read."""
    found: dict[str, list[Label]] = {}
    for labels in sheets:
        for label in sorted(labels, key=lambda label: (round(label.y), label.x)):
            if label.of.startswith(("=", "-", "+")):
                found.setdefault(label.of, []).append(label)
    return found


def _labels(sheet: Sheet) -> list[Label]:
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
