"""`place`: cabinets, their doors and plates, boxes, and places in the field."""

from __future__ import annotations

import re

from msgspec.structs import replace

from netdsl.findings import Related
from netdsl.model.desk import Desk
from netdsl.model.ends import base_of
from netdsl.model.here import Here, Scope
from netdsl.model.measures import Amount, Count, Measure
from netdsl.model.mentions import What
from netdsl.model.plant import Place
from netdsl.model.ratings import Ratings
from netdsl.model.table import Statement, fixed, key, quoted, record, several, value
from netdsl.model.usual_measures import LENGTH, LOSSES, POSITIVE, SIDES, TEMPERATURE
from netdsl.model.value_kinds import Free, ValueKind, Words, YesNo
from netdsl.model.vocabulary import MATERIALS, MOUNTINGS, PLACE_KINDS
from netdsl.model.withstands import WITHSTANDS
from netdsl.model.word_forms import DEGREE
from netdsl.spelling import nearest
from netdsl.syntax.tree import Declaration
from netdsl.syntax.written import Attr, Reference, Word

_PLACE = re.compile(r"\+[A-Za-z0-9_]+(?:\.[A-Za-z0-9_]+)*")
#: kinds that hold others, and those that are of metal where nothing else is said
ENCLOSING = ("cabinet", "box", "panel", "desk")
METAL = ("cabinet", "door", "plate", "box", "panel", "desk", "frame")
_HEIGHT = Amount(Measure("length", positive=True))
SIZE = Measure("length", positive=True, example="800x2000x400mm", forms=SIDES)


class Heights(ValueKind[tuple[float, ...]], eq=False):
    """Lengths from above, in m, each more than the one before it."""

    manual = "lengths, `150mm,400mm,650mm`, each more than the one before"

    def read(self, attr: Attr, here: Here) -> tuple[float, ...] | None:
        found: list[float] = []
        for item in attr.values:
            height = _HEIGHT.read(Attr(attr.key, (item,), attr.span), here)
            if height is None:
                return None
            if found and height <= found[-1]:
                message = f"`{attr.key.text}` goes from above, and `{item.span.text}` is no further down than the one before it"
                here.fault("out-of-range", item.span, message, "give them from above, each once")
                return None
            found.append(height)
        return tuple(found)


@record
class PlaceSays:
    """What a `place` says."""

    title: str = quoted("what it is, for the reader")
    kind: str = key(Words(PLACE_KINDS, "kind of place", doubts=True), "what it is; `field` where it is not said", default="field")
    metal: bool | None = key(
        YesNo("metal", doubts=True),
        "whether it is an exposed part with a terminal `:PE`; all are but `field` and what is of plastic",
    )
    bonding: str = key(
        Words(("meshed", "star"), "kind of bonding", doubts=True), "`meshed` declares rings in its protective earth", default=""
    )
    rails_m: tuple[float, ...] = key(
        Heights(), "its mounting rails: how far the middle of each is below its upper edge", default=(), name="rails"
    )
    attributes: Ratings = several(
        value("size", SIZE, "width, height and depth"),
        value("mounting", Words(MOUNTINGS, "mounting of a place", doubts=True), "how it stands, for the heat it sheds"),
        value("ambient", TEMPERATURE, "temperature of the air around it"),
        value("material", Words(MATERIALS, "material of a place", doubts=True), "what it is made of"),
        value(
            "bonded",
            Words(("yes", "no"), "answer to `bonded=`", doubts=True),
            "whether the mounting of a plate joins it to its cabinet",
        ),
        value("altitude", LENGTH, "altitude of the site"),
        value("protection-degree", DEGREE, "degree of protection, for the reader"),
        value("losses", LOSSES, "heat of things inside that the plant does not name"),
        value("inside-limit", TEMPERATURE, "highest temperature of the air inside; conductors inside are rated at it"),
        value("airflow", Measure("airflow"), "air that passes through by other means than a fan among the devices"),
        *WITHSTANDS,
        value("partitions", Count("number", 0.0, 3.0), "horizontal partitions inside, for the power law of its heat"),
        value("cover", Free(), "cover, for the reader"),
        value(
            "heat-transfer",
            Measure("number", 0.0, 100.0, "W/(m²K)"),
            "heat transfer of its walls; 0 where nothing of it is counted",
        ),
        value(
            "cooling-surface",
            Measure("surface", positive=True),
            "effective cooling surface, in place of that by size and mounting",
        ),
        value("air-constant", POSITIVE, "air for a watt and a kelvin, m³/h, in place of that by the altitude"),
    )


PLACE = Statement(
    "place",
    PlaceSays,
    "A cabinet, its door or plate, a box, a place in the field",
    fixed("NAME", "a place, `+MCP`", "its name; `+MCP.D` is inside `+MCP`"),
)


def declare_place(statement: Declaration, here: Here) -> None:
    """Enter a place; its parent need not be declared before it."""
    name = spelt = statement.name
    if isinstance(name, Reference) and name.base.startswith("$"):
        base = base_of(name, here)
        if base is None:
            return
        name, spelt = replace(name, base=base.text), base.spelt
    if not isinstance(name, Reference) or not _PLACE.fullmatch(name.base) or name.terminals:
        here.fault("syntax", name.span, f"`{name.span.text}` is no designation of a place", "begin it with `+`")
        return
    places, identity = here.desk.places, name.base
    if identity in places:
        here.fault(
            "duplicate-name",
            name.span,
            f"`{identity}` is declared twice",
            "give one of them another designation",
            related=(Related("first declared here", places[identity].span),),
        )
        return
    here.mention(What.DECLARED, identity, spelt.span, identity)
    says = PLACE.read(here.over(name.span), statement.attrs, statement.items)
    metal, kind = says.metal, says.kind
    said = next((attr.values[0] for attr in statement.attrs if attr.key.text == "kind" and attr.values), None)
    if isinstance(said, Word) and said.text not in PLACE_KINDS:  # told already: go on as if it were spelt right
        kind = nearest(said.text, PLACE_KINDS) or kind
    if metal is None:
        metal = kind in METAL and says.attributes.get("material") != "plastic"
    places[identity] = Place(
        id=identity,
        title=says.title,
        kind=kind,
        parent=None,
        enclosure="",
        metal=metal,
        bonding="meshed" if says.bonding == "meshed" else "",
        attributes=says.attributes,
        span=name.span,
        rails_m=says.rails_m,
    )


def settle_places(desk: Desk) -> None:
    """Give every place its parent and enclosure."""
    places = desk.places
    for identity, place in list(places.items()):
        parent = identity.rpartition(".")[0] or None
        if parent is not None and parent not in places:
            Here(desk, Scope(), place.span).unknown("place", parent, place.span, places)
            parent = None
        enclosure = ""
        around: str | None = identity
        while around:
            if around in places and places[around].kind in ENCLOSING:
                enclosure = around
            around = around.rpartition(".")[0] or None
        places[identity] = replace(place, parent=parent, enclosure=enclosure)


def standing(here: Here) -> str:
    """The place of the function around, where there is one by that name."""
    return here.scope.place if here.scope.place in here.desk.places else ""
