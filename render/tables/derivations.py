"""Derivations of results in columns: each with its value, limit and margin on one line, the formula set below it, the values put
in, and what they are. Those of one circuit that say the same of several things stand once, for all of them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence

from netdsl.calc import Calculation
from netdsl.calc.basis import Input, Result, answers, figure_text
from netdsl.calc.sheet import Sources, in_series, margin_text, noted, sections_of, symbol, title, told, worked
from netdsl.sums import sum_of
from render.layout.columns import broken
from render.layout.fonts import text_width
from render.layout.formulas import formula_pieces, lines_of, symbolic_pieces, worded_pieces
from render.layout.pieces import GREEK, Piece, set_symbol, set_text
from render.sheet import NORMAL, Label, Primitive
from render.tables.flow import Block, Row, heading_block, rule_row, said_rows, text_row

#: a symbol that is set in Greek, where it is told what it is; a connection in delta stays one
_NAMED = re.compile(rf"(?<![^\s;,])(?:delta(?= = )|(?!delta)(?:{'|'.join(GREEK)})(?=(?:_\w+|\d+)?(?:[,:] | = )))")
#: which symbols stand for what: `c, c_1: voltage factor of the largest fault current [6]`
_TELLS = re.compile(r"[^\W\d]\w*(?:, [^\W\d]\w*)*: [^:]*")
_LEAD = 0.9  # above and below a line of a formula
_PITCH = 1.65 * NORMAL
_GAP = 1.0  # between the pieces of a formula
_INDENT = 4.0
_HANGING = 6.0  # how much further right a formula goes on
_APART = 8.0  # between a condition and the same with its values
_CONDITION = " <= "  # in a formula that begins with what is held to its limit
_PART = 3.0  # between name, value, limit and margin


class Derivations:
    """The derivations of some results, `width` mm wide each; `link` gives the key of the sheet that shows a thing, "" where none
    does."""

    def __init__(
        self, calculation: Calculation, results: Sequence[Result], sources: Sources, width: float, link: Callable[[str], str]
    ) -> None:
        self._calculation = calculation
        self._sources = sources
        self._width = width
        self._link = link
        self.blocks = tuple(self._blocks(results))

    def _blocks(self, results: Sequence[Result]) -> Iterator[Block]:
        for section in sections_of(self._calculation, results):
            yield heading_block(section.heading, section.feeder, self._width, self._link(section.feeder))
            before: Result | None = None
            alike: dict[object, Block] = {}
            same: dict[object, Block] = {}  # of one thing, by several ways to it
            told_of: dict[str, tuple[str, set[str]]] = {}
            for result in section.results:
                said = _shortened(self._said(result, before), result, told_of)
                before = result
                limit = (result.beside.value, result.beside.sense, result.beside.words) if result.beside is not None else None
                figures = (result.question, result.shown, limit, result.formula.text, result.inserted)
                key, own = (*figures, said), (*figures, result.subject)
                known = alike.get(key) or (same[own] if own in same and _says_no_more(said, same[own].said) else None)
                if known is None:
                    block = alike[key] = same[own] = Block(result.subject, [result])
                    block.said = said
                else:
                    known.results.append(result)
            for block in alike.values():
                first = block.results[0]
                formula_rows = list(self._formula(first)) if first.computed else []
                head, beside = self._head(block.results, "" if formula_rows else block.said)
                below = [] if beside else said_rows(block.said, self._width, block.of)
                block.rows = [*head, *formula_rows, *below, rule_row(self._width, block.of)]
                yield block

    # --- head: of what, value, limit, margin, source --------------------------------------------------------------------
    def _head(self, results: Sequence[Result], said: str) -> tuple[list[Row], bool]:
        """The lines of the head, and whether what is `said` fits into it."""
        first = results[0]
        name = title(first.question)
        subjects = list(dict.fromkeys(result.subject for result in results))
        limit = limit_text(first, words=False)
        own = self._sources.mark(first.source, "", first.question)
        right = [text for text in (first.shown, limit, margin_text(first), own) if text]
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
    def _formula(self, result: Result) -> Iterator[Row]:
        """The formula in symbols and with its values, over several lines where one is too short; as text where very long."""
        texts = worked(result)
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

    def _said(self, result: Result, before: Result | None) -> str:
        """What the limit is and what the values are. What the result `before`, of the same subject, says beside its formula is
        not said again."""
        said_before = before.rests_on if before is not None and before.subject == result.subject else ()
        mark = self._mark(result)
        limit_mark = mark(result.limit_given) if result.limit_given is not None else ""
        limit = f"limit: {result.limit_words} {limit_mark}".strip() if result.limit_words and result.limit is not None else ""
        series = in_series(self._calculation, result.conductors, mark) if answers()[result.question].in_series else ""
        said = told(result, mark, said_before, series)
        note = noted(self._calculation, result)
        ordered = (note, *said) if result.computed else (*said, note)
        return _NAMED.sub(lambda match: GREEK[match[0]], "; ".join(each for each in (limit, *ordered) if each))

    def _mark(self, result: Result) -> Callable[[Input], str]:
        return lambda given: self._sources.mark(given.source, given.confidence, result.question)

    def _broken(self, text: str, height: float) -> Iterable[str]:
        return broken(text, self._width, height, united=True)


def _shortened(said: str, result: Result, told_of: dict[str, tuple[str, set[str]]]) -> str:
    """What is said of a result without what was said of the first of its kind in this circuit: which symbol stands for what."""
    parts = said.split("; ")
    symbols = {part for part in parts if _TELLS.fullmatch(part)}
    first, known = told_of.setdefault(result.question, (result.subject, symbols))
    again = symbols & known
    if first == result.subject or len(again) < 2:
        return said
    return "; ".join([*(part for part in parts if part not in again), f"else as of {first}"])


def _says_no_more(said: str, than: str) -> bool:
    """Whether all that is said was said before."""
    return {part for part in said.split("; ") if not part.startswith("else as of ")} <= set(than.split("; "))


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
