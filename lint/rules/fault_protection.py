"""Faults: whether they disconnect in time, and whether conductors bear what is let through."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import results_of
from lint.wording import above, below, ticked
from netdsl.calc.basis import Result
from netdsl.calc.circuit import Circuit, Missing, Path
from netdsl.calc.conductors import Capacities, VoltageDrops
from netdsl.calc.faults import Faults
from netdsl.calc.loads import LoadCurrents
from netdsl.calc.protection import Disconnections, Trips, Withstands
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category
from netdsl.network.queries import downstream, upstream
from netdsl.sums import sum_of

#: share of a loop's impedance, or of a drop, from which one cable is its cause
_MOST = 0.5


@rule(
    "fault-loop",
    Severity.ERROR,
    source="IEC 60364-4-41 411.3.2, 411.4.4, 411.5.3 and 411.6.4",
    silences=("earth-undersized", "voltage-drop"),
    judges=results_of(Disconnections),
)
def fault_loop(facts: Facts, this: Rule) -> Iterator[Report]:
    """A fault to earth does not disconnect in the time required.

    Reports:
      An exposed part at the end of a circuit where the impedance of the fault loop is above what the quickest protective device
      on its way needs, in the time of table 41.1 for final circuits up to 32 A, else 5 s (1 s in a TT system), or in the time
      that the project chooses. In a TT system the stated earth resistance counts, in an IT system the second fault. A busbar or
      strip from which several circuits leave is the end of a distribution circuit; where it fails, the circuits behind that fail
      too are named with it. A cable that makes more than half of the loop is named; the voltage it loses besides is part of this
      finding.
    Silent:
      What lies behind a drive, whose own limits count; the first fault of IT systems, which need not disconnect; direct current
      and extra-low voltage; parts of class II and III; where a length, a section, the fault level or the characteristic is not
      known.
    Why:
      Until the device operates, the body of the part is live for whoever touches it.
    Failing:
      device -Q1 mcb-3p-d at=+MCP current=16A
      device -T1 drive at=+HALL
      wire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 BK
      cable -W1 4G4 length=80m method=C {
        BN   -Q1:2  to -T1:L1
        BK   -Q1:4  to -T1:L2
        GY   -Q1:6  to -T1:L3
        GNYE -XE1:3 to -T1:PE
      }
    Passing:
      - device -Q1 mcb-3p-d at=+MCP current=16A
      + device -Q1 mcb-3p-c at=+MCP current=16A
    Remedy:
      Choose a device that operates at less current, larger conductors or a shorter way, or add a residual-current device.
    """
    calculation = facts.calculation
    failing = {result.subject: result for result in calculation.results_of(Disconnections) if not result.holds}
    for result in failing.values():
        trip = calculation.of(Disconnections).trip_at(result.subject)
        if trip is None or result.limit is None or failing.keys() & set(upstream(facts.network, result.subject)):
            continue
        made = facts.plant.devices[result.subject]
        fed = downstream(facts.network, made.id)
        behind = [name for name in fed if name in failing]
        by_electrode = "R_A" in result.formula.symbols
        what = "earth resistance" if by_electrode else "loop impedance"
        main = None if by_electrode else _main_share(facts, made.id)
        named = ticked(calculation.of(Trips).named(trip.device, trip.residual))
        protective = facts.device(trip.device.device)
        yield this.report(
            f"{what} at `{made.id}` is {above(result.value)} Ω{_mostly(main)}, but {named} operates "
            f"within {trip.time.shown} only up to {below(result.limit)} Ω",
            _by_residual(result)
            if by_electrode
            else f"choose a device that operates at less current, {_instead(facts, main)}, or add a residual-current device",
            made.span,
            (made.id, trip.device.device, *([main[0]] if main else ())),
            about=(made.id,),
            explains=(*_way_back(facts, (made.id, *fed)), *(_losing(facts, main[0], (made.id, *fed)) if main else ())),
            related=[
                *([Related("would have to disconnect it", protective.span)] if protective else ()),
                *(Related(f"nor at `{name}` behind it", facts.plant.devices[name].span) for name in behind),
            ],
        )


def _by_residual(result: Result) -> str:
    """What helps where the fault returns through the ground."""
    touch = next(given.value for given in result.givens if given.symbol == "U_L")
    milliamperes = below(touch / result.value * 1000)
    ohms = below(result.limit or 0.0)
    device = f"put a residual-current device of {milliamperes} mA or less ahead of it"
    return f"{device}, or bring the earth resistance to {ohms} Ω or less"


def _way_back(facts: Facts, devices: Iterable[str]) -> Iterator[str]:
    """Protective conductors, and their cables, over which a fault at `devices`, or at what they stand in, flows back."""
    things = dict.fromkeys(thing for device in devices for thing in (device, *(place.id for place in facts.around(device))))
    for thing in things:
        for edge in facts.calculation.of(Circuit).earths.path(thing) or ():
            for name in edge:
                yield name
                yield facts.plant.conductors[name].cable or name


def _main_share(facts: Facts, device: str) -> tuple[str, float] | None:
    """The cable or wires, or the device, as a reactor, that make most of the fault loop at a device, with their share of it; None
    where none makes half."""
    calculation = facts.calculation
    point = calculation.of(Faults).points.at(device)
    if point is None or not point.loop:
        return None
    ohms: dict[str, complex] = {}
    for path in _back(point.far):
        if path.step is not None and path.parent is not None:
            name = calculation.of(Capacities).subject(path.step)
            own = calculation.of(Circuit).impedances.device(path.device)
            ohms[name] = ohms.get(name, 0j) + path.end - path.parent.end - own
            ohms[path.device] = ohms.get(path.device, 0j) + own
    body = device if device in facts.network.earth.node_of else facts.where(device)
    for edge in calculation.of(Circuit).earths.path(body, point.far.origin) or ():
        lead = calculation.of(Circuit).leads.of(edge[0])
        name = facts.plant.conductors[edge[0]].cable or edge[0]
        if not isinstance(lead, Missing):
            ohms[name] = ohms.get(name, 0j) + lead.at(calculation.of(Circuit).impedances.end_c)
    ohms[point.far.origin] = point.weak.impedance.smallest + point.weak.impedance.earth_min
    name = max(ohms, key=lambda each: abs(ohms[each]))
    share = abs(ohms[name]) / abs(point.loop)
    return (name, share) if share > _MOST else None


def _back(path: Path | None) -> Iterator[Path]:
    while path is not None:
        yield path
        path = path.parent


def _mostly(main: tuple[str, float] | None) -> str:
    return f", {min(main[1], 1.0) * 100:.0f} % of it in `{main[0]}`" if main else ""


def _instead(facts: Facts, main: tuple[str, float] | None) -> str:
    if main and main[0] in facts.plant.devices:
        series = facts.plant.devices[main[0]].category == Category.DEVICE
        return f"one of less impedance in place of `{main[0]}`" if series else "a stronger source"
    return f"larger or shorter conductors{f' in place of `{main[0]}`' if main else ''}"


def _losing(facts: Facts, main: str, devices: Iterable[str]) -> Iterator[str]:
    """What a drop of voltage at `devices` is about, where it too is lost in `main` for the most part."""
    drops, loads = facts.calculation.of(VoltageDrops), facts.calculation.of(LoadCurrents)
    for device in devices:
        shares = drops.shares(device) if loads.is_load(device) else ()
        whole = sum_of(volts for _, volts in shares)
        if whole and any(thing == main and volts > _MOST * whole for thing, volts in shares):
            yield from (thing for thing, _ in shares)
            running = drops.running(device) or drops.starting(device)
            yield from running.conductors if running else ()


@rule(
    "fault-withstand",
    Severity.ERROR,
    source="IEC 60364-4-43 434.5.2",
    silences=("clamp-range",),
    judges=results_of(Withstands),
)
def fault_withstand(facts: Facts, this: Rule) -> Iterator[Report]:
    """A short circuit lets more energy through than a conductor bears.

    Reports:
      Live conductors whose section is below what the energy demands that the protective device lets through: at a fault at their
      beginning, by the let-through it states or that is usual for its kind, or at their end, by the time it takes at the
      smallest current. Of several devices in series the one that lets least through counts, of conductors in parallel one alone.
    Silent:
      What lies behind a drive or an electronic 24 V supply, which limit their current; a tap of at most 3 m inside an enclosure
      to a device that breaks short circuits; faults that last above 5 s, for which overload protection counts; where a length, a
      section, the fault level or the characteristic is not known.
    Why:
      The insulation of the conductor melts before the device has broken the current, and what it touches burns with it.
    Failing:
      device -Q1 motor-breaker at=+MCP current=6.3A setting-range=4..6.3A let-through=150kA2s
      device -T1 drive at=+MCP
      wire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 BK
      wire -Q1:2,4,6 to -T1:L1,L2,L3 1mm2 BK
      wire -T1:PE to -XE1:3 6mm2 GNYE
    Passing:
      - device -Q1 motor-breaker at=+MCP current=6.3A setting-range=4..6.3A let-through=150kA2s
      + device -Q1 motor-breaker at=+MCP current=6.3A setting-range=4..6.3A let-through=10kA2s
    Remedy:
      Choose larger conductors, or a device that lets less through; state its `let-through` where the manufacturer gives it.
    """
    for result in facts.calculation.results_of(Withstands):
        if result.holds or result.limit is None:
            continue
        conductor = facts.plant.conductors[result.subject]
        ends = tuple(end.device for end in conductor.ends)
        thing = (
            f"cable `{conductor.cable}`" if conductor.cable else f"wire from `{conductor.ends[0].id}` to `{conductor.ends[1].id}`"
        )
        current = next((given for given in result.givens if given.symbol == "I_k"), None)
        drawn = f"fault of {current.shown} at" if current else "fault at"
        fault = ticked(result.note.replace("fault at", drawn))
        yield this.report(
            f"{thing} has {result.limit:g} mm², but a {fault} takes {above(result.value)} mm²",
            "choose larger conductors or a device that lets less through; state its `let-through` where it is known",
            conductor.span,
            (conductor.cable or conductor.id, *ends),
            about=tuple(filter(None, (conductor.cable, *result.conductors))),
        )
