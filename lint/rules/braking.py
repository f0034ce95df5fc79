"""Brake resistors that may overheat."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.motors import Motors
from lint.registry import Rule, Said, rule
from lint.subjects import of_kind
from lint.switching import Switched
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import BREAKING, Kind
from netdsl.model.plant import Device, Role
from netdsl.network.queries import devices_on
from netdsl.network.search import walk
from netdsl.states.types import Cause


@rule("brake-unprotected", Severity.ERROR, source="IEC 61800-5-1 and IEC 60204-1 7.4", judges=of_kind(Kind.RESISTOR))
def brake_unprotected(facts: Facts, this: Rule) -> Iterator[Said]:
    """The thermal switch of a brake resistor cannot disconnect it.

    Reports:
      A part of kind `resistor` fed from the brake terminals of a drive (role `load-out`) that has no contact of a thermal switch,
      whose contact is not wired, or whose contact leads to no coil that takes the mains from the drive: that of a contactor
      ahead of it, or the shunt trip of its breaker; one past whose contact a wire leads to that coil. An overload relay in the
      resistor's circuit may serve in place of the switch.
    Silent:
      Resistors that no drive feeds, and those on its output, which are a load; contacts that act over a relay or safety relay;
      drives whose own feed is not drawn.
    Why:
      When the drive's brake transistor fails closed, the resistor glows until the mains is taken off: no input of the drive
      can do that.
    Failing:
      part braking-drive "Drive with brake terminals" {
        kind = drive   letter = T   class = I   input-current = 9A
        terminal :L1 :L2 :L3 line-in 0.5..6mm2
        terminal :BR1 :BR2 load-out 0.5..6mm2
        terminal :PE earth 1.5..10mm2
      }
      part brake-resistor "Brake resistor" {
        kind = resistor   letter = R   class = II
        terminal :1 :2 load 0.5..6mm2
        terminal :T1 :T2 contact 0.5..2.5mm2
        contact :T1 to :T2 break by=temperature
      }
      device -T1 braking-drive at=+MCP
      device -R1 brake-resistor at=+MCP
      wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -T1:BR1,BR2 to -R1:1,2 2.5mm2 BK
    Passing:
      + wire -WB1:L1 to -R1:T1 1mm2 RD
      + wire -R1:T2 to -K1:A1 1mm2 RD
      + wire -K1:A2 to -WB1:N 1.5mm2 BU
      - device -T1 braking-drive at=+MCP
      + part contactor "Contactor" {
      +   kind = contactor   letter = K   class = II
      +   terminal :1 :3 :5 line-in 0.5..6mm2
      +   terminal :2 :4 :6 load-out 0.5..6mm2
      +   terminal :A1 :A2 coil 0.5..2.5mm2
      +   pole :1,3,5 to :2,4,6 switched by=coil
      +   coil :A1 to :A2 voltage=230V ac
      + }
      + device -K1 contactor at=+MCP
      + device -T1 braking-drive at=+MCP
      - wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK
      + wire -WB1:L1,L2,L3 to -K1:1,3,5 2.5mm2 BK
      + wire -K1:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK
    Remedy:
      Lead the thermal switch into the coil of the contactor ahead of the drive, or into the shunt trip of its breaker.
    """
    motors = facts.of(Motors)
    for device in facts.plant.devices.values():
        drive = _braking(facts, motors, device) if device.kind == Kind.RESISTOR else None
        if drive is None:
            if device.kind == Kind.RESISTOR:
                yield this.spared(device.id, "no drive feeds it at its brake terminals")
            continue
        why = _unable(facts, motors, device, drive)
        if why:
            yield this.report(
                f"brake resistor `{device.id}` of drive `{drive.id}` cannot be disconnected when it overheats: {why}",
                "lead its thermal switch into the coil of a contactor ahead of the drive, or the shunt trip of its breaker",
                device.span,
                (device.id, drive.id),
                about=(device.id,),
                related=[Related(f"drive `{drive.id}` is declared here", drive.span)],
            )


def _braking(facts: Facts, motors: Motors, resistor: Device) -> Device | None:
    """The drive whose brake terminals feed a resistor; None where none does, or where it is a load on the drive's output."""
    nets = [facts.network.net(f"{resistor.id}:{name}") for name in resistor.terminals]
    if any(potential.kind == "pwm" for net in nets if net is not None for potential in net.possible):
        return None
    found = sorted(motors.drives.intersection(facts.feeders(resistor.id)))
    return facts.plant.devices[found[0]] if found else None


def _unable(facts: Facts, motors: Motors, resistor: Device, drive: Device) -> str:
    """Why overheating of a resistor does not take the mains from its drive, "" where it does."""
    relays = [facts.plant.devices[name] for name in motors.feeders(resistor.id)]
    sensing = [resistor, *(device for device in relays if device.kind == Kind.OVERLOAD)]
    contacts = [f"{device.id}:{t.name}" for device in sensing for t in device.terminals.values() if t.role is Role.CONTACT]
    wired = [terminal for terminal in contacts if terminal in facts.landed]
    if not contacts:
        return "it has no thermal switch"
    if not wired:
        return f"no contact of {listed([device.id for device in sensing])} is wired"
    ahead = facts.feeders(drive.id)
    reached = _coils(facts, wired)
    if ahead & reached:
        past = not any(_depends(facts, name, sensing) for name in ahead & reached)
        return f"a wire leads past its contact to {listed(sorted(ahead & reached))}" if past else ""
    return (
        f"its contact acts on {listed(sorted(reached))}, which cannot take the mains from the drive"
        if reached
        else (f"its contact {listed(wired[:2])} leads to no coil")
    )


#: what moves by a hand or a trip alone; any other device that nothing in the text decides may follow the heat in its own way
_BY_HAND = BREAKING | {Kind.PUSH_BUTTON, Kind.SELECTOR, Kind.EMERGENCY_STOP, Kind.ISOLATOR}


def _depends(facts: Facts, name: str, sensing: list[Device]) -> bool:
    """Whether what pulls a device may depend on contacts of those that sense the heat; a trip that no coil holds does anyhow."""
    prover, devices = facts.of(Switched).prover, facts.plant.devices
    movements = prover.circuit.movements
    coils = [m for m, movement in movements.items() if m.device == name and movement.cause is Cause.COIL]
    deciding = [mover for coil in coils for mover in prover.builder.cone((prover.wants.of(coil),))]
    unsaid = (m.device for m in deciding if movements[m].cause is Cause.FREE and devices[m.device].kind not in _BY_HAND)
    acting = {mover.device for mover in deciding} & {device.id for device in sensing}
    return not coils or bool(acting) or any(unsaid)


def _coils(facts: Facts, terminals: list[str]) -> set[str]:
    """Devices whose coil or trip the circuits at `terminals` reach, over contacts and relays, not beyond a pole of a source."""
    net_of, nets = facts.network.net_of, facts.network.nets

    def beyond(net: str) -> Iterator[str]:
        for device, terminal in devices_on(facts.network, net) if not nets[net].certain else ():
            yield from (net_of[f"{device.id}:{other}"] for other in _onward(device, terminal))

    reached = [net for net in walk((net_of[terminal] for terminal in terminals), beyond) if not nets[net].certain]
    return {device.id for net in reached for device, terminal in devices_on(facts.network, net) if _acts(device, terminal)}


def _acts(device: Device, terminal: str) -> bool:
    return any(terminal in (consumer.a, consumer.b) for consumer in device.consumers)


def _onward(device: Device, terminal: str) -> list[str]:
    """Terminals of a device to which a control circuit goes on: across a contact; from its coil to all its contacts."""
    if terminal.endswith(("/in", "/out")):
        return [f"{terminal.rpartition('/')[0]}/{side}" for side in ("in", "out")]
    contacts = [path for path in device.paths if path.kind in ("make", "break")]
    taken = [path for path in contacts if _acts(device, terminal) or terminal in (path.a, path.b)]
    return [end for path in taken for end in (path.a, path.b)]
