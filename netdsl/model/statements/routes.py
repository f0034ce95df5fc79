"""`route` and `relation`: ways that cables and wires take, and how two of them lie to each other; `along=` and its kin."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from netdsl.findings import Related, Span
from netdsl.model.here import Here
from netdsl.model.measures import Amount, Measure
from netdsl.model.mentions import What
from netdsl.model.ratings import Ratings
from netdsl.model.statements.places import SIZE, standing
from netdsl.model.table import Statement, fixed, key, quoted, record, several, value
from netdsl.model.usual_measures import COUNT, LENGTH, TEMPERATURE
from netdsl.model.value_kinds import Standing, ValueKind, Words, YesNo
from netdsl.model.values import given_at, settled, text_of
from netdsl.model.vocabulary import ENTRY, LAYINGS, ROUTE_KINDS, ROUTE_MATERIALS
from netdsl.model.wiring import RouteRelation, RouteWay
from netdsl.syntax.tree import Declaration, Relation
from netdsl.syntax.written import Attr, Value, Word


class Along(ValueKind[tuple[str, ...]], eq=False):
    """Declared routes, in order; others are left out with a finding. `doubts`: as of a Measure."""

    doubts: bool = False
    manual = "routes, `TRAY1,DUCT2`"

    def read(self, attr: Attr, here: Here) -> tuple[str, ...] | None:
        whole = here.whole if self.doubts else attr.span
        found: list[str] = []
        for item in attr.values:
            text = text_of(item, here)
            if text is not None:
                names = [
                    name for name in text.split(",") if is_route(name, item.span, here, whole) and self._fits(name, item, here)
                ]
                mention_routes(names, given_at(item, here), here)
                found += names
        return tuple(found)

    @staticmethod
    def _fits(name: str, item: Value, here: Here) -> bool:
        """Whether a route is a way along which something can lie."""
        if name in here.desk.routes and here.desk.routes[name].kind == ENTRY:
            message = f"`{name}` is an entry, through which cables pass and along which none lies"
            here.fault("wrong-unit", item.span, message, f"write `entry={name}`")
            return False
        return True


class Entries(ValueKind[str]):
    """Declared entries of enclosures."""

    manual = "routes of kind `entry`, `E1`"

    def read(self, attr: Attr, here: Here) -> str | None:
        found: list[str] = []
        for item in attr.values:
            for name in (text_of(item, here) or "").split(","):
                if not name or not is_route(name, item.span, here, attr.span):
                    continue
                if here.desk.routes[name.partition("/")[0]].kind != ENTRY:
                    here.fault("wrong-unit", item.span, f"`{name}` is no entry", f"write `along={name}`, or make it `kind=entry`")
                    continue
                mention_routes((name,), given_at(item, here), here)
                found.append(name)
        return ",".join(found) or None


class Crossing(ValueKind[float]):
    """The angle at which two routes cross, in degrees."""

    manual = "an angle up to 180deg"

    def read(self, attr: Attr, here: Here) -> float | None:
        quantity = Measure("angle").read(attr, here)
        if quantity is None:
            return None
        if quantity.value <= 180:
            return quantity.value
        here.fault("out-of-range", attr.span, f"`{quantity.text}` is no angle between two routes", "give 0deg to 90deg")
        return None


@record
class RouteSays:
    """What a `route` says."""

    title: str = quoted("what it is, for the reader")
    attributes: Ratings = several(
        value("material", Words(ROUTE_MATERIALS, "material of a route", doubts=True), "what it is made of"),
        value("bonded", Words(("yes", "no"), "answer to `bonded=`", doubts=True), "whether a metal conduit stands for a screen"),
        value("size", replace(SIZE, example="60x80mm"), "width and height, for the reader"),
        value("ambient", TEMPERATURE, "temperature of the air along it"),
        value("laying", Words(LAYINGS, "laying of a route", doubts=True), "how cables lie on a tray or ladder"),
        value("layers", COUNT, "in how many layers they lie"),
    )
    place: str | None = key(Standing(), "where it lies; by default where its function stands", name="at")
    kind: str = key(Words(ROUTE_KINDS, "kind of route", doubts=True), "what it is; `duct` where it is not said", default="duct")
    length_m: float | None = key(Amount(Measure("length", doubts=True)), "how long it is", name="length")
    divider: bool = key(YesNo("divider"), "whether it is divided into compartments, `TRAY1/1` and `TRAY1/2`", default=False)


ROUTE = Statement("route", RouteSays, "A way that cables and wires take", fixed("NAME", "a word, `TRAY1`", "its name"))


@record
class RelationSays:
    """What a `relation` says."""

    spacing_m: float | None = key(Amount(LENGTH), "how far apart they run", name="spacing")
    parallel_m: float | None = key(Amount(LENGTH), "over which length they run side by side", name="parallel")
    crossing_deg: float | None = key(Crossing(), "at which angle they cross", name="crossing")


RELATION = Statement(
    "relation",
    RelationSays,
    "How two routes lie to each other",
    fixed("ROUTE ROUTE", "two routes or compartments", "the routes that are meant"),
)


def declare_route(statement: Declaration, here: Here) -> None:
    """Enter a route."""
    found = settled(statement.name, here)
    if found is None:
        return
    name, routes = found[0], here.desk.routes
    if not isinstance(name, Word):
        here.fault("syntax", name.span, f"`{name.span.text}` is no name of a route", "take a plain word such as `TRAY1`")
        return
    if name.text in routes:
        here.fault(
            "duplicate-name",
            name.span,
            f"route `{name.text}` is declared twice",
            "give one of them another name",
            related=(Related("first declared here", routes[name.text].span),),
        )
        return
    here.mention(What.ROUTE, name.text, name.span, name.text)
    says = ROUTE.read(here.over(name.span), statement.attrs, statement.items)
    routes[name.text] = RouteWay(
        id=name.text,
        title=says.title,
        kind=says.kind,
        place=standing(here) if says.place is None else says.place,
        length_m=says.length_m,
        divider=says.divider,
        attributes=says.attributes,
        span=name.span,
    )


def is_route(name: str, span: Span, here: Here, whole: Span) -> bool:
    """Whether `name` is a route, or a compartment of a divided one; else a finding."""
    routes = here.desk.routes
    base, _, compartment = name.partition("/")
    route = routes.get(name) or routes.get(base)
    if route is None:
        here.unknown("route", name, span, routes, whole)
        return False
    if compartment and name not in routes and (not route.divider or compartment not in ("1", "2")):
        message, remedy = f"route `{base}` has no compartment `{compartment}`", "a route with `divider=yes` has `/1` and `/2`"
        here.fault("unknown-name", span, message, remedy, whole=whole)
        return False
    return True


def mention_routes(names: Iterable[str], span: Span, here: Here) -> None:
    """Keep where routes, or compartments of them, are named, where that is asked for."""
    for name in names:
        here.mention(What.ROUTE, name if name in here.desk.routes else name.partition("/")[0], span, name)


def relate(statement: Relation, here: Here) -> None:
    """Enter how two routes lie to each other."""
    if not all(is_route(word.text, word.span, here, here.whole) for word in statement.routes):
        return
    first, second = statement.routes
    for word in statement.routes:
        mention_routes((word.text,), word.span, here)
    if first.text == second.text:
        here.fault("duplicate-name", second.span, f"`{first.text}` is related to itself", "name two routes")
        return
    if not statement.attrs:
        here.fault(
            "missing-value",
            statement.span,
            f"how `{first.text}` and `{second.text}` lie to each other is not said",
            "add `spacing=300mm parallel=24m` or `crossing=90deg`",
        )
    here.desk.related.add(frozenset((first.text, second.text)))
    says = RELATION.read(here, statement.attrs)
    here.desk.relations.append(
        RouteRelation(
            routes=(first.text, second.text),
            spacing_m=says.spacing_m,
            parallel_m=says.parallel_m,
            crossing_deg=says.crossing_deg,
            span=here.pointed(statement.span)[0],
        )
    )
