"""What differs between the sheets of two states of a plant, piece by piece, and how that is marked.

A piece is what belongs to one designation. It is compared relative to its own corner, within all sheets of one list or one kind
of drawing: what only moved, on its sheet or to the next, is unchanged. Lines of a piece that is what it was count for nothing, as
they follow their neighbours.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from render.layout.bounds import bounds_of
from render.layout.changes import JOINED, exchanged
from render.layout.fonts import Box
from render.sheet import MEDIUM, NARROW, Label, Line, Primitive, Sheet, Tone, Wash

#: boxes with less between them are marked as one; how far a mark stays off what it marks, mm
_JOINED, _OFF = 3.0, 0.5
_DASH = (2.0, 1.0)
#: head of a column of running numbers; of one of cores, whose numbers are names
_NUMBERS, _CORES = "no", "core"
#: behind a heading that stands again on the next sheet
_AGAIN = " (continued)"
#: width of the lines of what is no more, mm
THIN = 0.13

Rename = Callable[[str], str]


class Marked(Struct, frozen=True):
    """Boxes of what is new or changed on a sheet, by how it differs; of an old sheet, of what is no more, or was otherwise.
    `words`: those of its texts, one by one."""

    boxes: tuple[tuple[Box, Tone], ...]
    words: tuple[Box, ...] = ()

    @property
    def spans(self) -> tuple[tuple[float, float], ...]:
        """From where to where something is marked, y in mm, for bars at the edge."""
        found: list[tuple[float, float]] = []
        for top, bottom in sorted((box.top, box.bottom) for box, _ in self.boxes):
            if found and top - found[-1][1] < JOINED:
                found[-1] = found[-1][0], max(found[-1][1], bottom)
            else:
                found.append((top, bottom))
        return tuple(found)

    @property
    def washes(self) -> tuple[Wash, ...]:
        """The grounds behind them."""
        return tuple(Wash(*box.grown(_OFF), tone) for box, tone in self.boxes)

    def frames(self) -> list[Primitive]:
        """A dashed line round each, for black and white paper."""
        grown = [box.grown(_OFF) for box, _ in self.boxes]
        return [
            Line(((b.left, b.top), (b.right, b.top), (b.right, b.bottom), (b.left, b.bottom)), NARROW, _DASH, closed=True)
            for b in grown
        ]

    def strokes(self) -> list[Primitive]:
        """A line through each text, and across each drawing without one: it is struck."""
        found: list[Primitive] = []
        for b in self.words:
            found.append(Line(((b.left - _OFF, (b.top + b.bottom) / 2), (b.right + _OFF, (b.top + b.bottom) / 2)), MEDIUM))
        for b, _ in self.boxes:
            if not any(b.left <= word.left and word.right <= b.right and b.top <= word.top <= b.bottom for word in self.words):
                found.append(Line(((b.left, b.bottom), (b.right, b.top)), MEDIUM))
        return found


def differences(
    these: Sequence[Sheet], others: Sequence[Sheet], touched: Collection[str], lies: Collection[str], rename: Rename, tone: Tone
) -> dict[str, Marked]:
    """What of `these` sheets the `others` have not, by the key of the sheet. `touched`: designations of which the plant says
    something else; `lies`: cores that land elsewhere; `rename`: a name on `these` as the `others` have it; `tone`: of what is on
    these alone."""
    known = Counter(said for sheet in others for label in _labels(sheet) for said in _said(label, str))
    there = _shapes(others)
    turned = _turned(these, others, touched, rename)
    found: dict[str, Marked] = {}
    for sheet in these:
        boxes: list[tuple[Box, Tone]] = []
        words: list[Box] = []
        for label in _labels(sheet):
            said = Counter(_said(label, rename))
            moved = label.of in lies or (label.x, label.y, label.text) in turned[sheet.key]
            if not moved and all(known[each] >= count for each, count in said.items()):
                for each, count in said.items():
                    known[each] -= count if each[1] else 0
                continue
            own = rename(label.of)
            words.append(bounds_of(label))
            boxes.append((bounds_of(label), tone if not own or own not in there else "changed"))
        for of, shape in _shapes([sheet]).items():
            own = rename(of)
            if own not in there and of in touched and of:
                boxes += [(bounds_of(part), tone) for part in _lines(sheet, of)]
            elif of in touched and of and not shape <= there.get(own, Counter()):
                boxes += [(bounds_of(part), "changed") for part in _lines(sheet, of)]
        if boxes:
            found[sheet.key] = Marked(_together(boxes), tuple(words))
    return found


def _turned(
    these: Sequence[Sheet], others: Sequence[Sheet], touched: Collection[str], rename: Rename
) -> dict[str, set[tuple[float, float, str]]]:
    """Where texts stand that are there as before and changed places, as two cores at the terminals of a drive, by the key of the
    sheet; of pieces that are touched, or speak of what is: others may be laid out in another order."""
    parts = {each.rpartition("-")[2] for each in touched if "-" in each}
    names = [[replace(each, of=rename(each.of), text=rename(each.text)) for each in _labels(sheet)] for sheet in these]
    speaking = {
        own.of
        for sheet, renamed in zip(these, names, strict=True)
        for label, own in zip(_labels(sheet), renamed, strict=True)
        if label.of in touched or any(word.lstrip("-") in parts for word in label.text.split() if word.startswith("-"))
    }
    moved = {id(each) for each in exchanged(names, map(_labels, others)) if each.of in speaking}
    return {
        sheet.key: {
            (label.x, label.y, label.text) for label, own in zip(_labels(sheet), renamed, strict=True) if id(own) in moved
        }
        for sheet, renamed in zip(these, names, strict=True)
    }


def _labels(sheet: Sheet) -> list[Label]:
    """The texts of a sheet, without the running numbers of rows, which move with the rows before them, and without headings that
    stand again."""
    labels = [part for part in sheet.primitives if isinstance(part, Label)]
    heads = [label for label in labels if not label.of and label.text in (_NUMBERS, _CORES)]
    return [
        each
        for each in labels
        if not each.text.endswith(_AGAIN) and not (each.text.isdigit() and _head_of(each, heads) == _NUMBERS)
    ]


def _head_of(label: Label, heads: Sequence[Label]) -> str:
    """The head of the column that a text stands in, the nearest above it; "" for none of `heads`."""
    above = [head for head in heads if abs(label.x - head.x) < 1.0 and head.y < label.y]
    return max(above, key=lambda head: head.y).text if above else ""


def _said(label: Label, rename: Rename) -> list[tuple[str, str]]:
    """What a text says of what, word by word, as lines break otherwise where a column is wider; of nothing, as a heading, as a
    whole. What belongs to a running number, as a test, counts for all of these."""
    of, text = rename(label.of), rename(label.text)
    own = of if not of or of.startswith(("=", "-", "+")) else "*"
    return [(word.strip(","), own) for word in text.split()] if of else [(text, "")]


def _lines(sheet: Sheet, of: str) -> list[Primitive]:
    return [part for part in sheet.primitives if part.of == of and not isinstance(part, Label)]


def _shapes(sheets: Iterable[Sheet]) -> Mapping[str, Counter[str]]:
    """The lines of each designation, relative to the corner of all of them on a sheet."""
    found: dict[str, Counter[str]] = {}
    for sheet in sheets:
        by_name: dict[str, list[Primitive]] = {}
        for part in sheet.primitives:
            if part.of:
                by_name.setdefault(part.of, []).append(part)
        for of, parts in by_name.items():
            lines = [part for part in parts if not isinstance(part, Label)]
            boxes = [bounds_of(part) for part in lines]
            left, top = min((b.left for b in boxes), default=0.0), min((b.top for b in boxes), default=0.0)
            shapes = found.setdefault(of, Counter())
            shapes.update(f"{b.left - left:.1f} {b.top - top:.1f} {b.right - left:.1f} {b.bottom - top:.1f}" for b in boxes)
    return found


def _together(boxes: list[tuple[Box, Tone]]) -> tuple[tuple[Box, Tone], ...]:
    """Boxes that lie close, of one tone, as one."""
    left = sorted(boxes, key=lambda each: (each[1], each[0].top, each[0].left))
    merged = True
    while merged:
        merged = False
        result: list[tuple[Box, Tone]] = []
        for box, tone in left:
            for number, (other, its) in enumerate(result):
                if its == tone and _close(box, other):
                    result[number] = (_both(box, other), tone)
                    merged = True
                    break
            else:
                result.append((box, tone))
        left = result
    return tuple(left)


def _close(one: Box, other: Box) -> bool:
    across = one.left - _JOINED < other.right and other.left - _JOINED < one.right
    return across and one.top - _JOINED / 2 < other.bottom and other.top - _JOINED / 2 < one.bottom


def _both(one: Box, other: Box) -> Box:
    return Box(min(one.left, other.left), min(one.top, other.top), max(one.right, other.right), max(one.bottom, other.bottom))


def thinned(part: Primitive) -> Primitive:
    """A line as thin as can be printed; a text as it is."""
    return part if isinstance(part, Label) else replace(part, width=min(part.width, THIN))
