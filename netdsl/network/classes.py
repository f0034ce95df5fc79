"""The class of every net and conductor, from roles and potentials; nobody types one in."""

from __future__ import annotations

from msgspec import Struct

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Plant, Role, Terminal
from netdsl.network.nets import Joined
from netdsl.network.potentials import Spread
from netdsl.network.types import ConductorClass, Potential

#: classes from the most demanding on
DEMANDING = (
    ConductorClass.MOTOR,
    ConductorClass.MAINS,
    ConductorClass.SAFETY,
    ConductorClass.THERMISTOR,
    ConductorClass.BUS,
    ConductorClass.ENCODER,
    ConductorClass.ANALOGUE,
    ConductorClass.CONTROL,
    ConductorClass.EARTH,
    ConductorClass.NONE,
)
_RANK = {klass: rank for rank, klass in enumerate(DEMANDING)}

#: upper limits of extra-low voltage, V (IEC 61140, 5.2.6)
EXTRA_LOW = {"ac": 50.0, "dc": 120.0}

_POWER = frozenset({Role.LINE_IN, Role.LOAD_OUT, Role.WINDING, Role.NEUTRAL})
_EARTHS = frozenset({Role.EARTH, Role.EARTH_THROUGH, Role.FUNCTIONAL_EARTH})
_CONTROLS = frozenset(
    {
        Role.CONTACT,
        Role.COIL,
        Role.DIGITAL_IN,
        Role.DIGITAL_OUT,
        Role.DIGITAL_COMMON,
        Role.SUPPLY_IN,
        Role.SUPPLY_COMMON,
    }
)
_MOVING = frozenset({Kind.DRIVE, Kind.MOTOR})
_SUPPLIED = frozenset({Role.SUPPLY_IN, Role.SUPPLY_COMMON})
_SILENT = _EARTHS | {Role.SCREEN, Role.PLAIN}
_SIGNALS = (
    (ConductorClass.SAFETY, frozenset({Role.SAFETY_IN, Role.SAFETY_OUT})),
    (ConductorClass.THERMISTOR, frozenset({Role.THERMISTOR})),
    (ConductorClass.BUS, frozenset({Role.BUS})),
    (ConductorClass.ENCODER, frozenset({Role.ENCODER})),
    (
        ConductorClass.ANALOGUE,
        frozenset({Role.ANALOGUE_IN, Role.ANALOGUE_OUT, Role.ANALOGUE_COMMON, Role.REFERENCE_OUT}),
    ),
)
SIGNAL_CLASSES = tuple(klass for klass, _ in _SIGNALS)
_SIGNAL_ROLES = frozenset().union(*(roles for _, roles in _SIGNALS))


class Classes(Struct, frozen=True):
    """`nets`: class of each net by number. `conductors`: class of each conductor by id, promoted inside cables."""

    nets: tuple[ConductorClass, ...]
    conductors: dict[str, ConductorClass]


def most_demanding(classes: list[ConductorClass]) -> ConductorClass:
    """The most demanding of `classes`; NONE of no classes."""
    return min(classes, key=_RANK.__getitem__, default=ConductorClass.NONE)


def is_extra_low(potential: Potential, nominal: float) -> bool:
    """Whether a potential belongs to an extra-low voltage source; `nominal` is the voltage of its group, V."""
    return nominal <= EXTRA_LOW.get(potential.kind, 0.0) if potential.kind in EXTRA_LOW else potential.kind != "pwm"


def classify(plant: Plant, joined: Joined, spread: Spread) -> Classes:
    """Classes of all nets and conductors."""
    commons = [bool(certain) and _is_common(joined, spread, certain) for certain in spread.certain]
    roles = _roles(joined)
    signals = _circuit_signals(spread, roles, commons)
    control = _control_circuits(joined, spread, roles)
    nets = tuple(
        _net_class(joined, spread, net, roles[net], commons[net], signals, control) for net in range(len(joined.members))
    )
    conductors = {}
    for conductor in plant.conductors.values():
        earthed = conductor.id in joined.protective or conductor.id in joined.references
        conductors[conductor.id] = ConductorClass.EARTH if earthed else nets[joined.net_of_conductor[conductor.id]]
    for cable in plant.cables.values():
        cores = [core for core in cable.conductors if core in conductors]
        beside = [conductors[core] for core in cores if conductors[core] in SIGNAL_CLASSES]
        for core in cores if beside else ():  # a supply core in a signal cable is laid and screened as the signal is
            net = joined.net_of_conductor[core]
            if conductors[core] is ConductorClass.CONTROL and (
                commons[net] or (not spread.possible[net] and roles[net] & _SUPPLIED)
            ):
                conductors[core] = most_demanding(beside)
    return Classes(nets, conductors)


def _is_common(joined: Joined, spread: Spread, certain: tuple[Potential, ...]) -> bool:
    """Whether a net is the plus or the common of an extra-low voltage supply: many circuits share it, it is no signal."""
    for potential in certain:
        terminal = joined.nodes.terminals[joined.nodes.index[potential.id]]
        if terminal is None or terminal.role in _SIGNAL_ROLES or potential.kind not in EXTRA_LOW:
            continue
        if is_extra_low(potential, spread.nominal[potential.group]):
            return True
    return False


def _roles(joined: Joined) -> list[set[Role]]:
    """Roles of the terminals on each net."""
    terminals = joined.nodes.terminals
    return [{found.role for node in nodes if (found := terminals[node]) is not None} for nodes in joined.members]


def _circuit_signals(spread: Spread, roles: list[set[Role]], commons: list[bool]) -> dict[int, ConductorClass]:
    """The signal class of each circuit that has one: it goes on through contacts and knife disconnect terminals."""
    met: dict[int, set[Role]] = {}
    for net, circuit in enumerate(spread.circuit):
        if not commons[net] and not roles[net].isdisjoint(_SIGNAL_ROLES):
            met.setdefault(circuit, set()).update(roles[net])
    return {circuit: next(klass for klass, wanted in _SIGNALS if its & wanted) for circuit, its in met.items()}


def _control_circuits(joined: Joined, spread: Spread, roles: list[set[Role]]) -> set[int]:
    """Circuits with contacts, coils or inputs, and with no motor, drive or busbar."""
    control = {spread.circuit[net] for net, its in enumerate(roles) if not its.isdisjoint(_CONTROLS)}
    # a contact may stand in a power circuit, a motor in no control circuit
    for nodes, circuit in zip(joined.members, spread.circuit, strict=True):
        if circuit in control and any(_takes_power(joined, node) for node in nodes):
            control.remove(circuit)
    return control


def _takes_power(joined: Joined, node: int) -> bool:
    """Whether a motor, drive or busbar takes power at a node."""
    device, terminal = joined.nodes.device(node), joined.nodes.terminals[node]
    if device is None:
        return False
    takes = device.kind in _MOVING and terminal is not None and terminal.role in _POWER
    return takes or device.category == Category.BUSBAR


def _net_class(
    joined: Joined,
    spread: Spread,
    net: int,
    roles: set[Role],
    common: bool,
    signals: dict[int, ConductorClass],
    control: set[int],
) -> ConductorClass:
    potentials, circuit = spread.possible[net], spread.circuit[net]
    if "pwm" in [potential.kind for potential in potentials]:  # even where a bypass brings the mains: pulses disturb more
        return ConductorClass.MOTOR
    high = [p for p in potentials if p.kind in EXTRA_LOW and not is_extra_low(p, spread.nominal[p.group])]
    if high:
        return ConductorClass.MAINS if _carries_power(joined, net, high) else ConductorClass.CONTROL
    if common:
        return ConductorClass.CONTROL
    if circuit in signals:
        return signals[circuit]
    power = circuit not in control and not roles.isdisjoint(_POWER)
    return _plain_class(joined, net, roles, potentials, power)


def _carries_power(joined: Joined, net: int, high: list[Potential]) -> bool:
    """Whether a net above extra-low voltage is a power circuit; behind a control transformer only what a drive or motor takes."""
    devices = joined.nodes.plant.devices
    outside = any(devices[potential.device].category == Category.SUPPLY for potential in high)
    for node in joined.members[net]:
        device = joined.nodes.device(node)
        terminal = joined.nodes.terminals[node]
        if device is None or terminal is None:
            continue
        if device.category == Category.BUSBAR or (outside and device.category == Category.SUPPLY):
            return True
        if terminal.role in _POWER and (outside or device.kind in _MOVING):
            return True
    return False


def _plain_class(joined: Joined, net: int, roles: set[Role], potentials: tuple[Potential, ...], power: bool) -> ConductorClass:
    """The class of a net without a signal role and without a potential above extra-low voltage. What divides from a PEN is the
    neutral of the mains, wherever a neutral terminal takes it; its protective conductors are told by their ends."""
    fed, earthed = bool(potentials), all(potential.kind == "earth" for potential in potentials)
    divided = earthed and "PEN" in [potential.pole for potential in potentials]
    if divided and Role.NEUTRAL in roles:
        return ConductorClass.MAINS
    if roles <= _SILENT and earthed:
        if fed or not roles.isdisjoint(_EARTHS) or any(_is_earth(joined.nodes.terminals[node]) for node in joined.members[net]):
            return ConductorClass.EARTH
        return ConductorClass.NONE
    if not fed and power:  # a power circuit whose supply is not drawn; breakers stand in control circuits too
        return ConductorClass.MAINS
    return ConductorClass.CONTROL


def _is_earth(terminal: Terminal | None) -> bool:
    """Whether a node is a place's `PE` or an earth terminal of a strip."""
    return terminal is None or terminal.kind == "earth"
