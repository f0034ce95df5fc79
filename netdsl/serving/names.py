"""What is named at a place, and where else: definition, references, and everything on a net."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol import types

from netdsl.findings import Span
from netdsl.model.mentions import Mention, TerminalMention
from netdsl.serving.desk import Desk, Open
from netdsl.serving.plants import Whole
from netdsl.syntax import tree
from netdsl.syntax.written import Word


def mention_at(whole: Whole, here: Open, position: types.Position) -> Mention | TerminalMention | None:
    """The narrowest mention at a place, of a thing or of terminals."""
    number, offset = here.places.locate(position)
    source = here.document.pieces[number].source
    all_mentions: list[Mention | TerminalMention] = [*whole.mentions.things, *whole.mentions.terminals]
    found = [each for each in all_mentions if each.span.source is source and each.span.start <= offset <= each.span.end]
    return min(found, key=lambda each: each.span.end - each.span.start, default=None)


def identity_at(whole: Whole, here: Open, position: types.Position) -> str | None:
    """The designation of what is named at a place, `=RP1-T1` or `=RP1-T1:U`; None where nothing is."""
    found = mention_at(whole, here, position)
    if isinstance(found, Mention):
        return found.identity
    if found is None:
        return None
    if found.name:
        return f"{found.device}:{found.name}"
    number, offset = here.places.locate(position)
    text = here.document.pieces[number].source.text[found.span.start : found.span.end]
    names = text.lstrip(":").split(",")
    at = text[: offset - found.span.start].count(",")
    return f"{found.device}:{names[min(at, len(names) - 1)].partition('..')[0].partition('/')[0]}"


def word_at(here: Open, position: types.Position) -> tuple[str, Span]:
    """The word at a place, letters, figures and what joins them, with its characters."""
    number, offset = here.places.locate(position)
    source = here.document.pieces[number].source
    text, start, end = source.text, offset, offset
    while start and (text[start - 1].isalnum() or text[start - 1] in "-_./"):
        start -= 1
    while end < len(text) and (text[end].isalnum() or text[end] in "-_./"):
        end += 1
    return text[start:end], Span(source, start, end)


def declaration_of(whole: Whole, identity: str) -> Span | None:
    """Where a thing or terminal is declared."""
    plant = whole.plant
    if plant is None:
        return None
    owner, _, terminal = identity.partition(":")
    device = plant.devices.get(owner)
    if device is not None and terminal in device.terminals and device.category == "strip":
        return device.terminals[terminal].span
    for table in (plant.devices, plant.cables, plant.places, plant.functions, plant.routes):
        if owner in table:
            return table[owner].span
    return None


def named_block(whole: Whole, word: str) -> Span | None:
    """Where the part or scheme called `word` is described: in the plant, else in the shipped library."""
    from netdsl.model.files import library_part, library_scheme

    for document in whole.documents.values():
        for piece in document.pieces:
            for statement in piece.tree.statements:
                if isinstance(statement, tree.Part | tree.Scheme) and statement.name.text == word:
                    return statement.name.span
    shipped = library_part(word) or library_scheme(word)
    return None if shipped is None else shipped.name.span


def definition(desk: Desk, here: Open, position: types.Position) -> types.Location | None:
    """Where what is named at a place is declared."""
    whole = here.plant.at_hand()
    identity = identity_at(whole, here, position)
    span = declaration_of(whole, identity) if identity else None
    span = span or named_block(whole, word_at(here, position)[0])
    return None if span is None else desk.location(here.plant, span)


def places_of(whole: Whole, identity: str) -> Iterator[Span]:
    """Every place that names a thing or terminal, once."""
    owner, colon, terminal = identity.partition(":")
    spans: dict[Span, None] = {}
    if colon:
        for each in whole.mentions.terminals:
            if each.device == owner and (each.name == terminal or (not each.name and _spells(each.span.text, terminal))):
                spans[each.span] = None
    else:
        spans = dict.fromkeys(each.span for each in whole.mentions.things if each.identity == identity)
    yield from spans


def _spells(text: str, terminal: str) -> bool:
    for name in text.lstrip(":").split(","):
        first, dots, last = name.partition("..")
        if first.partition("/")[0] == terminal or last == terminal:
            return True
        if dots and first.isdigit() and last.isdigit() and terminal.isdigit() and int(first) < int(terminal) < int(last):
            return True
    return False


def references(desk: Desk, here: Open, position: types.Position) -> list[types.Location]:
    """Every place that names what is named at a place; of the scheme or part of a word, every use."""
    whole = here.plant.at_hand()
    identity = identity_at(whole, here, position)
    if identity is not None:
        spans = list(places_of(whole, identity))
    else:
        word, _ = word_at(here, position)
        pieces = [piece for document in whole.documents.values() for piece in document.pieces]
        spans = [each for piece in pieces for each in _uses(piece.tree.statements, word)]
    return [found for span in spans if (found := desk.location(here.plant, span)) is not None]


def _uses(statements: tuple[tree.Statement, ...], word: str) -> Iterator[Span]:
    for statement in statements:
        if isinstance(statement, tree.Use) and statement.scheme.text == word:
            yield statement.scheme.span
        elif isinstance(statement, tree.Declaration) and isinstance(statement.part, Word) and statement.part.text == word:
            yield statement.part.span
        elif isinstance(statement, tree.Part | tree.Scheme) and statement.name.text == word:
            yield statement.name.span
        if isinstance(statement, tree.Function | tree.Scheme):
            yield from _uses(statement.body, word)


def highlight(here: Open, position: types.Position) -> list[types.DocumentHighlight]:
    """In this text: of a terminal every terminal on its net, of anything else every place that names it."""
    whole = here.plant.at_hand()
    identity = identity_at(whole, here, position)
    if identity is None:
        return []
    spans = list(places_of(whole, identity))
    network = whole.network
    net = None if network is None else (network.net(identity) or network.net(f"{identity}/in"))
    if net is not None and ":" in identity:
        nodes = {node.removesuffix("/in").removesuffix("/out") for node in net.nodes}
        spans += [span for node in sorted(nodes - {identity}) for span in places_of(whole, node)]
    found = dict.fromkeys(span for span in spans if here.document.holds(span.source))
    return [types.DocumentHighlight(here.places.range(span), types.DocumentHighlightKind.Text) for span in found]
