"""Draws a sheet of a connection drawing: the drive's box with its terminals, their ways, settings and notes below."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

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
    letter_width,
    shared_words,
)
from render.layout.columns import broken, widest
from render.layout.fonts import Box, text_width
from render.layout.writing import DASH, LIFT, PITCH, WIDE_PITCH, Writing
from render.sheet import DESIGNATION, MEDIUM, NORMAL, TITLE, WIDE, Arc, Circle, Line
from render.words.purposes import SettingLine

HEADS = 8.0  # names of the columns
GROUP_GAP = 2.0  # between two groups in the box
NOTE_PITCH = PITCH + 1.0
TAIL_HEAD = 9.0  # above settings and notes
_SETTINGS_SHARE = 0.46  # of the sheet's width
_SIGN = 4.0  # width of the sign before a caution


class Slice(Struct, frozen=True):
    """The terminals of one group on a sheet."""

    name: str
    laid: tuple[Laid, ...]

    @property
    def height(self) -> float:
        """Extent of its rows and the gap around them, mm."""
        return sum(each.height for each in self.laid) + GROUP_GAP


class Head(Struct, frozen=True):
    """What stands over the box: designation, lines of title and ratings. `indent`: where the title begins, mm; `beside`: where
    the ratings stand on its line, 0 where they stand below."""

    identity: str
    title: tuple[str, ...]
    ratings: tuple[str, ...]
    indent: float
    beside: float

    @property
    def drop(self) -> float:
        """From the first line to the ratings below, mm."""
        return max(len(self.title) - 1, 0) * WIDE_PITCH + PITCH + 1.0

    @property
    def height(self) -> float:
        """Down to where the box may begin, mm."""
        return 8.0 if self.beside else 8.0 + self.drop + max(len(self.ratings) - 1, 0) * PITCH


def head_of(identity: str, title: str, ratings: str, width: float) -> Head:
    """The head of a drive's sheets, `width` mm wide."""
    indent = text_width(identity, TITLE, True) + 4.0
    lines = broken(title, max(width - indent, 40.0), DESIGNATION)
    beside = indent + widest(lines, DESIGNATION) + 6.0
    if len(lines) == 1 and beside + text_width(ratings) <= width:
        return Head(identity, lines, (ratings,), indent, beside)
    return Head(identity, lines, broken(ratings, width), indent, 0.0)


class ConnectionPen(Writing):
    """Draws the drive's box and what stands beside and below it."""

    def __init__(self, area: Box, widths: Widths, links: Callable[[str], str]) -> None:
        super().__init__(links)
        self._area = area
        self._widths = widths
        self._edge = area.left + widths.box
        self._words = area.right - widths.words

    # --- head -----------------------------------------------------------------------------------------------------
    def heads(self) -> None:
        """Names of the columns."""
        area = self._area
        y = area.top + 3.5
        self.text(self._edge - 2.5, y, "terminal", NORMAL, "end")
        self.text(self._edge + 4.0, y, "connected to, step by step")
        self.text(self._words, y, "what it is")
        self.line((area.left, area.top + 5.5), (area.right, area.top + 5.5))

    def device(self, y: float, head: Head) -> None:
        """Designation, title and ratings of the drive from `y` on."""
        left, base = self._area.left, y + 5.5
        self.text(left, base, head.identity, TITLE, bold=True, of=head.identity)
        for number, line in enumerate(head.title):
            self.text(left + head.indent, base + number * WIDE_PITCH, line, DESIGNATION, of=head.identity)
        x, base = (left + head.beside, base) if head.beside else (left, base + head.drop)
        for number, line in enumerate(head.ratings):
            self.text(x, base + number * PITCH, line, of=head.identity)

    # --- box and ways ---------------------------------------------------------------------------------------------
    def box(self, y: float, slices: Sequence[Slice], identity: str) -> float:
        """The box with its groups and all ways, from `y` on; returns its lower edge."""
        top = y
        left = self._area.left
        for number, part in enumerate(slices):
            if number:
                self.line((left, y), (self._edge, y), of=identity)
            y += GROUP_GAP / 2
            first = y + part.laid[0].rows[0].above
            self.text(left + 2.5, first + NORMAL / 2, part.name, NORMAL, bold=True, of=identity)
            rows: dict[int, float] = {}
            for laid in part.laid:
                y = self._terminal(y, laid, rows)
            self._beside([row for laid in part.laid for row in laid.rows], rows, identity)
            y += GROUP_GAP / 2
        corners = ((left, top), (self._edge, top), (self._edge, y), (left, y))
        self.parts.append(Line(corners, WIDE, closed=True, of=identity))
        return y

    def _beside(self, rows: Sequence[Row], lines: Mapping[int, float], of: str) -> None:
        """What rows lead to, in words; once where neighbours say the same, with a bracket over them."""
        for run in shared_words(rows):
            first, last = lines[id(run[0])], lines[id(run[-1])]
            self.stacked(self._words, (first + last) / 2, run[0].words, NORMAL, "start", of, pitch=WORDS_PITCH)
            if len(run) > 1:
                x = self._words - 1.5
                self.line((x - 1.5, first - 1.5), (x, first - 1.5), (x, last + 1.5), (x - 1.5, last + 1.5), of=of)

    def _terminal(self, y: float, laid: Laid, heights: dict[int, float]) -> float:
        """Draw a terminal from `y` on and note the height of each of its rows by identity; returns where it ends."""
        point, lines = laid.point, []
        for row in laid.rows:
            lines.append(y + row.above)
            heights[id(row)] = lines[-1]
            y += row.above + row.below
        widths = self._widths
        number = broken(point.number, widths.number, DESIGNATION)
        self.stacked(self._edge - 2.5, lines[0], number, DESIGNATION, "end", point.id, self._links(point.id))
        purpose = self._edge - 4.5 - widths.number - widths.purpose
        self.stacked(purpose, lines[0], laid.purpose, NORMAL, "start", point.id)
        self.parts.append(Circle(self._edge, lines[0], EDGE, MEDIUM, of=point.id))
        for row in laid.rows:
            self._row(row, lines, point.id)
        return y

    def _row(self, row: Row, lines: Sequence[float], of: str) -> None:
        y = lines[row.number]
        if row.note:
            self.text(self._edge + 4.0, y + NORMAL / 2, row.note, of=of)
        if row.fork is not None:
            parent, at = row.fork
            x = self._edge + at
            self.line((x, lines[parent]), (x, y), width=MEDIUM, of=of)
            self.parts.append(Circle(x, lines[parent], 0.6, fill=True, of=of))
        if row.comes:
            self._letter(self._edge + EDGE + 1.0 + LETTER, y, row.comes, of)
        for piece in row.pieces:
            self._piece(y, piece)
        if row.goes:
            x, width = self._edge + row.goes_at, letter_width(row.goes)
            self.line((x, y), (x + FORK + 1.0, y), width=MEDIUM, of=of)
            self._letter(x + FORK + 1.0 + width / 2, y, row.goes, of)

    def _letter(self, x: float, y: float, letter: str, of: str) -> None:
        self.parts.append(Circle(x, y, letter_width(letter) / 2, of=of))
        self.text(x, y + NORMAL / 2, letter, NORMAL, "middle", of=of)

    def _piece(self, y: float, piece: Piece) -> None:
        start, end = self._edge + piece.x, self._edge + piece.end
        if piece.kind == "contact":
            self._contact(start, end, y, piece)
        elif piece.kind == "joined":
            self.line((start, y), (end, y), width=WIDE, of=piece.of)
        else:
            self.line((start, y), (end, y), width=MEDIUM, dash=DASH if piece.kind == "screen" else (), of=piece.of)
        over, small = widest(piece.over, DESIGNATION), widest(piece.small)
        x = start + FORK + (end - start - FORK - over - small - (2.0 if over and small else 0.0)) / 2
        for number, line in enumerate(reversed(piece.over)):
            self.text(x, y - LIFT - number * WIDE_PITCH, line, DESIGNATION, of=piece.of)
        for number, line in enumerate(reversed(piece.small)):
            self.text(x + (over + 2.0 if over else 0.0), y - LIFT - number * PITCH, line, NORMAL, of=piece.of)
        self.stacked(end + 1.3, y, piece.name, DESIGNATION, "start", piece.to, self._links(piece.to))

    def _contact(self, start: float, end: float, y: float, piece: Piece) -> None:
        """What lies between two terminals of a device, drawn in the line."""
        left, right = end - CONTACT + 3.0, end - 3.0
        self.line((start, y), (left, y), width=MEDIUM, of=piece.of)
        self.line((right, y), (end, y), width=MEDIUM, of=piece.of)
        if piece.sign == "break":
            self.line((right, y), (right, y - 1.8), width=MEDIUM, of=piece.of)
            self.line((left, y), (right + 0.8, y - 1.5), width=MEDIUM, of=piece.of)
        elif piece.sign in ("make", "breaker", "isolator"):
            self.line((left, y), (right - 0.3, y - 2.0), width=MEDIUM, of=piece.of)
        elif piece.sign == "reactor":
            step = (right - left) / 3
            for number in range(3):
                self.parts.append(Arc(left + step * (number + 0.5), y, step / 2, step / 2, 0.0, 180.0, MEDIUM, of=piece.of))
        else:
            box = ((left, y - 1.1), (right, y - 1.1), (right, y + 1.1), (left, y + 1.1))
            self.parts.append(Line(box, MEDIUM, closed=True, of=piece.of))
        if piece.sign == "isolator":
            self.line((right, y - 1.0), (right, y + 1.0), width=MEDIUM, of=piece.of)
        elif piece.sign == "breaker":
            for rise in (-0.8, 0.8):
                self.line((right - 0.8, y - rise), (right + 0.8, y + rise), width=MEDIUM, of=piece.of)
        elif piece.sign == "fuse":
            self.line((left, y), (right, y), width=MEDIUM, of=piece.of)

    # --- settings and notes -----------------------------------------------------------------------------------------
    def settings(self, y: float, lines: Sequence[SettingLine], right: bool, of: str) -> None:
        """A table of settings from `y` on, one line each, in the left half or the right."""
        left, width = self._area.left + right * (self._area.width * _SETTINGS_SHARE + 6.0), self._area.width * _SETTINGS_SHARE
        self.text(left, y + 4.0, "Settings, continued" if right else "Settings", DESIGNATION, bold=True, of=of)
        columns = _setting_columns(lines, width)
        y += TAIL_HEAD
        for line in lines:
            x = left
            texts = (line.name, line.value, "set" if line.given else "default", line.choice)
            for number, (text, column) in enumerate(zip(texts, columns, strict=True)):
                for index, row in enumerate(broken(text, column)):
                    self.text(x, y + index * PITCH, row, NORMAL, bold=line.given and number == 1, of=of)
                x += column + 3.0
            y += setting_height(line, columns)

    def notes(self, y: float, lines: Sequence[tuple[bool, str]], right: bool, of: str) -> None:
        """Cautions and remarks from `y` on, in the left half or the right; `lines`: whether each begins a caution, its text."""
        left = self._area.left + right * (self._area.width * _SETTINGS_SHARE + 6.0)
        self.text(left, y + 4.0, "Cautions and remarks", DESIGNATION, bold=True, of=of)
        y += TAIL_HEAD
        for caution, text in lines:
            if caution:
                self.text(left + 1.0, y, "!", DESIGNATION, bold=True, of=of)
            self.text(left + _SIGN + 1.5, y, text, of=of)
            y += NOTE_PITCH


def _setting_columns(lines: Sequence[SettingLine], width: float) -> tuple[float, float, float, float]:
    name = min(widest([line.name for line in lines]), width * 0.3)
    value = min(widest([line.value for line in lines], NORMAL, True), width * 0.25)
    how = text_width("default")
    return name, value, how, max(width - name - value - how - 9.0, 10.0)


def setting_heights(lines: Sequence[SettingLine], area: Box) -> list[float]:
    """Heights of the lines of a table of settings."""
    columns = _setting_columns(lines, area.width * _SETTINGS_SHARE)
    return [setting_height(line, columns) for line in lines]


def setting_height(line: SettingLine, columns: tuple[float, float, float, float]) -> float:
    """Height of one line of a table of settings."""
    count = max(
        len(broken(text, width)) for text, width in zip((line.name, line.value, "set", line.choice), columns, strict=True)
    )
    return max(count, 1) * PITCH + 0.8


def note_rows(notes: Sequence[tuple[bool, str]], area: Box) -> list[tuple[bool, str]]:
    """Notes broken to the width of their column; only the first line of a caution carries its sign."""
    width = area.width * (1 - _SETTINGS_SHARE) - 6.0 - _SIGN - 2.0
    return [(caution and n == 0, line) for caution, text in notes for n, line in enumerate(broken(text, width))]
