"""What is said of the cables of a terminal drawing: one block of words for each, beside its cores, led to them by a line."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from netdsl.sums import sum_of
from render.drawings.terminal_block import Block, Group, Reach, lines_of
from render.drawings.terminal_columns import MORE, SPINE
from render.drawings.terminal_heights import group_text, split_group
from render.drawings.terminal_pen import Pen
from render.layout.writing import PITCH, WIDE_PITCH

_APART = 1.6  # of blocks of words, mm


class Words(Struct, frozen=True):
    """The words of a cable with its runs of rows, in order."""

    groups: tuple[Group, ...]
    head: tuple[str, ...]
    lines: tuple[str, ...]

    @property
    def height(self) -> float:
        """Height of the block of words, mm."""
        return len(self.head) * WIDE_PITCH + len(self.lines) * PITCH


def words_of(block: Block, side: int, rows: tuple[int, int], width: float, near: tuple[str, str], reach: Reach) -> list[Words]:
    """The words of each cable with cores in `rows` on a side, first to before last, by its first run; `near`: sheets around."""
    runs: dict[str, list[Group]] = {}
    for group in block.groups[side]:
        if group.first < rows[1] and group.last >= rows[0]:
            runs.setdefault(group.cable, []).append(split_group(group, *rows, *near))
    return [_words(groups, width, near[1], reach) for groups in runs.values()]


def _words(groups: Sequence[Group], width: float, after: str, reach: Reach) -> Words:
    """One block of words of a cable; where the run that has them comes on a later sheet, that one is named."""
    last = groups[-1]
    lines = lines_of(last, reach) if last.lines != (MORE,) else (f"more of it on sheet {after}",)
    head, broken = group_text(last.head, lines, width)
    return Words(tuple(groups), head, broken)


def needed(found: Sequence[Words]) -> float:
    """Height that blocks of words take one below the other, mm."""
    return sum_of(words.height + _APART for words in found)


def draw_words(
    pen: Pen, side: int, found: Sequence[Words], brackets: Sequence[Sequence[tuple[float, float]]], box: tuple[float, float]
) -> None:
    """Draw the words of cables between the heights of `box`; `brackets`: from where to where the runs of each lie."""
    held = pen.columns.sides[side]
    lanes: list[float] = []
    for words, runs, y in zip(found, brackets, _heights(found, brackets, box), strict=True):
        cable = words.groups[0].cable
        u = held.at["bracket"]
        if len(runs) > 1:
            lane = next((n for n, low in enumerate(lanes) if low < runs[0][0]), len(lanes))
            lanes[lane:] = [runs[-1][1], *lanes[lane + 1 :]]
            u += SPINE * (min(lane, max(held.lanes - 1, 0)) + 1)
            middles = [(top + bottom) / 2 for top, bottom in runs]
            pen.line((pen.x(side, u), middles[0]), (pen.x(side, u), middles[-1]), of=cable)
            for middle in middles:
                pen.line((pen.x(side, held.at["bracket"]), middle), (pen.x(side, u), middle), of=cable)
        top, bottom = min(runs, key=lambda run: abs((run[0] + run[1]) / 2 - y))
        anchor = min(max(y, top + 0.3), bottom - 0.3) if len(runs) == 1 else (top + bottom) / 2
        zone = pen.x(side, held.at["bracket"] + SPINE * held.lanes + 0.4)
        end = pen.x(side, held.at["text"] - 1.0)
        pen.line((pen.x(side, u), anchor), (zone, anchor), (end, y), of=cable)
        pen.cable(side, y, words.head, words.lines, cable)


def _heights(found: Sequence[Words], brackets: Sequence[Sequence[tuple[float, float]]], box: tuple[float, float]) -> list[float]:
    """The middle of each block of words: beside its first run where it can be, none over another."""
    order = [(runs[0][0] + runs[0][1]) / 2 for runs in brackets]
    pitch = [(one.height + other.height) / 2 + _APART for one, other in pairwise(found)]
    middles: list[float] = []
    for number, wanted in enumerate(order):
        least = middles[-1] + pitch[number - 1] if middles else box[0] + found[0].height / 2
        middles.append(max(wanted, least))
    if middles:
        middles[-1] = min(middles[-1], box[1] - found[-1].height / 2)
    for number in range(len(middles) - 2, -1, -1):
        middles[number] = min(middles[number], middles[number + 1] - pitch[number])
    return middles
