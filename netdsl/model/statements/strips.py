"""`strip`: terminals in rail order, in rows, and the bridges between them."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.findings import Related, Span
from netdsl.model.device import Device, RailPiece
from netdsl.model.here import Here
from netdsl.model.meant_units import unit_remedy
from netdsl.model.measures import kind_words
from netdsl.model.part_type import Clamp, Role, Terminal
from netdsl.model.rating_table import RATINGS
from netdsl.model.ratings import Ratings
from netdsl.model.statements.clamps import CONDUCTORS, STRIPPING, TORQUE, fitted, section_range
from netdsl.model.statements.heads import head_of, need_place
from netdsl.model.statements.places import standing
from netdsl.model.table import Nothing, Statement, fixed, key, quoted, record, several, value, word
from netdsl.model.terminals import mention_terminal, names_of
from netdsl.model.usual_measures import CURRENT
from netdsl.model.value_kinds import SPOILT, OneWord, Standing, WordKind, Words
from netdsl.model.vocabulary import LEVELS, SPLIT_KINDS, STRIP_KINDS
from netdsl.quantities import Quantity, parse_quantity
from netdsl.spelling import nearest
from netdsl.syntax import tree
from netdsl.syntax.tree import Bridge, Strip, StripRow
from netdsl.syntax.written import Word

#: what a level is by itself, by its name
_EARTH_LEVEL = {"PE": "earth"}


@record
class StripSays:
    """What a `strip` says at its head; what it says of clamps holds for every row that does not say otherwise."""

    title: str = quoted("what it is, for the reader")
    ratings: Ratings = several(*RATINGS)
    place: str | None = key(Standing(), "where it stands; by default where its function stands", name="at")
    rail: str = key(
        Words(("bonded", "insulated"), "kind of rail", doubts=True),
        "`bonded`: its rail is bonded to the plate, so that its earth terminals are earthed by it",
        default="",
    )
    field: str = key(
        Words(("left", "right"), "side of a strip", doubts=True),
        "the side that faces the field, `right` where it is not said",
        default="right",
    )
    conductors: int | None = key(CONDUCTORS, "conductors that each clamp takes", name="clamps")
    torque_nm: tuple[float, float] | None = key(TORQUE, "tightening torque", name="torque")
    strip_m: float | None = key(STRIPPING, "length to be stripped", name="strip")


STRIP = Statement("strip", StripSays, "Terminals side by side on a rail", fixed("NAME", "a designation, `-X1`", "its name"))


class Size(WordKind):
    """The size of a terminal, a section or a range of them."""

    manual = "a section, `2.5mm2`"

    def of_word(self, word: Word, before: object, here: Here) -> object:  # noqa: ARG002
        quantity = parse_quantity(word.text) if word.text[:1].isdigit() else None
        if quantity is None or quantity.kind == "section":
            return quantity
        message = f"`{word.text}` is {kind_words(quantity.kind)}, the size of a terminal is a section"
        remedy = unit_remedy(word.text, "section", "write it in mm2")
        here.fault("wrong-unit", word.span, message, remedy, whole=here.whole)
        return SPOILT


@record
class RowSays:
    """What a row of a strip says behind its terminals."""

    kind: str = word(
        OneWord(STRIP_KINDS), "what the terminals are; `feed-through` where it is not said", default="feed-through", name="kind"
    )
    size: Quantity | None = word(Size(), "the section that a clamp takes", default=None)
    text: str = quoted("what they are for")
    conductors: int | None = key(CONDUCTORS, "conductors that each clamp takes", name="clamps")
    torque_nm: tuple[float, float] | None = key(TORQUE, "tightening torque", name="torque")
    strip_m: float | None = key(STRIPPING, "length to be stripped", name="strip")
    attributes: Ratings = several(value("fuse", CURRENT, "rated current of the fuse-link"), *RATINGS)


ROW = Statement(
    "",
    RowSays,
    "Terminals of a strip, in rail order",
    fixed(":NAME", "names or ranges, `:1..6`", "the terminals"),
    block="strip",
    called="kind of terminal",
    doubts=True,
    known=("clamps", "torque", "strip", "fuse", "current", "colour"),
)


BRIDGE = Statement(
    "bridge",
    Nothing,
    "A jumper that joins terminals",
    fixed(":NAME", "terminals of the strip", "what it joins"),
    block="strip",
)


@record
class PieceSays:
    """What the line of a plate says."""

    text: str = quoted("what it is for")


def _stray(word: Word, here: Here) -> None:
    here.fault("unknown-word", word.span, f"`{word.text}` cannot stand behind a plate", "take it out")


PARTITION = Statement(
    "partition", PieceSays, "A plate that parts the terminals before it from those behind it", block="strip", stray=_stray
)
END_PLATE = Statement(
    "end-plate", PieceSays, "A plate that closes the open side of the terminal before it", block="strip", stray=_stray
)


def declare_strip(statement: Strip, here: Here) -> None:
    """Enter a strip with its terminals in rail order."""
    head = head_of(statement, here)
    if head is None:
        return
    here = here.over(head.name)
    says = STRIP.read(here, statement.attrs, statement.items)
    usual = fitted(Clamp(), says.conductors, says.torque_nm, says.strip_m)
    terminals: dict[str, Terminal] = {}
    pieces: list[RailPiece] = []
    for row in statement.rows:
        if isinstance(row, StripRow):
            _row(row, usual, terminals, here)
        elif isinstance(row, tree.RailPiece):
            said = (PARTITION if row.keyword == "partition" else END_PLATE).read(here, row.attrs, row.items)
            pieces.append(RailPiece(row.keyword, next(reversed(terminals), ""), said.text, here.pointed(row.span)[0]))
            continue
        for spec in (spec for reference in row.terminals for spec in reference.terminals):
            mention_terminal(head.id, spec, here)
    bridges = [_bridge(row, terminals, here) for row in statement.rows if isinstance(row, Bridge)]
    device = Device(
        id=head.id,
        title=says.title,
        category="strip",
        kind="strip",
        function=here.scope.function,
        place=standing(here) if says.place is None else says.place,
        ratings=says.ratings,
        terminals=terminals,
        symbol="strip",
        span=head.span,
        whole=statement.span,
        use=head.use,
        bridges=tuple(bridge for bridge in bridges if bridge),
        rail_bonded=says.rail == "bonded",
        field_side=says.field,
        pieces=tuple(pieces),
    )
    need_place(device, statement.attrs, here)
    here.desk.devices[head.id] = device


def _row(row: StripRow, usual: Clamp, terminals: dict[str, Terminal], here: Here) -> None:
    """Add the terminals of a row; one with several levels is as many, `5.1` and `5.2`."""
    says = ROW.read(here, row.attrs, row.items)
    clamp = fitted(usual, says.conductors, says.torque_nm, says.strip_m)
    attributes = says.attributes
    if says.size is not None:
        clamp = replace(clamp, section=section_range(says.size))
        attributes = Ratings(size=says.size, **attributes)
    for reference in row.terminals:
        told: Span | None = None  # a range that lies over another is one slip
        names = names_of(reference.terminals, here)
        if names is None:
            here.desk.incomplete.update(here.candidates(here.whole.text)[:1])
        for named in names or []:
            for level, called in enumerate(LEVELS.get(says.kind, ("",)), 1):
                name = f"{named.name}.{called}" if called else named.name
                if name in terminals:
                    if named.span != told:
                        here.fault(
                            "duplicate-name",
                            named.span,
                            f"terminal `{named.name}` is there twice",
                            "number each terminal once",
                            related=(Related("first here", terminals[name].span),),
                        )
                    told = named.span
                    break
                terminals[name] = Terminal(
                    name=name,
                    role=Role.EARTH if "earth" in (says.kind, _EARTH_LEVEL.get(called)) else Role.PLAIN,
                    clamp=clamp,
                    span=named.span,
                    text=says.text,
                    kind=_EARTH_LEVEL.get(called, says.kind),
                    split=says.kind in SPLIT_KINDS,
                    level=level if called else 0,
                    attributes=attributes,
                )


def _bridge(row: Bridge, terminals: dict[str, Terminal], here: Here) -> tuple[str, ...]:
    """The terminals that a bridge joins; none with a finding."""
    names: dict[str, None] = {}
    for reference in row.terminals:
        for named in names_of(reference.terminals, here) or []:
            if named.name not in terminals:
                if here.candidates(here.whole.text)[0] in here.desk.incomplete:
                    return ()
                near = nearest(named.name, terminals)
                remedy = f"did you mean `:{near}`?" if near else "add a row for it"
                here.fault("unknown-terminal", named.span, f"this strip has no terminal `{named.name}`", remedy)
                return ()
            names[named.name] = None
    if len(names) < 2:
        here.fault("count-mismatch", row.span, "a bridge joins at least two terminals", "name two or more")
        return ()
    return tuple(names)
