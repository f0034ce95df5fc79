"""What takes current, and gets none in any state."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from lint.facts import Facts
from lint.phases import Phases
from lint.poles import Poles
from lint.registry import Report, Rule, Said, rule
from lint.switching import Switched
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category
from netdsl.model.plant import Device
from netdsl.states.channels import SafetyRelays
from netdsl.states.deadlocks import contradictions, deadlocks
from netdsl.states.types import Cause, Mover


class _Unfed(NamedTuple):
    """A device and the terminals of it to which no source comes."""

    device: Device
    nodes: tuple[str, ...]


def _takers(facts: Facts) -> Iterator[_Unfed]:
    """What takes current, with the terminals that must get a potential: one per consumer, those of its three phases together."""
    for device, nodes in facts.of(Phases).takers:
        yield _Unfed(device, nodes)
    for taker in facts.of(Poles).takers:
        yield _Unfed(taker.device, taker.ends[:1] if taker.kind == "input" else taker.ends)


def _judged(facts: Facts) -> Iterator[str]:
    """Devices with a coil, a load, an input or a supply of their own, and what takes three phases."""
    return iter(dict.fromkeys(taker.device.id for taker in _takers(facts)))


@rule(
    "never-fed",
    Severity.WARNING,
    source="common practice",
    silences=("contact-without-effect", "pole-open"),
    judges=_judged,
)
def never_fed(facts: Facts, this: Rule) -> Iterator[Said]:
    """What takes current gets it in no state.

    Reports:
      A motor, drive, power supply, coil, lamp or input that is wired, as far as to contacts and poles at the most, and to which
      no source comes in any state. Bridged terminals of a strip to which none comes, with coils, lamps or inputs behind them that
      get the return. A coil that no operation ever pulls, because each way to it leads over a contact that it must have
      pulled itself, over those of others that wait for it, or over contacts that are never closed together: an error.
    Silent:
      What ends on single terminals of a strip, for a wire yet to come, or at outputs and equipment beyond the scope; a consumer
      with one pole of its source on one end (`load-open`, `return-missing`); a motor of which one phase alone is missing.
    Why:
      It never works. In a drawing each part of such a circuit looks complete.
    Failing:
      device -Q1 motor-breaker at=+MCP current=10A
      device -M1 motor at=+HALL power=1.1kW current=2.5A voltage=400V
      route A at=+HALL kind=perforated-tray
      cable -W1 4G2.5 length=10m along=A {
        BN   -Q1:2 to -M1:U1
        BK   -Q1:4 to -M1:V1
        GY   -Q1:6 to -M1:W1
        GNYE -XE1:3 to -M1:PE
      }
    Passing:
      + wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK
    Remedy:
      Lead the supply to the terminals at which its circuit begins.
    """
    yield from _without_source(facts, this)
    yield from _at_bridges(facts, this)
    yield from _waiting(facts, this)


def _without_source(facts: Facts, this: Rule) -> Iterator[Said]:
    """Takers without a source, those behind one open beginning together."""
    poles = facts.of(Poles)
    together: dict[tuple[str, ...], list[_Unfed]] = {}
    for taker in _takers(facts):
        if not all(node in facts.landed for node in taker.nodes) or any(map(poles.at, taker.nodes)):
            continue
        if not all(map(poles.leads_nowhere, taker.nodes)):
            yield this.spared(taker.device.id, f"what `{taker.nodes[0]}` leads to may be led on")
            continue
        together.setdefault(tuple(_beginnings(facts, poles, taker.nodes)) or taker.nodes, []).append(taker)
    for begins, takers in together.items():
        named = list(dict.fromkeys(taker.device.id for taker in takers))
        nodes = [node for taker in takers for node in taker.nodes]
        device = takers[0].device
        yield this.report(
            f"nothing feeds {listed(named)}: no source comes to {listed(nodes)} in any state",
            f"lead the supply to {listed(list(begins))}",
            device.span,
            (*named, *begins),
            about=nodes,
            explains=(other for node in nodes for other in poles.around(node)),
        )


def _at_bridges(facts: Facts, this: Rule) -> Iterator[Report]:
    """Bridged terminals to which no source comes, with coils, lamps and inputs that get the other pole: what distributes a
    voltage to several circuits waits for no cable from outside, as a single terminal may."""
    poles = facts.of(Poles)
    waiting: dict[tuple[str, ...], list[_Unfed]] = {}
    for taker in poles.takers:
        for here, there in (taker.ends, taker.ends[::-1]):
            if here not in facts.landed or poles.at(here) or not poles.at(there) or poles.is_live(there):
                continue  # of a return that is missing `return-missing` speaks
            if taker.kind == "input" and here != taker.ends[0]:
                continue
            reached = list(dict.fromkeys(poles.around(here)))
            bridges = _bridges(facts, reached)
            if bridges and not any(map(poles.is_hidden, reached)):
                waiting.setdefault(bridges, []).append(_Unfed(taker.device, (here,)))
    for bridges, takers in waiting.items():
        named = list(dict.fromkeys(taker.device.id for taker in takers))
        strip = facts.plant.devices[bridges[0].partition(":")[0]]
        yield this.report(
            f"no source comes to the bridged terminals {listed(list(bridges))} in any state: nothing feeds {listed(named)}",
            f"lead the pole that is missing to {listed([bridges[0]])}",
            strip.span,
            (strip.id, *bridges, *named),
            about=(*bridges, *(node for taker in takers for node in taker.nodes)),
            explains=(other for taker in takers for node in taker.nodes for other in poles.around(node)),
        )


def _bridges(facts: Facts, nodes: Iterable[str]) -> tuple[str, ...]:
    """The terminals of all bridges of strips among terminals, in order."""
    found: dict[str, None] = {}
    for node in nodes:
        name, _, terminal = node.partition(":")
        device = facts.plant.devices.get(name)
        bridge = next((each for each in device.bridges if terminal.split("/")[0] in each), ()) if device is not None else ()
        if device is not None and device.category == Category.STRIP:
            found.update((f"{name}:{each}", None) for each in bridge)
    return tuple(sorted(found, key=lambda each: (len(each), each)))


def _beginnings(facts: Facts, poles: Poles, nodes: Iterable[str]) -> list[str]:
    """Open ends of the poles and contacts that terminals lead to."""
    found: dict[str, None] = {}
    for node in (other for start in nodes for other in poles.around(start)):
        name, _, terminal = node.partition(":")
        for path in facts.plant.devices[name].paths if name in facts.plant.devices else ():
            for here, there in ((path.a, path.b), (path.b, path.a)):
                if here == terminal and f"{name}:{there}" not in facts.landed:
                    found[f"{name}:{there}"] = None
    return list(found)


def _waiting(facts: Facts, this: Rule) -> Iterator[Report]:
    """Coils that are never pulled though something leads to them: they wait for themselves or one another, or for contacts that
    are never closed together. What waits for a safety relay whose loop is never closed is the loop's fault, which `load-open`
    tells."""
    switched = facts.of(Switched)
    prover, circuit = switched.prover, switched.circuit
    open_loops = {relay for relay, _ in SafetyRelays(prover).never_closed()} if circuit.releases else set()
    for deadlock in deadlocks(prover):
        coils = [mover for mover in deadlock.movers if circuit.movements[mover].cause is Cause.COIL]
        names = list(dict.fromkeys(mover.device for mover in coils))
        if coils and open_loops.isdisjoint(mover.device for mover in deadlock.movers):
            over = f"a contact of {listed(names)}"
            if len(names) > 1:
                over = f"contacts of {listed(names)}, which wait for one another"
            yield from _never_pulled(facts, this, coils, over)
    for coil in contradictions(prover):
        if any(facts.of(Poles).is_fed(*load.nodes) for load in circuit.coils.get(coil, ())):
            yield from _never_pulled(facts, this, [coil], "contacts that are never closed together")


def _never_pulled(facts: Facts, this: Rule, coils: list[Mover], over: str) -> Iterator[Report]:
    poles, circuit = facts.of(Poles), facts.of(Switched).circuit
    nodes = [node for mover in coils for load in circuit.coils.get(mover, ()) for node in load.nodes]
    names = list(dict.fromkeys(mover.device for mover in coils))
    if any(map(poles.is_hidden, poles.unheld(nodes))):
        return
    devices = facts.plant.devices
    yield this.report(
        f"{listed(names)} {'is' if len(names) == 1 else 'are'} never pulled: each way to {listed(nodes[::2])} leads over {over}",
        "lead a way to it that a button or another contact closes by itself",
        devices[names[0]].span,
        (*names, *nodes),
        about=nodes,
        explains=poles.unheld(nodes),
        related=[Related(f"`{name}` is declared here", devices[name].span) for name in names[1:]],
        severity=Severity.ERROR,
    )
