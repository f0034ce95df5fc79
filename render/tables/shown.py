"""Where the drawings from which the shop wires show a terminal or a conductor: sheet and zone."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from render.drawing import Drawing
from render.layout.frame import zone
from render.sheet import Label, Sheet

_ROW = 4.0  # from the number of a terminal up to what stands above the conductor that lands on it, at most, mm


def zones(sheet: Sheet) -> dict[str, str]:
    """For each thing that is shown itself on a sheet, the zone of its first text: of a terminal its number, not where another
    leads to it. Of one that stands there twice, as in both halves of its strip, also where each conductor lands on it."""
    found: dict[str, str] = {}
    numbers: list[Label] = []
    for part in sheet.primitives:
        if isinstance(part, Label) and part.of:
            name = part.of.partition(":")[2]
            if not name or part.text == name:
                found.setdefault(part.of, zone(sheet.size, part.x, part.y))
            if name and part.text == name:
                numbers.append(part)
    if len({number.of for number in numbers}) < len(numbers):
        found.update(_landings(sheet, numbers))
    return found


def _landings(sheet: Sheet, numbers: Sequence[Label]) -> Iterator[tuple[str, str]]:
    """What `zones` says of conductors: the terminal on which one lands is that whose number is the last above it."""
    numbers = sorted(numbers, key=lambda number: number.y)
    heights = [number.y - _ROW for number in numbers]
    count = Counter(number.of for number in numbers)
    for part in sheet.primitives:
        if isinstance(part, Label) and part.of and part.of not in count:
            at = bisect_right(heights, part.y) - 1
            if at >= 0 and count[numbers[at].of] > 1:
                yield _landing(numbers[at].of, part.of), zone(sheet.size, numbers[at].x, numbers[at].y)


def _landing(thing: str, conductor: str) -> str:
    return f"{thing} {conductor}"


class Shown:
    """Terminals on the terminal drawing where they have one, else on their device sheet: `drawing.of(Shown)`. `known`: the sheets
    of the diagrams with what `zones` gives of them, where they are drawn already."""

    def __init__(self, drawing: Drawing, known: Iterable[tuple[Sheet, Mapping[str, str]]] | None = None) -> None:
        self._wired = drawing.wired
        self._sheets: dict[str, Sheet] = {}
        self._own: dict[tuple[str, str], str] = {}
        keys = {key for each in self._wired for key in each.values()}
        if known is None:
            known = ((sheet, zones(sheet)) for sheet in drawing.diagrams if sheet.key in keys)
        for sheet, shows in known:
            if sheet.key in keys:
                self._sheets[sheet.key] = sheet
                self._own.update({(sheet.key, thing): at for thing, at in shows.items()})

    def key(self, thing: str, conductor: str = "") -> str:
        """Key of the sheet where a device, strip or terminal is wired, where `conductor` lands on it; "" where none shows it."""
        tried = ((thing, conductor), (thing, ""), (thing.partition(":")[0], ""))
        return next((each[name] for name in tried for each in self._wired if name in each), "")

    def number(self, thing: str, conductor: str = "") -> str:
        """Number of that sheet, "" where none shows it."""
        key = self.key(thing, conductor)
        return self._sheets[key].number if key else ""

    def place(self, thing: str, conductor: str = "") -> tuple[str, str]:
        """Sheet and zone where it is wired, `T.X1 B4`, and the key of that sheet; "" where none shows it."""
        key = self.key(thing, conductor)
        if not key:
            return "", ""
        sheet = self._sheets[key]
        names = (_landing(thing, conductor), thing, thing.partition(":")[0])
        at = next((self._own[key, name] for name in names if (key, name) in self._own), "")
        return (f"{sheet.number} {at}" if at else sheet.number), key

    def wire(self, conductor: str, *ends: str) -> tuple[str, str]:
        """Where a wire is worked: at the first of its ends on a terminal drawing, else on a device sheet."""
        for each in self._wired:
            for end in ends:
                if (end, "") in each:
                    return self.place(end, conductor)
        return next((found for found in map(self.place, ends) if found[0]), ("", ""))
