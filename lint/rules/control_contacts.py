"""Contacts in control circuits: on which side of a coil they stand, what they bear of its voltage, how little they switch."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.wording import listed
from netdsl.calc.basis import figure_text
from netdsl.calc.control import ContactLoads, ControlCircuits, Edge, Feed, Source
from netdsl.findings import Related, Severity
from netdsl.model.kinds import SET_TO_MOTOR, Category, Kind
from netdsl.model.plant import Device
from netdsl.network.nets import reference_conductors

#: systems of supplies whose neutral is earthed
_EARTHED = ("TN-S", "TN-C", "TN-C-S", "TT")
#: devices whose relay contacts and outputs are small, and wear by the voltage of coils
_DELICATE = frozenset({Kind.DRIVE, Kind.CONTROLLER, Kind.SAFETY_RELAY})


def _switched(facts: Facts) -> Iterator[str]:
    """Devices with a coil or a load."""
    return (device.id for device in facts.plant.devices.values() if device.consumers)


def _with_coils(facts: Facts) -> Iterator[str]:
    """Devices with a coil."""
    return (device.id for device in facts.plant.devices.values() if any(consumer.kind == "coil" for consumer in device.consumers))


@rule("coil-return-switched", Severity.ERROR, source="IEC 60204-1, 9.4.3.1; IEC 60364-5-53, 536.5", judges=_switched)
def coil_return_switched(facts: Facts, this: Rule) -> Iterator[Said]:
    """A contact stands between a coil and the earthed common of its source.

    Reports:
      A coil of a relay, contactor or valve whose way back to the earthed pole of its source leads through a contact. A load at
      the neutral of a supply that a contact switches there and not in its phase.
    Silent:
      Contacts of overload relays and motor breakers in the enclosure of the coil; a device that opens both poles of the coil;
      sources that are not joined to earth, and those between two phases.
    Why:
      Earth in place of the contact closes the circuit: one earth fault pulls the coil in, and no stop on that side lets it go.
    Failing:
      part demo-supply "DC supply 24 V 5 A" {
        kind = supply-24v   letter = T   class = I   voltage = 230V   input-current = 1A   peak-current = 20A
        terminal :L line-in
        terminal :N neutral
        terminal :PE earth
        terminal :+ supply-out
        terminal :- supply-common clamps=2
        source :+ to :- voltage=24V dc current=5A
      }
      device -T2 demo-supply at=+MCP
      device -F1 mcb-1p at=+MCP current=6A
      device -F2 mcb-1p at=+MCP current=2A curve=B
      device -K1 relay-1co at=+MCP
      device -S1 selector-2 at=+MCP
      wire -WB1:L1 to -F1:1 1.5mm2 BK
      wire -F1:2 to -T2:L 1.5mm2 BK
      wire -WB1:N to -T2:N 1.5mm2 BU
      wire -T2:PE to -XE1:3 2.5mm2 GNYE
      wire -T2:- to -XE1:4 2.5mm2 GNYE
      earthing of -T2:- at -XE1:4
      wire -T2:+ to -F2:1 0.75mm2 RD
      wire -F2:2 to -K1:A1 0.75mm2 RD
      wire -K1:A2 to -S1:13 0.75mm2 RD
      wire -S1:14 to -T2:- 0.75mm2 RD
    Passing:
      - wire -F2:2 to -K1:A1 0.75mm2 RD
      - wire -K1:A2 to -S1:13 0.75mm2 RD
      - wire -S1:14 to -T2:- 0.75mm2 RD
      + wire -F2:2 to -S1:13 0.75mm2 RD
      + wire -S1:14 to -K1:A1 0.75mm2 RD
      + wire -K1:A2 to -T2:- 0.75mm2 RD
    Remedy:
      Lead the live side through the contact, and the other end of the coil straight to the common.
    """
    told: set[str] = set()
    for feed in facts.calculation.of(ControlCircuits).feeds:
        if feed.leaves is None or feed.sink.device in told or not _counts(facts, feed):
            continue
        edges = [hop.edge for way in feed.back for hop in way if _is_contact(hop.edge)]
        if not edges or not _returns(facts, feed):
            continue
        if not _is_earthed(facts, feed.source):
            yield this.spared(feed.sink.device, "its source is not joined to earth")
            continue
        far = [edge for edge in edges if not _is_near(facts, edge, feed)]
        if not far:
            yield this.spared(feed.sink.device, "what stands there is an overload contact in its enclosure")
            continue
        ahead = {hop.edge.device for way in feed.out for hop in way}
        left = [edge for edge in far if edge.device not in ahead]
        if not left:
            yield this.spared(feed.sink.device, "what stands there opens both its poles")
            continue
        told.add(feed.sink.device)
        yield _on_return(facts, this, feed, left)


def _counts(facts: Facts, feed: Feed) -> bool:
    """Whether it matters on which side a consumer is switched: a coil, or a load that stays live with its neutral open."""
    source = facts.device(feed.source.device)
    mains = source is not None and source.category == Category.SUPPLY
    return feed.sink.kind == "coil" or (feed.sink.kind == "load" and mains)


def _on_return(facts: Facts, this: Rule, feed: Feed, edges: list[Edge]) -> Report:
    coil = facts.plant.devices[feed.sink.device]
    names = list(dict.fromkeys(edge.device for edge in edges))
    what, then = "the coil of ", "an earth fault there pulls it in, and nothing on that side lets it go"
    if feed.sink.kind != "coil":
        what, then = "", "it stays live when it is switched off, and an earth fault there switches it on"
    return this.report(
        f"{listed(names)} {'stands' if len(names) == 1 else 'stand'} between {what}`{coil.id}` and `{feed.source.common}`, "
        f"which is joined to earth: {then}",
        f"lead the live side of `{coil.id}` through {'it' if len(names) == 1 else 'them'}, and `{feed.leaves}` straight to the "
        "common",
        coil.span,
        (coil.id, *names, feed.source.common),
        about=(str(feed.leaves), *(node for edge in edges for node in (edge.a, edge.b))),
        related=[Related(f"`{name}` is declared here", facts.plant.devices[name].span) for name in names],
    )


def _is_contact(edge: Edge) -> bool:
    return edge.path is not None and edge.path.kind in ("make", "break")


def _returns(facts: Facts, feed: Feed) -> bool:
    """Whether a coil leads back to the common of its source, not to another of its live poles."""
    net = facts.network.net(feed.leaves or "")
    return net is not None and any(p.group == feed.source.group and p.pole in ("N", "0V") for p in net.possible)


def _is_earthed(facts: Facts, source: Source) -> bool:
    """Whether the common of a source is joined to earth: the neutral of a supply, or a declared reference point."""
    device = facts.plant.devices.get(source.device)
    if device is not None and device.category == Category.SUPPLY:
        return device.ratings.text("system") in _EARTHED
    nets = facts.joined_in_service((source.common,))
    joining = reference_conductors(facts.plant)
    return any(
        joining.intersection(facts.network.nets[net].conductors)
        or any(potential.kind == "earth" for potential in facts.network.nets[net].certain)
        or any(potential.pole == "N" for potential in facts.network.nets[net].certain)
        for net in nets
    )


def _is_near(facts: Facts, edge: Edge, feed: Feed) -> bool:
    """Whether a contact is that of an overload device in the enclosure of the coil."""
    same = facts.enclosure_of(edge.device) == facts.enclosure_of(feed.sink.device)
    return same and facts.plant.devices[edge.device].kind in SET_TO_MOTOR


@rule(
    "coil-unsuppressed", Severity.WARNING, source="IEC 60947-1, 7.2.1.2 and drive installation instructions", judges=_with_coils
)
def coil_unsuppressed(facts: Facts, this: Rule) -> Iterator[Said]:
    """A coil without a suppressor is switched by an output or a relay that its voltage wears out.

    Reports:
      A coil with `suppressor=none` that a semiconductor output, or a contact of a drive, controller or safety relay switches.
    Silent:
      Coils whose suppressor is stated, built-in ones as well, or across which a part of kind `suppressor` is wired; coils that
      other contacts switch. A coil that states neither is not judged.
    Why:
      A coil that is switched off answers with hundreds of volts: they burn small contacts, destroy outputs and disturb signals.
    Failing:
      device -T1 own-drive at=+MCP
      part own-drive "Frequency converter" {
        kind = drive   letter = T   class = I   voltage = 380..480V   current = 4.1A   input-current = 3.9A
        terminal :L1 :L2 :L3 line-in   0.5..6mm2
        terminal :U :V :W    motor-out 0.5..6mm2
        terminal :PE :PE2    earth     1.5..10mm2
        terminal :24V supply-out     0.2..2.5mm2 clamps=2 common=:COM voltage=24V dc
        terminal :COM digital-common 0.2..2.5mm2 clamps=2
        terminal :R1 :R2 contact 0.2..2.5mm2 voltage=250V current=1A
        contact :R1 to :R2 make by=program
        source :24V to :COM voltage=24V dc current=200mA
      }
      device -K1 relay-1co at=+MCP suppressor=none
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -T1:24V to -T1:R1 0.75mm2 RD
      wire -T1:R2 to -K1:A1 0.75mm2 RD
      wire -K1:A2 to -T1:COM 0.75mm2 RD
    Passing:
      - device -K1 relay-1co at=+MCP suppressor=none
      + device -K1 relay-1co at=+MCP suppressor=diode
    Remedy:
      Fit a diode, varistor or RC element that suits the coil, and say so with `suppressor=`.
    """
    told: set[str] = set()
    for feed in facts.calculation.of(ControlCircuits).feeds:
        coil = facts.plant.devices[feed.sink.device]
        if feed.sink.kind != "coil" or coil.id in told:
            continue
        edges = [hop.edge for way in (*feed.out, *feed.back) for hop in way]
        delicate = [edge for edge in edges if edge.output or _is_delicate(facts.plant.devices[edge.device], edge)]
        if not delicate:
            continue
        told.add(coil.id)
        stated = coil.ratings.text("suppressor")
        if stated in ("", "none") and _damped(facts, feed):
            yield this.spared(coil.id, "a suppressor is wired across its coil")
        elif not stated:
            yield this.not_judged(coil.id, "whether its coil has a suppressor is not stated")
        elif stated == "none":
            by = delicate[0].device
            what = "an output" if delicate[0].output else "a contact"
            yield this.report(
                f"the coil of `{coil.id}` has no suppressor and is switched by {what} of `{by}`",
                "fit a diode, varistor or RC element that suits the coil, and say so with `suppressor=`",
                coil.span,
                (coil.id, by),
                about=(coil.id,),
                related=[Related(f"`{by}` is declared here", facts.plant.devices[by].span)],
            )


def _damped(facts: Facts, feed: Feed) -> bool:
    """Whether a part that limits the voltage of a coil is wired across it."""
    net_of = facts.network.net_of
    ends = {net_of[node] for node in (feed.sink.a, feed.sink.b) if node is not None}
    made = (device for device in facts.plant.devices.values() if device.kind == Kind.SUPPRESSOR)
    return any({net_of.get(f"{device.id}:{name}") for name in device.terminals} == ends for device in made)


def _is_delicate(device: Device, edge: Edge) -> bool:
    return device.kind in _DELICATE and _is_contact(edge)


def _with_least(facts: Facts) -> Iterator[str]:
    """Devices that state the smallest current of their contacts."""
    return (device.id for device in facts.plant.devices.values() if device.ratings.quantity("min-current") is not None)


@rule("contact-underloaded", Severity.NOTE, source="common practice; contact data of the makers", judges=_with_least)
def contact_underloaded(facts: Facts, this: Rule) -> Iterator[Report]:
    """What a contact switches takes less current than it needs to close reliably.

    Reports:
      A contact of a device with `min-current=`: all that has a way to its source through it takes less together.
    Silent:
      Contacts whose smallest current is not stated, and those of which a load is not known (`data-missing` names it).
    Why:
      A contact made for power needs current to burn through the film on it: with little it fails now and then.
    Failing:
      device -T1 drive at=+MCP
      device -S1 selector-2 at=+MCP min-current=50mA
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:24V to -S1:13 0.75mm2 RD
      wire -S1:14 to -T1:DI1 0.75mm2 RD
    Passing:
      - device -S1 selector-2 at=+MCP min-current=50mA
      + device -S1 selector-2 at=+MCP min-current=1mA
    Remedy:
      Take a contact made for small currents (gold-plated, or an interposing relay for signals).
    """
    told: set[str] = set()
    for name, contact, amps in facts.calculation.of(ContactLoads).carried():
        device = facts.plant.devices[name]
        least = device.ratings.quantity("min-current")
        if least is None or amps >= least.value * (1 - 1e-9) or name in told:
            continue
        told.add(name)
        yield this.report(
            f"`{contact}` needs at least {figure_text(1000 * least.value)} mA to close reliably and switches "
            f"{figure_text(1000 * amps)} mA",
            "take a contact made for small currents",
            device.span,
            (name, contact),
            about=(contact,),
        )
