"""The outline of a text: symbols, folding, and the symbols of the whole workspace."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lsprotocol import types

from netdsl.findings import Span
from netdsl.serving.desk import Desk, Open
from netdsl.syntax import tree
from netdsl.syntax.tree import Statement
from netdsl.syntax.written import Text

_KINDS = {
    "function": types.SymbolKind.Namespace,
    "device": types.SymbolKind.Object,
    "strip": types.SymbolKind.Array,
    "cable": types.SymbolKind.Event,
    "place": types.SymbolKind.Package,
    "route": types.SymbolKind.Interface,
    "supply": types.SymbolKind.Constant,
    "part": types.SymbolKind.Class,
    "scheme": types.SymbolKind.Function,
    "use": types.SymbolKind.Operator,
    "project": types.SymbolKind.Module,
}


def symbols(here: Open) -> list[types.DocumentSymbol]:
    """What a text declares, functions with what stands in them."""
    return [each for piece in here.document.pieces for each in _symbols(here, piece.tree.statements)]


def _symbols(here: Open, statements: Iterable[Statement]) -> Iterator[types.DocumentSymbol]:
    for statement in statements:
        found = _named(statement)
        if found is None:
            continue
        keyword, name, span, title = found
        body = statement.body if isinstance(statement, tree.Function | tree.Scheme) else ()
        yield types.DocumentSymbol(
            name or keyword,
            _KINDS.get(keyword, types.SymbolKind.Object),
            here.places.range(statement.span),
            here.places.range(span),
            detail=title,
            children=list(_symbols(here, body)) or None,
        )


def _named(statement: Statement) -> tuple[str, str, Span, str] | None:
    """Keyword, name, the characters of the name, and title of a statement that declares something."""
    match statement:
        case tree.Project():
            return "project", statement.title.value, statement.title.span, ""
        case tree.Declaration():
            part = statement.part.span.text if statement.part else ""
            title = " ".join(filter(None, (part, _title(statement.items))))
            return statement.keyword, statement.name.span.text, statement.name.span, title
        case tree.Strip():
            return "strip", statement.name.span.text, statement.name.span, _title(statement.items)
        case tree.Cable():
            title = f"{statement.construction.span.text} {_title(statement.items)}".rstrip()
            return "cable", statement.name.span.text, statement.name.span, title
        case tree.Outside():
            return "outside", statement.name.span.text, statement.name.span, _title(statement.items)
        case tree.Function():
            return "function", statement.name.span.text, statement.name.span, _title(statement.items)
        case tree.Scheme():
            return "scheme", statement.name.text, statement.name.span, statement.text.value if statement.text else ""
        case tree.Part():
            return "part", statement.name.text, statement.name.span, _title(statement.items)
        case tree.Use():
            return "use", statement.scheme.text, statement.scheme.span, ""
    return None


def _title(items: Iterable[object]) -> str:
    return next((item.value for item in items if isinstance(item, Text)), "")


def workspace_symbols(desk: Desk, query: str) -> list[types.WorkspaceSymbol]:
    """Everything with a designation in the open plants in whose designation or title the query stands, at most 500."""
    wanted = query.casefold()
    result: list[types.WorkspaceSymbol] = []
    for plant in desk.plants.values():
        read = plant.at_hand().plant
        if read is None:
            continue
        tables = (
            ("function", read.functions),
            ("device", read.devices),
            ("cable", read.cables),
            ("place", read.places),
            ("route", read.routes),
        )
        for kind, table in tables:
            for name, thing in table.items():
                if wanted in name.casefold() or wanted in thing.title.casefold():
                    place = desk.location(plant, thing.span)
                    if place is not None and len(result) < 500:
                        result.append(types.WorkspaceSymbol(place, name, _KINDS[kind], container_name=thing.title or None))
    return result


def folding(here: Open) -> list[types.FoldingRange]:
    """Blocks, and comments of several lines."""
    result = []
    for piece in here.document.pieces:
        for statement in _blocks(piece.tree.statements):
            where = here.places.range(statement.span)
            if where.end.line > where.start.line:
                result.append(types.FoldingRange(where.start.line, where.end.line))
    start = None
    for number in range(here.document.line_count + 1):
        comment = number < here.document.line_count and here.document.line(number).lstrip().startswith("#")
        if comment and start is None:
            start = number
        elif not comment and start is not None:
            if number - start > 1:
                result.append(types.FoldingRange(start, number - 1, kind=types.FoldingRangeKind.Comment))
            start = None
    return sorted(result, key=lambda each: (each.start_line, -each.end_line))


def _blocks(statements: Iterable[Statement]) -> Iterator[Statement]:
    for statement in statements:
        yield statement
        if isinstance(statement, tree.Function | tree.Scheme):
            yield from _blocks(statement.body)
