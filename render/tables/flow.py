"""Blocks of lines that flow through the columns of as many sheets as they need."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct, field

from netdsl.calc.basis import Result
from netdsl.sums import sum_of
from render.layout.columns import broken
from render.layout.fonts import Box, ink_box
from render.sheet import DESIGNATION, MEDIUM, NARROW, NORMAL, Label, Line, Primitive

#: between the columns of a sheet, mm
GUTTER = 8.0
#: what is said below a line stands further right, mm
SAID = 4.0
_HEADING = 8.5
_CLEAR = 0.27  # between the ink of lines


class Row(Struct, frozen=True):
    """A line of a derivation: its height, and what draws it with its top left corner at a point."""

    height: float
    draw: Callable[[float, float], Iterator[Primitive]]


class Block(Struct):
    """A derivation. `results`: those it stands for; `rows`: its lines, of which a column takes some where all do not fit."""

    of: str
    results: list[Result]
    heading: str = ""
    rows: list[Row] = field(default_factory=list)

    @property
    def height(self) -> float:
        """Of all its rows, mm."""
        return sum_of(row.height for row in self.rows)


def in_columns(blocks: Sequence[Block], columns: Sequence[Box]) -> Iterator[tuple[list[Primitive], list[Block]]]:
    """Blocks shared out over sheets of some columns: the parts of each sheet, and the blocks that begin on it. A heading stays
    with what follows it, and is said again where its circuit goes on."""
    parts: list[Primitive] = []
    begun: list[Block] = []
    column, y = 0, columns[0].top
    heading: Block | None = None
    for number, block in enumerate(blocks):
        follows = blocks[number + 1].height if block.heading and number + 1 < len(blocks) else 0.0
        tall = columns[0].height - _HEADING
        whole = block.height + min(follows, tall / 3)
        for index, row in enumerate(block.rows):
            needed = whole if index == 0 and block.height <= tall else row.height
            if y + needed > columns[column].bottom and y > columns[column].top:
                column += 1
                if column == len(columns):
                    yield parts, begun
                    parts, begun, column = [], [], 0
                y = columns[column].top
                if heading is not None and not block.heading:
                    parts += _again(heading, columns[column].left, y)
                    y += _HEADING
            if index == 0:
                begun.append(block)
            parts += row.draw(columns[column].left, y)
            y += row.height
        heading = block if block.heading else heading
    if parts:
        yield parts, begun


def _again(heading: Block, x: float, y: float) -> Iterator[Primitive]:
    for part in heading.rows[0].draw(x, y):
        if isinstance(part, Label):
            yield Label(part.x, part.y, f"{part.text} (continued)", part.height, bold=True, of=part.of)
        else:
            yield part


def said_rows(text: str, width: float, of: str) -> list[Row]:
    """Indented lines, as near to each other as their ink allows."""
    lines = [line for line in broken(text, width - SAID, NORMAL, united=True) if line]
    inks = [ink_box(Label(0.0, 0.0, line, NORMAL)) for line in lines]

    def drawn(line: str, up: float) -> Callable[[float, float], Iterator[Primitive]]:
        return lambda x, y: iter((Label(x + SAID, y + up, line, NORMAL, of=of),))

    return [Row(ink.height + _CLEAR, drawn(line, _CLEAR - ink.top)) for line, ink in zip(lines, inks, strict=True)]


def text_row(text: str, height: float, pitch: float, of: str, indent: float = 0.0) -> Row:
    """A line of text."""

    def draw(x: float, y: float) -> Iterator[Primitive]:
        yield Label(x + indent, y + height + 0.5, text, height, of=of)

    return Row(pitch, draw)


def heading_block(text: str, of: str, width: float, link: str = "") -> Block:
    """The head of what follows it."""

    def draw(x: float, y: float) -> Iterator[Primitive]:
        yield Label(x, y + 6.0, text, DESIGNATION, bold=True, of=of, link=link)
        yield Line(((x, y + _HEADING - 0.7), (x + width, y + _HEADING - 0.7)), MEDIUM, of=of)

    return Block(of, [], text, [Row(_HEADING, draw)])


def rule_row(width: float, of: str) -> Row:
    """The line below a block."""

    def draw(x: float, y: float) -> Iterator[Primitive]:
        yield Line(((x, y + 0.8), (x + width, y + 0.8)), NARROW, of=of)

    return Row(1.2, draw)
