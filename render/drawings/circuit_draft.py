"""A part of a circuit while its look is made: symbols, numbers, and words beside it, with the room that they take."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from netdsl.sums import sum_of
from render.drawings.circuit_homes import Mention
from render.drawings.circuit_parts import Part
from render.layout.fonts import text_width
from render.layout.writing import PITCH, WIDE_PITCH
from render.sheet import MEDIUM, NORMAL, Anchor, Line, Primitive

NUMBER_X = 1.7  # of a terminal's number, right of its line
LABEL_PITCH = 4.2  # of words at a conductor
EARTH = 0.9  # radius of a clamp for the protective conductor
_MARGIN = 0.8  # behind words


class Text(Struct, frozen=True):
    """A text relative to a way's line and its part's head. `refer`: the part whose sheet and zone stand behind it."""

    x: float
    y: float
    text: str
    height: float = NORMAL
    anchor: Anchor = "start"
    of: str = ""
    refer: str = ""
    bold: bool = False


class Frame(Struct, frozen=True):
    """What is drawn round a part: `kind` "solid", "device" or "place"; from `top` to `bottom`, mm from its head, and so far left
    of its first line and right of its last. `motor`: kind of current of the motor below it."""

    kind: str
    top: float
    bottom: float
    left: float
    right: float
    motor: str = ""


class Draft:
    """The look of a part. `height`: from its ends above to those below; `left`, `right`: of each way, mm from its line; `shift`:
    how far the symbol stands below the ends above; `link`: height of its mechanical link and the last way that it meets; `level`:
    from where to the second way a line runs level; `bar`: height of the line by which all ways are fed, and the last that it
    meets; `joint`: height of the line that joins the first and the last of its clamps for the protective conductor, and their
    ways; `inner`: how wide its frame is at least, mm; `foot`: rows below the column, each line with how far right of the first
    it begins; `down`: ways whose lines go on below."""

    def __init__(self, part: Part, used: Sequence[tuple[bool, bool]]) -> None:
        count = len(part.ways)
        self.part = part
        self.used = used  # of each way whether lines meet it above and below
        self.height = 0.0
        self.shift = 0.0
        self.left = [1.5] * count
        self.right = [1.5] * count
        self.shapes: list[list[Primitive]] = [[] for _ in range(count)]
        self.texts: list[list[Text]] = [[] for _ in range(count)]
        self.frame: Frame | None = None
        self.link: tuple[float, int] | None = None
        self.level: tuple[float, float] | None = None
        self.bar: tuple[float, int] | None = None
        self.joint: tuple[float, int, int] | None = None
        self.inner = 0.0
        self.foot: tuple[tuple[tuple[float, Mention], ...], ...] = ()
        self.down = [below for _, below in used]

    def lead(self, way: int, y1: float, y2: float) -> None:
        """A piece of the line of a way."""
        if y2 > y1 + 1e-6:
            self.shapes[way].append(Line(((0.0, y1), (0.0, y2)), MEDIUM, of=self.part.key))

    def above(self, way: int, y: float) -> None:
        """The line from the end above down to `y`, where one is joined there."""
        if self.used[way][0]:
            self.lead(way, 0.0, y)

    def below(self, way: int, y: float) -> None:
        """The line from `y` to the end below, where one is joined there."""
        if self.used[way][1]:
            self.lead(way, y, self.height)

    def number(self, way: int, node: str, y: float) -> None:
        """The number of a terminal, right of the line."""
        if node:
            self.beside(way, Text(NUMBER_X, y, terminal_name(node), of=node))

    def beside(self, way: int, text: Text) -> None:
        """A text right of the line."""
        self.texts[way].append(text)
        self.right[way] = max(self.right[way], text.x + text_width(text.text, text.height) + _MARGIN)

    def centred(self, way: int, text: Text, margin: float) -> None:
        """A text in the middle of a way."""
        half = text_width(text.text, text.height, text.bold) / 2 + margin
        self.texts[way].append(text)
        self.left[way], self.right[way] = max(self.left[way], half), max(self.right[way], half)

    def labels(self, way: int, words: Sequence[Mention], y: float) -> None:
        """Words at a conductor, below each other from `y` on."""
        for number, line in enumerate(words):
            self.beside(way, Text(NUMBER_X, y + 3.6 + number * LABEL_PITCH, line.text, of=line.of))

    def words(self, edge: float, middle: float, lines: Sequence[Mention], reach: float) -> None:
        """Lines left of the first way from `edge` on, centred on `middle`; `reach`: the widest of them, mm."""
        y = middle - stacked(lines) / 2
        for line in lines:
            y += pitch_of(line)
            base = y - (1.6 if line.height > NORMAL else 1.1)
            self.texts[0].append(Text(-edge - 1.0, base, line.text, line.height, "end", line.of, line.refer))
        self.left[0] = max(self.left[0], edge + 1.0 + reach + 1.0)


def pitch_of(line: Mention) -> float:
    """Height of a line of words, mm."""
    return WIDE_PITCH if line.height > NORMAL else PITCH


def stacked(lines: Sequence[Mention]) -> float:
    """Height of lines below each other, mm."""
    return sum_of(pitch_of(line) for line in lines)


def terminal_name(node: str) -> str:
    """`U` of `=RP1-T1:U`, without the side of a split one."""
    return node.rpartition(":")[2].partition("/")[0]
