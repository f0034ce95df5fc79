"""A text kept as pieces, each a statement at its outermost level: an edit parses anew what it touches, and nothing else."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator

from netdsl.findings import Finding, Source
from netdsl.syntax import parse
from netdsl.syntax.lexer import tokens_of
from netdsl.syntax.tree import Tree


class Piece:
    """Some lines of a text, read alone: `source` holds them, `tree` what they say, `findings` what is wrong with their writing.

    `whole`: its blocks are closed in it, so that it reads as it would in its text. `kept`: what was worked out of it, by name.
    """

    __slots__ = ("findings", "kept", "source", "tree", "whole")

    def __init__(self, source: Source, whole: bool) -> None:
        self.source = source
        self.whole = whole
        self.tree, self.findings = parse(source)
        self.kept: dict[str, object] = {}

    @property
    def read(self) -> tuple[Tree, tuple[Finding, ...]]:
        """Tree and findings."""
        return self.tree, self.findings

    @property
    def lines(self) -> int:
        """How many lines it has, the last of a text counted also where nothing follows its last line end."""
        return len(self.source.line_starts)


#: pieces by what they say
Words = dict[str, list[Piece]]


class Document:
    """One text in pieces. `path`: as in findings, relative to the plant's folder. `settled`: pieces by their words that come back
    where an edit is undone."""

    def __init__(self, path: str, text: str) -> None:
        self.path = path
        self.settled: Words = {}
        self.pieces: list[Piece] = list(self._split(text))
        self._laid: tuple[list[int], list[int], dict[int, int]] | None = None

    def copy(self) -> Document:
        """The same as it is now: pieces are shared, and never change."""
        other = Document.__new__(Document)
        other.path, other.settled, other.pieces, other._laid = self.path, self.settled, list(self.pieces), None
        return other

    @property
    def text(self) -> str:
        """All of it."""
        return "".join(piece.source.text for piece in self.pieces)

    def settle(self) -> None:
        """Keep the pieces that there are, for when an edit is undone."""
        self.settled = _by_words(self.pieces)

    # --- edits ------------------------------------------------------------------------------------------------------
    def edit(self, start: tuple[int, int], end: tuple[int, int], text: str) -> None:
        """Put `text` in place of what stands between two places, each piece and offset in it as `locate` gives them."""
        (first, begin), (last, finish) = sorted((start, end))
        before = self.pieces[first].source.text[:begin]
        behind = self.pieces[last].source.text[finish:]
        # the lines beside may become one with those that are touched, and blocks that are not closed may be closed by this edit
        broken = [number for number, piece in enumerate(self.pieces) if not piece.whole]
        low, high = max(0, min((first - 1, *broken))), min(len(self.pieces) - 1, max((last + 1, *broken)))
        lead = "".join(piece.source.text for piece in self.pieces[low:first])
        tail = "".join(piece.source.text for piece in self.pieces[last + 1 : high + 1])
        old = _by_words(self.pieces[low : high + 1])
        self.pieces[low : high + 1] = self._split(
            lead + before + text + behind + tail, old, low == 0, high == len(self.pieces) - 1
        )
        self._laid = None

    def replace(self, text: str) -> None:
        """Take another text; pieces of the same words are kept."""
        old = _by_words(self.pieces)
        self.pieces = list(self._split(text, old))
        self._laid = None

    def _split(
        self, text: str, old: dict[str, list[Piece]] | None = None, first: bool = True, last: bool = True
    ) -> Iterator[Piece]:
        """`text` as pieces, those of `old` with the same words taken over, each once. `first`, `last`: whether it begins and
        ends the whole text."""
        bounds = list(_bounds(text, first))
        if not bounds:
            yield Piece(Source(self.path, text), False)
            return
        if bounds[-1] < len(text) or (last and text[-1:] in ("\n", "\r")) or not text:
            bounds.append(len(text))  # what stands behind the last statement; an empty last line counts
        start = 0
        undone: Words = {}
        for end in bounds:
            words = text[start:end]
            left = (old or {}).get(words)
            if not left and words in self.settled:
                left = undone.setdefault(words, self._gone(words))
            kept = left.pop(0) if left else None
            if end > start or end == len(text):
                yield kept or Piece(Source(self.path, words), True)
            start = end

    def _gone(self, words: str) -> list[Piece]:
        """The pieces of these words that were there before edits and are there no more."""
        here = set(map(id, self.pieces))
        return [piece for piece in self.settled[words] if id(piece) not in here]

    # --- places -----------------------------------------------------------------------------------------------------
    def _layout(self) -> tuple[list[int], list[int], dict[int, int]]:
        """First line (from 0) and first offset of each piece, and the number of each by the identity of its source."""
        if self._laid is None:
            lines, offsets, numbers = [], [], {}
            line = offset = 0
            for number, piece in enumerate(self.pieces):
                lines.append(line)
                offsets.append(offset)
                numbers[id(piece.source)] = number
                text = piece.source.text
                offset += len(text)
                line += piece.lines - 1
            self._laid = lines, offsets, numbers
        return self._laid

    def holds(self, source: Source) -> bool:
        """Whether a source is that of one of its pieces."""
        return id(source) in self._layout()[2]

    def number_of(self, source: Source) -> int | None:
        """Which of its pieces has this source, None for none."""
        return self._layout()[2].get(id(source))

    def place(self, source: Source, offset: int) -> tuple[int, int]:
        """Line and column, from 0 in code points, of an offset in the piece of `source`."""
        lines, _, numbers = self._layout()
        line, column = source.place(offset)
        return lines[numbers[id(source)]] + line - 1, column - 1

    def line(self, number: int) -> str:
        """The text of a line (from 0) without its end; "" behind the last."""
        piece, within = self._at_line(number)
        source = self.pieces[piece].source
        return source.line(within + 1) if within < len(source.line_starts) else ""

    def _at_line(self, line: int) -> tuple[int, int]:
        """The piece that has a line, and which of its lines it is."""
        lines = self._layout()[0]
        piece = bisect_right(lines, line) - 1
        return piece, line - lines[piece]

    def locate(self, line: int, column: int) -> tuple[int, int]:
        """The piece at a place, line and column from 0 in code points, and the offset in it; held inside the text."""
        piece, within = self._at_line(max(0, line))
        source = self.pieces[piece].source
        starts = source.line_starts
        if within >= len(starts):
            return piece, len(source.text)
        return piece, starts[within] + min(max(0, column), len(source.line(within + 1)))

    def offset(self, piece: int, within: int) -> int:
        """The offset in the whole text of one in a piece."""
        return self._layout()[1][piece] + within

    def at_offset(self, offset: int) -> tuple[int, int]:
        """The piece that holds an offset of the whole text, and the offset in it."""
        offsets = self._layout()[1]
        piece = max(0, bisect_right(offsets, offset) - 1)
        return piece, offset - offsets[piece]

    @property
    def line_count(self) -> int:
        """Lines, an empty last one counted."""
        return self._layout()[0][-1] + self.pieces[-1].lines


def _by_words(pieces: Iterable[Piece]) -> Words:
    """Those that read alone as in their text, in order, by what they say."""
    found: Words = {}
    for piece in pieces:
        if piece.whole:
            found.setdefault(piece.source.text, []).append(piece)
    return found


def _bounds(text: str, first: bool) -> Iterator[int]:
    """Where pieces end: behind the line of each statement's last token. None where blocks are not closed, or too many are."""
    found: list[int] = []
    depth = 0
    last = 0
    # a byte-order mark begins a text alone: elsewhere it is a character like any other
    for token in tokens_of(text if first or not text.startswith("\ufeff") else " " + text[1:]):
        kind = token.type
        if kind == "LBRACE":
            if depth == 0 and found and token.start_pos >= found[-1] and not text[found[-1] : token.start_pos].strip(" \t\r\n"):
                found.pop()  # the brace of the line before, on a line of its own
            depth += 1
        elif kind == "RBRACE":
            depth -= 1
            if depth < 0:
                return
        elif kind == "NEWLINE" and depth == 0:
            last = token.end_pos
            end = _line_end(text, last)
            if text[end : end + 1] != "\ufeff":  # which would begin the next piece as it begins a text: unseen
                found.append(end)
    if depth == 0:
        yield from found or [len(text)]


def _line_end(text: str, at: int) -> int:
    """Behind the line end that follows `at`; LF, CRLF and CR end lines."""
    ends = [place for place in (text.find("\n", at), text.find("\r", at)) if place >= 0]
    if not ends:
        return len(text)
    end = min(ends)
    return end + 2 if text[end : end + 2] == "\r\n" else end + 1
