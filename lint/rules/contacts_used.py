"""Contacts and poles that are wired and lead nowhere, and operating elements that act on nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint.contacts import Pairs, contacts
from lint.contacts import poles as poles_of
from lint.facts import Facts
from lint.misnamed import may_be_misnamed
from lint.poles import Poles
from lint.registry import Rule, Said, rule
from lint.switching import Switched
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import BREAKING, Category, Kind
from netdsl.model.plant import Device
from netdsl.states.types import Cause, Edge

#: whose poles are judged
_JUDGED = BREAKING | {Kind.CONTACTOR}
#: what operating acts on: hands and what is measured
_GIVEN = (Cause.FREE, Cause.POSITION)


def _with_contacts(facts: Facts) -> Iterator[str]:
    """Devices with contacts that something moves."""
    return (device.id for device in facts.plant.devices.values() if device.category == Category.DEVICE and contacts(device))


def _with_poles(facts: Facts) -> Iterator[str]:
    """Contactors, breakers and fuses."""
    return (name for name, device in facts.plant.devices.items() if device.kind in _JUDGED and poles_of(device))


@rule(
    "contact-half-wired",
    Severity.ERROR,
    source="common practice",
    silences=("load-open", "never-fed", "contact-without-effect"),
    judges=_with_contacts,
)
def contact_half_wired(facts: Facts, this: Rule) -> Iterator[Said]:
    """A contact is wired on one side alone.

    Reports:
      A contact or changeover of which terminals are wired and no two between which it conducts.
    Silent:
      A changeover of which one throw is in use; poles, of which `pole-open` speaks.
    Why:
      What the contact is there for does not happen: a stop that is wired past, a lamp that never tells. Nothing says so.
    Failing:
      device -S1 push-button at=+MCP
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -S1:13 0.75mm2 RD
    Passing:
      + wire -S1:14 to -T1:DI1 0.75mm2 RD
    Remedy:
      Connect the other side of the contact.
    """
    for device in facts.plant.devices.values():
        if device.category == Category.DEVICE:
            here, others = _half_wired(facts, device, contacts(device))
            if here:
                explains = {*facts.of(Poles).unheld(here), *_coils_beside(facts, device)}
                yield _told(facts, this, device, here, others, explains)


@rule("pole-open", Severity.ERROR, source="common practice", judges=_with_poles)
def pole_open(facts: Facts, this: Rule) -> Iterator[Said]:
    """A pole that is in use is wired on one side alone.

    Reports:
      A pole of a contactor with a conductor on one side and none on the other, where its coil or another pole is in use; a pole
      of a breaker or fuse that would feed what is on its one side, with nothing on the other.
    Silent:
      Poles of a protective device that are fed and wait for a load; what `phase-missing`, `never-fed` or `load-open` say of the
      load behind the pole.
    Why:
      What is behind the pole gets nothing, or one phase too few, and each part of the drawing looks complete.
    Failing:
      strip -X1 at=+MCP {
        :1..2 2.5mm2
      }
      device -F1 mcb-1p at=+MCP current=6A
      wire -F1:2 to -X1:1 2.5mm2 BK
    Passing:
      + wire -WB1:L1 to -F1:1 2.5mm2 BK
    Remedy:
      Connect the other side of the pole.
    """
    for device in facts.plant.devices.values():
        if device.kind not in _JUDGED:
            continue
        here, others = _half_wired(facts, device, [[pole] for pole in poles_of(device)])
        missed = [number for number, node in enumerate(here) if _is_missed(facts, device, node)]
        if missed:
            yield _told(facts, this, device, [here[n] for n in missed], [others[n] for n in missed], ())
        elif here:
            yield this.spared(device.id, f"of a pole one side alone is wired, `{here[0]}`: it stands in reserve")


def _half_wired(facts: Facts, device: Device, groups: Iterable[Pairs]) -> tuple[list[str], list[str]]:
    """Terminals that are wired of contacts or poles without a wired way through, and the open ones across them."""
    here: list[str] = []
    others: list[str] = []
    for pairs in groups:
        wired = {name for pair in pairs for name in pair if f"{device.id}:{name}" in facts.landed}
        if wired and not any(a in wired and b in wired for a, b in pairs):
            here += [f"{device.id}:{name}" for name in dict.fromkeys(n for pair in pairs for n in pair) if name in wired]
            others += dict.fromkeys(f"{device.id}:{b if a in wired else a}" for a, b in pairs if (a in wired) != (b in wired))
    return here, others


def _told(facts: Facts, this: Rule, device: Device, here: list[str], others: list[str], explains: Iterable[str]) -> Said:
    if may_be_misnamed(facts, device):
        return this.not_judged(device.id, "a name that is no device's may mean it")
    conductor = facts.of(Poles).conductor(here[0])
    return this.report(
        f"of what `{device.id}` switches {listed(here)} {'is' if len(here) == 1 else 'are'} wired on one side alone: "
        f"nothing is connected to {listed(others)}",
        f"connect {listed(others)}, or take what is on {listed(here)} to the terminals it is meant for",
        conductor.span if conductor is not None else device.span,
        (device.id, *here, *others),
        about=here,
        explains=explains,
        related=[Related(f"`{device.id}` is declared here", device.span)],
    )


def _coils_beside(facts: Facts, device: Device) -> Iterator[str]:
    """Terminals of what takes current in the function of a device: what is open there may be why a coil is never pulled."""
    function = device.id.removesuffix(device.product)
    for taker in facts.of(Poles).takers:
        if taker.device.id.removesuffix(taker.device.product) == function:
            yield from taker.ends


def _is_missed(facts: Facts, device: Device, node: str) -> bool:
    """Whether the open end across a pole's wired one is missed: of a contactor in use, and of a protective device to whose wired
    end no source comes, so that it would feed what is there."""
    return _is_in_use(facts, device) if device.kind == Kind.CONTACTOR else not facts.of(Poles).at(node)


def _is_in_use(facts: Facts, device: Device) -> bool:
    """Whether a pole of a device is wired on both sides, or its coil is."""
    pairs = poles_of(device) + [(each.a, each.b) for each in device.consumers if each.kind == "coil"]
    return any(all(f"{device.id}:{name}" in facts.landed for name in pair) for pair in pairs)


def _operated(facts: Facts) -> Iterator[str]:
    """Devices whose contacts a hand or a measured quantity moves."""
    return (name for name in _wired(facts))


@rule("contact-without-effect", Severity.ERROR, source="common practice", judges=_operated)
def contact_without_effect(facts: Facts, this: Rule) -> Iterator[Said]:
    """Operating a contact changes nothing.

    Reports:
      A push-button, selector, sensor or another contact that no coil of the plant moves, wired on both sides, of which no coil,
      lamp, input, motor or safety loop takes notice in any state.
    Silent:
      Contacts that lead to equipment beyond the scope, to outputs, to a controller, or to a terminal of a strip with a free side,
      which may lead on; to what lacks a source or its way back, of which other rules speak.
    Why:
      It is there to be operated: a button that starts nothing, or a stop past which the current finds another way.
    Failing:
      device -S1 push-button at=+MCP
      device -K1 relay-1co at=+MCP
      device -T1 drive at=+MCP
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -S1:13 to -K1:11 0.75mm2 RD
      wire -S1:14 to -K1:14 0.75mm2 RD
      wire -K1:11 to -K1:A1 0.75mm2 RD
      wire -T1:COM to -K1:A2 0.75mm2 RD
    Passing:
      - wire -K1:11 to -K1:A1 0.75mm2 RD
      + wire -K1:14 to -K1:A1 0.75mm2 RD
    Remedy:
      Look over what both sides of the contact are wired to.
    """
    wired = _wired(facts)
    if not wired:
        return
    poles, heard = facts.of(Poles), _heard(facts)
    for name, edges in wired.items():
        device = facts.plant.devices[name]
        if any(mover in heard for edge in edges for mover in edge.closed.movers):
            continue
        nodes = list(dict.fromkeys(node for edge in edges for node in edge.nodes))
        beside = frozenset(other for other in poles.unheld(nodes) if other.partition(":")[0] != name)
        if any(_leads_on(facts, poles, other) for other in beside):
            yield this.spared(name, "what it is wired to may be led on")
            continue
        if any(not beside.isdisjoint(taker.ends) and not poles.is_fed(*taker.ends) for taker in poles.takers):
            yield this.spared(name, "what it is wired to gets no current in any state, whatever it does")
            continue
        yield this.report(
            f"operating `{name}` changes nothing: no coil, lamp, input, motor or safety loop depends on its contact",
            f"look over what {listed(nodes)} are wired to",
            device.span,
            (name, *nodes),
            about=[node for node in nodes if node in set(poles.unheld(nodes))] or nodes,
        )


def _wired(facts: Facts) -> dict[str, list[Edge]]:
    """Ways over contacts that a hand or a quantity moves, wired on both sides with two nets, by device."""
    found: dict[str, list[Edge]] = {}
    circuit = facts.of(Switched).circuit
    for edge in circuit.edges:
        if edge.path is None or edge.path.kind not in ("make", "break") or edge.a == edge.b:
            continue
        moved = all(circuit.movements[mover].cause in _GIVEN for mover in edge.closed.movers)
        if edge.closed.movers and moved and all(node in facts.landed for node in edge.nodes):
            found.setdefault(edge.device, []).append(edge)
    return found


def _heard(facts: Facts) -> set[object]:
    """Movers of which a load, a motor, a loop or another mover takes notice in some state."""
    prover = facts.of(Switched).prover
    circuit, wants = prover.circuit, prover.wants
    formulas = [wants.fed(load) for load in circuit.loads]
    formulas += [wants.of(mover) for mover, movement in circuit.movements.items() if movement.cause not in _GIVEN]
    formulas += [
        formula
        for channels in circuit.releases.values()
        for channel in channels
        for formula in wants.roots_of(channel.back).values()
    ]
    for device in facts.plant.devices.values():
        if device.kind in (Kind.MOTOR, Kind.DRIVE):
            nodes = (f"{device.id}:{name}" for name in device.terminals)
            points = {circuit.node_point(node) for node in nodes if node in circuit.network.net_of}
            formulas += [formula for point in sorted(points) for formula in wants.roots_of(point).values()]
    return set(prover.builder.read_by(formulas))


def _leads_on(facts: Facts, poles: Poles, node: str) -> bool:
    """Whether what a terminal belongs to may lead on, or take notice, in a way that the plant does not show."""
    name, _, terminal = node.partition(":")
    device = facts.plant.devices.get(name)
    if device is not None and device.category == Category.STRIP and poles.is_taken(device, terminal):
        return False
    return device is None or device.category != Category.DEVICE or poles.is_hidden(node) or device.kind == Kind.SAFETY_RELAY
