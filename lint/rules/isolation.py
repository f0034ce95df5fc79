"""Circuits that the main isolator does not make dead."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.motors import Motors
from lint.registry import Rule, Said, rule
from lint.subjects import supplies
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Conductor, Device, Role
from netdsl.network.classes import EXTRA_LOW
from netdsl.network.isolation import ahead_of_isolators, disconnectors, has_phase, main_isolators
from netdsl.network.queries import net_of_end
from netdsl.network.search import walk

#: devices that may isolate the incoming supply (IEC 60204-1, 5.3.2)
_ISOLATING = frozenset({Kind.ISOLATOR, Kind.BREAKER, Kind.MOTOR_BREAKER, Kind.RESIDUAL_DEVICE})
#: devices of the supply itself, at home ahead of the isolator
_OF_SUPPLY = frozenset({Kind.SURGE_PROTECTION, Kind.METER})
EXCEPTED_COLOUR = "OG"


@rule("isolation-missing", Severity.WARNING, source="IEC 60204-1 5.3.1 and 5.3.5", judges=supplies)
def isolation_missing(facts: Facts, this: Rule) -> Iterator[Said]:
    """A circuit stays live with the main isolator off, and is not marked as excepted.

    Reports:
      A circuit that begins ahead of the main isolator: between the supply and the isolator's supply terminals. A second supply
      above extra-low voltage without an isolator of its own, in a plant that has one. A supply that feeds a motor or drive and
      has no disconnecting device at all, here or `upstream`.
    Silent:
      The incoming conductors and the devices they pass up to the isolator; surge protection and meters there; circuits begun in
      orange wire (`OG`), or with a `caution on` a device they begin at or feed: marked as excepted; neutral and earth; supplies
      of extra-low voltage; a second supply all of which lies behind a breaker that takes all its live poles off, of one phase the
      neutral too. Isolators beside a motor, or of single feeders, are no main isolators. Without any: supplies that
      state what is `upstream` or feed through a breaker or residual current device: a plug or a distribution board disconnects
      a small plant.
    Why:
      Whoever switches off and opens the door takes everything behind it for dead.
    Failing:
      part isolator "Isolator" {
        kind = isolator   letter = Q   class = II
        terminal :1 :3 :5 line-in 0.5..16mm2
        terminal :2 :4 :6 load-out 0.5..16mm2
        pole :1,3,5 to :2,4,6 by=handle
      }
      part breaker "Breaker" {
        kind = breaker   letter = F   class = II   breaking = 10kA
        terminal :1 line-in 0.5..6mm2
        terminal :2 load-out 0.5..6mm2
        pole :1 to :2
      }
      device -Q0 isolator at=+MCP
      busbar -WB2 at=+MCP poles=3 current=63A
      device -F1 breaker "Cabinet light" at=+MCP current=10A
      wire -WB1:L1,L2,L3 to -Q0:1,3,5 16mm2 BK
      wire -Q0:2,4,6 to -WB2:L1,L2,L3 16mm2 BK
      wire -WB1:L1 to -F1:1 2.5mm2 BK
    Passing:
      - wire -WB1:L1 to -F1:1 2.5mm2 BK
      + wire -WB1:L1 to -F1:1 2.5mm2 OG
    Remedy:
      Take the circuit from behind the isolator. Where it must stay live, use orange wire apart from the others and a warning.
    """
    # a supply of extra-low voltage is no danger to whoever opens the door
    supplies = [
        device for device in facts.plant.devices.values() if device.category == Category.SUPPLY and _dangerous(facts, device)
    ]
    low = (d for d in facts.plant.devices.values() if d.category == Category.SUPPLY and d not in supplies)
    yield from (this.spared(device.id, "its voltage is extra-low") for device in low)
    mains = {supply.id: main_isolators(facts.network, supply.id) for supply in supplies}
    for supply in supplies:
        if mains[supply.id]:
            yield from _ahead_of(facts, supply, mains[supply.id], this)
        elif any(mains.values()):
            yield from _second(facts, supply, [name for found in mains.values() for name in found], this)
        else:
            yield from _without(facts, supply, this)


def _dangerous(facts: Facts, supply: Device) -> bool:
    """Whether a supply is above extra-low voltage."""
    return any(
        potential.device == supply.id and (potential.voltage or 0.0) > EXTRA_LOW.get(potential.kind, 0.0)
        for name in supply.terminals
        if (net := facts.network.net(f"{supply.id}:{name}")) is not None
        for potential in net.certain
        if potential.kind in EXTRA_LOW
    )


def _ahead_of(facts: Facts, supply: Device, mains: tuple[str, ...], this: Rule) -> Iterator[Said]:
    """Circuits that begin ahead of the main isolators of a supply: one report for each device they begin at."""
    ahead = ahead_of_isolators(facts.network, supply.id)
    begun: dict[str, list[Conductor]] = {}
    for net in sorted(ahead.nets):
        for name in facts.network.nets[net].conductors:
            conductor = facts.plant.conductors.get(name)
            for end in conductor.ends if conductor is not None else ():
                if end.device in facts.plant.devices and end.device not in ahead.devices and end.device not in mains:
                    assert conductor is not None
                    begun.setdefault(end.device, []).append(conductor)
    for device, conductors in sorted(begun.items(), key=lambda item: item[1][0].span.start):
        if facts.plant.devices[device].kind in _OF_SUPPLY:
            yield this.spared(device, "surge protection and meters may stand ahead of the isolator")
            continue
        if _excepted(facts, device, conductors):
            yield this.spared(device, "its circuit is marked as one that stays live")
            continue
        start = next((end.id for end in conductors[0].ends if end.device != device), device)
        yield this.report(
            f"`{device}` stays live with {listed(list(mains))} off: its circuit begins at `{start}`, ahead of the isolator",
            "take it from behind the isolator; where it must stay live, use orange wire (`OG`) "
            "apart from the others and a `caution on` it",
            conductors[0].span,
            (device, *(c.id for c in conductors), *mains),
            about=(device,),
            related=[Related(f"`{name}` is declared here", facts.plant.devices[name].span) for name in mains],
        )


def _excepted(facts: Facts, device: str, conductors: list[Conductor]) -> bool:
    """Whether a circuit is marked: begun in orange, or with a caution on a device of it."""
    runs = facts.network.runs
    if conductors and all((runs[c.id].colour or "") == EXCEPTED_COLOUR for c in conductors if c.id in runs):
        return True
    cautioned = {note.subject for note in facts.plant.notes if note.kind == "caution"}
    return not cautioned.isdisjoint({device, *facts.fed(device)})


def _second(facts: Facts, supply: Device, mains: list[str], this: Rule) -> Iterator[Said]:
    """A supply without an isolator of its own beside one that has it."""
    fed = facts.fed(supply.id)
    at = [device for device in sorted(fed) if supply.id in facts.of(Motors).feeders(device)]
    conductors = [c for c in facts.plant.conductors.values() if any(end.device == supply.id for end in c.ends)]
    live = [c for c in conductors if has_phase(net_of_end(facts.network, c, c.ends[0]).possible, supply.id)]
    if live and _excepted(facts, supply.id, live):
        yield this.spared(supply.id, "its circuit is marked as one that stays live")
    elif live and _breaks_all_poles(facts, supply):
        yield this.spared(supply.id, "breakers take all its live poles off")
    if not live or _excepted(facts, supply.id, live) or _breaks_all_poles(facts, supply):
        return
    yield this.report(
        f"what supply `{supply.id}` feeds, {listed(at) if at else 'its control circuits'}, stays live with {listed(mains)} off",
        f"give `{supply.id}` an isolator of its own, or mark the circuit as excepted: "
        "orange wire (`OG`) and a `caution on` a device of it",
        supply.span,
        (supply.id, *at, *mains),
        about=(supply.id,),
    )


def _breaks_all_poles(facts: Facts, supply: Device) -> bool:
    """Whether all that a supply feeds lies behind breakers that take all its live poles off: what disconnects a supply may be a
    breaker (IEC 60204-1, 5.3.2)."""
    found = disconnectors(facts.network, supply.id)
    live = [name for name in supply.terminals if supply.terminals[name].role in (Role.LOAD_OUT, Role.SUPPLY_OUT)]
    wanted = len(live) + 1 if len(live) == 1 else len(live)  # of one phase the neutral is broken too
    devices = [facts.plant.devices[name] for name in found]
    breaks = all(sum(path.kind == "pole" for path in device.paths) >= wanted for device in devices)
    behind = {name for device in found for name in (device, *facts.fed(device))}
    return bool(found) and breaks and {name for name in facts.fed(supply.id) if not _carries_on(facts, name)} <= behind


def _carries_on(facts: Facts, name: str) -> bool:
    return facts.plant.devices[name].category == Category.STRIP


def _without(facts: Facts, supply: Device, this: Rule) -> Iterator[Said]:
    """A supply of machines with nothing to disconnect it."""
    if supply.ratings.get("upstream"):
        yield this.spared(supply.id, "it is disconnected ahead of the plant, at what `upstream` names")
        return
    bare = _undisconnected(facts, supply.id)
    if bare:
        yield this.report(
            f"supply `{supply.id}` feeds {listed(bare)} and has no disconnecting device",
            "add a switch-disconnector where the supply enters, or write `upstream=` where it is disconnected ahead of the plant",
            supply.span,
            (supply.id, *bare),
            about=(supply.id,),
        )


def _undisconnected(facts: Facts, supply: str) -> list[str]:
    """Motors and drives that a supply feeds on a way without a device that could disconnect it."""
    graph, devices = facts.network.power.graph, facts.plant.devices

    def disconnects(name: str) -> bool:
        device = devices[name]
        # a fuse with a utilisation category is a switch-disconnector with fuses (IEC 60947-3)
        return device.kind in _ISOLATING or ("utilisation" in device.ratings and device.kind == Kind.FUSE)

    def beyond(name: str) -> list[str]:
        leads_on = name in graph and devices[name].kind not in (Kind.MOTOR, Kind.DRIVE)
        return [fed for fed in graph.successors(name) if not disconnects(fed)] if leads_on else []

    return sorted(name for name in walk((supply,), beyond) if devices[name].kind in (Kind.MOTOR, Kind.DRIVE))
