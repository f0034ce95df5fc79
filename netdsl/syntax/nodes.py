"""Builds the Tree: one method per grammar alternative, named by it, called by lark with the values it reduces.

A value is a Token, a node of tree.py, or a list that is still growing. Lists grow in place, which saves copying a body once for
every line of it; recovery may do so, because it never goes back behind a reduction.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from netdsl.findings import Source, Span
from netdsl.syntax import tree, written
from netdsl.syntax.lexer import Token
from netdsl.syntax.terms import TermError, computed, reference
from netdsl.syntax.written import Attr, Reference, Text, Value, Word

Values = list[Any]
_ESCAPE = re.compile(r'\\(["\\])')


class Nodes:
    """Methods that build values for one source; `report_term` is told of computed terminals that cannot be read."""

    def __init__(self, source: Source, report_term: Callable[[TermError], None]) -> None:
        self.source = source
        self.report_term = report_term
        self.poison = -1  # offset of a term that could not be read: the line around it is not kept

    # --- tokens to values ---------------------------------------------------------------------------------------
    def _word(self, token: Token) -> Word:
        return Word(token.value, token.span(self.source))

    def _text(self, token: Token) -> Text:
        value = token.value[1:-1]
        return Text(_ESCAPE.sub(r"\1", value) if "\\" in value else value, token.span(self.source))

    def _reference(self, token: Token) -> Reference:
        try:
            return reference(self.source, token.value, token.start_pos)
        except TermError as error:
            self._unreadable(error)
            return Reference(token.value.partition(":")[0], (), token.span(self.source))

    def _name(self, token: Token) -> Word | written.Param:
        """A kind of device: a word, or what a scheme leaves open."""
        return written.Param(token.value[1:], token.span(self.source)) if token.type == "PARAM" else self._word(token)

    def _value(self, token: Token) -> Value:
        kind = token.type
        if kind == "WORD":
            return Word(token.value, Span(self.source, token.start_pos, token.end_pos))
        if kind == "STRING":
            return self._text(token)
        if kind == "REF" or kind == "TERMS":
            return self._reference(token)
        if kind == "PARAM":
            return written.Param(token.value[1:], token.span(self.source))
        try:
            return computed(self.source, token.value, token.start_pos)
        except TermError as error:
            self._unreadable(error)
            return Word(token.value, token.span(self.source))

    def _unreadable(self, error: TermError) -> None:
        self.report_term(error)
        self.poison = error.start

    def _attr(self, key: Token, value: Token) -> Attr:
        name, start, source = key.value.rstrip(" \t="), key.start_pos, self.source
        word = Word(name, Span(source, start, start + len(name)))
        return Attr(word, (self._value(value),), Span(source, start, value.end_pos))

    def _attr_of_several(self, pieces: list[Token]) -> Attr:
        first = self._attr(pieces[0], pieces[1])
        values = (*first.values, *map(self._value, pieces[2:]))
        return Attr(first.key, values, Span(self.source, first.span.start, pieces[-1].end_pos))

    def _span(self, values: Values) -> Span:
        """From the first token of a statement to the NEWLINE, which stands right behind its last token."""
        return Span(self.source, values[0].start_pos, values[-1].start_pos)

    # --- lists --------------------------------------------------------------------------------------------------
    def empty(self, values: Values) -> Values:  # noqa: ARG002
        return []

    def one(self, values: Values) -> Values:
        return values

    def inner(self, values: Values) -> Any:
        return values[1]

    def append(self, values: Values) -> Any:
        if self.poison >= 0:
            values[1] = self._without_poison(values[1])
        values[0].append(values[1])
        return values[0]

    def _without_poison(self, line: Any) -> Any:
        """A `Bad` instead of a line whose computed terminal could not be read; blocks and declarations stay."""
        if isinstance(line, Reference):  # of several in a line, which is judged when it is whole
            return line
        poison, self.poison = self.poison, -1
        keeps = (tree.Function, tree.Scheme, tree.Cable, tree.Strip, tree.Part, tree.Outside, tree.Declaration, tree.Bad)
        if isinstance(line, (*keeps, list)) or not line.span.start <= poison < line.span.end:
            return line
        return tree.Bad(line.span)

    def append_end(self, values: Values) -> Any:
        values[0].append(values[2])
        return values[0]

    def append_token(self, values: Values) -> Any:
        values[0].append(self._value(values[1]))
        return values[0]

    def append_list(self, values: Values) -> Any:
        words = values[1]
        values[0].append(tree.Listed(tuple(words), words[0].span.to(words[-1].span)))
        return values[0]

    def first_two(self, values: Values) -> Any:
        return [self._value(values[0]), self._value(values[2])]

    def append_word(self, values: Values) -> Any:
        values[0].append(self._value(values[2]))
        return values[0]

    def append_attr(self, values: Values) -> Any:
        values[0].append(self._attr(values[1], values[2]))
        return values[0]

    def append_attr_of_several(self, values: Values) -> Any:
        values[0].append(self._attr_of_several(values[1]))
        return values[0]

    def first_attr(self, values: Values) -> Any:
        return [self._attr(values[0], values[1])]

    def first_attr_of_several(self, values: Values) -> Any:
        return [self._attr_of_several(values[0])]

    def append_terms(self, values: Values) -> Any:
        values[0].append(self._reference(values[1]))
        return values[0]

    def terms(self, values: Values) -> Any:
        return [self._reference(values[0])]

    def append_reference(self, values: Values) -> Any:
        values[0].append(self._reference(values[2]))
        return values[0]

    def ends(self, values: Values) -> Any:
        return [self._reference(values[0]), self._reference(values[2])]

    # --- pieces of a line ---------------------------------------------------------------------------------------
    def ref(self, values: Values) -> Any:
        return self._reference(values[0])

    def word(self, values: Values) -> Any:
        return self._value(values[0])

    def begun(self, values: Values) -> Any:
        return values[:2]

    def attr_more(self, values: Values) -> Any:
        values[0].append(values[-1])
        return values[0]

    def open(self, values: Values) -> Any:
        return values[0]

    def default(self, values: Values) -> Any:
        return values

    def param(self, values: Values) -> Any:
        value = values[0]
        if isinstance(value, Token):
            word = self._word(value)
            return tree.SchemeParam(word, None, word.span)
        attr = self._attr(*value)
        return tree.SchemeParam(attr.key, attr.values[0], attr.span)

    def screen_end(self, values: Values) -> Any:
        end, how, *rest = values
        size = rest[0] if rest and len(rest) != 2 else None
        bare = rest[-1] if len(rest) >= 2 else None
        span = Span(self.source, end.span.start, values[-1].end_pos)
        return tree.ScreenEnd(end, self._word(how), size and self._word(size), bare and self._word(bare), span)

    # --- statements on one line -----------------------------------------------------------------------------------
    def version(self, v: Values) -> Any:
        return tree.Version(self._word(v[1]), self._span(v))

    def include(self, v: Values) -> Any:
        return tree.Include(self._text(v[1]), self._span(v))

    def declaration(self, v: Values) -> Any:
        items, attrs = _split(v[2])
        return tree.Declaration(v[0].value, self._reference(v[1]), None, items, attrs, self._span(v))

    def route(self, v: Values) -> Any:
        items, attrs = _split(v[2])
        return tree.Declaration("route", v[1], None, items, attrs, self._span(v))

    def device(self, v: Values) -> Any:
        items, attrs = _split(v[3])
        return tree.Declaration("device", self._reference(v[1]), self._name(v[2]), items, attrs, self._span(v))

    def wire(self, v: Values) -> Any:
        items, attrs = _split(v[2])
        return tree.Wire(tuple(v[1]), items, attrs, self._span(v))

    def setting(self, v: Values) -> Any:
        return tree.Setting(v[1], tuple(v[2]), self._span(v))

    def fit(self, v: Values) -> Any:
        return tree.Fit(v[1], v[3], tuple(v[4]), self._span(v))

    def interlock(self, v: Values) -> Any:
        return tree.Interlock(tuple(v[1]), self._word(v[2]), self._span(v))

    def twin(self, v: Values) -> Any:
        return tree.Twin(tuple(v[1]), self._span(v))

    def teeth(self, v: Values) -> Any:
        return tree.Teeth(v[2], tuple(v[4]), self._span(v))

    def channel(self, v: Values) -> Any:
        items, attrs = _split(v[2])
        return tree.Channel(v[1], items, attrs, self._span(v))

    def couple(self, v: Values) -> Any:
        return tree.Couple((v[1], v[2]), self._span(v))

    def connect(self, v: Values) -> Any:
        return tree.Connect(v[1], v[2], self._span(v))

    def earthing(self, v: Values) -> Any:
        return tree.Earthing(v[2], v[4], self._span(v))

    def potential(self, v: Values) -> Any:
        items, attrs = _split(v[4])
        return tree.PotentialName(self._word(v[1]), v[3], items, attrs, self._span(v))

    def relation(self, v: Values) -> Any:
        return tree.Relation((self._word(v[1]), self._word(v[2])), tuple(v[3]), self._span(v))

    def layout(self, v: Values) -> Any:
        items, attrs = _split(v[1])
        return tree.Layout(items, attrs, self._span(v))

    def shade(self, v: Values) -> Any:
        key = v[1]
        name = key.value.rstrip(" \t=")
        word = Word(name, Span(self.source, key.start_pos, key.start_pos + len(name)))
        return tree.Shade(word, self._word(v[2]), self._text(v[3]) if len(v) == 5 else None, self._span(v))

    def defaults(self, v: Values) -> Any:
        return tree.Defaults(tuple(v[1]), self._span(v))

    def allow(self, v: Values) -> Any:
        until = self._word(v[7]) if len(v) == 9 else None
        return tree.Allow(self._word(v[1]), v[3], self._text(v[5]), until, self._span(v))

    def severity(self, v: Values) -> Any:
        reason = self._text(v[4]) if len(v) == 6 else None
        return tree.RuleSeverity(self._word(v[1]), self._word(v[2]), reason, self._span(v))

    def separation(self, v: Values) -> Any:
        reason = self._text(v[5]) if len(v) == 7 else None
        return tree.ClassSeparation((self._word(v[1]), self._word(v[2])), tuple(v[3]), reason, self._span(v))

    def least_section(self, v: Values) -> Any:
        reason = self._text(v[3]) if len(v) == 5 else None
        return tree.LeastSection(tuple(v[1]), reason, self._span(v))

    def remark(self, v: Values) -> Any:
        return tree.Remark(self._word(v[0]), v[2], v[3], self._span(v))

    def let(self, v: Values) -> Any:
        return tree.Let(tuple(v[1]), self._span(v))

    def each(self, v: Values) -> Any:
        return [self._each(*v[-4:])]

    def more_each(self, v: Values) -> Any:
        v[0].append(self._each(*v[-4:]))
        return v[0]

    def _each(self, first: Token, name: Token, _: Token, values: list[Value]) -> tree.Each:
        return tree.Each(self._word(name), tuple(values), Span(self.source, first.start_pos, values[-1].span.end))

    def use(self, v: Values) -> Any:
        return self._use(v, (), v[2], v[3:])

    def use_each(self, v: Values) -> Any:
        return self._use(v, tuple(v[2]), v[3], v[4:])

    def _use(self, v: Values, each: tuple[tree.Each, ...], attrs: list[Attr], block: Values) -> Any:
        """A `use` with what stands in its line and, where it has a block, in the lines of that: all of it, or it says nothing."""
        lines = block[1] if len(block) > 1 else []
        if any(line.__class__ is tree.Bad for line in lines):
            return tree.Bad(self._span(v))
        return tree.Use(self._word(v[1]), each, (*attrs, *(attr for line in lines for attr in line)), self._span(v))

    # --- blocks ---------------------------------------------------------------------------------------------------
    def project(self, v: Values) -> Any:
        attrs: list[Attr] = []
        revisions = []
        for line in v[3]:
            if isinstance(line, tree.Revision):
                revisions.append(line)
            elif isinstance(line, list):
                attrs += line
        return tree.Project(self._text(v[1]), tuple(attrs), tuple(revisions), self._span(v))

    def project_ratings(self, v: Values) -> Any:
        return v[0]

    def revision(self, v: Values) -> Any:
        text = self._text(v[3]) if len(v) == 6 else None
        return tree.Revision(self._word(v[1]), self._word(v[2]), text, tuple(v[-2]), self._span(v))

    def strip(self, v: Values) -> Any:
        items, attrs = _split(v[2])
        return tree.Strip(v[1], items, attrs, _good(v[4]), self._span(v))

    def strip_row(self, v: Values) -> Any:
        items, attrs = _split(v[1])
        return tree.StripRow(tuple(v[0]), items, attrs, Span(self.source, v[0][0].span.start, v[-1].start_pos))

    def bridge(self, v: Values) -> Any:
        return tree.Bridge(tuple(v[1]), self._span(v))

    def rail_piece(self, v: Values) -> Any:
        items, attrs = _split(v[1])
        return tree.RailPiece(str(v[0].value), items, attrs, self._span(v))

    def cable(self, v: Values) -> Any:
        items, attrs = _split(v[3])
        lines = _good(v[5])
        cores = tuple([line for line in lines if isinstance(line, tree.Core)])
        screens = tuple([line for line in lines if isinstance(line, tree.Screen)])
        return tree.Cable(v[1][0], v[2], items, attrs, cores, screens, self._span(v), tuple(v[1][1:]))

    def core(self, v: Values) -> Any:
        items, attrs = _split(v[2])
        return tree.Core(self._word(v[0]), tuple(v[1]), items, attrs, self._span(v))

    def screen(self, v: Values) -> Any:
        return tree.Screen(None, tuple(v[1]), self._span(v))

    def screen_pair(self, v: Values) -> Any:
        return tree.Screen(self._word(v[2]), tuple(v[3]), self._span(v))

    def function(self, v: Values) -> Any:
        items, attrs = _split(v[2])
        return tree.Function(v[1], items, attrs, tuple(v[4]), self._span(v))

    def scheme(self, v: Values) -> Any:
        text = self._text(v[3]) if len(v) == 8 else None
        return tree.Scheme(self._word(v[1]), tuple(v[2]), text, tuple(v[-3]), self._span(v))

    def part(self, v: Values) -> Any:
        return tree.Part(self._word(v[1]), tuple(v[2]), _good(v[4]), self._span(v))

    def outside(self, v: Values) -> Any:
        items, attrs = _split(v[2])
        return tree.Outside(v[1], items, attrs, _good(v[4]), self._span(v))

    # --- lines of a part --------------------------------------------------------------------------------------------
    def rating(self, v: Values) -> Any:
        return tree.PartLine("rating", (), (), (), tuple(v[0]), Span(self.source, v[0][0].span.start, v[-1].start_pos))

    def part_terminal(self, v: Values) -> Any:
        items, attrs = _split(v[2])
        return tree.PartLine(v[0].value, tuple(v[1]), (), items, attrs, self._span(v))

    def part_path(self, v: Values) -> Any:
        items, attrs = _split(v[4])
        return tree.PartLine(v[0].value, tuple(v[1]), tuple(v[3]), items, attrs, self._span(v))

    def part_position(self, v: Values) -> Any:
        items, attrs = _split(v[5])
        return tree.PartLine(v[0].value, tuple(v[2]), tuple(v[4]), (self._word(v[1]), *items), attrs, self._span(v))

    def part_setting(self, v: Values) -> Any:
        items, attrs = _split(v[1])
        return tree.PartLine(v[0].value, (), (), items, attrs, self._span(v))

    def part_selective(self, v: Values) -> Any:
        return tree.PartLine(v[0].value, (), (), (), tuple(v[1]), self._span(v))

    def part_require(self, v: Values) -> Any:
        items, attrs = _split(v[3])
        return tree.PartLine(v[0].value, tuple(v[2]), (), (self._word(v[1]), *items), attrs, self._span(v))

    # --- the whole ------------------------------------------------------------------------------------------------
    def bad(self, v: Values) -> Any:
        return tree.Bad(v[0].span(self.source))

    def tree(self, v: Values) -> Any:
        return tree.Tree(self.source, tuple(v[0]))


def _split(tail: Values) -> tuple[tuple[Any, ...], tuple[Attr, ...]]:
    """Items and attributes of what stood mixed behind a statement's fixed part."""
    items: list[Any] = []
    attrs: list[Attr] = []
    for piece in tail:
        (attrs if piece.__class__ is Attr else items).append(piece)
    return tuple(items), tuple(attrs)


def _good(lines: Values) -> tuple[Any, ...]:
    """Lines without those that could not be read: findings speak of them, and the tree has no place for them here."""
    return tuple([line for line in lines if line.__class__ is not tree.Bad])
