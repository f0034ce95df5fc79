"""What is measured on a panel, with the values that pass: protective conductors, insulation, loops, residual-current devices."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor, log10

from netdsl.calc import Calculation
from netdsl.calc.basis import Figure, Result, figure_text, one_table, single
from netdsl.calc.circuit import Circuit, Missing
from netdsl.calc.faults import Faults
from netdsl.calc.protection import Disconnections, Trips
from netdsl.model.kinds import BREAKING, Kind
from netdsl.model.plant import Device, Plant, Role
from netdsl.network.types import CableUse, ConductorClass
from netdsl.quantities import number_text
from render.drawing import Drawing
from render.words.terminals import section_text

#: what is tested, how, with what value it passes; "" where nothing could be computed, which the second says
Test = tuple[str, str, str]

_FILE = "verification"
#: what a test voltage may damage
_ELECTRONICS = frozenset(
    {
        Kind.DRIVE,
        Kind.SOFT_STARTER,
        Kind.SUPPLY_24V,
        Kind.CONTROLLER,
        Kind.SAFETY_RELAY,
        Kind.TRANSMITTER,
        Kind.SENSOR,
        Kind.METER,
    }
    | {Kind.SIGNAL_CONVERTER, Kind.TIMER, Kind.OUTSIDE}
)
#: of inputs and outputs that are electronics in a pump too
_ANALOGUE = frozenset({Role.ANALOGUE_IN, Role.ANALOGUE_OUT})
_WINDINGS = 3  # terminals of windings of a motor for three phases, at least
_POWER = frozenset({ConductorClass.MOTOR, ConductorClass.MAINS})


def _figure(table: str, column: str) -> Figure:
    return single(one_table(_FILE, table), column)


def sure(figure: Figure) -> str:
    """Where a figure comes from, and how sure it is where it was not read in print."""
    return figure.source if figure.confidence == "verified" else f"{figure.source}, {figure.confidence}"


def ohms(value: float) -> str:
    """A resistance for a meter's display: 0.0027 Ω, 1.4 Ω."""
    return f"{figure_text(float(f'{value:.3g}'))} Ω"


def at_most(value: float) -> str:
    """The largest resistance that passes, rounded down to three figures."""
    step = 10.0 ** (floor(log10(value)) - 2)
    return f"at most {ohms(floor(value / step + 1e-9) * step)}"


# --- continuity -----------------------------------------------------------------------------------------------------
def continuity_words() -> str:
    """How continuity is measured, and what the values stand on."""
    low, high, volts = (_figure("continuity", name) for name in ("least_A", "most_A", "open_circuit_V"))
    warm, joints = (_figure("continuity_range", name) for name in ("warm_C", "joints_ohm"))
    amps = f"{number_text(low.value)} A to {number_text(high.value)} A"
    return (
        f"Between the ends of each conductor, {amps} from a separated source of at most {number_text(volts.value)} V"
        f" ({sure(volts)}). Expected R = r · L / n at 20 °C, r after IEC 60228, n in parallel; passes up to R at"
        f" {number_text(warm.value)} °C and {ohms(joints.value)} for the joints ({warm.confidence}). Other ways to earth in"
        " parallel make the reading smaller: where it is, take one end off."
    )


def continuity(drawing: Drawing) -> Iterator[Test]:
    """Every protective conductor: its ends, expected resistance with its formula, the largest that passes."""
    leads = drawing.calculation.of(Circuit).leads
    warm, joints = _figure("continuity_range", "warm_C").value, _figure("continuity_range", "joints_ohm").value
    graph = drawing.network.earth.graph
    protective = {name for *_, names in graph.edges(data="conductors") for name in names or ()}
    for run in drawing.network.runs.values():
        if run.id not in protective:
            continue
        first, second = (end.id for end in run.conductor.ends)
        what = f"{first} to {second}"
        lead = leads.of(run.id)
        if isinstance(lead, Missing):
            yield what, f"not computed: {lead.kind} of {run.conductor.cable or run.id} not stated", ""
            continue
        most = lead.at(warm).real + joints
        if lead.stated or not lead.length_m:
            yield what, f"{section_text(run)}: {ohms(lead.r20)} as stated", at_most(most)
            continue
        per_km = f"{figure_text(round(lead.r20 * lead.parallel / lead.length_m * 1000, 4))} Ω/km"
        share = f" / {lead.parallel}" if lead.parallel > 1 else ""
        how = f"{section_text(run)}: {per_km} · {number_text(lead.length_m)} m{share} = {ohms(lead.r20)}"
        yield what, how, at_most(most)


# --- insulation -----------------------------------------------------------------------------------------------------
def insulation_words() -> str:
    """How insulation is measured."""
    high, low = _figure("insulation", "test_V"), _figure("insulation_extra_low", "test_V")
    volts, few = f"{number_text(high.value)} V DC ({sure(high)})", f"{number_text(low.value)} V DC ({sure(low)})"
    return (
        "Dead, isolated and locked off, switches closed. What is named below comes off first and goes back afterwards. Live"
        f" conductors together against the protective conductor, {volts}; extra-low voltage {few}."
    )


def insulation(drawing: Drawing) -> Iterator[Test]:
    """What to take off, then every power circuit and every source of extra-low voltage."""
    plant = drawing.plant
    arresters = [device.id for device in plant.devices.values() if device.kind == Kind.SURGE_PROTECTION]
    electronics = [device.id for device in plant.devices.values() if _electronic(device)]
    if arresters:
        yield ", ".join(arresters), "take off: arresters conduct at the test voltage", "off"
    if electronics:
        yield ", ".join(electronics), "take off or unplug: electronics and drives, which are never tested themselves", "off"
    for point in plant.reference_points:
        yield f"{point.of.id} at {point.at.id}", "open: the earthing of this circuit", "open"
    least = _least(plant)
    supplies = [device.id for device in plant.devices.values() if device.kind == Kind.SUPPLY]
    for start in drawing.live.isolators or supplies:
        yield f"what is behind {start}", "live conductors of the panel together to PE, breakers closed", least
    for use in drawing.network.cables.values():
        if use.klass in _POWER:
            yield use.cable.id, _cable_words(plant, use), least
    low = _figure("insulation_extra_low", "least_Mohm")
    for device in plant.devices.values():
        if device.kind == Kind.SUPPLY_24V:
            words = "its circuits to PE and to the mains, the source itself off"
            yield f"circuits of {device.id}", words, f"at least {number_text(low.value)} MΩ"


def _electronic(device: Device) -> bool:
    roles = {terminal.role for terminal in device.terminals.values()}
    signals = device.kind == Kind.MOTOR and not roles.isdisjoint(_ANALOGUE)
    fuse = device.kind in BREAKING and Role.SUPPLY_COMMON in roles  # one that takes power itself
    return signals or fuse or device.kind in _ELECTRONICS


def _volts(plant: Plant) -> float:
    """The highest rated voltage of the supplies, V, 0 where none is stated."""
    supplies = (device for device in plant.devices.values() if device.kind == Kind.SUPPLY)
    return max((device.ratings.amount("voltage") or 0.0 for device in supplies), default=0.0)


def _least(plant: Plant) -> str:
    high = _volts(plant) > 500.0
    table = "insulation_above_500_V" if high else "insulation"
    words = f"at least {number_text(_figure(table, 'least_Mohm').value)} MΩ"
    return f"{words} at {number_text(_figure(table, 'test_V').value)} V DC" if high else words


def _cable_words(plant: Plant, use: CableUse) -> str:
    earths = {core.name for core in use.cable.cores if core.earth}
    live = ", ".join(plant.conductors[name].core for name in use.cable.conductors if plant.conductors[name].core not in earths)
    off = f", off at {use.drive}" if use.drive else ""
    each = "; between each other only with the motor off" if to_motor(plant, use) else ", and between each other"
    return f"{live} together to PE{off}{each}" if live else "no live core"


def voltage_test(plant: Plant) -> Iterator[Test]:
    """The test with a high voltage, where it is agreed."""
    least, times, time = (_figure("voltage_test", name) for name in ("least_V", "times_rated", "duration_s"))
    if volts := _volts(plant):
        test = max(least.value, times.value * volts)
        how = "only where agreed, with everything off that is not made for it, never on extra-low voltage"
        yield "power circuits", f"{how} ({sure(least)})", f"{number_text(test)} V AC, {number_text(time.value)} s, no breakdown"


# --- disconnection --------------------------------------------------------------------------------------------------
def loop_words() -> str:
    """How loops are measured."""
    share = _figure("measured_loop", "share")
    return (
        f"Measured without load, conductors cold; passes up to {number_text(round(share.value, 2))} of U0 / Ia ({sure(share)}),"
        " in an IT system of U / 2 Ia. Where a loop that is kept is expected above that, up to its limit in service times cold"
        " over warm, as computed: the reading is then to be judged with the conductors' temperature. What reads well above the"
        " cold value is to be explained, even where it passes. Behind a residual-current device without tripping it; not behind"
        " a drive, whose output is no loop."
    )


def loops(calculation: Calculation) -> Iterator[Test]:
    """Every exposed part at the end of a circuit: the loop as computed and the largest that passes, else why there is none."""
    disconnections = calculation.of(Disconnections)
    for result in calculation.results_of(Disconnections):
        trip = disconnections.trip_at(result.subject)
        if result.limit is None or trip is None:
            continue
        by = calculation.of(Trips).tripped(trip)
        factor = next((given.value for given in result.givens if given.symbol == "c"), None)
        if factor is None:
            yield result.subject, f"electrode, stated {ohms(result.value)}; {by}", at_most(result.limit)
            continue
        most = min(_figure("measured_loop", "share").value / factor, 1.0) * result.limit
        cold = _cold(calculation, result)
        if cold is not None and cold > most and result.holds:
            most = result.limit * min(cold / result.value, 1.0)
        expected = f"cold {ohms(cold)}, " if cold is not None else ""
        how = f"computed {expected}in service {ohms(result.value)}, there {at_most(result.limit)}: {by}"
        yield result.subject, how, f"{at_most(most)} cold"
    for device, reason in disconnections.not_judged():
        yield device, f"not computed: {reason.replace('`', '')}", ""


def _cold(calculation: Calculation, result: Result) -> float | None:
    """The impedance of a loop with cold conductors, ohm; None where it is not known, or another way than that of `result`."""
    if all(given.result != f"loop-impedance {result.subject}" for given in result.givens):
        return None
    point = calculation.of(Faults).points.at(result.subject)
    return calculation.of(Faults).cold_loop(result.subject, point.far.origin) if point is not None else None


def residual_devices(plant: Plant) -> Iterator[Test]:
    """Every residual-current device: the time within which it trips at its rated residual current."""
    for device in plant.devices.values():
        rated = device.stated("residual-current")
        if device.kind == Kind.RESIDUAL_DEVICE or rated is not None:
            figure = _figure("residual_device", "general_s" if device.stated("delay") is None else "selective_s")
            shown = device.ratings.shown("residual-current") or "its rated residual current"
            yield device.id, f"trips at {shown}; test button ({sure(figure)})", f"within {number_text(figure.value * 1000)} ms"


# --- stored charge --------------------------------------------------------------------------------------------------
def stored_words() -> str:
    """How long a charge may stay."""
    figure = _figure("residual_voltage", "most_V")
    return (
        f"Measured at the DC link after switching off; else a warning with the waiting time stands on the cover ({sure(figure)})."
    )


def stored(plant: Plant) -> Iterator[Test]:
    """What holds a charge after it is switched off: drives and capacitors."""
    volts, time = _figure("residual_voltage", "most_V"), _figure("residual_voltage", "within_s")
    for device in plant.devices.values():
        if device.kind in (Kind.DRIVE, Kind.CAPACITOR):
            passes = f"below {number_text(volts.value)} V in {number_text(time.value)} s"
            yield device.id, "or the warning, with the maker's waiting time", passes


def to_motor(plant: Plant, use: CableUse) -> bool:
    """Whether a cable is that of a motor, and not the incoming one of a panel with a single motor."""
    ends = (plant.devices.get(name) for side in use.devices for name in side)
    return use.load is not None and all(device is None or device.kind != Kind.SUPPLY for device in ends)


def turns_either_way(device: Device) -> bool:
    """Whether the order of phases turns a device: it has the windings of three."""
    return sum(terminal.role is Role.WINDING for terminal in device.terminals.values()) >= _WINDINGS
