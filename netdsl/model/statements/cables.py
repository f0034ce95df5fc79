"""`cable`: a piece of cable, a line for each core that is connected and for each screen."""

from __future__ import annotations

import re

from msgspec.structs import replace

from netdsl.findings import Related, Span
from netdsl.model.construction import cores_of
from netdsl.model.ends import counted, ends_of
from netdsl.model.filling import spoken
from netdsl.model.here import Here
from netdsl.model.measures import Amount, Measure
from netdsl.model.open_values import OpenValue, open_construction
from netdsl.model.ratings import AUTO, Ratings
from netdsl.model.statements.electrical import ELECTRICAL, INSULATIONS, METALS
from netdsl.model.statements.heads import designation
from netdsl.model.statements.routes import Along, Entries
from netdsl.model.statements.screens import screens_of
from netdsl.model.table import Statement, fixed, key, quoted, record, several, value, word
from netdsl.model.usual_measures import CHOICE, VOLTAGE
from netdsl.model.value_kinds import Free, Marks, ValueKind, Words
from netdsl.model.values import settled
from netdsl.model.vocabulary import is_colour
from netdsl.model.wiring import Cable, Conductor, CoreType, End
from netdsl.spelling import nearest
from netdsl.syntax.tree import Cable as CableText
from netdsl.syntax.tree import Core
from netdsl.syntax.written import Attr, Word

MAX_PARALLEL = 20
#: of all cables, spare ones too; three thousand drives have 50,000
MAX_ALL_CORES = 300_000
#: a construction with blanks, a comma or a unit in it
_LOOSE = re.compile(r"(\d+)\s*([xXgG])\s*(\d+(?:\.\d+)?)\s*(?:mm2?²?|qmm|mmq)?(?=\s|$)")
NONE: frozenset[str] = frozenset()
#: which screens a cable has, by the words that say so
SCREENS = {
    NONE: "",
    frozenset({"screened"}): "outer",
    frozenset({"pair-screened"}): "pairs",
    frozenset({"screened", "pair-screened"}): "both",
}


class Parallel(ValueKind[int]):
    """How many cables lie under one name."""

    manual = f"a whole number from 1 to {MAX_PARALLEL}"

    def read(self, attr: Attr, here: Here) -> int | None:
        number = Measure("number", doubts=True).read(attr, here)
        if number is None or number.value in range(1, MAX_PARALLEL + 1):
            return None if number is None else int(number.value)
        message = f"`{number.text}` is no number of cables in parallel"
        here.fault("out-of-range", attr.span, message, f"give a whole number from 1 to {MAX_PARALLEL}", whole=here.whole)
        return None


@record
class CableSays:
    """What a `cable` says at its head."""

    screens: frozenset[str] = word(
        Marks(("screened", "pair-screened")), "it has a screen around all cores, around each pair", default=NONE
    )
    title: str = quoted("what it is, for the reader")
    attributes: Ratings = several(
        value("insulation", Words(INSULATIONS, "insulation", doubts=True), "what its insulation is made of"),
        value("voltage", replace(VOLTAGE, forms=CHOICE, doubts=True), "its rated voltage"),
        value("material", Words(METALS, "material", doubts=True), "its metal"),
        value("entry", Entries(), "the entries through which it passes into enclosures"),
        *ELECTRICAL,
    )
    routes: tuple[str, ...] = key(Along(doubts=True), "the routes it takes, in order", default=(), name="along")
    length_m: float | None = key(
        Amount(Measure("length", doubts=True)), "how long it is; of several one for each, `10m,12m`", name="length"
    )
    parallel: int = key(Parallel(), "how many lie under this name", default=1)
    spare: str = key(
        Words(("earthed", "insulated"), "way to leave a spare core", doubts=True),
        "what becomes of cores without a line",
        default="",
    )
    cores: str = key(
        Words(("numbers", "colours"), "marking of cores"),
        "how its cores are marked, where not as is usual for their number",
        default="",
    )


CABLE = Statement(
    "cable",
    CableSays,
    "A piece of cable",
    fixed("NAME", "a designation, `-W1`, or several, `-W1 -W4..6`", "its name; of several cables of one kind their names"),
    fixed("CONSTRUCTION", "`4G10`, `2x2x0.75`, `4Gauto`", "its cores and their section"),
    called="word for a cable",
    doubts=True,
)


@record
class CoreSays:
    """What the line of a core says behind its ends."""

    text: str = quoted("what it is for, in words")
    mark: str | None = key(Free(), "what is printed on it")


def _stray(word: Word, here: Here) -> None:
    here.fault("unknown-word", word.span, f"`{word.text}` cannot stand behind a core", "take it out")


CORE = Statement(
    "",
    CoreSays,
    "A core that is connected",
    fixed("CORE", "a colour or number, `BN`, `1`, `1a`", "its printed name"),
    fixed("A to B", "two terminals", "its ends"),
    block="cable",
    stray=_stray,
)


def name_cable(cable: CableText, here: Here) -> None:
    """Take the name of a cable, so that it is known before any cable is connected."""
    named = designation(cable.name, here)
    if named is not None:
        here.declare(*named)


def connect_cable(cable: CableText, here: Here) -> None:
    """Enter a cable with its cores and screens. Its name was taken before."""
    desk = here.desk
    named = designation(cable.name, here)
    if named is None or named[0] in desk.cables or (desk.declared.get(named[0]) != named[1] and here.scope.use is None):
        return
    identity, span = named
    here = here.over(span)
    found = settled(cable.construction, here)
    construction = spoken(found[0]) if found else ""
    marking = CABLE.read(here, [attr for attr in cable.attrs if attr.key.text == "cores"]).cores
    is_open = open_construction(construction)
    cores = cores_of(construction.replace(AUTO, "1"), None if not marking else marking == "numbers")
    if cores is None:
        if found:
            here.fault(
                "unknown-word",
                cable.construction.span,
                f"`{construction}` is no construction of a cable",
                _meant_construction(cable.construction.span)
                or "write it as `4G10`, `7x1.5`, `2x2x0.75`, `3x35+3G6` or `4G2.5+2x(2x1)`",
                whole=cable.span,
            )
        here.doubt(cable.span)
        return
    desk.cores += len(cores)
    if desk.cores > MAX_ALL_CORES:
        here.beyond(span, f"the cables of the plant have more than {MAX_ALL_CORES} cores")
    if is_open:
        cores = tuple(replace(core, section_mm2=0.0) for core in cores)
    says = CABLE.read(here, [attr for attr in cable.attrs if attr.key.text != "cores"], cable.items)
    screen = SCREENS[says.screens]
    if screen in ("pairs", "both") and not any(core.pair for core in cores):
        message = f"`{construction}` has no pairs to screen"
        here.fault("unknown-word", cable.construction.span, message, "write `screened`", whole=span)
    connected = _cores(cable, identity, construction, cores, here)
    screens = screens_of(cable, screen, cores, here)
    shown, use = here.pointed(span)
    if is_open and found:
        desk.open_values.append(OpenValue("construction", (identity,), found[0].span, found[0].span))
    attributes = Ratings(says.attributes)
    desk.cables[identity] = Cable(
        id=identity,
        title=says.title,
        construction=construction,
        screen=screen,
        cores=cores,
        conductors=connected,
        screens=screens,
        routes=says.routes,
        length_m=says.length_m,
        method=str(attributes.pop("method", "")),
        spare=says.spare,
        parallel=says.parallel,
        function=here.scope.function,
        attributes=attributes,
        span=shown,
        whole=cable.span,
        use=use,
    )


def _cores(cable: CableText, identity: str, construction: str, cores: tuple[CoreType, ...], here: Here) -> tuple[str, ...]:
    """Enter the connected cores; their ids."""
    by_name = {core.name: core for core in cores}
    first: dict[str, Core] = {}
    connected: list[str] = []
    for line in cable.cores:
        name = line.core.text
        if name not in by_name:
            near = nearest(name, by_name)
            here.fault(
                "core-unknown",
                line.core.span,
                f"`{construction}` has no core `{name}`",
                _other_core(name, by_name) or (f"did you mean `{near}`?" if near else f"it has {', '.join(by_name)}"),
                subjects=(identity,),
                whole=line.span,
            )
            continue
        if name in first:
            used = {each.core.text for each in cable.cores}
            free = ", ".join(other for other in by_name if other not in used)
            here.fault(
                "core-reused",
                line.core.span,
                f"core `{name}` of `{identity}` is used twice",
                f"take one that is free: {free}" if free else "take another core",
                related=(Related("first used here", first[name].core.span),),
                subjects=(identity,),
                whole=line.span,
            )
            continue
        first[name] = line
        conductor = _core(line, by_name[name], identity, here.over(line.span))
        if conductor is not None:
            here.desk.conductors[conductor.id] = conductor
            connected.append(conductor.id)
    return tuple(connected)


def _meant_construction(span: Span) -> str:
    """What to write for a construction with blanks or a unit in it; "" where it is another slip."""
    match = _LOOSE.match(span.source.text[span.start : span.start + 40])
    meant = f"{match[1]}{match[2].replace('X', 'x').replace('g', 'G')}{match[3]}" if match else ""
    return f"write `{meant}`" if cores_of(meant) else ""


def _other_core(name: str, cores: dict[str, CoreType]) -> str:
    """What to do about a core that the construction marks otherwise: by colours instead of numbers, or the other way; "" for any
    other."""
    numbered = [core for core in cores if core.isdigit()]
    if name.isdigit() and not numbered:
        return f"its cores are {', '.join(cores)}; say `cores=numbers` where numbers are printed on them"
    if is_colour(name) and name != "GNYE" and len(numbered) > 1:
        return f"its cores are numbered, {numbered[0]} to {numbered[-1]}; say `cores=colours` where they have colours"
    if is_colour(name) and not numbered:
        return f"it has {', '.join(cores)}"
    return ""


def _core(line: Core, core: CoreType, cable: str, here: Here) -> Conductor | None:
    ends = _two_ends(line, here)
    if ends is None:
        return None
    says = CORE.read(here, line.attrs, line.items)
    span, use = here.pointed(line.span)
    return Conductor(
        id=f"{cable} {core.name}",
        ends=ends,
        cable=cable,
        core=core.name,
        section_mm2=core.section_mm2 or None,
        colour=core.colour or None,
        routes=(),
        length_m=None,
        mark=says.mark,
        function=here.scope.function,
        span=span,
        text=says.text,
        use=use,
    )


def _two_ends(line: Core, here: Here) -> tuple[End, End] | None:
    """The two ends of a core; None with a finding."""
    if len(line.ends) != 2:
        here.fault("count-mismatch", line.span, "a core has two ends", "write `CORE A to B`")
        return None
    points: list[End] = []
    for reference in line.ends:
        ends = ends_of(reference, here, "out")
        if ends is None:
            here.doubt(line.span)
            return None
        if len(ends) != 1:
            message = f"`{reference.text}` names {counted(ends)}, a core ends on one"
            here.fault("count-mismatch", reference.span, message, "write a line per core", whole=line.span)
            return None
        points += ends
    return points[0], points[1]
