"""Places, routes and devices of every kind but strips: declarations turned into the plant's objects."""

from __future__ import annotations

import re
from dataclasses import replace

from netdsl.findings import Related, Span
from netdsl.model.desk import Desk, Scope, reference_span, with_reason
from netdsl.model.files import library_index, library_part
from netdsl.model.open_values import AUTO, OpenValue, is_open
from netdsl.model.parts import PartMaker, make_part, numbered_terminals
from netdsl.model.plant import Clamp, Device, PartType, Place, Rating, Role, RouteWay, Terminal
from netdsl.model.terminals import base_of
from netdsl.model.values import (
    amount_of,
    attr_text,
    one_of,
    quantity_of,
    rating_of,
    settled,
    split_items,
    text_of,
    unknown_key,
    written_at,
)
from netdsl.model.vocabulary import LAYINGS, MATERIALS, MOUNTINGS, PLACE_KINDS, ROUTE_KINDS, ROUTE_MATERIALS, SYSTEMS
from netdsl.quantities import Quantity
from netdsl.spelling import nearest
from netdsl.syntax.tree import Attr, Declaration, Outside, Param, Reference, Strip, Word

PLACE_KEYS = {
    "size": "length",
    "mounting": "word",
    "ambient": "temperature",
    "material": "word",
    "bonded": "word",
    "altitude": "length",
    "protection-degree": "word",
    "losses": "power",
    "inside-limit": "temperature",
    "airflow": "airflow",
    "cover": "word",
    "heat-transfer": "number",
    "cooling-surface": "surface",
    "air-constant": "number",
}
PLACE_WORDS = {"mounting": MOUNTINGS, "material": MATERIALS, "bonded": ("yes", "no")}
ROUTE_KEYS = {
    "material": "word",
    "bonded": "word",
    "size": "length",
    "ambient": "temperature",
    "laying": "word",
    "layers": "number",
}
ROUTE_WORDS = {"material": ROUTE_MATERIALS, "bonded": ("yes", "no"), "laying": LAYINGS}
SUPPLY_KEYS = {
    "system": "word",
    "voltage": "voltage",
    "frequency": "frequency",
    "phases": "number",
    "fault-current": "current",
    "earth-fault-current": "current",
    "upstream": "word",
    "current": "current",
    "transformer": "apparent-power",
    "transformer-impedance": "percent",
    "transformer-losses": "power",
    "transformer-voltage": "voltage",
    "network-power": "apparent-power",
    "network-fault-current": "current",
    "network-voltage": "voltage",
    "resistance": "resistance",
    "reactance": "resistance",
    "r-over-x": "number",
    "earth-resistance": "resistance",
    "source-earth-resistance": "resistance",
    "power-factor": "number",
    "simultaneity": "number",
}
BUSBAR_KEYS = {
    "poles": "number",
    "current": "current",
    "clamps": "number",
    "section": "section",
    "simultaneity": "number",
    "resistance": "resistance",
    "reactance": "resistance",
}
BUSBAR_POLES: dict[float, tuple[str, ...]] = {
    1: ("L1",),
    2: ("L1", "N"),
    3: ("L1", "L2", "L3"),
    4: ("L1", "L2", "L3", "N"),
    5: ("L1", "L2", "L3", "N", "PE"),
}
MAX_WAYS = 500
_PRODUCT = re.compile(r"(?:-[A-Za-z][A-Za-z0-9_.]*)+")
_PLACE = re.compile(r"\+[A-Za-z0-9_]+(?:\.[A-Za-z0-9_]+)*")


def declare_place(statement: Declaration, scope: Scope, desk: Desk) -> None:
    """Enter a place; its parent need not be declared before it."""
    name = statement.name
    if not isinstance(name, Reference) or not _PLACE.fullmatch(name.base) or name.terminals:
        desk.fault("syntax", name.span, f"`{name.span.text}` is no designation of a place", "begin it with `+`", scope)
        return
    identity = name.base
    if identity in desk.places:
        desk.fault(
            "duplicate-name",
            name.span,
            f"`{identity}` is declared twice",
            "give one of them another designation",
            scope,
            related=(Related("first declared here", desk.places[identity].span),),
            whole=name.span,
        )
        return
    _, title = split_items(statement.items, scope, desk)
    values: dict[str, Rating] = {}
    kind, metal, bonding = "field", None, ""
    for attr in statement.attrs:
        key = attr.key.text
        text = attr_text(attr, scope, desk) or ""
        if key == "kind":
            kind = text if one_of(text, PLACE_KINDS, "kind of place", attr.span, scope, desk, name.span) else kind
        elif key == "metal":
            metal = (
                text == "yes" if one_of(text, ("yes", "no"), "answer to `metal=`", attr.span, scope, desk, name.span) else metal
            )
        elif key == "bonding":
            bonding = text if one_of(text, ("meshed", "star"), "kind of bonding", attr.span, scope, desk, name.span) else ""
        elif key not in PLACE_WORDS or one_of(text, PLACE_WORDS[key], _called(key, "place"), attr.span, scope, desk, name.span):
            _take(attr, PLACE_KEYS, values, scope, desk)
    if metal is None:
        metal = kind in ("cabinet", "door", "plate", "box", "panel") and values.get("material") != "plastic"
    desk.places[identity] = Place(
        identity, title, kind, None, "", metal, "meshed" if bonding == "meshed" else "", values, name.span
    )


def _called(key: str, what: str) -> str:
    """What a word is asked to be: `material of a route`, `answer to bonded=`."""
    return f"answer to `{key}=`" if key == "bonded" else f"{key} of a {what}"


def settle_places(desk: Desk) -> None:
    """Give every place its parent and enclosure."""
    for identity, place in list(desk.places.items()):
        parent = identity.rpartition(".")[0] or None
        if parent is not None and parent not in desk.places:
            desk.unknown("place", parent, place.span, Scope(), desk.places)
            parent = None
        enclosure = ""
        around: str | None = identity
        while around:
            if around in desk.places and desk.places[around].kind in ("cabinet", "box", "panel"):
                enclosure = around
            around = around.rpartition(".")[0] or None
        desk.places[identity] = replace(place, parent=parent, enclosure=enclosure)


def _take(attr: Attr, known: dict[str, str], values: dict[str, Rating], scope: Scope, desk: Desk) -> None:
    kind = known.get(attr.key.text)
    if kind is None:
        unknown_key(attr, scope, desk, (*known, "at", "kind"))
        return
    value: Rating | None = attr_text(attr, scope, desk) if kind == "word" else quantity_of(attr, kind, scope, desk)
    if value is not None:
        values[attr.key.text] = value


def place_of(attr: Attr, scope: Scope, desk: Desk, whole: Span) -> str:
    """The place that `at=` names, "" with a finding."""
    found = settled(attr.values[0], scope, desk) if attr.values else None
    if found is None:
        return ""
    name = found[0].span.text
    if name in desk.places:
        return name
    desk.unknown("place", name, attr.values[0].span, scope, desk.places, whole)
    return ""


def declare_route(statement: Declaration, scope: Scope, desk: Desk) -> None:
    """Enter a route."""
    name = statement.name
    if not isinstance(name, Word):
        desk.fault("syntax", name.span, f"`{name.span.text}` is no name of a route", "take a plain word such as `TRAY1`", scope)
        return
    if name.text in desk.routes:
        desk.fault(
            "duplicate-name",
            name.span,
            f"route `{name.text}` is declared twice",
            "give one of them another name",
            scope,
            related=(Related("first declared here", desk.routes[name.text].span),),
            whole=name.span,
        )
        return
    _, title = split_items(statement.items, scope, desk)
    values: dict[str, Rating] = {}
    kind, place, length, divider = "duct", standing(scope, desk), None, False
    for attr in statement.attrs:
        key = attr.key.text
        if key == "kind":
            text = attr_text(attr, scope, desk) or ""
            kind = text if one_of(text, ROUTE_KINDS, "kind of route", attr.span, scope, desk, name.span) else kind
        elif key == "at":
            place = place_of(attr, scope, desk, name.span)
        elif key == "length":
            length = amount_of(attr, "length", scope, desk, name.span)
        elif key == "divider":
            divider = attr_text(attr, scope, desk) not in ("no", None)
        elif key not in ROUTE_WORDS or one_of(
            attr_text(attr, scope, desk) or "", ROUTE_WORDS[key], _called(key, "route"), attr.span, scope, desk, name.span
        ):
            _take(attr, ROUTE_KEYS, values, scope, desk)
    desk.routes[name.text] = RouteWay(name.text, title, kind, place, length, divider, values, name.span)


def designation(reference: Reference | Word, scope: Scope, desk: Desk) -> tuple[str, Span] | None:
    """The identity a declaration gives its object, and the characters of the name; None with a finding."""
    if isinstance(reference, Word):
        desk.fault("syntax", reference.span, f"`{reference.text}` is no product designation", "begin it with `-`", scope)
        return None
    base = base_of(reference, scope, desk)
    if base is None:
        return None
    text = base[0]
    if not _PRODUCT.fullmatch(text) or reference.terminals:
        desk.fault(
            "syntax",
            reference.span,
            f"`{text}` is no product designation",
            "write `-`, a letter, then letters and figures; its function stands around it, its place in `at=`",
            scope,
        )
        return None
    return scope.function + text, reference_span(reference)


def part_called(word: Word, scope: Scope, desk: Desk, whole: Span) -> PartType | None:
    """The part type called so: the plant's own, else the shipped one; None with a finding."""
    name = word.text
    if name not in desk.parts:
        text = desk.part_texts.get(name)
        if text is None:
            text = library_part(name)
        if text is None and desk.something_missing:
            desk.doubt(whole, scope)
            return None
        if text is None:
            near = nearest(name, (*desk.part_texts, *library_index()))
            desk.fault(
                "unknown-part",
                word.span,
                f"no part is called `{name}`",
                f"did you mean `{near}`?" if near else "describe it with a `part` statement",
                scope,
                whole=whole,
            )
            return None
        desk.parts[name] = make_part(text, desk)
    return desk.parts[name]


def head_of(
    statement: Declaration | Outside | Strip, scope: Scope, desk: Desk
) -> tuple[str, str, Span, Span, Span | None] | None:
    """Identity, title, the characters of the name, and with_reason() of them; None where the name cannot be taken."""
    named = designation(statement.name, scope, desk)
    if named is None or not desk.declare(*named, scope, named[1]):
        return None
    identity, span = named
    _, title = split_items(statement.items, scope, desk)
    return (identity, title, span, *with_reason(span, scope))


def declare(statement: Declaration, scope: Scope, desk: Desk) -> None:
    """Enter a supply, busbar, comb, distribution block or device."""
    head = head_of(statement, scope, desk)
    if head is None:
        return
    identity, title, _, shown, written = head
    device = Device(
        identity,
        title,
        "device",
        statement.keyword,
        None,
        scope.function,
        standing(scope, desk),
        "",
        {},
        {},
        (),
        (),
        (),
        (),
        {},
        frozenset(),
        (),
        "",
        statement.keyword,
        "",
        shown,
        statement.span,
        written,
    )
    if statement.keyword == "supply":
        made: Device | None = _supply(device, statement, scope, desk)
    elif statement.keyword == "device":
        made = _device(device, statement, scope, desk)
    else:
        made = _busbar(device, statement, scope, desk)
    if made is not None:
        desk.devices[identity] = made


def _supply(device: Device, statement: Declaration, scope: Scope, desk: Desk) -> Device:
    values: dict[str, Rating] = {}
    place = ""
    for attr in statement.attrs:
        if attr.key.text == "at":
            place = place_of(attr, scope, desk, device.span)
        else:
            _take(attr, SUPPLY_KEYS, values, scope, desk)
    system = values.get("system")
    if not isinstance(system, str) or system not in SYSTEMS:
        span = next((attr.span for attr in statement.attrs if attr.key.text == "system"), device.span)
        message = f"`{system}` is no earthing system" if system else f"supply `{device.id}` does not say its earthing system"
        rule = "unknown-word" if system else "missing-value"
        desk.fault(rule, span, message, f"write `system=` and one of {', '.join(SYSTEMS)}", scope, whole=device.span)
        system = "TN-S"
    said = {attr.key.text: attr for attr in statement.attrs}
    if "voltage" not in said:
        desk.fault(
            "missing-value",
            device.span,
            f"supply `{device.id}` does not say its voltage",
            "add `voltage=400V`",
            scope,
            subjects=(device.id,),
        )
    names = SYSTEMS[system]
    phases = values.get("phases")
    if isinstance(phases, Quantity) and phases.values not in ((1.0,), (3.0,)):
        desk.fault(
            "out-of-range",
            said["phases"].span,
            f"`{phases.text}` is no number of phases",
            "give 1 or 3",
            scope,
            whole=device.span,
        )
    elif isinstance(phases, Quantity) and phases.value == 1:
        names = tuple(name for name in names if name not in ("L1", "L2", "L3"))
        names = ("L", *names)
    span = statement.span
    roles = {"PE": Role.EARTH, "PEN": Role.EARTH, "N": Role.NEUTRAL, "-": Role.SUPPLY_COMMON, "+": Role.SUPPLY_OUT}
    terminals = {name: Terminal(name, roles.get(name, Role.LOAD_OUT), Clamp(conductors=99), span) for name in names}
    return replace(device, category="supply", place=place, ratings=values, terminals=terminals, symbol="supply")


def _busbar(device: Device, statement: Declaration, scope: Scope, desk: Desk) -> Device:
    values: dict[str, Rating] = {}
    place = device.place
    for attr in statement.attrs:
        if attr.key.text == "at":
            place = place_of(attr, scope, desk, device.span)
        else:
            _take(attr, BUSBAR_KEYS, values, scope, desk)
    poles = values.get("poles")
    count = poles.value if isinstance(poles, Quantity) else 3
    names = BUSBAR_POLES.get(count)
    if names is None:
        span = next(attr.span for attr in statement.attrs if attr.key.text == "poles")
        desk.fault("out-of-range", span, f"`{span.text}` is no number of poles", "give 1 to 5", scope, whole=device.span)
        names = ("L1", "L2", "L3")
    terminals = {
        name: Terminal(name, Role.EARTH if name == "PE" else Role.PLAIN, Clamp(conductors=999), statement.span) for name in names
    }
    need_place(place, statement.attrs, device, scope, desk)
    return replace(device, category="busbar", place=place, ratings=values, terminals=terminals, symbol="busbar")


def need_place(place: str, attrs: tuple[Attr, ...], device: Device, scope: Scope, desk: Desk) -> None:
    """Note that `device` does not say where it stands, unless its line could not be read."""
    said = place or scope.place or any(attr.key.text == "at" for attr in attrs)
    if not said and not any(True for _ in desk.broken_lines(device.whole)):
        desk.fault(
            "missing-value",
            device.span,
            f"`{device.id}` does not say where it stands",
            "add `at=+PLACE` to it or to its function",
            scope,
            subjects=(device.id,),
        )


def standing(scope: Scope, desk: Desk) -> str:
    """The place of the function around, where there is one by that name."""
    return scope.place if scope.place in desk.places else ""


def _device(device: Device, statement: Declaration, scope: Scope, desk: Desk) -> Device | None:
    part_word = statement.part
    word = _word(part_word, scope, desk)
    part = part_called(word, scope, desk, device.span) if word is not None else None
    if part is None:
        return None
    ratings = dict(part.ratings)
    chosen: dict[str, Rating] = {}
    place, operated = device.place, ""
    for attr in statement.attrs:
        key = attr.key.text
        if key == "at":
            place = place_of(attr, scope, desk, device.span)
        elif key == "operated-at":
            operated = place_of(attr, scope, desk, device.span)
        elif is_open(attr, attr_text(attr, scope, desk)):
            span = written_at(attr.values, AUTO, scope, desk) or attr.values[0].span
            ratings[key] = AUTO
            desk.open_values.append(OpenValue(key, (device.id,), span, span))
        else:
            value = rating_of(attr, scope, desk, ("at", "operated-at"))
            if value is not None:
                ratings[key] = value
                words = part.settings[key].words if key in part.settings else ()
                text = value.text if isinstance(value, Quantity) else value
                if words and one_of(text, words, f"choice of `{key}`", attr.values[0].span, scope, desk, attr.span):
                    chosen[key] = text
    need_place(place, statement.attrs, device, scope, desk)
    if part.name in desk.faulty_parts:
        desk.incomplete.add(device.id)
        desk.doubtful.add(device.id)
    terminals = dict(part.terminals)
    if part.kind in ("earth-bar", "screen-bar"):
        terminals.update(_ways(part, ratings, device, scope, desk))
    return replace(
        device,
        kind=part.kind,
        part=part,
        place=place,
        operated_at=operated,
        ratings=ratings,
        terminals=terminals,
        paths=part.paths,
        sources=part.sources,
        consumers=part.consumers,
        requirements=part.requirements,
        settings={name: kind.words[0] for name, kind in part.settings.items() if kind.words} | chosen,
        settings_set=frozenset(chosen),
        symbol=part.symbol,
        protection_class=part.protection_class,
        title=device.title or part.title,
    )


def _ways(part: PartType, ratings: dict[str, Rating], device: Device, scope: Scope, desk: Desk) -> dict[str, Terminal]:
    ways = ratings.get("ways")
    count = int(ways.value) if isinstance(ways, Quantity) else 0
    if not 1 <= count <= MAX_WAYS:
        desk.fault(
            "missing-value" if not count else "out-of-range",
            device.span,
            f"`{device.id}` does not say how many ways it has",
            f"add `ways=` and a number from 1 to {MAX_WAYS}",
            scope,
        )
        count = 1
    role = Role.EARTH if part.kind == "earth-bar" else Role.SCREEN
    section = ratings.get("section")
    clamp = (
        Clamp(section=(section.value if section.form == "range" else 0.0, section.last))
        if isinstance(section, Quantity)
        else Clamp()
    )
    return numbered_terminals(count, role, clamp, Word("", device.whole))


def _word(value: Word | Param | None, scope: Scope, desk: Desk) -> Word | None:
    if value is None:
        return None
    found = settled(value, scope, desk)
    if found is None:
        return None
    return Word(text_of(value, scope, desk) or "", value.span)


def declare_outside(statement: Outside, scope: Scope, desk: Desk) -> None:
    """Enter equipment beyond the scope."""
    head = head_of(statement, scope, desk)
    if head is None:
        return
    identity, title, span, shown, written = head
    maker = PartMaker(desk, scope)
    maker.read(statement.lines)
    place = standing(scope, desk)
    ratings = dict(maker.ratings)
    for attr in statement.attrs:
        if attr.key.text == "at":
            place = place_of(attr, scope, desk, span)
        else:
            value = rating_of(attr, scope, desk, ("at",))
            if value is not None:
                ratings[attr.key.text] = value
    part = maker.part(identity, title, "outside", span)
    desk.devices[identity] = Device(
        identity,
        title,
        "outside",
        "outside",
        part,
        scope.function,
        place,
        "",
        ratings,
        part.terminals,
        part.paths,
        part.sources,
        part.consumers,
        part.requirements,
        {name: kind.words[0] for name, kind in part.settings.items() if kind.words},
        frozenset(),
        (),
        "",
        "outside",
        part.protection_class,
        shown,
        statement.span,
        written,
    )
