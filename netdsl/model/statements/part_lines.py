"""The lines of a part (and of an `outside`): what each takes."""

from __future__ import annotations

from math import inf

from netdsl.model.here import Here
from netdsl.model.kinds import PART_KINDS
from netdsl.model.measures import Amount, Measure
from netdsl.model.part_type import CHANNEL, Role
from netdsl.model.rating_table import RATINGS
from netdsl.model.ratings import Ratings
from netdsl.model.statements.clamps import CONDUCTORS, STRIPPING, TORQUE, Bounds
from netdsl.model.table import Nothing, Statement, fixed, key, quoted, record, several, value, word
from netdsl.model.usual_measures import APPARENT, CURRENT, POWER, SECTIONS, VOLTAGES
from netdsl.model.value_kinds import Free, Marks, OneWord, Several, ValueKind, WordKind, Words
from netdsl.model.values import attr_text
from netdsl.model.vocabulary import ROLES
from netdsl.quantities import Quantity, parse_quantity
from netdsl.syntax.written import Attr, Word

#: how an auxiliary contact moves
CONTACT_MARKS = ("delayed", "early", "guided", "late", "positive")
NONE: frozenset[str] = frozenset()
ONE_SIDE = fixed(":NAME", "names or ranges, `:L1 :L2`", "the terminals")
BOTH_SIDES = fixed(":A to :B", "as many terminals on both sides", "between which terminals it lies")
OTHER = Free("a part, or a kind with its curve, `mcb-3p-c`, `fuse-gG`")
#: words for the current up to which two devices discriminate
UP_TO = {"total": inf, "none": 0.0}
BY = Free("a coil, `handle`, or what else moves it")


class ClampSection(WordKind):
    """The section a clamp takes, or the range of them."""

    manual = "a section, `0.75..16mm2`"

    def of_word(self, word: Word, before: object, here: Here) -> Quantity | None:  # noqa: ARG002
        quantity = parse_quantity(word.text) if word.text[:1].isdigit() else None
        return quantity if quantity is not None and quantity.kind == "section" else None


class FirstWord(WordKind):
    """Any word; of several the first holds."""

    manual = "a word"

    def of_word(self, word: Word, before: str, here: Here) -> str:  # noqa: ARG002
        return before or word.text


class AllWords(WordKind):
    """Any words, in order."""

    manual = "words"

    def of_word(self, word: Word, before: tuple[str, ...] | None, here: Here) -> tuple[str, ...]:  # noqa: ARG002
        return (*(before or ()), word.text)


@record
class PartSays:
    """What the lines of `name = value` of a part say."""

    ratings: Ratings = several(*RATINGS)
    kind: str = key(
        Words(tuple(sorted(PART_KINDS)), "kind of part", at_value=True), "what it is, for rules and drawings", default=""
    )
    symbol: str = key(Free(), "the symbol it is drawn with; that of its kind where it is not said", default="")
    letter: str = key(Free("a letter"), "the usual letter of its designation (IEC 81346-2)", default="")
    protection_class: str = key(
        Words(("I", "II", "III"), "class of protection", at_value=True),
        "its class of protection against shock",
        default="",
        name="class",
    )


PART = Statement("part", PartSays, "What can be bought", fixed("NAME", "a word, `vsd-15kw`", "its name"))


@record
class TerminalSays:
    """What a `terminal` line says behind its names."""

    attributes: Ratings = several(
        *(take for take in RATINGS if take.name not in ("voltage", "current")),
        value("line", Words(("a", "b", "common"), "conductor of a serial line"), "which conductor of a serial line it takes"),
    )
    section: Quantity | None = word(ClampSection(), "the sections that its clamp takes", default=None)
    role: str = word(OneWord(tuple(ROLES)), "what it is for; `plain` where it is not said", default=Role.PLAIN.value)
    flags: frozenset[str] = word(
        Marks(("required", "ac", "dc")), "it must be connected; its voltage is alternating or direct", default=NONE
    )
    text: str = quoted("what it is for, in words")
    torque_nm: tuple[float, float] | None = key(TORQUE, "tightening torque", name="torque")
    strip_m: float | None = key(STRIPPING, "length to be stripped", name="strip")
    conductors: int | None = key(CONDUCTORS, "conductors that its clamp takes", name="clamps")
    functions: tuple[str, ...] = key(
        Several("words, `start`, `enable`"), "what it does, as schemes address it", default=(), name="function"
    )
    common: str | None = key(Free("a terminal"), "the terminal it is measured against")
    voltage: Quantity | None = key(VOLTAGES, "rated voltage")
    current: Quantity | None = key(CURRENT, "rated current")
    section_pair: tuple[float, float] | None = key(Bounds(SECTIONS), "the sections of two conductors that share its clamp")


TERMINAL = Statement(
    "terminal", TerminalSays, "Terminals, alike but for their names", ONE_SIDE, block="part", called="role of a terminal"
)


@record
class PoleSays:
    """What a `pole` line says."""

    states: frozenset[str] = word(
        Marks(("switched", "closed", CHANNEL)),
        "`switched`: the control moves it; else it is closed in service; `channel`: it trips alone",
        default=NONE,
    )
    by: str = key(BY, "what moves it", default="")


POLE = Statement("pole", PoleSays, "A main contact", BOTH_SIDES, block="part", called="state of a pole")


LINK = Statement("link", Nothing, "What is always joined", BOTH_SIDES, block="part")


@record
class ContactSays:
    """What a `contact` line says."""

    kind: str = word(OneWord(("make", "break")), "closes or opens when it is moved; `make` where it is not said", default="make")
    marks: frozenset[str] = word(Marks(CONTACT_MARKS), "how it moves", default=NONE)
    by: str = key(BY, "what moves it", default="")


CONTACT = Statement("contact", ContactSays, "An auxiliary contact", BOTH_SIDES, block="part", called="kind of contact")


@record
class ChangeoverSays:
    """What a `changeover` line says."""

    marks: frozenset[str] = word(Marks(CONTACT_MARKS), "how it moves", default=NONE)
    by: str = key(BY, "what moves it", default="")


CHANGEOVER = Statement(
    "changeover",
    ChangeoverSays,
    "A common terminal to a break and a make terminal",
    fixed(":C to :B :M", "common, break and make", "its terminals"),
    block="part",
    called="kind of contact",
)


@record
class PositionSays:
    """What a `position` line says."""

    positions: tuple[str, ...] = word(AllWords(), "the positions in which it is closed", default=())


POSITION = Statement("position", PositionSays, "A contact of a selector", BOTH_SIDES, block="part")


@record
class ConsumerSays:
    """What a `coil` or `load` line says."""

    kinds: frozenset[str] = word(
        Marks(("ac", "dc")), "its voltage is alternating or direct; either where it is not said", default=NONE
    )
    name: str = word(FirstWord(), "its name, by which contacts are moved; the keyword where none is given", default="")
    voltage: Quantity | None = key(VOLTAGES, "rated voltage")
    power: Quantity | None = key(POWER, "what it takes")
    pull_in: Quantity | None = key(APPARENT, "what a coil takes while it pulls in", name="pull-in")
    operates_from: Quantity | None = key(
        Measure("percent", 1.0, 100.0), "share of its rated voltage from which a coil pulls in", name="operates-from"
    )


COIL = Statement("coil", ConsumerSays, "A coil", BOTH_SIDES, block="part")
LOAD = Statement("load", ConsumerSays, "Any other consumer", BOTH_SIDES, block="part")


@record
class SourceSays:
    """What a `source` line says."""

    kinds: frozenset[str] = word(
        Marks(("ac", "dc", "signal")), "what it gives; `signal` for a reference; `dc` where it is not said", default=NONE
    )
    voltage: Quantity | None = key(VOLTAGES, "rated voltage")
    current: Quantity | None = key(CURRENT, "rated current")


SOURCE = Statement(
    "source",
    SourceSays,
    "A source inside",
    fixed(":A to :B", "live or positive to common", "its terminals"),
    block="part",
    called="kind of voltage",
)


@record
class SettingSays:
    """What a `setting` line says."""

    words: tuple[str, ...] = word(
        AllWords(), "its name, then the words it may be, of which the first is the default, or a range", default=()
    )


SETTING = Statement("setting", SettingSays, "A setting it has", block="part")


class UpTo(ValueKind[float]):
    """A current up to which two devices discriminate, `total` or `none`: A, infinite and 0 for the words."""

    @property
    def manual(self) -> str:
        return "a current in A, `total` or `none`"

    @property
    def choices(self) -> tuple[str, ...]:
        return tuple(UP_TO)

    def read(self, attr: Attr, here: Here) -> float | None:
        text = attr_text(attr, here)
        return UP_TO[text] if text in UP_TO else Amount(CURRENT).read(attr, here)


@record
class SelectiveSays:
    """What a `selective` line says: a row of its maker's table of selectivity."""

    behind: str = key(OTHER, "what stands behind this one", default="")
    ahead: str = key(OTHER, "what stands ahead of it, in place of `behind`", default="")
    current_a: float | None = key(
        Amount(CURRENT), "rated current of the other: at most that behind, at least that ahead", name="current"
    )
    rated_a: float | None = key(
        Amount(CURRENT), "rated current of this one: at least that ahead of the other, at most that behind it", name="rated"
    )
    up_to_a: float | None = key(UpTo(), "current up to which the one behind alone operates", name="up-to")


SELECTIVE = Statement("selective", SelectiveSays, "A row of the table of selectivity of its maker", block="part")


@record
class RequireSays:
    """What a `require` line says; `SETTING=WORD` is any setting of the part."""

    words: frozenset[str] = word(Marks(("one", "when")), "`one` of them; `when` a setting is as stated behind it", default=NONE)


REQUIRE = Statement(
    "require", RequireSays, "Terminals that must be connected", ONE_SIDE, block="part", called="word of `require`"
)

LINES = (TERMINAL, POLE, LINK, CONTACT, CHANGEOVER, POSITION, COIL, LOAD, SOURCE, SETTING, SELECTIVE, REQUIRE)
