"""What stands between the lines: which terminal a range meets; and the parameters of a scheme while it is used."""

from __future__ import annotations

from lsprotocol import types

from netdsl.model.files import library_scheme
from netdsl.serving.desk import Open
from netdsl.serving.plants import Whole
from netdsl.syntax.tree import Scheme, Statement


def inlay_hints(here: Open, within: types.Range) -> list[types.InlayHint]:
    """At the end of each line in `within` that joins several pairs of terminals, which meets which."""
    plant = here.plant.at_hand().plant
    pairs: dict[int, list[str]] = {}
    for conductor in plant.conductors.values() if plant is not None else ():
        span = conductor.span
        if conductor.use is not None or not here.document.holds(span.source):
            continue
        line = here.document.place(span.source, span.end)[0]
        if within.start.line <= line <= within.end.line:
            a, b = conductor.ends
            pairs.setdefault(line, []).append(f"{a.terminal} to {b.terminal}")
    result = []
    for line, met in sorted(pairs.items()):
        if len(met) > 1:
            text = here.document.line(line)
            place = here.places.position(line, len(text))
            shown = ", ".join(met[:8]) + (f" and {len(met) - 8} more" if len(met) > 8 else "")
            result.append(types.InlayHint(place, shown, padding_left=True))
    return result


def scheme_called(whole: Whole, name: str) -> Scheme | None:
    """The scheme of that name: the plant's own, else the shipped one."""
    pieces = (piece for document in whole.documents.values() for piece in document.pieces)
    own: list[Statement] = [each for piece in pieces for each in piece.tree.statements]
    found = next((each for each in own if isinstance(each, Scheme) and each.name.text == name), None)
    return found or library_scheme(name)


def signature(here: Open, position: types.Position) -> types.SignatureHelp | None:
    """The parameters of the scheme that the line at a place uses, with that being written."""
    from netdsl.library.words import words

    line = here.document.line(position.line)
    pieces = line.split()
    if len(pieces) < 2 or pieces[0] != "use":
        return None
    scheme = scheme_called(here.plant.whole, pieces[1])
    if scheme is None:
        return None
    said = words()["parameters"]
    names = [param.name.text for param in scheme.params]
    shown = [types.ParameterInformation(name, said.get(name)) for name in names]
    label = f"{pieces[1]}({', '.join(param.span.text for param in scheme.params)})"
    before = line[: here.places.column(line, position.character)]
    written = [name for name in names if f" {name}=" in before]
    active = names.index(written[-1]) if written else 0
    title = scheme.text.value if scheme.text else None
    return types.SignatureHelp([types.SignatureInformation(label, title, shown)], 0, active)
