"""The steps of a feeder: each device in the power path, what leads to it, and how steps hang together in branches."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from netdsl.model.kinds import Kind
from netdsl.model.plant import Role
from netdsl.network.types import Network
from netdsl.sums import sum_of


class Wiring(Struct, frozen=True):
    """What leads to a device: number of phase `poles`, `neutral` and `earth` carried along, `cables` by id. `aside`: the
    terminals of a drive that it leaves, where they are not those of its output: a brake resistor's."""

    poles: int = 0
    neutral: bool = False
    earth: bool = False
    cables: tuple[str, ...] = ()
    terminals: tuple[str, ...] = ()  # of the device fed, in order of text
    aside: tuple[str, ...] = ()


class Join(Struct, frozen=True):
    """A way to a device that hangs on another branch: a bypass, a second feed.

    `again`: cables of it that stand on the device's own branch too. `shared`: it has no cable core but those of that branch,
    so that the ways meet before the cable.
    """

    device: str
    wiring: Wiring
    again: frozenset[str] = frozenset()
    shared: bool = False


class Step(Struct, frozen=True):
    """A device in the power path and the wiring that feeds it.

    `control`: devices outside the power path that it feeds. `joins`: ways to devices that hang on another branch. `taps`: where
    it stands for several protective devices beside each other that feed control alone, each of them, itself first.
    """

    device: str
    wiring: Wiring
    control: tuple[str, ...] = ()
    joins: tuple[Join, ...] = ()
    taps: tuple[Step, ...] = ()


class Branch(Struct, frozen=True):
    """A chain of `steps` and what it parts into. `cut`: what follows is a group of its own. `fold`: its children begin again
    at the head of the sheet, right of it."""

    steps: tuple[Step, ...]
    children: tuple[Branch, ...] = ()
    cut: bool = False
    fold: bool = False

    @property
    def width(self) -> int:
        """Columns it takes."""
        return int(self.fold) + sum_of(child.width for child in self.children) or 1

    def leaves(self) -> tuple[Step, ...]:
        """The last step of each of its columns, from left to right."""
        below = tuple(leaf for child in self.children for leaf in child.leaves())
        return (*self.steps[-1:], *below) if self.fold or not below else below

    def every(self) -> Iterator[Step]:
        """All its steps, each before what it feeds."""
        yield from self.steps
        for child in self.children:
            yield from child.every()


class Steps:
    """Makes the steps of a power tree. `parent`: the device each hangs on; `control`: devices told at what feeds them; `rank`:
    the order of the tree; `drawn`: the devices that have steps."""

    def __init__(
        self,
        network: Network,
        parent: Mapping[str, str],
        control: Mapping[str, tuple[str, ...]],
        rank: Mapping[str, int],
        drawn: frozenset[str],
    ) -> None:
        self._network, self._parent, self._control, self._rank, self._drawn = network, parent, control, rank, drawn

    def step(self, name: str) -> Step:
        """The step of a device."""
        graph = self._network.power.graph
        fed = [other for other in graph.successors(name) if other in self._drawn] if name in graph else []
        others = sorted((other for other in fed if self._parent.get(other) != name), key=self._rank.__getitem__)
        joins = tuple(self._join(name, other) for other in others)
        feeding = self._parent.get(name)
        wiring = Wiring() if feeding is None else self._wiring(feeding, name)
        return Step(name, wiring, self._control.get(name, ()), joins)

    def _join(self, feeding: str, name: str) -> Join:
        wiring, first = self._wiring(feeding, name), self._parent.get(name, feeding)
        again = frozenset(wiring.cables) & frozenset(self._wiring(first, name).cables)
        cores = self._cores(feeding, name)
        return Join(name, wiring, again, bool(cores) and cores <= self._cores(first, name))

    def _cores(self, feeding: str, name: str) -> frozenset[str]:
        """Cable cores that lead from one device to the next."""
        runs = self._network.runs
        wires = self._network.power.graph.edges[feeding, name].get("conductors", ())
        return frozenset(wire for wire in wires if wire in runs and runs[wire].conductor.cable)

    def _wiring(self, feeding: str, name: str) -> Wiring:
        edge = self._network.power.graph.edges[feeding, name]
        cables = tuple(edge.get("cables", ()))
        earth = any(self._earth_cores(cable) for cable in cables)
        runs = self._network.runs
        ends = [end for wire in edge.get("conductors", ()) if wire in runs for end in runs[wire].conductor.ends]
        ends += [end for cable in cables for core in self._earth_cores(cable) for end in runs[core].conductor.ends]
        terminals = tuple(dict.fromkeys(end.terminal for end in ends if end.device == name))
        aside = self._aside(feeding, [end.terminal for end in ends if end.device == feeding])
        return Wiring(int(edge.get("poles", 0)), bool(edge.get("neutral", False)), earth, cables, terminals, aside)

    def _aside(self, feeding: str, left: list[str]) -> tuple[str, ...]:
        """The terminals that a way leaves of a drive, where none of them is of its output."""
        device = self._network.plant.devices[feeding]
        roles = {name: device.terminals[name].role for name in left if name in device.terminals}
        if device.kind != Kind.DRIVE or Role.MOTOR_OUT in roles.values():
            return ()
        return tuple(name for name, role in roles.items() if role is not Role.EARTH)

    def _earth_cores(self, cable: str) -> list[str]:
        """The connected cores of a cable that are protective conductors."""
        made, runs = self._network.plant.cables.get(cable), self._network.runs
        if made is None:
            return []
        earths = {core.name for core in made.cores if core.earth}
        return [wire for wire in made.conductors if wire in runs and runs[wire].conductor.core in earths]
