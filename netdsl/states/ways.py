"""Formulas of what is joined and energised, island by island, made when they are first asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from netdsl.states.conduction import are_opposite, first, join
from netdsl.states.formulas import FALSE, TRUE, Formulas
from netdsl.states.reach import Reach
from netdsl.states.types import Cause, Circuit, Edge, Load, Mover


class Arc(NamedTuple):
    """A variable: the poles that this coil has let go may still conduct, in the moment in which others move."""

    coil: Mover


class Turns(NamedTuple):
    """A variable: this mover has moved `turns` times in the present moment, or oftener."""

    mover: Mover
    turns: int


class Noted(NamedTuple):
    """A variable: something that a question keeps in mind from step to step."""

    name: str


Variable = Mover | Arc | Turns | Noted


class Variables:
    """Formulas over movers and arcs."""

    def __init__(self) -> None:
        self.formulas = Formulas()
        self.named: list[Variable] = []
        self._numbers: dict[Variable, int] = {}

    def of(self, variable: Variable) -> int:
        """The formula of a variable, made where it is new."""
        if variable not in self._numbers:
            self._numbers[variable] = len(self.named)
            self.named.append(variable)
        return self.formulas.variable(self._numbers[variable])

    def number(self, variable: Variable) -> int:
        """The number of a variable, made where it is new."""
        self.of(variable)
        return self._numbers[variable]

    def needed(self, formula: int) -> tuple[Mover, ...]:
        """Movers that have pulled, or whose arc still burns, wherever a formula holds, as far as its gates show; in order."""
        found = (self.named[number] for number in self.formulas.needed(formula, self._puller))
        return tuple(sorted(variable for variable in found if isinstance(variable, Mover)))

    def _puller(self, number: int) -> int:
        variable = self.named[number]
        return self.number(variable.coil) if isinstance(variable, Arc) else number

    def within(self, formulas: Iterable[int]) -> set[Variable]:
        """The variables that formulas depend on."""
        return {self.named[number] for number in self.formulas.variables(formulas)}


class Islands:
    """Edges that belong together: points that some state can join without passing a root."""

    def __init__(self, circuit: Circuit) -> None:
        self.roots = circuit.roots
        self._parent = list(range(circuit.points))
        edges = (edge for edge in circuit.edges if edge.a not in self.roots and edge.b not in self.roots)
        join(self._parent, ((edge.a, edge.b) for edge in edges))
        self.edges: dict[int, list[Edge]] = {}
        self.touching: dict[int, dict[int, None]] = {}  # islands by root
        self.roots_of: dict[int, dict[int, None]] = {}  # roots by island
        between = -1  # an edge from root to root is an island of its own
        for edge in circuit.edges:
            inner = edge.a if edge.a not in self.roots else edge.b
            island = first(self._parent, inner) if inner not in self.roots else between
            between -= island == between
            self.edges.setdefault(island, []).append(edge)
            for point in (edge.a, edge.b):
                if point in self.roots:
                    self.touching.setdefault(point, {})[island] = None
                    self.roots_of.setdefault(island, {})[point] = None

    def at(self, point: int) -> tuple[int, ...]:
        """The islands that a point lies in or, as a root, touches."""
        return tuple(self.touching.get(point, ())) if point in self.roots else (first(self._parent, point),)


class Ways:
    """When a point is joined to a root; `closed` gives the formula of an edge."""

    def __init__(self, circuit: Circuit, islands: Islands, formulas: Formulas, closed: Callable[[Edge], int]) -> None:
        self._circuit = circuit
        self._islands = islands
        self._formulas = formulas
        self._closed = closed
        self._known: dict[int, Reach] = {}

    def reach(self, island: int) -> Reach:
        """The ways inside one island."""
        if island not in self._known:
            edges = self._islands.edges.get(island, ())
            roots = self._islands.roots_of.get(island, ())
            self._known[island] = Reach(self._formulas, edges, roots, self._closed)
        return self._known[island]

    def roots_of(self, point: int) -> dict[int, int]:
        """The roots that a point may be joined to, and when."""
        found = {point: TRUE} if point in self._islands.roots else {}
        for island in self._islands.at(point):
            for root, formula in self.reach(island).roots_of(point).items():
                found[root] = self._formulas.either(found.get(root, FALSE), formula)
        return found


class Wants:
    """What the circuit asks of each mover that it decides, as a formula over all movers."""

    def __init__(
        self, circuit: Circuit, islands: Islands, variables: Variables, closed: Callable[[Edge], int] | None = None
    ) -> None:
        self._circuit = circuit
        self._variables = variables
        self._ways = Ways(circuit, islands, variables.formulas, closed or self.closed)
        self._known: dict[Mover, int] = {}

    def closed(self, edge: Edge) -> int:
        """When an edge conducts, arcs left out."""
        formula = self._variables.formulas.any(self._variables.of(mover) for mover in edge.closed.movers)
        return formula if edge.closed.on else formula ^ 1

    def of(self, mover: Mover) -> int:
        """The state a mover takes when it moves; delayed contacts as if their time had gone by."""
        if mover not in self._known:
            self._known[mover] = self._made(mover)
        return self._known[mover]

    def roots_of(self, point: int) -> dict[int, int]:
        """The roots that a point may be joined to, and when."""
        return self._ways.roots_of(point)

    def reach(self, island: int) -> Reach:
        """The ways inside one island."""
        return self._ways.reach(island)

    def fed(self, load: Load) -> int:
        """When a load lies between two poles of its own source."""
        formulas, roots = self._variables.formulas, self._circuit.roots
        behind = self._ways.roots_of(load.b)
        found = FALSE
        for root, one in self._ways.roots_of(load.a).items():
            for other_root, other in behind.items():
                for pole in roots[root]:
                    if any(are_opposite(pole, p) for p in roots[other_root]):
                        given = self._variables.of(pole.voltage)
                        found = formulas.either(found, formulas.all((one, other, given)))
        return found

    def _made(self, mover: Mover) -> int:
        movement = self._circuit.movements[mover]
        if movement.cause is Cause.COIL:
            return self._variables.formulas.any(self.fed(load) for load in self._circuit.coils.get(mover, ()))
        if movement.cause is Cause.RELEASE:
            return self._released(mover)
        if movement.cause is Cause.DELAY and movement.follows is not None:
            return self.of(movement.follows)
        return self._variables.of(mover)

    def _released(self, mover: Mover) -> int:
        formulas = self._variables.formulas
        supply = [load for load in self._circuit.loads if load.device == mover.device and load.kind == "load"]
        closed = {
            channel: self._ways.roots_of(channel.back).get(channel.feed, FALSE) for channel in self._circuit.releases[mover]
        }
        held = [formula for channel, formula in closed.items() if not channel.reset]
        reset = [formula for channel, formula in closed.items() if channel.reset]
        again = formulas.either(self._variables.of(mover), formulas.all(reset))
        return formulas.all([*(self.fed(load) for load in supply), *held, again])
