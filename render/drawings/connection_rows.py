"""The rows of a connection drawing: the ways of each terminal laid out between the drive's box and the words beside them.

x is measured in mm from the edge of the box. A way that is too long goes on in a row of its own under a letter.
"""

from __future__ import annotations

from collections.abc import Sequence
from string import ascii_uppercase

from msgspec.structs import replace

from netdsl.model.plant import Device
from netdsl.network.types import Network
from render.drawings.connection_layout import (
    CONTACT,
    EDGE,
    FORK,
    LETTER,
    WORDS_PITCH,
    Laid,
    Piece,
    Row,
    Widths,
    in_one_line,
    over_height,
    shared_words,
)
from render.drawings.connection_trace import Step, cut, ends
from render.drawings.connection_words import Point, device_words, leads_to, step_words
from render.drawings.connection_words import Tail as ScreenTail
from render.layout.columns import broken, widest
from render.layout.fonts import fits
from render.layout.writing import PITCH, WIDE_PITCH, half
from render.sheet import DESIGNATION
from render.words.names import Names

_GAP, _LEAST_LINE, _OVER = 1.3, 8.0, 46.0
#: kinds of devices whose poles are drawn alike
_POLES = {"motor-breaker": "breaker", "residual-device": "breaker", "housing": "breaker", "contactor": "make", "relay": "make"}
_BESIDE = 2.0  # between a cable and the words beside it
_BELOW, _ABOVE = 2.8, 3.6


class RowMaker:
    """Lays out the terminals of one drive."""

    def __init__(self, network: Network, names: Names, drive: Device, widths: Widths, room: float) -> None:
        self._network = network
        self._names = names
        self._drive = drive
        self._widths = widths
        self._room = room
        self._rows: list[Row] = []
        self._steps: dict[int, list[Step]] = {}
        self._waiting: list[tuple[str, Step]] = []
        self._later: dict[int, str] = {}  # of rows that go on elsewhere: the device at which they do
        self._letters = 0

    def group(self, points: Sequence[Point]) -> tuple[Laid, ...]:
        """The terminals of a group. What neighbouring rows say alike is said once beside them all."""
        laid = tuple(self._fitting(point) for point in points)
        for run in shared_words([row for each in laid for row in each.rows]):
            need = half(len(run[0].words), WORDS_PITCH)
            if len(run) == 1:
                run[0].above, run[0].below = max(run[0].above, need), max(run[0].below, need)
        for each in laid:
            self._make_room(each)
        return laid

    def _fitting(self, point: Point) -> Laid:
        """The rows of a terminal, with so few of its ways that one sheet holds them."""
        laid = self._laid(point)
        most = sum(ends(way) for way in point.ways)
        while _tallest(laid) > self._room and most > 1:
            most -= 1
            ways, out = cut(point.ways, most)
            laid = self._laid(replace(point, ways=ways, more=point.more + out))
        return laid

    def _laid(self, point: Point) -> Laid:
        """The rows of a terminal."""
        self._rows, self._steps, self._waiting, self._later, self._letters = [], {}, [], {}, 0
        self._ways(self._new(), point.ways, EDGE)
        self._tails(point.tails)
        while self._waiting:
            letter, step = self._waiting.pop(0)
            row = self._new()
            row.comes = letter
            self._put(row, step, EDGE + 2 * LETTER + 3.0)
        if point.more:
            self._rows.append(Row(len(self._rows), note=f"and {point.more} more: see the terminal drawings"))
        if not point.used:
            self._rows[0].note = "not used"
        for row in self._rows:
            if steps := self._steps.get(row.number):
                said = leads_to(self._network, steps, self._drive, self._later.get(row.number, ""))
                row.words = broken(said, self._widths.words)
            self._measure(row)
        return Laid(point, self._purpose(point), tuple(self._rows))

    def _purpose(self, point: Point) -> tuple[str, ...]:
        """What a terminal is for and the settings that govern it: in one line where there is room."""
        joined = in_one_line(point)
        if fits(joined, self._widths.purpose):
            return (joined,)
        return tuple(line for text in (point.purpose, *point.settings) for line in broken(text, self._widths.purpose))

    def _new(self, fork: tuple[int, float] | None = None) -> Row:
        row = Row(len(self._rows), fork)
        self._rows.append(row)
        self._steps[row.number] = []
        return row

    def _ways(self, row: Row, ways: Sequence[Step], x: float) -> None:
        """The first way goes on in the row, the others part from it."""
        for number, way in enumerate(ways):
            if number == 0:
                self._put(row, way, x)
            else:
                self._put(self._new((row.number, x + FORK)), way, x + FORK)

    def _put(self, row: Row, step: Step, x: float) -> None:
        piece = self._piece(step, x)
        if piece.right > self._widths.ways - 2 * LETTER - 4.0 and (row.pieces or row.fork):
            row.goes, row.goes_at = self._letter(), x
            self._waiting.append((row.goes, step))
            self._later[row.number] = step.device
            return
        row.pieces.append(piece)
        self._steps[row.number].append(step)
        self._ways(row, step.ways, piece.right)

    def _letter(self) -> str:
        letter = ascii_uppercase[self._letters % 26] * (1 + self._letters // 26)
        self._letters += 1
        return letter

    def _piece(self, step: Step, x: float) -> Piece:
        cable, wire = step_words(self._network, step, self._names)
        if step.skipped:
            wire = f"past {step.skipped} more"
        inside = step.kind in ("contact", "joined")
        name = f":{step.terminal}" if inside else self._names.end(step.device, step.terminal)
        return self._drawn(step.kind, x, (cable, wire), name, (step.of, step.id), self._sign(step))

    def _sign(self, step: Step) -> str:
        if step.path is None or step.path.kind in ("make", "break"):
            return step.path.kind if step.path is not None else ""
        kind = self._network.plant.devices[step.device].kind
        return _POLES.get(kind, kind)

    def _drawn(self, kind: str, x: float, words: tuple[str, str], name: str, ids: tuple[str, str], sign: str = "") -> Piece:
        over, small = broken(words[0], _OVER, DESIGNATION), broken(words[1], _OVER)
        shown = broken(name, self._widths.name, DESIGNATION)
        both = _BESIDE if over and small else 0.0
        length = widest(over, DESIGNATION) + both + widest(small) + 3.0
        least = CONTACT if kind == "contact" else _LEAST_LINE
        end = x + FORK + max(length, least)
        right = end + (widest(shown, DESIGNATION) + 2 * _GAP if shown else 0.0)
        return Piece(kind, x, end, right, over, small, shown, *ids, sign)

    def _tails(self, tails: Sequence[ScreenTail]) -> None:
        for tail in tails:
            row = self._rows[0] if not self._rows[0].pieces else self._new((0, EDGE + FORK))
            x = row.fork[1] if row.fork else EDGE
            words = (self._names.of(tail.cable), tail.here)
            row.pieces.append(self._drawn("screen", x, words, tail.far, (tail.cable, tail.far_id or tail.cable)))
            row.words = broken(self._far_words(tail), self._widths.words)

    def _far_words(self, tail: ScreenTail) -> str:
        device = tail.far_id.partition(":")[0]
        what = device_words(self._network, device, (), self._drive) if device else ""
        return "; ".join(text for text in (f"far end: {tail.far_how}", what) if text)

    def _measure(self, row: Row) -> None:
        if row.pieces:
            over = max(over_height(piece) for piece in row.pieces)
            names = max(len(piece.name) for piece in row.pieces)
            spread = max(names - 1, 0) * WIDE_PITCH / 2
            row.above = max(_ABOVE, over, spread + 2.6)
            row.below = max(_BELOW, spread + _BELOW)
        if row.comes or row.goes:
            row.above, row.below = max(row.above, LETTER + 0.6), max(row.below, LETTER + 0.6)

    def _make_room(self, laid: Laid) -> None:
        """The box's own texts stand centred on the first row."""
        number = broken(laid.point.number, self._widths.number, DESIGNATION)
        need = max(half(len(laid.purpose), PITCH), len(number) * WIDE_PITCH / 2)
        first, last = laid.rows[0], laid.rows[-1]
        first.above = max(first.above, need)
        rest = sum(row.above + row.below for row in laid.rows[1:])
        last.below += max(need - first.below - rest, 0.0)


def _tallest(laid: Laid) -> float:
    """How high a terminal may become once words and purpose have the room they need, mm."""
    words = [half(len(row.words), WORDS_PITCH) for row in laid.rows]
    rows = zip(laid.rows, words, strict=True)
    return sum(max(row.above, need) + max(row.below, need) for row, need in rows) + half(len(laid.purpose), PITCH)
