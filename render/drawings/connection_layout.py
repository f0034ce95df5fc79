"""What a connection drawing is laid out in: rows with their pieces, and the columns they stand in. x is measured in mm from the
edge of the drive's box.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct, field

from render.drawings.connection_words import Point
from render.layout.columns import widest
from render.layout.fonts import fits, text_width
from render.layout.writing import LIFT, PITCH, WIDE_PITCH
from render.sheet import DESIGNATION, NORMAL

EDGE = 0.9  # radius of the clamping point at the box
FORK = 2.5  # from the point where ways part to the designation before it
CONTACT = 11.0  # width of a contact in a line
LETTER = 2.3  # radius of a letter's ring
WORDS_PITCH = 4.25  # base lines of the words beside the ways: titles may begin with a letter that carries a mark
_UNUSED = 2.6  # half the height of a row without a connection


class Piece(Struct, frozen=True):
    """A line from `x` to `end`, what stands over it, and the designation behind it from `end` to `right`.

    `kind`: as of a Step, or "screen". `over`: lines of cable and core, `small`: lines of plain words. `of`, `to`: designations.
    `sign`: what lies in the line inside a device: "make", "break", or the kind of device that a pole belongs to.
    """

    kind: str
    x: float
    end: float
    right: float
    over: tuple[str, ...]
    small: tuple[str, ...]
    name: tuple[str, ...]
    of: str
    to: str
    sign: str = ""


class Row(Struct):
    """One row. `fork`: number of the row it parts from and where. `comes`, `goes`: letters under which it begins and goes on,
    `goes_at` where. `words`: lines beside it. `note`: said instead of a line. `above`, `below`: extent round its line."""

    number: int
    fork: tuple[int, float] | None = None
    comes: str = ""
    goes: str = ""
    goes_at: float = 0.0
    pieces: list[Piece] = field(default_factory=list)
    words: tuple[str, ...] = ()
    note: str = ""
    above: float = _UNUSED
    below: float = _UNUSED


class Laid(Struct, frozen=True):
    """A terminal with its rows, `purpose` and settings as lines of the box."""

    point: Point
    purpose: tuple[str, ...]
    rows: tuple[Row, ...]

    @property
    def height(self) -> float:
        """Extent of all its rows, mm."""
        return sum(row.above + row.below for row in self.rows)


class Widths(Struct, frozen=True):
    """Columns in mm: `group`, `purpose` and `number` in the box, `ways` to its right, `words` beside them; `name` the most a
    designation takes in a line."""

    group: float
    purpose: float
    number: float
    ways: float
    words: float
    name: float

    @property
    def box(self) -> float:
        """Width of the box."""
        return self.group + self.purpose + self.number + 11.0


def widths_of(groups: Sequence[tuple[str, Sequence[Point]]], available: float) -> Widths:
    """Columns for the terminals of a drive on a sheet `available` mm wide."""
    points = [point for _, group in groups for point in group]
    share = available / 378.0  # of the width on A3, for which the limits were chosen
    group = widest([name for name, _ in groups], NORMAL, True)
    most = 60.0 * share
    joined = [text for point in points if fits(text := in_one_line(point), most)]
    single = [text for point in points if not fits(in_one_line(point), most) for text in (point.purpose, *point.settings)]
    purpose = min(widest([*joined, *single]), most)
    number = min(widest([point.number for point in points], DESIGNATION), 34.0 * share)
    words = 66.0 * share
    return Widths(group, purpose, number, available - group - purpose - number - 11.0 - words - 3.0, words, 62.0 * share)


def in_one_line(point: Point) -> str:
    """What a terminal is for and the settings that govern it."""
    return "; ".join((point.purpose, *point.settings))


def shared_words(rows: Sequence[Row]) -> list[list[Row]]:
    """Runs of neighbouring rows with the same words beside them; rows that say nothing are in none."""
    runs: list[list[Row]] = []
    before: Row | None = None
    for row in rows:
        if row.words:
            alike = before is not None and before.words == row.words and len(row.words) <= 3
            if alike:
                runs[-1].append(row)
            else:
                runs.append([row])
        before = row
    return runs


def over_height(piece: Piece) -> float:
    """How far the words over a piece reach above its line, mm."""
    over = (len(piece.over) - 1) * WIDE_PITCH + DESIGNATION * 1.15 if piece.over else 0.0
    small = (len(piece.small) - 1) * PITCH + NORMAL * 1.28 if piece.small else 0.0
    return LIFT + max(over, small)


def letter_width(letter: str) -> float:
    """Width of a letter's ring."""
    return max(2 * LETTER, text_width(letter) + 2.4)
