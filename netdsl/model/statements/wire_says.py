"""`wire`: what its line takes beside the ends."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.model.construction import SECTIONS_MM2
from netdsl.model.here import Here
from netdsl.model.meant_units import unit_remedy
from netdsl.model.measures import Amount, Measure
from netdsl.model.ratings import AUTO, Open, Rating, Ratings
from netdsl.model.statements.colours import is_known
from netdsl.model.statements.electrical import ELECTRICAL, INSULATIONS, METALS
from netdsl.model.statements.routes import Along, Entries
from netdsl.model.table import Statement, fixed, key, quoted, record, several, value, word
from netdsl.model.usual_measures import CHOICE, VOLTAGE
from netdsl.model.value_kinds import SPOILT, Free, ValueKind, WordKind, Words
from netdsl.model.values import attr_text
from netdsl.model.vocabulary import BARE, is_colour
from netdsl.quantities import parse_quantity
from netdsl.spelling import nearest
from netdsl.syntax.written import Attr, Word

#: beyond any wire's section, mm²
MAX_SECTION = 1000
#: a wire may be bare, a braid, a rail or a bar, which have no colour
MATERIALS = (*METALS, *BARE)
#: colours that a mistyped one is likely to mean
USUAL_COLOURS = ("BK", "BN", "GY", "BU", "RD", "GNYE", "OG", "WH", "YE", "GN", "VT", "PK")

#: colours as they are said
COLOUR_WORDS = {
    "black": "BK",
    "brown": "BN",
    "grey": "GY",
    "gray": "GY",
    "blue": "BU",
    "red": "RD",
    "orange": "OG",
    "white": "WH",
    "yellow": "YE",
    "green": "GN",
    "violet": "VT",
    "pink": "PK",
    "green-yellow": "GNYE",
    "yellow-green": "GNYE",
}

#: with which letter a shade of a colour is usually written
SHADES = {"D": "dark", "L": "light"}


class Section(WordKind):
    """The section of a wire in mm², or the word `auto`."""

    manual = "a section, `2.5mm2`, or `auto`; or one for each conductor, `2.5mm2,4mm2`"
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
            remedy = unit_remedy(word.text, "section", "write the section in mm2")
            here.fault("wrong-unit", word.span, message, remedy, whole=here.whole)
            return SPOILT
        _first_only("section", before, word, here)
        least = SECTIONS_MM2[0]
        if not least <= quantity.value <= MAX_SECTION:
            message = f"`{word.text}` is no section of a wire"
            remedy = f"give {least:g}mm2 to {MAX_SECTION}mm2"
            here.fault("out-of-range", word.span, message, remedy, whole=here.whole)
            return SPOILT
        return quantity.value


class Twin(WordKind):
    """The word `twin`."""

    manual = "`twin`"
    choices = ("twin",)

    def of_word(self, word: Word, before: object, here: Here) -> bool | None:  # noqa: ARG002
        return True if word.text == "twin" else None


class ColourWord(WordKind):
    """A colour as a bare word."""

    manual = "a colour, `BK`, or one for each conductor, `BN,BK,GY`"

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
        if text is None or parse_quantity(text) is None:
            return Words(INSULATIONS, "insulation", doubts=True).read(attr, here)
        return replace(VOLTAGE, forms=CHOICE, doubts=True).read(attr, here)


def _first_only(what: str, before: object, word: Word, here: Here) -> None:
    """Note that `word` gives a wire its `what` a second time; a section left open before is none."""
    if before is not None and not isinstance(before, Open):
        here.fault("duplicate-name", word.span, f"`{word.text}` is a second {what}", "give it once")


def _no_colour(word: Word, here: Here) -> None:
    near = COLOUR_WORDS.get(word.text.lower()) or nearest(word.text, (*USUAL_COLOURS, "twin", *here.desk.shades))
    remedy = f"did you mean `{near}`?" if near else "take a colour code of IEC 60757, or declare a `shade`"
    shade = SHADES.get(word.text[:1])
    if shade and is_colour(word.text[1:]):
        remedy = f'declare it: `shade {word.text} = {word.text[1:]} "{shade} ..."`'
    here.fault("unknown-word", word.span, f"`{word.text}` is no colour", remedy, whole=here.whole)


@record
class WireSays:
    """What a `wire` says beside its ends."""

    section: float | Open | None = word(Section(), "its section; by `defaults` where it is not said", default=None)
    twin: bool = word(Twin(), "two conductors in the middle of a chain share a twin ferrule", default=False)
    colour: str | None = word(ColourWord(), "its colour; by `defaults` where it is not said", default=None)
    text: str = quoted("what it is for, in words")
    routes: tuple[str, ...] = key(Along(doubts=True), "the routes it takes, in order", default=(), name="along")
    length_m: float | None = key(
        Amount(Measure("length", doubts=True)), "how long it is; or one for each conductor, `1m,1.2m`", name="length"
    )
    mark: str | None = key(Free(), "what is printed on it")
    attributes: Ratings = several(
        value("insulation", WireInsulation(), "rated voltage of its insulation, or what that is made of"),
        value(
            "material",
            Words(MATERIALS, "material", doubts=True),
            "its metal; `bare`, `braid`, `rail` or `bar` of an earth conductor without colour",
        ),
        value("ferrule", Free(), "its ferrule"),
        value("entry", Entries(), "the entries through which it passes into enclosures"),
        *ELECTRICAL,
    )


WIRE = Statement(
    "wire",
    WireSays,
    "Conductors inside one enclosure, its door included",
    fixed("A to B [to C ...]", "terminals, `-Q0:2,4,6`", "its ends; lists step together, several ends make a chain"),
    stray=_no_colour,
)
