"""`wire`: single conductors inside one enclosure, in chains of two ends or more."""

from __future__ import annotations

import itertools

from netdsl.findings import Edit, Related
from netdsl.model.ends import counted, ends_of
from netdsl.model.here import Here
from netdsl.model.measures import Amount, Measure
from netdsl.model.open_values import OpenValue
from netdsl.model.part_type import Role as PartRole
from netdsl.model.ratings import AUTO, Open, Rating, Ratings
from netdsl.model.statements.colours import is_known
from netdsl.model.statements.electrical import ELECTRICAL, INSULATIONS, METALS
from netdsl.model.statements.routes import Along
from netdsl.model.table import Statement, fixed, key, quoted, record, several, value, word
from netdsl.model.value_kinds import SPOILT, Free, ValueKind, WordKind, Words
from netdsl.model.values import attr_text, written_at
from netdsl.model.wiring import Conductor, End
from netdsl.quantities import parse_quantity
from netdsl.spelling import nearest
from netdsl.syntax.tree import Wire
from netdsl.syntax.written import Attr, Reference, Word

#: beyond any wire's section, mm²
MAX_SECTION = 1000
#: a wire may be bare, a braid, a rail or a bar, which have no colour
MATERIALS = (*METALS, "bare", "braid", "rail", "bar")
#: colours that a mistyped one is likely to mean
USUAL_COLOURS = ("BK", "BN", "GY", "BU", "RD", "GNYE", "OG", "WH", "YE", "GN", "VT", "PK")
#: roles of terminals that belong together as the poles of one circuit
POLES = frozenset({PartRole.LINE_IN, PartRole.LOAD_OUT, PartRole.MOTOR_OUT, PartRole.WINDING})


class Section(WordKind):
    """The section of a wire in mm², or the word `auto`."""

    manual = "a section, `2.5mm2`, or `auto`"
    choices = (AUTO,)

    def of_word(self, word: Word, before: float | Open | None, here: Here) -> object:
        if word.text == AUTO:
            _first_only("section", before, word, here)
            return Open(word.span)
        if not word.text[:1].isdigit():
            return None
        quantity = parse_quantity(word.text)
        if quantity is None or quantity.kind != "section" or quantity.form != "single":
            message = f"`{word.text}` is no section"
            here.fault("wrong-unit", word.span, message, "write the section in mm2", whole=here.whole)
            return SPOILT
        _first_only("section", before, word, here)
        if not 0 < quantity.value <= MAX_SECTION:
            message = f"`{word.text}` is no section of a wire"
            here.fault("out-of-range", word.span, message, f"give 0.05mm2 to {MAX_SECTION}mm2")
        return quantity.value


class Twin(WordKind):
    """The word `twin`."""

    manual = "`twin`"
    choices = ("twin",)

    def of_word(self, word: Word, before: object, here: Here) -> bool | None:  # noqa: ARG002
        return True if word.text == "twin" else None


class ColourWord(WordKind):
    """A colour as a bare word."""

    manual = "a colour, `BK`"

    def of_word(self, word: Word, before: str | None, here: Here) -> str | None:
        if not is_known(word.text, here):
            return None
        _first_only("colour", before, word, here)
        return word.text


class WireInsulation(ValueKind[Rating]):
    """The rated voltage of the insulation, or what it is made of."""

    manual = f"a voltage, `450/750V`; {', '.join(f'`{each}`' for each in INSULATIONS)}"
    choices = INSULATIONS

    def read(self, attr: Attr, here: Here) -> Rating | None:
        text = attr_text(attr, here)
        quantity = None if text is None else parse_quantity(text)
        return quantity or Words(INSULATIONS, "insulation", doubts=True).read(attr, here)


def _first_only(what: str, before: object, word: Word, here: Here) -> None:
    """Note that `word` gives a wire its `what` a second time; a section left open before is none."""
    if before is not None and not isinstance(before, Open):
        here.fault("duplicate-name", word.span, f"`{word.text}` is a second {what}", "give it once")


def _no_colour(word: Word, here: Here) -> None:
    near = nearest(word.text, (*USUAL_COLOURS, "twin", *here.desk.shades))
    remedy = f"did you mean `{near}`?" if near else "take a colour code of IEC 60757, or declare a `shade`"
    here.fault("unknown-word", word.span, f"`{word.text}` is no colour", remedy, whole=here.whole)


@record
class WireSays:
    """What a `wire` says beside its ends."""

    section: float | Open | None = word(Section(), "its section; by `defaults` where it is not said", default=None)
    twin: bool = word(Twin(), "two conductors in the middle of a chain share a twin ferrule", default=False)
    colour: str | None = word(ColourWord(), "its colour; by `defaults` where it is not said", default=None)
    text: str = quoted("what it is for, in words")
    routes: tuple[str, ...] = key(Along(doubts=True), "the routes it takes, in order", default=(), name="along")
    length_m: float | None = key(Amount(Measure("length", doubts=True)), "how long it is", name="length")
    mark: str | None = key(Free(), "what is printed on it")
    attributes: Ratings = several(
        value("insulation", WireInsulation(), "rated voltage of its insulation, or what that is made of"),
        value(
            "material",
            Words(MATERIALS, "material", doubts=True),
            "its metal; `bare`, `braid`, `rail` or `bar` of an earth conductor without colour",
        ),
        value("ferrule", Free(), "its ferrule"),
        *ELECTRICAL,
    )


WIRE = Statement(
    "wire",
    WireSays,
    "Conductors inside one enclosure, its door included",
    fixed("A to B [to C ...]", "terminals, `-Q0:2,4,6`", "its ends; lists step together, several ends make a chain"),
    stray=_no_colour,
)


def connect_wire(wire: Wire, here: Here) -> None:
    """Enter the conductors of a `wire` statement: one per step and piece of the chain."""
    lists = _lists(wire, here)
    if lists is None:
        return
    says = WIRE.read(here, wire.attrs, wire.items)
    attributes, open_at = says.attributes, None
    if isinstance(says.section, Open):
        open_at = written_at(wire.items, AUTO, here) or says.section.span
        attributes = Ratings(attributes, section=Open(open_at))
    made: list[str] = []
    span, use = here.pointed(wire.span)
    conductors = here.desk.conductors
    for points in zip(*lists, strict=True):
        chain = " -- ".join(end.id for end in points) if len(points) > 2 else ""
        for a, b in itertools.pairwise(points):
            if a.id == b.id and a.side == b.side:
                message = f"this wire begins and ends on `{a.id}`"
                here.fault("duplicate-name", wire.span, message, "name two different terminals")
                continue
            identity = _free(f"{_point(a)} -- {_point(b)}", here)
            made.append(identity)
            conductors[identity] = Conductor(
                id=identity,
                ends=(a, b),
                cable=None,
                core="",
                section_mm2=None if isinstance(says.section, Open) else says.section,
                colour=says.colour,
                routes=says.routes,
                length_m=says.length_m,
                mark=says.mark,
                function=here.scope.function,
                span=span,
                text=says.text,
                chain=chain,
                twin=says.twin and len(points) > 2,
                use=use,
                attributes=attributes,
            )
    if open_at is not None and made:
        here.desk.open_values.append(OpenValue("section", tuple(made), open_at, open_at))


def _lists(wire: Wire, here: Here) -> list[list[End]] | None:
    """The ends that each reference of a wire names, as many at each; None with a finding."""
    lists: list[list[End]] = []
    for reference in wire.ends:
        ends = ends_of(reference, here, "in")
        if ends is None:
            here.doubt(wire.span)
            return None
        lists.append(ends)
    for reference, other in zip(wire.ends[1:], lists[1:], strict=True):
        if len(other) != len(lists[0]):
            here.fault(
                "count-mismatch",
                reference.span,
                f"`{wire.ends[0].text}` names {counted(lists[0])}, `{reference.text}` names {counted(other)}",
                "name as many terminals at each end",
                related=(Related("the other end", wire.ends[0].span),),
                whole=wire.span,
                fix=_completed(wire, reference, other, lists[0], here),
            )
            return None
    return lists


def _completed(wire: Wire, reference: Reference, named: list[End], first: list[End], here: Here) -> tuple[Edit, ...]:
    """The edit that gives two ends as many terminals, where there is one way to: the shorter names the first two or more poles of
    a power circuit of its device, whose poles are exactly as many as the longer names, and the rest of them are free so far."""
    short, ends, most = (reference, named, len(first)) if len(named) < len(first) else (wire.ends[0], first, len(named))
    device = here.desk.devices.get(ends[0].device)
    names = [end.terminal for end in ends]
    if len(wire.ends) != 2 or device is None or len({end.device for end in ends}) != 1 or names[0] not in device.terminals:
        return ()
    role = device.terminals[names[0]].role
    alike = [name for name, terminal in device.terminals.items() if terminal.role is role]
    if role not in POLES or len(names) < 2 or len(alike) != most or alike[: len(names)] != names or short.text.count(":") != 1:
        return ()
    landed = {(end.device, end.terminal) for conductor in here.desk.conductors.values() for end in conductor.ends}
    if any((device.id, name) in landed for name in alike[len(names) :]):
        return ()
    return (Edit(short.span, f"{short.base}:{','.join(alike)}"),)


def _point(end: End) -> str:
    return f"{end.id}/{end.side}" if end.side == "out" else end.id


def _free(identity: str, here: Here) -> str:
    """`identity`, numbered where a conductor between the same ends has it already."""
    conductors, n = here.desk.conductors, 2
    if identity not in conductors:
        return identity
    while f"{identity} ({n})" in conductors:
        n += 1
    return f"{identity} ({n})"
