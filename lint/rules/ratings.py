"""What is only there to pass current on: switches, residual-current devices, filters, bars, sockets."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.motors import Motors
from lint.registry import Report, Rule, Said, rule
from lint.wording import amps, listed
from netdsl.calc.basis import amount
from netdsl.calc.circuit import Circuit
from netdsl.calc.devices import Characteristics
from netdsl.calc.loads import RatedLoads
from netdsl.findings import Related, Severity
from netdsl.model.kinds import SWITCHES, Category, Kind
from netdsl.model.plant import Device

#: kinds that carry what lies behind them and trip at nothing
_CARRIERS = SWITCHES | {Kind.RESIDUAL_DEVICE, Kind.FILTER, Kind.REACTOR}
#: a load may exceed a rating by what rounding of preferred values makes
_ROUNDING = 1.005


@rule(
    "rating-exceeded",
    Severity.ERROR,
    source="IEC 61439-1, 5.3; IEC 60947-3; IEC 60364-5-53, 536.4",
    silences=("clamp-range", "equipment-withstand"),
)
def rating_exceeded(facts: Facts, this: Rule) -> Iterator[Said]:
    """More current flows through a device or bar than it is rated for.

    Reports:
      A switch, residual-current device, filter, reactor, busbar, comb or distribution block whose `current` lies below that
      of the loads behind it, in service; half of a plug connection of which a contact carries more; a contactor whose loads
      are neither motors nor drives, by its `thermal-current` where it states one; a socket of less current than the device
      that protects it. One finding for all of one current that carry the same. A drive counts with its rated input current,
      unless `measured-current=` or `limited-current=` says less.
    Silent:
      Devices that trip by overload, which `overload` judges; contactors of motors and drives, which `contactor-undersized`
      judges; whatever current is not stated or not known. What never runs together says so by `simultaneity=`.
    Why:
      Contacts and bars that carry more than they are made for grow hot at their joints, where nothing trips.
    Failing:
      device -Q5 mcb-3p-b at=+MCP current=25A
      device -Q6 switch-disconnector at=+MCP current=10A
      part demo-heater "Heater, 9 kW" {
        kind = heater   letter = E   class = I   voltage = 400V   power = 9kW   power-factor = 1
        terminal :1 :2 :3 line-in 1.5..6mm2
        terminal :PE earth 1.5..6mm2
      }
      device -E1 demo-heater at=+HALL
      wire -WB1:L1,L2,L3 to -Q5:1,3,5 6mm2 BK
      wire -Q5:2,4,6 to -Q6:1,3,5 6mm2 BK
      cable -W5 4G4 length=10m method=C {
        BN -Q6:2 to -E1:1
        BK -Q6:4 to -E1:2
        GY -Q6:6 to -E1:3
        GNYE -XE1:4 to -E1:PE
      }
    Passing:
      - device -Q6 switch-disconnector at=+MCP current=10A
      + device -Q6 switch-disconnector at=+MCP current=25A
    Remedy:
      Take one of a larger rating, or share the loads out; state `simultaneity=` where they never run together.
    """
    alike: dict[tuple[float, float], list[Device]] = {}
    for name in dict.fromkeys((*facts.network.power.order, *(half for each in facts.plant.couplings for half in each.halves))):
        device = facts.plant.devices[name]
        if device.kind == Kind.SOCKET:
            yield from _socket(facts, this, device)
            continue
        rated, load = _rated(facts, device), None
        if rated is not None:
            load = _through_contact(facts, device) if device.kind == Kind.PLUG else facts.calculation.of(RatedLoads).device(name)
        elif device.kind in _CARRIERS and amount(device, "current") is None and not amount(device, "thermal-current"):
            yield this.not_judged(name, "its rated current is not stated")
        if rated is not None and load is not None and load > rated * _ROUNDING:
            alike.setdefault((rated, round(load, 3)), []).append(device)
    for (rated, load), devices in alike.items():
        yield _report(this, devices, rated, load)


def _report(this: Rule, devices: list[Device], rated: float, load: float) -> Report:
    names = [device.id for device in devices]
    verb = ("is", "carries") if len(names) == 1 else ("are", "carry")
    return this.report(
        f"{listed(names)} {verb[0]} rated {amps(rated)} and {verb[1]} {amps(load)}",
        f"take {'one' if len(names) == 1 else 'ones'} of {amps(load)} or more, or state `simultaneity=` "
        "where the loads never run together",
        devices[0].span,
        names,
        about=names,
        explains=[f"{device.id}:{terminal}" for device in devices for terminal in device.terminals],
        related=[Related(f"`{device.id}` carries no more", device.span) for device in devices[1:]],
    )


def _rated(facts: Facts, device: Device) -> float | None:
    """The current a device or bar may carry, A; None where it is not stated, or another rule judges it."""
    if device.category == Category.BUSBAR or device.kind == Kind.PLUG:
        return amount(device, "current")
    if device.kind not in _CARRIERS:
        return None
    if device.kind == Kind.CONTACTOR:
        motors = facts.of(Motors)
        if motors.behind(device.id) or motors.drives_behind(device.id):
            return None
        return max((value for name in ("thermal-current", "current") if (value := amount(device, name))), default=None)
    if device.kind == Kind.RESIDUAL_DEVICE:
        release = facts.calculation.of(Characteristics).of(device.id)
        if release is not None and release.overload:
            return None
    return amount(device, "current")


def _through_contact(facts: Facts, plug: Device) -> float | None:
    """What flows through that contact of a plug which carries most, A; None where nothing is known of any."""
    loads = facts.calculation.of(RatedLoads)
    landed = (name for terminal in plug.terminals for name in facts.network.at_terminal.get(f"{plug.id}:{terminal}", ()))
    return max((found for name in landed if (found := loads.conductor(name)) is not None), default=None)


def _socket(facts: Facts, this: Rule, socket: Device) -> Iterator[Report]:
    """A socket before which nothing keeps the current down to its own."""
    rated, path = amount(socket, "current"), facts.calculation.of(Circuit).path(socket.id)
    if rated is None or path is None:
        return
    releases = [facts.calculation.of(Characteristics).of(name) for name in facts.calculation.of(Circuit).protections(path)]
    limits = [(release.set_a or release.rated_a or 0.0, release.device) for release in releases if release and release.overload]
    least = min((limit for limit in limits if limit[0]), default=None)
    if least is not None and least[0] > rated * _ROUNDING:
        yield this.report(
            f"`{socket.id}` is rated {amps(rated)}, `{least[1]}` before it lets {amps(least[0])} flow for long",
            f"protect it by {amps(rated)} or less",
            socket.span,
            (socket.id, least[1]),
            about=(socket.id,),
            related=[Related("lets more flow", facts.plant.devices[least[1]].span)],
        )
