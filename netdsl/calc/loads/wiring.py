"""Which net power takes from one device to the next: strips and bars taken out, so that circuits sharing a strip stay apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct, field

from netdsl.calc.circuit import Circuit, Step
from netdsl.kept import Asking, alike, kept, meanwhile
from netdsl.model.kinds import CONVERTERS, PASSED, TAPPED
from netdsl.model.plant import Device
from netdsl.network.types import Net, Potential

RETURNS = frozenset({"N", "0V", "PEN"})
_PHASE = {"L": 0, "L1": 0, "U": 0, "+": 0, "L2": 1, "V": 1, "L3": 2, "W": 2}
_PULSED = frozenset("UVW")


class Live(Struct, frozen=True):
    """A live net: its phase 0 to 2, the nominal voltage it brings, V, whether that is between phases, whether it is direct
    current."""

    phase: int
    volts: float | None
    between_phases: bool
    direct: bool


class Stage(Struct):
    """A device that power goes through or ends in, or one fused terminal of a strip: nets that feed it, with its nodes there,
    and nets it feeds."""

    device: str
    fed_by: dict[str, dict[str, None]] = field(default_factory=dict)
    feeds: dict[str, None] = field(default_factory=dict)


def speed_of(nodes: Iterable[str]) -> str:
    """Number that the terminals of a winding for one speed of several begin with, as of `M1:2U`; empty for any other nodes."""
    return next((name[0] for node in nodes if (name := node.rpartition(":")[2])[:1].isdigit()), "")


class Wiring:
    """The power circuit net by net, made from the steps of the power tree."""

    def __init__(self, circuit: Circuit) -> None:
        self._circuit = circuit
        self._network = circuit.network
        self._plant = circuit.plant
        self.stages: dict[str, Stage] = {}
        self.takers: dict[str, dict[str, None]] = {}
        self.givers: dict[str, dict[str, None]] = {}
        self._carried: dict[str, tuple[dict[str, None], dict[str, None]]] = {}
        for step in circuit.steps.values():
            self._add(step)
        for carrier, (into, out) in self._carried.items():
            self._add_split(self._plant.devices[carrier], into, out)

    def carrier(self, device: str) -> bool:
        """Whether a device only carries power on, any circuit from terminal to terminal of its own."""
        made = self._plant.devices[device]
        return made.category in TAPPED or made.kind in PASSED

    @kept
    def live(self, net: str) -> Live | None:
        """What a net brings; None for a neutral, a 0 V or an earth."""
        return self._made_live(self._network.nets[net])

    def devices(self) -> Iterator[str]:
        """The devices among the stages."""
        return (stage for stage in self.stages if stage in self._plant.devices)

    def nodes(self, stage: str, net: str) -> tuple[str, ...]:
        """Nodes of a stage in a net."""
        made = self._plant.devices[self.stages[stage].device]
        if made.host:  # conductors land on the terminals of the housing
            own = {f"{made.host}:{name}" for name in made.terminals}
            return tuple(node for node in self._network.nets[net].nodes if node in own)
        prefix = f"{stage}:" if made.id == stage else f"{stage}/"
        return tuple(node for node in self._network.nets[net].nodes if node.startswith(prefix))

    def carried(self, carrier: str) -> tuple[str, ...]:
        """Nets by which power comes to a strip, bar or box."""
        return tuple(self._carried.get(carrier, ({}, {}))[0])

    def begins(self, stage: str) -> bool:
        """Whether a circuit begins at a stage: a supply, or what converts power."""
        made = self._plant.devices[self.stages[stage].device]
        return made.category == "supply" or made.kind in CONVERTERS or not self.stages[stage].fed_by

    @meanwhile(())
    def origins(self, stage: str) -> Asking[tuple[str, ...]]:
        """Supplies and converters from which power comes to a stage, whichever way is closed."""
        found: dict[str, None] = {}
        for net in self.stages[stage].fed_by if stage in self.stages else ():
            for giver in self.givers.get(net, ()):
                found.update(dict.fromkeys((giver,) if self.begins(giver) else (yield self.origins, giver)))
        return tuple(found)

    @kept
    def lives(self, stage: str) -> tuple[Live, ...]:
        """The live nets that feed a stage; of what nothing feeds, those it feeds."""
        found = self.stages.get(stage)
        nets = (found.fed_by or found.feeds) if found else ()
        return tuple(live for net in nets if (live := self.live(net)) is not None)

    def _add(self, step: Step) -> None:
        runs = self._network.runs
        fed = self._plant.devices[step.fed].host or step.fed  # of a channel the housing, on which conductors land
        for pole in step.poles:
            net = runs[pole[0]].net
            if not self.live(net):
                continue
            self._give(step.feeder, net)
            for name in pole:
                run = runs[name]
                one, other = run.conductor.ends
                first = one.device == fed
                self._take(step.fed, net, run.nodes[0] if first else run.nodes[1] if other.device == fed else "")

    def _give(self, device: str, net: str) -> None:
        if self.carrier(device):
            self._carried.setdefault(device, ({}, {}))[1][net] = None
            return
        self._stage(device).feeds[net] = None
        self.givers.setdefault(net, {})[device] = None

    def _take(self, device: str, net: str, node: str) -> None:
        if self.carrier(device):
            self._carried.setdefault(device, ({}, {}))[0][net] = None
            return
        self._stage(device).fed_by.setdefault(net, {})[node] = None
        self.takers.setdefault(net, {})[device] = None

    def _stage(self, device: str) -> Stage:
        if device not in self.stages:
            self.stages[device] = Stage(device)
        return self.stages[device]

    def _add_split(self, carrier: Device, into: dict[str, None], out: dict[str, None]) -> None:
        """Fused and disconnect terminals of a strip, each as a stage of its own, from the net that feeds it to the other."""
        for terminal in carrier.terminals.values() if any(net not in into for net in out) else ():
            if not terminal.split:
                continue
            ends = [f"{carrier.id}:{terminal.name}/{side}" for side in ("in", "out")]
            nets = [self._network.net_of.get(end, "") for end in ends]
            if nets[0] not in into or nets[0] in self._reached(carrier.id, nets):
                ends, nets = ends[::-1], nets[::-1]
            if nets[0] in into and nets[1] in out and nets[0] != nets[1] and nets[1] not in into:
                name = f"{carrier.id}:{terminal.name}"
                self.stages[name] = Stage(carrier.id, {nets[0]: {ends[0]: None}}, {nets[1]: None})
                self.takers.setdefault(nets[0], {})[name] = None
                self.givers.setdefault(nets[1], {})[name] = None

    def _reached(self, carrier: str, nets: list[str]) -> frozenset[str]:
        """Of two nets both fed, none: a split terminal between two sources passes nothing."""
        into = self._carried[carrier][0]
        return frozenset(nets) if all(net in into for net in nets) else frozenset()

    @alike(lambda _, net: (id(net.certain), id(net.possible)))  # nets of one phase share what reaches them
    def _made_live(self, net: Net) -> Live | None:
        for potential in net.certain:
            if potential.pole in RETURNS:
                return None
        poles = [potential for potential in (*net.certain, *net.possible) if potential.kind != "earth"]
        for potential in poles:
            if potential.pole in _PHASE:
                return Live(_PHASE[potential.pole], potential.voltage, self._is_three(potential), potential.kind == "dc")
        return None if not poles or any(potential.pole in RETURNS for potential in poles) else Live(0, None, False, False)

    def _is_three(self, potential: Potential) -> bool:
        """Whether a potential's voltage is one between three phases."""
        if potential.pole in _PULSED:
            return True
        made = self._plant.devices.get(potential.device)
        poles = (len(source.poles) for source in made.sources) if made else ()
        supplied = made is not None and made.category == "supply" and "L3" in made.terminals
        return supplied or any(count >= 3 for count in poles)
