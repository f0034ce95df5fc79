"""`defaults`: what conductors take where they say nothing."""

from __future__ import annotations

from netdsl.model.here import Here
from netdsl.model.measures import Amount, Measure, OrAuto
from netdsl.model.mentions import What
from netdsl.model.open_values import OpenValue
from netdsl.model.plant import DefaultChoice
from netdsl.model.ratings import Open
from netdsl.model.statements.colours import Colour
from netdsl.model.statements.routes import Along
from netdsl.model.table import Statement, key, record
from netdsl.model.value_kinds import ValueKind, Words
from netdsl.model.values import attr_text, given_at
from netdsl.model.vocabulary import CLASSES
from netdsl.syntax.tree import Defaults
from netdsl.syntax.written import Attr

SECTION: ValueKind[float | Open] = OrAuto(Amount(Measure("section", positive=True)))


class Around(ValueKind[str]):
    """A declared place, or a function as it is called here."""

    manual = "a place or function"

    def read(self, attr: Attr, here: Here) -> str | None:
        text = attr_text(attr, here) or ""
        desk = here.desk
        if text in desk.places:
            here.mention(What.THING, text, given_at(attr.values[0], here), text)
            return text
        found = next((candidate for candidate in here.candidates(text) if candidate in desk.functions), None)
        if found is None:
            here.unknown("place or function", text, attr.values[0].span, (*desk.places, *desk.functions))
        else:
            here.mention(What.FUNCTION, found, given_at(attr.values[0], here), text)
        return found


@record
class DefaultsSays:
    """What a `defaults` says."""

    within: str | None = key(Around(), "where it holds; in the function around where it is not said")
    klass: str = key(
        Words(CLASSES, "class of conductors"), "the conductors it holds for; all where it is not said", default="", name="class"
    )
    section: float | Open | None = key(SECTION, "their section")
    colour: str | None = key(Colour(), "their colour")
    routes: tuple[str, ...] = key(Along(), "the routes they take, in order", default=(), name="along")
    length_m: float | None = key(Amount(Measure("length")), "how long they are", name="length")


DEFAULTS = Statement("defaults", DefaultsSays, "What conductors take where they say nothing; the last that fits gives a value")


def enter_defaults(statement: Defaults, here: Here) -> None:
    """Enter what conductors take where they say nothing."""
    says = DEFAULTS.read(here, statement.attrs)
    is_open = isinstance(says.section, Open)
    if isinstance(says.section, Open):
        here.desk.open_values.append(OpenValue("defaults", (), says.section.span, statement.span))
    here.desk.defaults.append(
        DefaultChoice(
            within=here.scope.function if says.within is None else says.within,
            klass=says.klass,
            section_mm2=None if isinstance(says.section, Open) else says.section,
            colour=says.colour,
            routes=says.routes,
            length_m=says.length_m,
            span=statement.span,
            section_open=is_open,
        )
    )
