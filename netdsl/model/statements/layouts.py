"""`layout`: routes in their order, from which it follows how each two of them lie to each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate, combinations

from msgspec.structs import replace

from netdsl.findings import Related, Span
from netdsl.model.desk import Desk
from netdsl.model.here import Here
from netdsl.model.measures import Amount, Measure
from netdsl.model.statements.routes import Crossing, is_route, mention_routes
from netdsl.model.table import Statement, fixed, key, quoted, record
from netdsl.model.terminals import numbered
from netdsl.model.usual_measures import LENGTH
from netdsl.model.value_kinds import Standing, ValueKind
from netdsl.model.values import settled
from netdsl.model.vocabulary import ENTRY
from netdsl.model.wiring import RouteRelation
from netdsl.syntax.tree import Item, Layout, Listed
from netdsl.syntax.written import Attr, Param, Text, Word

#: most routes in one layout: each two of them are a pair
MAX_ROUTES = 200


class Spacings(ValueKind[tuple[float, ...]], eq=False):
    """One distance, or one between each two neighbours, in m."""

    manual = "a length in m, or one between each two neighbours, `300mm,500mm`"

    def read(self, attr: Attr, here: Here) -> tuple[float, ...] | None:
        one = Amount(Measure("length", doubts=True))
        found = [one.read(replace(attr, values=(value,)), here) for value in attr.values]
        whole = [value for value in found if value is not None]
        return tuple(whole) if len(whole) == len(found) else None


@record
class LayoutSays:
    """What a `layout` says beside its routes."""

    title: str = quoted("what it is, for the reader of the text")
    spacings_m: tuple[float, ...] | None = key(Spacings(), "how far neighbours are apart", name="spacing")
    parallel_m: float | None = key(Amount(LENGTH), "over which length they run side by side", name="parallel")
    crossing_deg: float | None = key(Crossing(), "at which angle they cross", name="crossing")
    within: str | None = key(
        Standing(), "in place of routes: each two routes there, of which no other layout and no `relation` says more"
    )


LAYOUT = Statement(
    "layout",
    LayoutSays,
    "Routes in their order, and how far they are apart",
    fixed(
        "ROUTES ROUTES ...", "routes, or several at one level, `DUCT1,DUCT2` or `DUCT1..4`", "in their order, two levels or more"
    ),
)


def lay_out(statement: Layout, here: Here) -> None:
    """Enter how each two routes of different levels lie to each other, but for those of which a `relation` says it."""
    levels = _levels(statement, here)
    says = LAYOUT.read(here, statement.attrs, [item for item in statement.items if isinstance(item, Text)])
    if any(attr.key.text == "within" for attr in statement.attrs):
        if levels is not None and says.within is not None and _is_usual(levels, says, statement, here):
            here.desk.usual_layouts.append((says.within, _relation(says, here.pointed(statement.span)[0])))
        return
    if levels is None or not _is_whole(levels, says, statement, here):
        return
    spacings = says.spacings_m or ()
    steps = spacings * (len(levels) - 1) if len(spacings) == 1 else spacings
    at = [0.0, *accumulate(steps)]
    desk, span = here.desk, here.pointed(statement.span)[0]
    for (one, above), (other, below) in combinations(enumerate(levels), 2):
        spacing = round(at[other] - at[one], 6) if spacings else None
        for first in above:
            for second in below:
                pair = frozenset((first, second))
                if pair in desk.related:
                    continue
                earlier = desk.laid_out.setdefault(pair, statement.span)
                if earlier is not statement.span:
                    _twice(first, second, statement, here)
                    return
                desk.relations.append(RouteRelation((first, second), spacing, says.parallel_m, says.crossing_deg, span))


def _relation(says: LayoutSays, span: Span) -> RouteRelation:
    spacing = says.spacings_m[0] if says.spacings_m else None
    return RouteRelation(("", ""), spacing, says.parallel_m, says.crossing_deg, span)


def _is_usual(levels: Sequence[Sequence[str]], says: LayoutSays, statement: Layout, here: Here) -> bool:
    """Whether a layout that holds for all routes of a place says how they lie, and names none; a finding where not."""
    if any(levels):
        message = "a layout says `within=` or names routes, not both"
        here.fault("duplicate-name", statement.span, message, "take one of them out")
    elif len(says.spacings_m or ()) > 1:
        message = "between all routes of a place there is one distance"
        here.fault("count-mismatch", statement.span, message, "give one, or name the routes in their order")
    elif not says.spacings_m and says.crossing_deg is None:
        message = "how these routes lie to each other is not said"
        here.fault("missing-value", statement.span, message, "add `spacing=300mm` or `crossing=90deg`")
    else:
        return True
    return False


def settle_layouts(desk: Desk) -> None:
    """Enter how each two routes of a place lie to each other by a layout of all that are there, where nothing else says it: side
    by side as far as the shorter of them goes, where that is not said. Of several such layouts the last one holds."""
    known = {frozenset(name.partition("/")[0] for name in pair) for pair in (*desk.related, *desk.laid_out)}
    for place, usual in reversed(desk.usual_layouts):
        there = [route for route in desk.routes.values() if route.kind != ENTRY and _is_inside(route.place, place, desk)]
        for one, other in combinations(there[:MAX_ROUTES], 2):
            pair = frozenset((one.id, other.id))
            if pair in known:
                continue
            known.add(pair)
            beside = None if one.length_m is None or other.length_m is None else min(one.length_m, other.length_m)
            parallel = usual.parallel_m if usual.parallel_m is not None else beside if usual.spacing_m is not None else None
            desk.relations.append(replace(usual, routes=(one.id, other.id), parallel_m=parallel))


def _is_inside(place: str, around: str, desk: Desk) -> bool:
    """Whether a place is `around` or lies in it."""
    here: str | None = place
    while here and here != around:
        here = desk.places[here].parent if here in desk.places else None
    return bool(here)


def _twice(first: str, second: str, statement: Layout, here: Here) -> None:
    here.fault(
        "duplicate-name",
        statement.span,
        f"how `{first}` and `{second}` lie to each other follows from two layouts",
        f"take one of them out of one layout, or say it in a `relation {first} {second}`",
        related=(Related("the other layout", here.desk.laid_out[frozenset((first, second))]),),
    )


def _is_whole(levels: Sequence[Sequence[str]], says: LayoutSays, statement: Layout, here: Here) -> bool:
    """Whether a layout says what it must; a finding where not."""
    given = len(says.spacings_m or ())
    if len(levels) < 2:
        message, remedy = "a layout needs two levels or more", "name more routes, in their order"
        here.fault("missing-value", statement.span, message, remedy)
    elif not given and says.crossing_deg is None:
        if not any(attr.key.text in ("spacing", "crossing") for attr in statement.attrs):
            remedy = "add `spacing=300mm parallel=24m` or `crossing=90deg`"
            here.fault("missing-value", statement.span, "how these routes lie to each other is not said", remedy)
    elif given > 1 and given != len(levels) - 1:
        span = next(attr.span for attr in statement.attrs if attr.key.text == "spacing")
        message = f"`{span.text}` gives {given} distances, between {len(levels)} levels there are {len(levels) - 1}"
        here.fault("count-mismatch", span, message, "give one between each two neighbours, or one for all")
    else:
        return True
    return False


def _levels(statement: Layout, here: Here) -> list[list[str]] | None:
    """The routes of each level in their order; None with a finding."""
    first: dict[str, Word] = {}
    levels: list[list[str]] = []
    sound = True
    for item in statement.items:
        if isinstance(item, Text):
            continue
        level: list[str] = []
        for word in _words(item, here):
            for name in _names(word):
                if name in first:
                    related = (Related("first named here", first[name].span),)
                    here.fault("duplicate-name", word.span, f"`{name}` is named twice", "name it once", related=related)
                    sound = False
                elif is_route(name, word.span, here, here.whole):
                    mention_routes((name,), word.span, here)
                    first[name] = word
                    level.append(name)
                else:
                    sound = False
        levels.append(level)
    if len(first) > MAX_ROUTES:
        message = f"this layout has more than {MAX_ROUTES} routes"
        here.fault("out-of-range", statement.span, message, "split it")
        return None
    return levels if sound else None


def _words(item: Item, here: Here) -> Iterator[Word]:
    """The words of one level, values put in."""
    for each in item.values if isinstance(item, Listed) else (item,):
        found = settled(each, here) if isinstance(each, Param) else (each, here)
        if found is None:
            continue
        if isinstance(found[0], Text):
            yield from (Word(name, each.span) for name in found[0].value.split(","))
        elif isinstance(found[0], Word):
            yield Word(found[0].text, each.span)


def _names(word: Word) -> list[str]:
    """The routes that a word names: several where it is a range, `DUCT1..4`."""
    first, dots, last = word.text.partition("..")
    return (numbered(first, last) if dots else None) or [word.text]
