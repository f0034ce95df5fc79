"""`separation`: how far apart a project keeps conductors of two classes."""

from __future__ import annotations

from netdsl.model.here import Here
from netdsl.model.measures import Amount, Measure
from netdsl.model.plant import OwnSeparation
from netdsl.model.table import Statement, fixed, key, record
from netdsl.model.vocabulary import CLASSES
from netdsl.syntax.tree import ClassSeparation

#: earth lies anywhere, and safety circuits are control circuits to the table
KEPT_APART = tuple(name for name in CLASSES if name not in ("earth", "safety"))


@record
class SeparationSays:
    """What a `separation` says."""

    inside_m: float | None = key(Amount(Measure("length")), "the distance between routes in an enclosure", name="inside")
    outside_m: float | None = key(Amount(Measure("length")), "the distance between routes outside", name="outside")


SEPARATION = Statement(
    "separation",
    SeparationSays,
    "How far apart this project keeps conductors of two classes",
    fixed("CLASS CLASS", ", ".join(f"`{name}`" for name in KEPT_APART), "whose conductors"),
    fixed('because "TEXT"', "a text in quotes", "why, and by whom; needed where it is less than the table asks"),
)


def keep_apart(statement: ClassSeparation, here: Here) -> None:
    """Enter a distance; whether the table asks for more is known where rules are applied."""
    says = SEPARATION.read(here, statement.attrs)
    for name in statement.classes:
        if name.text not in KEPT_APART:
            here.unknown("class of conductors", name.text, name.span, KEPT_APART)
            return
    one, other = (name.text for name in statement.classes)
    reason = statement.reason.value if statement.reason else ""
    here.desk.separations.append(OwnSeparation((one, other), says.inside_m, says.outside_m, reason, statement.span))
