"""`earthing` and `potential`: the reference point of a source, and names of potentials."""

from __future__ import annotations

from netdsl.model.ends import one_end
from netdsl.model.here import Here
from netdsl.model.plant import NamedPotential, ReferencePoint
from netdsl.model.table import Nothing, Statement, fixed, key, record
from netdsl.model.value_kinds import Free, YesNo
from netdsl.syntax.tree import Earthing, PotentialName

EARTHING = Statement(
    "earthing",
    Nothing,
    "The one point at which a source is earthed",
    fixed("of END", "a terminal of the source", "what is earthed"),
    fixed("at END", "a terminal", "where"),
)


@record
class PotentialSays:
    """What a `potential` says."""

    mark: str | None = key(Free(), "what is printed on its conductors")
    parallel: bool = key(YesNo("parallel"), "whether several sources feed it together", default=False)


POTENTIAL = Statement(
    "potential",
    PotentialSays,
    "A name for a potential",
    fixed("NAME", "a word", "its name"),
    fixed("of END", "a terminal", "where it is"),
)


def enter_earthing(statement: Earthing, here: Here) -> None:
    """Enter the reference point of a source."""
    of, at = one_end(statement.of, here), one_end(statement.at, here)
    if of and at:
        here.desk.reference_points.append(ReferencePoint(of, at, here.pointed(statement.span)[0]))


def name_potential(statement: PotentialName, here: Here) -> None:
    """Name a potential."""
    end = one_end(statement.of, here)
    says = POTENTIAL.read(here, statement.attrs)
    if end is not None:
        span = here.pointed(statement.span)[0]
        here.desk.potentials.append(
            NamedPotential(name=statement.name.text, end=end, mark=says.mark, parallel=says.parallel, span=span)
        )
