"""Derivations of results in columns: each with its value, limit and margin on one line, the formula set below it, the values put
in, and what they are."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from netdsl.calc.basis import Result, figure_text
from netdsl.calc.sheet import margin_text, symbol, title
from netdsl.sums import sum_of
from render.layout.columns import broken
from render.layout.fonts import text_width
from render.layout.formulas import formula_pieces, lines_of, symbolic_pieces, worded_pieces
from render.layout.pieces import Piece, set_symbol, set_text
from render.sheet import NORMAL, Label, Primitive
from render.tables.flow import Block, Row, heading_block, rule_row, said_rows, text_row
from render.tables.sayings import Saying, Sayings

_LEAD = 0.9  # above and below a line of a formula
_PITCH = 1.65 * NORMAL
_GAP = 1.0  # between the pieces of a formula
_INDENT = 4.0
_HANGING = 6.0  # how much further right a formula goes on
_APART = 8.0  # between a condition and the same with its values
_CONDITION = " <= "  # in a formula that begins with what is held to its limit
_PART = 3.0  # between name, value, limit and margin


class Derivations:
    """The derivations of some results, as `said`, `width` mm wide each; `link` gives the key of the sheet that shows a thing, ""
    where none does."""

    def __init__(self, said: Sayings, width: float, link: Callable[[str], str]) -> None:
        self._width = width
        self._link = link
        self.blocks = tuple(self._blocks(said))

    def _blocks(self, said: Sayings) -> Iterator[Block]:
        for section, sayings in said.sections:
            yield heading_block(section.heading, section.feeder, self._width, self._link(section.feeder))
            for each in sayings:
                first = each.results[0]
                formula_rows = list(self._formula(first, each.worked)) if first.computed else []
                head, beside = self._head(each, "" if formula_rows else each.text)
                below = [] if beside else said_rows(each.text, self._width, first.subject)
                rows = [*head, *formula_rows, *below, rule_row(self._width, first.subject)]
                yield Block(first.subject, each.results, rows=rows)

    # --- head: of what, value, limit, margin, source --------------------------------------------------------------------
    def _head(self, saying: Saying, said: str) -> tuple[list[Row], bool]:
        """The lines of the head, and whether what is `said` fits into it."""
        first = saying.results[0]
        name = title(first.question)
        subjects = list(dict.fromkeys(result.subject for result in saying.results))
        limit = limit_text(first, words=False)
        right = [text for text in (first.shown, limit, margin_text(first), saying.source) if text]
        used = text_width(name, NORMAL) + 2.0 + _right_width(right)
        whole = "; ".join(subjects)
        alone = used + text_width(whole, NORMAL, True) + _PART > self._width
        used += 0.0 if alone else text_width(whole, NORMAL, True) + _PART
        beside = bool(said) and used + text_width(said, NORMAL) + _PART <= self._width
        line = self._line("" if alone else whole, name, said if beside else "", right, first)
        return ([self._subjects(subjects), line] if alone else [line]), beside

    def _subjects(self, subjects: Sequence[str]) -> Row:
        lines = broken("; ".join(subjects), self._width, NORMAL, bold=True)
        link = self._link(subjects[0])

        def draw(x: float, y: float) -> Iterator[Primitive]:
            for number, line in enumerate(lines):
                yield Label(x, y + 3.6 + number * _PITCH, line, NORMAL, bold=True, of=subjects[0], link=link)

        return Row(len(lines) * _PITCH + 0.6, draw)

    def _line(self, subject: str, name: str, said: str, right: Sequence[str], result: Result) -> Row:
        """Of what and which, what the values are where that is short, then value, limit, margin and source at the right."""
        link = self._link(result.subject)

        def draw(x: float, y: float) -> Iterator[Primitive]:
            left = x
            if subject:
                yield Label(left, y + 3.4, subject, NORMAL, bold=True, of=result.subject, link=link)
                left += text_width(subject, NORMAL, True) + _PART
            yield Label(left, y + 3.4, name, NORMAL, of=result.subject)
            if said:
                yield Label(left + text_width(name, NORMAL) + _PART, y + 3.4, said, NORMAL, of=result.subject)
            left = x + self._width - _right_width(right) + _PART
            for text in right:
                bold = text.startswith("NOT KEPT")
                yield Label(left, y + 3.4, text, NORMAL, bold=bold, of=result.subject)
                left += text_width(text, NORMAL, bold) + _PART

        return Row(_PITCH + 0.35, draw)

    # --- formula, values, what they are ---------------------------------------------------------------------------------
    def _formula(self, result: Result, texts: Sequence[str]) -> Iterator[Row]:
        """The formula in symbols and with its values, over several lines where one is too short; as `texts` where very long."""
        parts = self._set(result, len(texts))
        room = self._width - _INDENT
        whole = [piece for part in parts for piece in part or ()]
        if _CONDITION in result.formula.text and len(parts) > 1 and parts[0] is not None:
            whole.insert(len(parts[0]), Piece(_APART, 0.0, 0.0))
        if None not in parts and sum_of(piece.width + _GAP for piece in whole) <= room:
            yield _formula_row(whole, result.subject)
            return
        for part, text in zip(parts, texts, strict=True):
            lines = lines_of(part, room, _GAP, _HANGING) if part is not None else None
            if lines is None:
                for line in broken(text.strip(), room, NORMAL, united=True):
                    yield text_row(line, NORMAL, _PITCH, result.subject, _INDENT)
            for number, each in enumerate(lines or ()):
                yield _formula_row(each, result.subject, _HANGING if number else 0.0)

    def _set(self, result: Result, count: int) -> list[tuple[Piece, ...] | None]:
        """The pieces of a formula in symbols, then, of a `count` of two, with its values; None where they are too many."""
        by_symbol = {given.symbol: given.shown for given in result.givens}

        def put_in(name: str, height: float) -> Piece:
            return set_text(by_symbol.get(name) or name, height)

        text, most = result.formula.text, self._width - _INDENT - _HANGING
        found: list[tuple[Piece, ...] | None] = []
        for number in range(count):
            leaf = put_in if number else set_symbol
            pieces = formula_pieces(text, leaf, width=most) if number else symbolic_pieces(text, most)
            pieces = worded_pieces(text, leaf) if pieces is None else pieces
            name = (set_symbol(symbol(result.question)),) if number == 0 else ()
            head = () if _CONDITION in text else (*name, set_text("="))
            found.append((*head, *pieces) if pieces is not None else None)
        return found


def _formula_row(pieces: Sequence[Piece], of: str, indent: float = 0.0) -> Row:
    up, down = max(piece.up for piece in pieces), max(piece.down for piece in pieces)

    def draw(x: float, y: float) -> Iterator[Primitive]:
        left = x + _INDENT + indent
        for piece in pieces:
            yield from piece.at(left, y + up + _LEAD / 2, of)
            left += piece.width + _GAP

    return Row(up + down + _LEAD, draw)


def _right_width(texts: Sequence[str]) -> float:
    return sum_of(text_width(text, NORMAL, text.startswith("NOT KEPT")) + _PART for text in texts)


def limit_text(result: Result, words: bool = True) -> str:
    """`at most 5 %, largest voltage drop ...`, without its words where these stand elsewhere; "" without a limit."""
    if result.limit is None or not result.sense:
        return ""
    limit = f"{result.sense.value} {figure_text(result.limit)} {result.unit}".rstrip()
    return f"{limit}, {result.limit_words}" if words and result.limit_words else limit
