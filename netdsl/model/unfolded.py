"""A plant's text with every `use` replaced by what the scheme says there, as if it had been written by hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from netdsl.findings import Finding, Severity, Source, Span, arranged
from netdsl.model.build import Reading, read_desk
from netdsl.model.desk import Desk, TooMuch
from netdsl.model.files import Texts
from netdsl.model.here import Here
from netdsl.model.put_in import lines_of
from netdsl.model.unfold import Walk
from netdsl.syntax import format_text, parse
from netdsl.syntax.tree import Function, Include, Scheme, Statement, Tree, Use, Version


class Unfolded(NamedTuple):
    """The text, formatted, None where the plant's own has errors; those then."""

    text: str | None
    findings: tuple[Finding, ...] = ()


def unfolded(texts: Texts) -> Unfolded:
    """The plant of `texts` as one text without `use`, `scheme` and `include`; behind each line of a scheme stands where that
    scheme says it."""
    if not texts.main:
        return Unfolded(None, arranged(texts.findings))
    try:
        read = read_desk(texts)
    except TooMuch as beyond:
        return Unfolded(None, arranged(beyond.findings))
    errors = tuple(finding for finding in read.desk.findings if finding.severity is Severity.ERROR)
    if errors:
        return Unfolded(None, arranged(errors))
    text = _joined(texts.trees, _Writer(read, texts.trees).written_out())
    return Unfolded(format_text(Source("unfolded", text)) or text)


def functions_in(text: str) -> dict[str, list[str]]:
    """The text of each function by its identity, as often as it is entered, formatted; those inside others too."""
    result: dict[str, list[str]] = {}
    for identity, function in _functions(parse(Source("unfolded", text))[0].statements, ""):
        piece = function.span.text + "\n"
        result.setdefault(identity, []).append(format_text(Source("unfolded", piece)) or piece)
    return result


def _functions(statements: Iterable[Statement], outer: str) -> Iterator[tuple[str, Function]]:
    for statement in statements:
        if isinstance(statement, Function):
            identity = f"{outer}.{statement.name.base[1:]}" if outer else statement.name.base
            yield identity, statement
            yield from _functions(statement.body, identity)


class _Writer(Walk):
    """Walks through a plant that was read and found sound, and writes down what each `use` of its text stands for."""

    def __init__(self, read: Reading, trees: list[Tree]) -> None:
        desk = Desk()
        desk.schemes, desk.declared = read.desk.schemes, read.desk.declared
        desk.places, desk.devices = read.desk.places, read.desk.devices
        super().__init__(desk, read.scope, [statement for each in trees for statement in each.statements])
        self.trees = trees
        self.lines: list[str] = []
        self.step = ""
        self.instead: dict[Span, str] = {}

    def written_out(self) -> dict[Span, str]:
        """What stands in place of each `use` outside schemes."""
        for each in self.trees:
            self.through(each.statements, self.plant, ())
        return self.instead

    def use(self, use: Use, here: Here, schemes: tuple[str, ...]) -> None:
        if here.scope.use is not None:
            super().use(use, here, schemes)
            return
        self.lines, self.step = [f"# {' '.join(use.span.text.split())}"], ""
        super().use(use, here, schemes)
        self.instead[use.span] = "\n".join(self.lines)

    def function(self, function: Function, here: Here, schemes: tuple[str, ...]) -> None:
        if here.scope.use is None:
            super().function(function, here, schemes)
            return
        head = function.span.text.partition("{")[0]
        self._write(Span(function.span.source, function.span.start, function.span.start + len(head)), here, " {")
        super().function(function, here, schemes)
        self.lines.append("}")

    def take(self, statement: Statement, here: Here) -> None:
        if here.scope.use is not None:
            self._write(statement.span, here)

    def _write(self, span: Span, here: Here, end: str = "") -> None:
        """Write the lines of `span` with the values put in, each with where it comes from."""
        if here.scope.step != self.step:
            self.step = here.scope.step
            self.lines.append(f"# with {self.step}")
        for line, at in lines_of(span, here):
            self.lines.append(line if line == "}" else f"{line}{end}  # {span.source.path}:{span.source.place(at)[0]}")


def _joined(trees: list[Tree], instead: dict[Span, str]) -> str:
    """The texts as one: each `use` replaced, schemes left out, what is included put where that is said first."""
    by_path = {each.source.path: each for each in trees}
    done = {trees[0].source.path}

    def text_of(each: Tree) -> str:
        edits = dict(_edits(each.statements, instead))
        for statement in each.statements:
            if isinstance(statement, Include):
                path = _included(statement, each.source)
                inner = by_path.get(path) if path not in done else None
                done.add(path)
                edits[statement.span] = text_of(inner) if inner is not None else ""
            elif isinstance(statement, Version) and each is not trees[0]:
                edits[statement.span] = ""
        return _edited(each.source.text, edits)

    return text_of(trees[0])


def _included(statement: Include, source: Source) -> str:
    """The path of what is included as its source has it, relative to the plant's folder."""
    parts: list[str] = []
    for part in (*Path(source.path).parent.parts, *Path(statement.path.value).parts):
        if part == ".." and parts:
            parts.pop()
        elif part != ".":
            parts.append(part)
    return "/".join(parts)


def _edits(statements: Iterable[Statement], instead: dict[Span, str]) -> Iterator[tuple[Span, str]]:
    for statement in statements:
        if isinstance(statement, Use):
            yield statement.span, instead[statement.span]
        elif isinstance(statement, Scheme):
            yield _with_remarks(statement.span), ""
        elif isinstance(statement, Function):
            yield from _edits(statement.body, instead)


def _with_remarks(span: Span) -> Span:
    """`span` with the lines of comment that stand right above it."""
    source = span.source
    line = source.place(span.start)[0]
    while line > 1 and source.line(line - 1).lstrip().startswith("#"):
        line -= 1
    return Span(source, min(span.start, source.line_starts[line - 1]), span.end)


def _edited(text: str, edits: dict[Span, str]) -> str:
    pieces: list[str] = []
    position = 0
    for span in sorted(edits, key=lambda span: span.start):
        pieces += [text[position : span.start], edits[span]]
        position = span.end
    return "".join((*pieces, text[position:]))
