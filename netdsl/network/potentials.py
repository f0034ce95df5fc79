"""Where potentials come from and which nets they reach, for certain or only in some state of the control."""

from __future__ import annotations

from msgspec import Struct

from netdsl.model.kinds import Category
from netdsl.model.plant import Device, InnerSource, Plant, Role
from netdsl.network.nets import Joined
from netdsl.network.nodes import Joiner, with_role
from netdsl.network.types import Potential

_AC_POLES = {1: ("L1",), 2: ("L1", "N"), 3: ("L1", "L2", "L3"), 4: ("L1", "L2", "L3", "N")}
_OUTPUTS = (Role.MOTOR_OUT,)
EARTH_POLES = frozenset({"PE", "PEN"})


class Spread(Struct, frozen=True):
    """Potentials of each net by number, sorted by id.

    `circuit`: nets with one number here are one circuit: closed paths join them, and switched ones where no source holds
    either side. `nominal`: the voltage of each group, V (0 where unknown).
    """

    certain: tuple[tuple[Potential, ...], ...]
    possible: tuple[tuple[Potential, ...], ...]
    circuit: tuple[int, ...]
    nominal: dict[str, float]


def spread_potentials(plant: Plant, joined: Joined) -> Spread:
    """Find every source and follow its potentials.

    Certain: through closed poles. Possible: also through contactors, relays and selectors, up to a net that another
    source holds for certain: what would happen there is a matter of switching states, not of what the net carries.
    """
    first = [p for device in plant.devices.values() for p in (*_supply_poles(device), *_inner_poles(device))]
    certain, possible, circuit = _follow(joined, first)
    outputs = [p for device in plant.devices.values() for p in _drive_poles(device, joined, possible)]
    if outputs:  # followed again: what a drive gives depends on what was found to reach its input
        certain, possible, circuit = _follow(joined, first + outputs)
    nominal: dict[str, float] = {}
    for potential in first + outputs:
        nominal[potential.group] = max(nominal.get(potential.group, 0.0), potential.voltage or 0.0)
    return Spread(certain, possible, circuit, nominal)


def _supply_poles(device: Device) -> list[Potential]:
    """The poles of a supply: phases at its voltage, N and 0 V at none, PE and PEN as earth."""
    if device.category != Category.SUPPLY:
        return []
    volts = device.ratings.upper("voltage")
    kind = "dc" if device.ratings.get("system") == "DC" else "ac"
    found = []
    for name in device.terminals:
        pole = "0V" if name == "-" else name
        own = 0.0 if pole in ("N", "0V", *EARTH_POLES) else volts
        found.append(Potential(f"{device.id}:{name}", device.id, device.id, pole, "earth" if pole in EARTH_POLES else kind, own))
    return found


def _inner_poles(device: Device) -> list[Potential]:
    """The poles of the sources inside a device; sources with one common make one group."""
    found: dict[str, Potential] = {}
    for source in device.sources:
        for terminal, pole in zip(source.poles, _pole_names(source), strict=True):
            if terminal in device.terminals and terminal not in found:  # the common of several sources is one pole
                volts = 0.0 if pole in ("N", "0V") else source.voltage.last if source.voltage else None
                group = f"{device.id}:{source.poles[-1]}"
                found[terminal] = Potential(f"{device.id}:{terminal}", group, device.id, pole, source.voltage_kind, volts)
    return list(found.values())


def _pole_names(source: InnerSource) -> tuple[str, ...]:
    count = len(source.poles)
    if source.voltage_kind == "ac" and count in _AC_POLES:
        return _AC_POLES[count]
    live = "signal" if source.voltage_kind == "signal" else "+"
    return (live,) * (count - 1) + ("0V",)


def _drive_poles(device: Device, joined: Joined, possible: tuple[tuple[Potential, ...], ...]) -> list[Potential]:
    """The pulsed output of a drive, at the voltage that reaches its input, else at its rated one."""
    outputs = with_role(device, _OUTPUTS)
    if not outputs:
        return []
    index, terminals = joined.nodes.index, device.terminals
    inputs = [index[f"{device.id}:{name}"] for name in with_role(device, (Role.LINE_IN,)) if not terminals[name].split]
    fed = [p.voltage for node in inputs for p in possible[joined.net_of_node[node]] if p.voltage]
    volts = max(fed) if fed else device.ratings.upper("voltage")
    return [Potential(f"{device.id}:{name}", device.id, device.id, "UVW"[n % 3], "pwm", volts) for n, name in enumerate(outputs)]


_Reached = tuple[tuple[Potential, ...], ...]


def _follow(joined: Joined, sources: list[Potential]) -> tuple[_Reached, _Reached, tuple[int, ...]]:
    """Certain and possible potentials and the circuit of each net."""
    count = len(joined.members)
    closed = Joiner(count)
    for one, other in joined.closed:
        closed.join(one, other)
    held: dict[int, set[Potential]] = {}
    for potential in sources:
        node = joined.nodes.index[potential.id]
        held.setdefault(closed.find(joined.net_of_node[node]), set()).add(potential)
    islands, brought = _islands(joined, closed, held)
    sets = {key: tuple(sorted(found, key=lambda p: p.id)) for key, found in held.items()}
    reached = {key: tuple(sorted(found, key=lambda p: p.id)) for key, found in brought.items()}
    certain, possible, circuit = [], [], []
    for net in range(count):
        root = closed.find(net)
        certain.append(sets.get(root, ()))
        # where a source holds a net, what a contact might bring besides is a matter of switching states
        possible.append(sets[root] if root in sets else reached.get(islands.find(root), ()))
        circuit.append(islands.find(root))
    return tuple(certain), tuple(possible), tuple(circuit)


def _islands(joined: Joined, closed: Joiner, held: dict[int, set[Potential]]) -> tuple[Joiner, dict[int, set[Potential]]]:
    """Nets that no source holds, joined by switched paths, and the potentials that the nets held around them bring."""
    islands = Joiner(len(joined.members))
    pairs = [(closed.find(one), closed.find(other)) for one, other in joined.switched]
    for one, other in pairs:
        if one not in held and other not in held:
            islands.join(one, other)
    brought: dict[int, set[Potential]] = {}
    for pair in pairs:
        for source, target in (pair, pair[::-1]):
            if source in held and target not in held:
                brought.setdefault(islands.find(target), set()).update(held[source])
    return islands, brought
