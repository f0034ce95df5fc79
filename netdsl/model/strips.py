"""Strips: their terminals in rail order, rows and bridges."""

from __future__ import annotations

from dataclasses import replace

from netdsl.findings import Related, Span
from netdsl.model.declare import head_of, need_place, place_of, standing
from netdsl.model.desk import Desk, Scope
from netdsl.model.plant import Clamp, Device, Rating, Role, Terminal
from netdsl.model.terminals import names_of
from netdsl.model.values import (
    attr_text,
    one_of,
    quantity_of,
    rating_of,
    split_items,
    unknown_key,
)
from netdsl.model.vocabulary import RATINGS, STRIP_KINDS
from netdsl.quantities import parse_quantity
from netdsl.spelling import nearest
from netdsl.syntax.tree import Attr, Bridge, Strip, StripRow

CLAMP_KEYS = {"clamps": "number", "torque": "torque", "strip": "length"}


def declare_strip(statement: Strip, scope: Scope, desk: Desk) -> None:
    """Enter a strip with its terminals in rail order."""
    head = head_of(statement, scope, desk)
    if head is None:
        return
    identity, title, span, shown, written = head
    place, bonded, field_side = standing(scope, desk), False, "right"
    ratings: dict[str, Rating] = {}
    usual = Clamp()  # what every terminal of the strip has that does not say otherwise
    for attr in statement.attrs:
        key, text = attr.key.text, attr_text(attr, scope, desk) or ""
        if key == "at":
            place = place_of(attr, scope, desk, span)
        elif key == "rail":
            bonded = one_of(text, ("bonded", "insulated"), "kind of rail", attr.span, scope, desk, span) and text == "bonded"
        elif key == "field":
            field_side = text if one_of(text, ("left", "right"), "side of a strip", attr.span, scope, desk, span) else field_side
        elif key in CLAMP_KEYS:
            usual = _clamp_attr(attr, usual, scope, desk)
        else:
            value = rating_of(attr, scope, desk, ("at", "rail", "field", *CLAMP_KEYS))
            if value is not None:
                ratings[key] = value
    terminals: dict[str, Terminal] = {}
    for row in statement.rows:
        if isinstance(row, StripRow):
            _strip_row(row, usual, terminals, scope, desk, span)
    bridges = tuple(
        bridge for row in statement.rows if isinstance(row, Bridge) for bridge in [_bridge(row, terminals, scope, desk)] if bridge
    )
    device = Device(
        identity,
        title,
        "strip",
        "strip",
        None,
        scope.function,
        place,
        "",
        ratings,
        terminals,
        (),
        (),
        (),
        (),
        {},
        frozenset(),
        (),
        "",
        "strip",
        "",
        shown,
        statement.span,
        written,
        bridges,
        bonded,
        field_side,
    )
    need_place(place, statement.attrs, device, scope, desk)
    desk.devices[identity] = device


def _strip_row(row: StripRow, usual: Clamp, terminals: dict[str, Terminal], scope: Scope, desk: Desk, strip: Span) -> None:
    words, text = split_items(row.items, scope, desk)
    kind, clamp = "feed-through", usual
    attributes: dict[str, Rating] = {}
    for word in words:
        quantity = parse_quantity(word.text) if word.text[:1].isdigit() else None
        if quantity is not None and quantity.kind == "section":
            attributes["size"] = quantity
            clamp = replace(clamp, section=(quantity.value if quantity.form == "range" else 0.0, quantity.last))
        elif quantity is not None:
            desk.fault(
                "wrong-unit",
                word.span,
                f"`{word.text}` is a {quantity.kind}, the size of a terminal is a section",
                "write it in mm2",
                scope,
                whole=strip,
            )
        elif one_of(word.text, STRIP_KINDS, "kind of terminal", word.span, scope, desk, strip):
            kind = word.text
    clamp = _row_attrs(row, clamp, attributes, scope, desk)
    role = Role.EARTH if kind == "earth" else Role.PLAIN
    split = kind in ("fused", "disconnect")
    levels = (1, 2) if kind == "two-level" else (0,)
    for reference in row.terminals:
        told: Span | None = None  # a range that lies over another is one slip
        for named in names_of(reference.terminals, scope, desk) or []:
            for level in levels:
                name = f"{named.name}.{level}" if level else named.name
                if name in terminals:
                    if named.span != told:
                        desk.fault(
                            "duplicate-name",
                            named.span,
                            f"terminal `{named.name}` is there twice",
                            "number each terminal once",
                            scope,
                            related=(Related("first here", terminals[name].span),),
                            whole=named.span,
                        )
                    told = named.span
                    break
                terminals[name] = Terminal(name, role, clamp, named.span, text, kind, split, level, attributes=attributes)


def _row_attrs(row: StripRow, clamp: Clamp, attributes: dict[str, Rating], scope: Scope, desk: Desk) -> Clamp:
    for attr in row.attrs:
        key = attr.key.text
        if key in CLAMP_KEYS:
            clamp = _clamp_attr(attr, clamp, scope, desk)
        elif key == "fuse":
            fuse = quantity_of(attr, "current", scope, desk)
            if fuse is not None:
                attributes["fuse"] = fuse
        elif key in RATINGS:
            value = rating_of(attr, scope, desk)
            if value is not None:
                attributes[key] = value
        else:
            unknown_key(attr, scope, desk, ("clamps", "torque", "strip", "fuse", "current", "colour"))
    return clamp


def _clamp_attr(attr: Attr, clamp: Clamp, scope: Scope, desk: Desk) -> Clamp:
    key = attr.key.text
    quantity = quantity_of(attr, CLAMP_KEYS[key], scope, desk)
    if quantity is None:
        return clamp
    if key == "clamps":
        return replace(clamp, conductors=max(1, int(quantity.value)))
    if key == "torque":
        return replace(clamp, torque_nm=(quantity.value, quantity.last))
    return replace(clamp, strip_m=quantity.value)


def _bridge(row: Bridge, terminals: dict[str, Terminal], scope: Scope, desk: Desk) -> tuple[str, ...]:
    names: list[str] = []
    for reference in row.terminals:
        for named in names_of(reference.terminals, scope, desk) or []:
            if named.name not in terminals:
                near = nearest(named.name, terminals)
                desk.fault(
                    "unknown-terminal",
                    named.span,
                    f"this strip has no terminal `{named.name}`",
                    f"did you mean `:{near}`?" if near else "add a row for it",
                    scope,
                    whole=named.span,
                )
                return ()
            if named.name not in names:
                names.append(named.name)
    if len(names) < 2:
        desk.fault("count-mismatch", row.span, "a bridge joins at least two terminals", "name two or more", scope, whole=row.span)
        return ()
    return tuple(names)
