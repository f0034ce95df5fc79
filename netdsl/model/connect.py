"""Wires and cables: which terminal each conductor joins to which."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

from netdsl.findings import Related, Span
from netdsl.model.construction import cores_of
from netdsl.model.declare import designation
from netdsl.model.desk import Desk, Scope, with_reason
from netdsl.model.open_values import AUTO, OpenValue, open_construction
from netdsl.model.plant import Cable, CableScreen, Conductor, CoreType, End, Rating, ScreenTermination
from netdsl.model.terminals import base_of, ends_of, object_of
from netdsl.model.values import (
    amount_of,
    attr_text,
    one_of,
    quantity_of,
    settled,
    split_items,
    text_of,
    unknown_key,
    written_at,
)
from netdsl.model.vocabulary import SCREEN_WAYS, is_colour
from netdsl.quantities import Quantity, parse_quantity
from netdsl.spelling import nearest
from netdsl.syntax.tree import Attr, Core, Screen, ScreenEnd, Wire, Word
from netdsl.syntax.tree import Cable as CableText

#: what a wire or cable may state for the calculation; resistance and reactance are those of one conductor, as in service
ELECTRICAL_KEYS = {
    "resistance": "resistance",
    "reactance": "resistance",
    "resistance-per-length": "resistance-per-length",
    "reactance-per-length": "resistance-per-length",
    "ampacity": "current",
    "correction": "number",
    "circuits": "number",
    "adiabatic-constant": "number",
    "ambient": "temperature",
    "method": "word",
    "stranding": "word",
}
WIRE_KEYS = ("along", "length", "mark", "insulation", "material", "ferrule", *ELECTRICAL_KEYS)
MAX_PARALLEL = 20
CABLE_KEYS = {"method": "word", "insulation": "word", "voltage": "voltage", "material": "word", **ELECTRICAL_KEYS}
CABLE_WORDS = {
    "insulation": ("PVC", "XLPE", "EPR"),
    "material": ("Cu", "Al"),
    "stranding": ("rigid", "fine"),
    "method": ("A1", "A2", "B1", "B2", "C", "D", "D1", "D2", "E", "F", "G"),
}
#: a wire may be bare, a braid, a rail or a bar, which have no colour
WIRE_WORDS = {**CABLE_WORDS, "material": (*CABLE_WORDS["material"], "bare", "braid", "rail", "bar")}


def colour_of(word: str, desk: Desk) -> bool:
    """Whether `word` is a colour: of IEC 60757, or a shade the plant declares."""
    return is_colour(word) or word in desk.shades


def routes_of(attr: Attr, scope: Scope, desk: Desk, whole: Span) -> tuple[str, ...]:
    """The routes that `along=` names, in order; unknown ones are left out with a finding."""
    result = []
    for value in attr.values:
        text = text_of(value, scope, desk)
        if text is None:
            continue
        for name in text.split(","):
            if route_named(name, value.span, scope, desk, whole):
                result.append(name)
    return tuple(result)


def route_named(name: str, span: Span, scope: Scope, desk: Desk, whole: Span) -> bool:
    """Whether `name` is a route, or a compartment of a divided one; else a finding."""
    base, _, compartment = name.partition("/")
    route = desk.routes.get(name) or desk.routes.get(base)
    if route is None:
        desk.unknown("route", name, span, scope, desk.routes, whole)
        return False
    if compartment and name not in desk.routes and (not route.divider or compartment not in ("1", "2")):
        desk.fault(
            "unknown-name",
            span,
            f"route `{base}` has no compartment `{compartment}`",
            "a route with `divider=yes` has `/1` and `/2`",
            scope,
            whole=whole,
        )
        return False
    return True


def connect_wire(wire: Wire, scope: Scope, desk: Desk) -> None:
    """Enter the conductors of a `wire` statement: one per step and piece of the chain."""
    lists: list[list[End]] = []
    for reference in wire.ends:
        ends = ends_of(reference, scope, desk, wire.span, "in")
        if ends is None:
            desk.doubt(wire.span, scope)
            return
        lists.append(ends)
    first = lists[0]
    for reference, other in zip(wire.ends[1:], lists[1:], strict=True):
        if len(other) != len(first):
            desk.fault(
                "count-mismatch",
                reference.span,
                f"`{wire.ends[0].text}` names {_count(first)}, `{reference.text}` names {_count(other)}",
                "name as many terminals at each end",
                scope,
                related=(Related("the other end", wire.ends[0].span),),
                whole=wire.span,
            )
            return
    section, colour, text, twin, is_open = _wire_items(wire, scope, desk)
    routes, length, mark, attributes = _wire_attrs(wire, scope, desk)
    open_at = written_at(wire.items, AUTO, scope, desk) if is_open else None
    if open_at is not None:
        attributes["section"] = AUTO
    made: list[str] = []
    shown, written = with_reason(wire.span, scope)
    for step in range(len(first)):
        points = [ends[step] for ends in lists]
        chain = " -- ".join(end.id for end in points) if len(points) > 2 else ""
        for a, b in itertools.pairwise(points):
            if a.id == b.id and a.side == b.side:
                desk.fault(
                    "duplicate-name", wire.span, f"this wire begins and ends on `{a.id}`", "name two different terminals", scope
                )
                continue
            identity = _free(f"{_point(a)} -- {_point(b)}", desk)
            made.append(identity)
            desk.conductors[identity] = Conductor(
                identity,
                (a, b),
                None,
                "",
                section,
                colour,
                routes,
                length,
                mark,
                scope.function,
                shown,
                text,
                chain,
                twin and len(points) > 2,
                written,
                attributes,
            )
    if open_at is not None and made:
        desk.open_values.append(OpenValue("section", tuple(made), open_at, open_at))


def _point(end: End) -> str:
    return f"{end.id}/{end.side}" if end.side == "out" else end.id


def _free(identity: str, desk: Desk) -> str:
    if identity not in desk.conductors:
        return identity
    n = 2
    while f"{identity} ({n})" in desk.conductors:
        n += 1
    return f"{identity} ({n})"


def _count(ends: Sequence[End]) -> str:
    return "1 terminal" if len(ends) == 1 else f"{len(ends)} terminals"


def _wire_items(wire: Wire, scope: Scope, desk: Desk) -> tuple[float | None, str | None, str, bool, bool]:
    """Section, colour, text, whether the ends in the middle share a twin ferrule, whether the section is left open."""
    words, text = split_items(wire.items, scope, desk)
    section: float | None = None
    colour: str | None = None
    twin = is_open = False
    for word in words:
        quantity = parse_quantity(word.text) if word.text[:1].isdigit() else None
        if quantity is not None and quantity.kind == "section" and quantity.form == "single":
            _first_only("section", section, word, scope, desk)
            section = quantity.value
            if not 0 < section <= 1000:
                desk.fault("out-of-range", word.span, f"`{word.text}` is no section of a wire", "give 0.05mm2 to 1000mm2", scope)
        elif word.text[:1].isdigit():
            desk.fault(
                "wrong-unit", word.span, f"`{word.text}` is no section", "write the section in mm2", scope, whole=wire.span
            )
        elif word.text == "twin":
            twin = True
        elif word.text == AUTO:
            _first_only("section", section, word, scope, desk)
            is_open = True
        elif colour_of(word.text, desk):
            _first_only("colour", colour, word, scope, desk)
            colour = word.text
        else:
            near = nearest(
                word.text, ("BK", "BN", "GY", "BU", "RD", "GNYE", "OG", "WH", "YE", "GN", "VT", "PK", "twin", *desk.shades)
            )
            desk.fault(
                "unknown-word",
                word.span,
                f"`{word.text}` is no colour",
                f"did you mean `{near}`?" if near else "take a colour code of IEC 60757, or declare a `shade`",
                scope,
                whole=wire.span,
            )
    return section, colour, text, twin, is_open


def _first_only(what: str, before: object, word: Word, scope: Scope, desk: Desk) -> None:
    """Note that `word` gives a wire its `what` a second time."""
    if before is not None:
        desk.fault("duplicate-name", word.span, f"`{word.text}` is a second {what}", "give it once", scope, whole=word.span)


def _wire_attrs(wire: Wire, scope: Scope, desk: Desk) -> tuple[tuple[str, ...], float | None, str | None, dict[str, Rating]]:
    routes: tuple[str, ...] = ()
    length: float | None = None
    mark: str | None = None
    attributes: dict[str, Rating] = {}
    for attr in wire.attrs:
        key = attr.key.text
        if key == "along":
            routes = routes_of(attr, scope, desk, wire.span)
        elif key == "length":
            length = amount_of(attr, "length", scope, desk, wire.span)
        elif key == "mark":
            mark = attr_text(attr, scope, desk)
        elif key == "insulation":
            value = attr_text(attr, scope, desk)
            volts = parse_quantity(value) if value is not None else None
            stated = volts or _stated(attr, scope, desk, wire.span, WIRE_WORDS)
            if stated is not None:
                attributes[key] = stated
        elif key in ELECTRICAL_KEYS or key == "material":
            stated = _stated(attr, scope, desk, wire.span, WIRE_WORDS)
            if stated is not None:
                attributes[key] = stated
        elif key in WIRE_KEYS:
            attributes[key] = attr_text(attr, scope, desk) or ""
        else:
            unknown_key(attr, scope, desk, WIRE_KEYS)
    return routes, length, mark, attributes


# --- cables -------------------------------------------------------------------------------------------------------
def connect_cable(cable: CableText, scope: Scope, desk: Desk) -> None:
    """Enter a cable with its cores and screens. Its name was declared before."""
    named = designation(cable.name, scope, desk)
    if named is None or named[0] in desk.cables or (desk.declared.get(named[0]) != named[1] and scope.use is None):
        return
    identity, span = named
    attrs = {attr.key.text: attr for attr in cable.attrs}
    found = settled(cable.construction, scope, desk)
    construction = found[0].span.text if found else ""
    numbered = _numbered(attrs, scope, desk)
    is_open = open_construction(construction)
    cores = cores_of(construction.replace(AUTO, "1"), numbered)
    if is_open and cores is not None:
        cores = tuple(replace(core, section_mm2=0.0) for core in cores)
    if cores is None:
        if found:
            desk.fault(
                "unknown-word",
                cable.construction.span,
                f"`{construction}` is no construction of a cable",
                "write it as `4G10`, `7x1.5`, `2x2x0.75`, `3x35+3G6` or `4G2.5+2x(2x1)`",
                scope,
                whole=cable.span,
            )
        desk.doubt(cable.span, scope)
        return
    words, title = split_items(cable.items, scope, desk)
    screen = _screen_word(
        [
            word.text
            for word in words
            if one_of(word.text, ("screened", "pair-screened"), "word for a cable", word.span, scope, desk, span)
        ]
    )
    if screen in ("pairs", "both") and not any(core.pair for core in cores):
        desk.fault(
            "unknown-word",
            cable.construction.span,
            f"`{construction}` has no pairs to screen",
            "write `screened`",
            scope,
            whole=span,
        )
    routes, length, parallel, spare, attributes = _cable_attrs(cable, scope, desk, span)
    connected = _cores(cable, identity, cores, scope, desk)
    screens = _screens(cable, screen, cores, scope, desk)
    shown, written = with_reason(span, scope)
    if is_open and found:
        desk.open_values.append(OpenValue("construction", (identity,), found[0].span, found[0].span))
    desk.cables[identity] = Cable(
        identity,
        title,
        construction,
        screen,
        cores,
        connected,
        screens,
        routes,
        length,
        str(attributes.pop("method", "")),
        spare,
        parallel,
        scope.function,
        attributes,
        shown,
        cable.span,
        written,
    )


def _numbered(attrs: dict[str, Attr], scope: Scope, desk: Desk) -> bool | None:
    attr = attrs.get("cores")
    if attr is None:
        return None
    text = attr_text(attr, scope, desk) or ""
    if not one_of(text, ("numbers", "colours"), "marking of cores", attr.span, scope, desk, attr.span):
        return None
    return text == "numbers"


def _screen_word(words: list[str]) -> str:
    if "screened" in words and "pair-screened" in words:
        return "both"
    return "outer" if "screened" in words else "pairs" if "pair-screened" in words else ""


def _cable_attrs(
    cable: CableText, scope: Scope, desk: Desk, span: Span
) -> tuple[tuple[str, ...], float | None, int, str, dict[str, Rating]]:
    routes: tuple[str, ...] = ()
    length: float | None = None
    parallel, spare = 1, ""
    attributes: dict[str, Rating] = {}
    for attr in cable.attrs:
        key = attr.key.text
        if key == "along":
            routes = routes_of(attr, scope, desk, span)
        elif key == "length":
            length = amount_of(attr, "length", scope, desk, span)
        elif key == "parallel":
            number = quantity_of(attr, "number", scope, desk, span)
            if number is not None and number.value not in range(1, MAX_PARALLEL + 1):
                desk.fault(
                    "out-of-range",
                    attr.span,
                    f"`{number.text}` is no number of cables in parallel",
                    f"give a whole number from 1 to {MAX_PARALLEL}",
                    scope,
                    whole=span,
                )
            elif number is not None:
                parallel = int(number.value)
        elif key == "spare":
            text = attr_text(attr, scope, desk) or ""
            spare = (
                text if one_of(text, ("earthed", "insulated"), "way to leave a spare core", attr.span, scope, desk, span) else ""
            )
        elif key in CABLE_KEYS:
            value = _stated(attr, scope, desk, span, CABLE_WORDS)
            if value is not None:
                attributes[key] = value
        elif key != "cores":
            unknown_key(attr, scope, desk, (*CABLE_KEYS, "along", "length", "parallel", "spare", "cores"))
    return routes, length, parallel, spare, attributes


def _stated(attr: Attr, scope: Scope, desk: Desk, whole: Span, known: dict[str, tuple[str, ...]]) -> Rating | None:
    """The value of an attribute of a wire or cable; None with a finding."""
    key = attr.key.text
    kind = CABLE_KEYS[key]
    value: Rating | None = attr_text(attr, scope, desk) if kind == "word" else quantity_of(attr, kind, scope, desk, whole)
    words = known.get(key, ())
    if value is not None and words and not one_of(str(value), words, key, attr.span, scope, desk, whole):
        return None
    return value


def _cores(cable: CableText, identity: str, cores: tuple[CoreType, ...], scope: Scope, desk: Desk) -> tuple[str, ...]:
    by_name = {core.name: core for core in cores}
    first: dict[str, Core] = {}
    connected: list[str] = []
    for line in cable.cores:
        name = line.core.text
        core = by_name.get(name)
        if core is None:
            near = nearest(name, by_name)
            desk.fault(
                "core-unknown",
                line.core.span,
                f"`{cable.construction.span.text}` has no core `{name}`",
                f"did you mean `{near}`?" if near else f"it has {', '.join(by_name)}",
                scope,
                subjects=(identity,),
                whole=line.span,
            )
            continue
        if name in first:
            desk.fault(
                "core-reused",
                line.core.span,
                f"core `{name}` of `{identity}` is used twice",
                "take another core",
                scope,
                related=(Related("first used here", first[name].core.span),),
                subjects=(identity,),
                whole=line.span,
            )
            continue
        first[name] = line
        conductor = _core(line, core, identity, scope, desk)
        if conductor is not None:
            desk.conductors[conductor.id] = conductor
            connected.append(conductor.id)
    return tuple(connected)


def _core(line: Core, core: CoreType, cable: str, scope: Scope, desk: Desk) -> Conductor | None:
    if len(line.ends) != 2:
        desk.fault("count-mismatch", line.span, "a core has two ends", "write `CORE A to B`", scope, whole=line.span)
        return None
    points: list[End] = []
    for reference in line.ends:
        ends = ends_of(reference, scope, desk, line.span, "out")
        if ends is None:
            desk.doubt(line.span, scope)
            return None
        if len(ends) != 1:
            desk.fault(
                "count-mismatch",
                reference.span,
                f"`{reference.text}` names {_count(ends)}, a core ends on one",
                "write a line per core",
                scope,
                whole=line.span,
            )
            return None
        points += ends
    words, text = split_items(line.items, scope, desk)
    for word in words:
        desk.fault("unknown-word", word.span, f"`{word.text}` cannot stand behind a core", "take it out", scope, whole=word.span)
    mark: str | None = None
    for attr in line.attrs:
        if attr.key.text == "mark":
            mark = attr_text(attr, scope, desk)
        else:
            unknown_key(attr, scope, desk, ("mark",))
    shown, written = with_reason(line.span, scope)
    return Conductor(
        f"{cable} {core.name}",
        (points[0], points[1]),
        cable,
        core.name,
        core.section_mm2 or None,
        core.colour or None,
        (),
        None,
        mark,
        scope.function,
        shown,
        text,
        "",
        False,
        written,
    )


def _screens(cable: CableText, screen: str, cores: tuple[CoreType, ...], scope: Scope, desk: Desk) -> tuple[CableScreen, ...]:
    has = {0} if screen in ("outer", "both") else set()
    if screen in ("pairs", "both"):
        has |= {core.pair for core in cores if core.pair}
    result: dict[int, CableScreen] = {}
    for line in cable.screens:
        pair = _pair(line, scope, desk)
        if pair is None:
            continue
        if pair not in has:
            what = f"pair {pair} has no screen of its own" if pair else "it has no outer screen"
            desk.fault(
                "core-unknown",
                line.span,
                f"`{cable.name.text}`: {what}",
                "write `screened` or `pair-screened` behind the construction",
                scope,
                whole=line.span,
            )
            continue
        if pair in result:
            desk.fault(
                "core-reused",
                line.span,
                "this screen is terminated twice",
                "put both ends into one line",
                scope,
                related=(Related("first here", result[pair].span),),
                whole=line.span,
            )
            continue
        ends = tuple(end for end in (_screen_end(end, scope, desk, line.span) for end in line.ends) if end is not None)
        result[pair] = CableScreen(pair, ends, line.span)
    for pair in has - result.keys():
        result[pair] = CableScreen(pair, (), cable.name.span)
    return tuple(result[pair] for pair in sorted(result))


def _pair(line: Screen, scope: Scope, desk: Desk) -> int | None:
    if line.pair is None:
        return 0
    text = line.pair.text
    if text.isascii() and text.isdigit() and len(text) < 5:
        return int(text)
    desk.fault("wrong-unit", line.pair.span, f"`{text}` is no number of a pair", "count the pairs from 1", scope, whole=line.span)
    return None


def _screen_end(end: ScreenEnd, scope: Scope, desk: Desk, whole: Span) -> ScreenTermination | None:
    if not one_of(end.how.text, SCREEN_WAYS, "way to terminate a screen", end.how.span, scope, desk, whole):
        return None
    base = base_of(end.end, scope, desk)
    if base is None:
        return None
    if base[2].terminals:  # its own, or those of the argument that a parameter stands for
        ends = ends_of(end.end, scope, desk, whole, "out")
        if ends is None:
            return None
        device, terminal = ends[0].device, ends[0].terminal
    else:
        identity = object_of(end.end, scope, desk, "device", whole)
        if identity is None:
            return None
        device, terminal = identity, ""
    size = _length(end.size, scope, desk, whole) if end.size else None
    bare = _length(end.bare, scope, desk, whole) if end.bare else None
    width = size.values[1] if size and size.form == "size" else None
    span, _ = with_reason(end.span, scope)
    return ScreenTermination(
        device, terminal, end.how.text, size.value if size else None, width, bare.value if bare else None, span
    )


def _length(word: Word, scope: Scope, desk: Desk, whole: Span) -> Quantity | None:
    text, span = word.text, word.span
    quantity = parse_quantity(text)
    if quantity is not None and quantity.kind == "length":
        return quantity
    desk.fault("wrong-unit", span, f"`{text}` is no length", "write it in mm", scope, whole=whole)
    return None
