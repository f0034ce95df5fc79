"""How routes lie to each other: distance, crossing, and what nobody has said."""

from __future__ import annotations

from collections.abc import Iterator

from lint.bundling import Bundles, Item, clashing
from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.separation import POWER, separation
from lint.wording import metres
from netdsl.findings import Severity, Span
from netdsl.model.plant import RouteRelation
from netdsl.network.types import ConductorClass

Held = dict[ConductorClass, tuple[Item, ...]]


def _apart(facts: Facts) -> Iterator[str]:
    """Routes of which it is said how they lie to another."""
    return (name.partition("/")[0] for relation in facts.plant.relations for name in relation.routes)


def _crossing(facts: Facts) -> Iterator[str]:
    """Routes that are said to cross another."""
    found = (relation for relation in facts.plant.relations if relation.crossing_deg is not None)
    return (name.partition("/")[0] for relation in found for name in relation.routes)


def _holding(facts: Facts) -> Iterator[str]:
    """Routes that hold something whose class is known."""
    return (bundle.route for bundle in facts.of(Bundles).all if bundle.items)


@rule("spacing-short", Severity.ERROR, source="drive installation instructions; IEC TR 61000-5-2", judges=_apart)
def spacing_short(facts: Facts, this: Rule) -> Iterator[Said]:
    """Two routes run closer together than what lies in them allows.

    Reports:
      A stated spacing below the distance that the separation table asks between the classes in the two routes; outside an
      enclosure the distance grows in proportion beyond 30 m of parallel run.
    Silent:
      Classes that may share a route; routes that only cross; a route in bonded conduit of metal.
    Why:
      Coupling grows with length and falls with distance.
    Failing:
      device -F0 mcb-3p at=+MCP current=13A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      device -T1 drive at=+MCP
      device -B1 transmitter at=+HALL
      route TRAY1 "mains" at=+HALL kind=tray
      route TRAY2 "signals" at=+HALL kind=tray
      relation TRAY1 TRAY2 spacing=100mm parallel=20m
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 5G2.5 length=10m along=TRAY1 {
        BN -F0:2 to -T1:L1
      }
      cable -W2 2x0.75 screened length=10m along=TRAY2 {
        BN -T1:AI1 to -B1:+
        BU -T1:AC to -B1:-
        screen -T1:SH clamp to -B1 open
      }
    Passing:
      - relation TRAY1 TRAY2 spacing=100mm parallel=20m
      + relation TRAY1 TRAY2 spacing=200mm parallel=20m
    Remedy:
      Move the routes apart, or take the signals through bonded conduit of metal.
    """
    bundles = facts.of(Bundles)
    held = bundles.settled()
    for relation in facts.plant.relations:
        if relation.spacing_m is None:
            if relation.crossing_deg is not None:
                yield this.spared(relation.routes[0], f"it only crosses `{relation.routes[1]}`")
            continue
        if any(map(bundles.shut, relation.routes)):
            yield this.spared(relation.routes[0], _conduit(bundles, relation.routes))
            continue
        found = _widest(bundles, held, relation)
        if found is None:
            yield this.spared(relation.routes[0], f"what lies in it and in `{relation.routes[1]}` may lie together")
            continue
        if found[2] <= relation.spacing_m + 1e-9:
            if relation.parallel_m is None and bundles.where(relation.routes[0].partition("/")[0]) == "outside":
                yield this.not_judged(relation.routes[0], f"how far it runs beside `{relation.routes[1]}` is not stated")
            continue
        one, other, needed = found
        over = f" over {metres(relation.parallel_m)}" if relation.parallel_m else ""
        a, b = relation.routes
        yield this.report(
            f"`{a}` and `{b}` run {metres(relation.spacing_m)} apart{over}: {one.klass.value} `{one.id}` and {other.klass.value} "
            f"`{other.id}` need {metres(needed)}",
            "move the routes apart, or take one of them through bonded conduit of metal",
            relation.span,
            (a, b, one.id, other.id),
        )


def _widest(bundles: Bundles, held: dict[str, Held], relation: RouteRelation) -> tuple[Item, Item, float] | None:
    """The pair of items that needs the greatest distance, with it in m."""
    a, b = relation.routes
    if a.partition("/")[0] not in bundles.facts.plant.routes:
        return None
    where = bundles.where(a.partition("/")[0])
    found = max(clashing(held.get(a, {}), held.get(b, {}), where, bundles.table), key=lambda entry: entry[2], default=None)
    if found is None:
        return None
    basis = separation().length_basis_m
    longer = max(1.0, (relation.parallel_m or 0.0) / basis) if where == "outside" else 1.0
    return found[0], found[1], found[2] / 1000 * longer


@rule("crossing-angle", Severity.ERROR, source="drive installation instructions", judges=_crossing)
def crossing_angle(facts: Facts, this: Rule) -> Iterator[Said]:
    """A power route and a signal route do not cross at a right angle.

    Reports:
      A crossing at other than 90° ± 10° of a route that holds power (mains, motor) and one that holds control or signals.
    Silent:
      Routes of one kind of content; a route in bonded conduit of metal.
    Why:
      Routes that cross at a right angle couple least; a slanting crossing is a short parallel run.
    Failing:
      device -F0 mcb-3p at=+MCP current=13A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      device -T1 drive at=+MCP
      device -B1 transmitter at=+HALL
      route TRAY1 "mains" at=+HALL kind=tray
      route TRAY2 "signals" at=+HALL kind=tray
      relation TRAY1 TRAY2 crossing=45deg
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 5G2.5 length=10m along=TRAY1 {
        BN -F0:2 to -T1:L1
      }
      cable -W2 2x0.75 screened length=10m along=TRAY2 {
        BN -T1:AI1 to -B1:+
        BU -T1:AC to -B1:-
        screen -T1:SH clamp to -B1 open
      }
    Passing:
      - relation TRAY1 TRAY2 crossing=45deg
      + relation TRAY1 TRAY2 crossing=85deg
    Remedy:
      Let the routes cross at a right angle.
    """
    table = separation()
    bundles = facts.of(Bundles)
    held = bundles.settled()
    for relation in facts.plant.relations:
        degrees = relation.crossing_deg
        if degrees is None or abs(degrees - table.crossing_deg) <= table.crossing_tolerance_deg + 1e-9:
            continue
        a, b = relation.routes
        pair = _power_and_signal(held.get(a, {}), held.get(b, {})) or _power_and_signal(held.get(b, {}), held.get(a, {}))
        if pair is None:
            yield this.spared(a, f"it and `{b}` hold content of one kind")
            continue
        if any(map(bundles.shut, relation.routes)):
            yield this.spared(a, _conduit(bundles, relation.routes))
            continue
        yield this.report(
            f"`{a}` and `{b}` cross at {degrees:g}°: {pair[0].klass.value} `{pair[0].id}` "
            f"and {pair[1].klass.value} `{pair[1].id}` "
            f"are to cross at {table.crossing_deg:g}° ± {table.crossing_tolerance_deg:g}°",
            "let the routes cross at a right angle",
            relation.span,
            (a, b, pair[0].id, pair[1].id),
        )


def _conduit(bundles: Bundles, names: tuple[str, str]) -> str:
    shut = next(name for name in names if bundles.shut(name))
    return "it is bonded conduit of metal" if shut == names[0] else f"`{shut}` is bonded conduit of metal"


def _power_and_signal(a: Held, b: Held) -> tuple[Item, Item] | None:
    power = next((items[0] for klass, items in a.items() if klass in POWER), None)
    signal = next((items[0] for klass, items in b.items() if klass not in POWER), None)
    return (power, signal) if power is not None and signal is not None else None


@rule("relation-unknown", Severity.NOTE, source="common practice", judges=_holding)
def relation_unknown(facts: Facts, this: Rule) -> Iterator[Said]:
    """Nobody has said how two routes of incompatible content lie to each other.

    Reports:
      Two routes at one place whose contents must keep a distance, and no `relation` between them.
    Silent:
      Classes that may share a route; a route in bonded conduit of metal; routes at different places.
    Why:
      Distances between routes can be judged only where they are stated.
    Failing:
      device -F0 mcb-3p at=+MCP current=13A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      device -T1 drive at=+MCP
      device -B1 transmitter at=+HALL
      route TRAY1 "mains" at=+HALL kind=tray
      route TRAY2 "signals" at=+HALL kind=tray
      wire -T1:PE to -XE1:3 6mm2 GNYE
      cable -W1 5G2.5 length=10m along=TRAY1 {
        BN -F0:2 to -T1:L1
      }
      cable -W2 2x0.75 screened length=10m along=TRAY2 {
        BN -T1:AI1 to -B1:+
        BU -T1:AC to -B1:-
        screen -T1:SH clamp to -B1 open
      }
    Passing:
      - route TRAY2 "signals" at=+HALL kind=tray
      + route TRAY2 "signals" at=+HALL kind=tray
      + relation TRAY1 TRAY2 spacing=300mm parallel=20m
    Remedy:
      State it: `relation TRAY1 TRAY2 spacing=300mm parallel=24m`, or `crossing=90deg`.
    """
    bundles = facts.of(Bundles)
    held = bundles.settled()
    known = {frozenset(name.partition("/")[0] for name in relation.routes) for relation in facts.plant.relations}
    places: dict[str, list[str]] = {}
    for name, route in facts.plant.routes.items():
        if name in held and bundles.shut(name):
            yield this.spared(name, "it is bonded conduit of metal")
        elif name in held:
            places.setdefault(route.place, []).append(name)
    for names in places.values():
        for number, a in enumerate(names):
            for b in names[number + 1 :]:
                found = clashing(held[a], held[b], bundles.where(a), bundles.table)
                pair = max(found, key=lambda entry: entry[2], default=None)
                if pair is not None and frozenset({a, b}) not in known:
                    yield _unknown(facts, this, a, b, pair)


def _unknown(facts: Facts, this: Rule, a: str, b: str, pair: tuple[Item, Item, float]) -> Report:
    one, other, least = pair
    span: Span = facts.plant.routes[b].span
    return this.report(
        f"`{a}` holds {one.klass.value} `{one.id}` and `{b}` {other.klass.value} `{other.id}`: "
        "how they lie to each other is not said",
        f"state how they lie, such as `relation {a} {b} spacing={least:g}mm parallel=10m` ({metres(least / 1000)} are asked for) "
        "or `crossing=90deg`",
        span,
        (a, b, one.id, other.id),
    )
