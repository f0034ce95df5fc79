"""Colours of wires, and `shade`, which adds one."""

from __future__ import annotations

from netdsl.findings import Related
from netdsl.model.here import Here
from netdsl.model.table import Statement, fixed, quoted, record
from netdsl.model.value_kinds import ValueKind
from netdsl.model.values import attr_text
from netdsl.model.vocabulary import is_colour
from netdsl.syntax.tree import Shade
from netdsl.syntax.written import Attr


class Colour(ValueKind[str]):
    """A colour of IEC 60757, or a shade the plant declares."""

    manual = "a colour, `BK`"

    def read(self, attr: Attr, here: Here) -> str | None:
        text = attr_text(attr, here)
        if text is None or is_known(text, here):
            return text
        here.fault("unknown-word", attr.span, f"`{text}` is no colour", "take a colour code of IEC 60757")
        return None


@record
class ShadeSays:
    """What a `shade` says."""

    title: str = quoted("the colour in words")


SHADE = Statement(
    "shade",
    ShadeSays,
    "A word of your own for a colour",
    fixed("NAME = COLOUR", "a word, and a colour of IEC 60757", "the word, and the colour it is a shade of"),
)


def is_known(word: str, here: Here) -> bool:
    """Whether `word` is a colour here."""
    return is_colour(word) or word in here.desk.shades


def declare_shade(statement: Shade, here: Here) -> None:
    """Enter a colour word of the plant's own."""
    name, desk = statement.name, here.desk
    if not is_colour(statement.base.text):
        message = f"`{statement.base.text}` is no colour"
        here.fault("unknown-word", statement.base.span, message, "take a colour code of IEC 60757")
    elif is_colour(name.text):
        message = f"`{name.text}` is a colour of IEC 60757 already"
        here.fault("duplicate-name", name.span, message, "take another word for the shade")
    elif name.text in desk.shade_names:
        here.fault(
            "duplicate-name",
            name.span,
            f"shade `{name.text}` is declared twice",
            "give one of them another name",
            related=(Related("first declared here", desk.shade_names[name.text]),),
        )
    else:
        desk.shade_names[name.text] = name.span
        desk.shades[name.text] = (statement.base.text, statement.text.value if statement.text else "")
