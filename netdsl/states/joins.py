"""Poles that some state might join, and the proof that none does, or the shortest way there.

Asked about are the output of each drive with any other source or another drive's output, two phases of one output, two poles of
one source, phases of two sources; and, apart from these, a source with another of another kind or with earth. What is joined in
every state is no question of states and left to other rules.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from msgspec import Struct, field

from netdsl.kept import kept
from netdsl.states.conduction import State, is_closed, way
from netdsl.states.formulas import FALSE, TRUE
from netdsl.states.prover import Answer, Prover
from netdsl.states.reach import Reach
from netdsl.states.simulation import Simulation
from netdsl.states.traces import Stage, Trace
from netdsl.states.types import Cause, Edge, Mover, Pole

#: poles that a current returns to
_RETURNS = ("N", "0V", "PEN")


class Question(Struct, frozen=True):
    """Whether some of these pairs of poles can be joined, each by the ways of its island. `drive`: the drive whose output is
    asked about, "" where it is sources alone; `foreign`: with another source, else two poles of one source or output.
    `devices`: what moves on those ways."""

    drive: str
    foreign: bool
    devices: tuple[str, ...]
    pairs: tuple[tuple[int, Pole, Pole], ...]


class Verdict(Struct, frozen=True):
    """What came of a question. Reached: the `stages` that lead there from rest, the `poles` joined, the `way` from the first
    to the second, each edge with the point it leads to; `in_a_moment`: only while contactors change over; `late`: coils on the
    way that are to drop and have not yet, `arcs`: those that have, and whose poles an arc still joins. `reason`: why it is not
    proved."""

    question: Question
    answer: Answer
    stages: tuple[Stage, ...] = ()
    poles: tuple[Pole, Pole] | None = None
    way: tuple[tuple[Edge, int], ...] = ()
    in_a_moment: bool = False
    arcs: frozenset[Mover] = field(default_factory=frozenset)
    late: tuple[Mover, ...] = ()
    reason: str = ""


class Joins:
    """All questions of a circuit. The solver is loaded with the first answer."""

    def __init__(self, prover: Prover) -> None:
        self.prover = prover
        self.circuit = prover.circuit

    def questions(self) -> tuple[Question, ...]:
        """What there is to ask: the phases of one circuit together. None for a plant in which nothing that moves lies between
        two poles."""
        return self._grouped(_conflicts, {})

    def meetings(self) -> tuple[Question, ...]:
        """What there is to ask besides: poles of two sources of which one gives direct voltage, a live pole and earth."""
        return self._grouped(_meetings, self._earths())

    def _grouped(
        self, conflicts: Callable[[Pole, Pole], Iterator[tuple[str, bool, Pole, Pole]]], more: dict[int, list[Pole]]
    ) -> tuple[Question, ...]:
        """Questions about pairs of poles in one island. `more`: poles, by island, at which no way ends."""
        found: dict[tuple[str, bool, tuple[str, ...]], list[tuple[int, Pole, Pole]]] = {}
        parallel, certain = self._parallel(), self._certain()
        together = {certain[point] for point in parallel}
        for island, roots in self.prover.islands.roots_of.items():
            poles = [pole for root in roots for pole in self.circuit.roots[root]] + more.get(island, [])
            if len(poles) < 2:
                continue
            devices = self._moving_in(island)
            for number, one in enumerate(poles):
                for other in poles[number + 1 :]:
                    ends = {certain[one.point], certain[other.point]}
                    if len(ends) == 1 or {one.point, other.point} <= parallel or (_are_alike(one, other) and ends & together):
                        continue
                    for drive, foreign, own, far in conflicts(one, other):
                        key = (drive, foreign, () if drive and foreign else devices)
                        found.setdefault(key, []).append((island, own, far))
        return tuple(
            Question(
                drive,
                foreign,
                devices or tuple(dict.fromkeys(d for island, *_ in pairs for d in self._moving_in(island))),
                tuple(pairs),
            )
            for (drive, foreign, devices), pairs in found.items()
        )

    def _earths(self) -> dict[int, list[Pole]]:
        """Earth where something that moves lies between it and a pole, by island."""
        found: dict[int, list[Pole]] = {}
        for net in self.circuit.network.nets.values():
            point = self.circuit.point_of[net.id]
            earth = next((potential for potential in net.certain if potential.kind == "earth"), None)
            if earth is None or point in self.circuit.roots:
                continue
            for island in self.prover.islands.at(point):
                known = found.setdefault(island, [])
                if island in self.prover.islands.edges and all(pole.point != point for pole in known):
                    known.append(Pole(earth, point))
        return found

    def _moving_in(self, island: int) -> tuple[str, ...]:
        """Devices with ways in an island that something opens in service."""
        edges = self.prover.islands.edges[island]
        return tuple(dict.fromkeys(edge.device for edge in edges if edge.path is None or not edge.path.certain))

    def _certain(self) -> list[int]:
        """For each point the first of those that are one with it while everything stands as in service: what meets there does so
        whatever the control does."""
        walked = list(range(self.circuit.points))
        around: dict[int, list[int]] = {}
        for edge in self.circuit.edges:
            if edge.path is not None and edge.path.certain:
                around.setdefault(edge.a, []).append(edge.b)
                around.setdefault(edge.b, []).append(edge.a)
        seen: set[int] = set()
        for start in walked.copy():
            open_ = [start] if start not in seen else []
            while open_:
                point = open_.pop()
                if point not in seen:
                    seen.add(point)
                    walked[point] = start
                    open_ += around.get(point, [])
        return walked

    def _parallel(self) -> set[int]:
        """Points of potentials that several sources feed together on purpose."""
        found = set()
        for named in self.circuit.network.plant.potentials:
            node = named.end.id if named.end.id in self.circuit.network.net_of else f"{named.end.id}/in"
            if named.parallel and node in self.circuit.network.net_of:
                found.add(self.circuit.node_point(node))
        return found

    # --- answers --------------------------------------------------------------------------------------------------------
    def verdict(self, question: Question) -> Verdict:
        """The answer to a question; a proof holds for the text, not for what is built."""
        bad = self.joined(question)
        answer, reason = self.prover.answer(bad)
        return self._reached(question, bad) if answer is Answer.REACHED else Verdict(question, answer, reason=reason)

    def _reached(self, question: Question, bad: int) -> Verdict:
        """The way there: for choice one on which contactors are closed together, not only in the moment of a changeover."""
        steady = self._joined(question, arcs=False)
        lasting = self.prover.answer(steady)[0] is Answer.REACHED
        trace = self.prover.trace(steady if lasting else bad)
        if trace is None:
            return Verdict(question, Answer.NOT_PROVED, reason="a state that joins them was found, the way to it is too long")
        return self._told(question, trace, not lasting)

    def _told(self, question: Question, trace: Trace, in_a_moment: bool) -> Verdict:
        state = {mover: trace.state.get(mover, movement.rest) for mover, movement in self.circuit.movements.items()}

        def conducts(edge: Edge) -> bool:
            return edge.path is not None and (is_closed(edge, state) or self._by_arc(edge, trace.arcs, state))

        roots = set(self.circuit.roots)
        ways = []
        for _, one, other in question.pairs:
            found = way(self.circuit, one.point, [other.point], conducts, roots)
            if found is not None:
                ways.append((len(found), one, other, found))
        _, one, other, shortest_way = min(ways, key=lambda entry: entry[0])
        on_it = {mover for edge, _ in shortest_way for mover in edge.closed.movers if edge.closed.on}
        simulation = Simulation(self.circuit)
        simulation.assign(state)
        late = tuple(mover for mover in simulation.pending() if mover in on_it and state[mover])
        arcs = frozenset(mover for mover in trace.arcs & on_it if not state[mover])
        return Verdict(question, Answer.REACHED, trace.stages, (one, other), shortest_way, in_a_moment, arcs, late)

    def _by_arc(self, edge: Edge, arcs: frozenset[Mover], state: State) -> bool:
        held = [mover for mover in edge.closed.movers if mover in arcs and _is_pole(edge)]
        return any(not any(state[other] for other in self.prover.partners.get(mover, ())) for mover in held)

    @kept
    def joined(self, question: Question) -> int:
        """When a pair of the question is joined, arcs counted."""
        return self._joined(question, arcs=True)

    # --- formulas -------------------------------------------------------------------------------------------------------
    def _joined(self, question: Question, *, arcs: bool) -> int:
        """When a pair of the question is joined."""
        formulas = self.prover.variables.formulas
        islands = tuple(dict.fromkeys(island for island, _, _ in question.pairs))
        read = self._read([edge for island in islands for edge in self.prover.islands.edges[island]])
        reach = {
            island: Reach(
                formulas,
                self.prover.islands.edges[island],
                self.prover.islands.roots_of[island].keys() | {far.point for at, _, far in question.pairs if at == island},
                lambda edge: self._conducts(edge, arcs, read),
            )
            for island in islands
        }
        return formulas.any(reach[island].joined(one.point, other.point) for island, one, other in question.pairs)

    def _read(self, edges: list[Edge]) -> frozenset[Mover]:
        """Movers on which coils in an island depend."""
        coils = [m for edge in edges for m in edge.closed.movers if self.circuit.movements[m].cause is not Cause.FREE]
        return frozenset(self.prover.builder.cone(self.prover.wants.of(coil) for coil in coils))

    def _conducts(self, edge: Edge, arcs: bool, read: frozenset[Mover]) -> int:
        formulas = self.prover.variables.formulas
        movers = edge.closed.movers
        if edge.path is None:
            return FALSE  # what electronics, or equipment of which only the terminals are stated, join is no proof of anything
        if edge.path.certain and not read.intersection(movers):
            return TRUE  # an isolator that nothing reads may be closed at any time: a bit less to ask about
        found = FALSE
        for mover in movers:
            late = arcs and _is_pole(edge) and self.circuit.movements[mover].cause is Cause.COIL
            found = formulas.either(found, self.prover.conducts(mover) if late else self.prover.variables.of(mover))
        return found if edge.closed.on else found ^ 1


def _are_alike(one: Pole, other: Pole) -> bool:
    a, b = one.potential, other.potential
    return (a.kind, a.pole, a.voltage) == (b.kind, b.pole, b.voltage)


def _is_pole(edge: Edge) -> bool:
    return edge.path is not None and edge.path.kind == "pole"


def _conflicts(one: Pole, other: Pole) -> Iterator[tuple[str, bool, Pole, Pole]]:
    """Why two poles must not meet: (drive, against another source, own pole, other pole), once for each drive."""
    a, b = one.potential, other.potential
    if a.kind == b.kind == "pwm" and a.device == b.device:
        yield a.device, False, one, other
    elif "pwm" in (a.kind, b.kind):
        if a.kind == "pwm":
            yield a.device, True, one, other
        if b.kind == "pwm":
            yield b.device, True, other, one
    elif a.group == b.group:
        if a.kind == "ac" or (a.pole in _RETURNS) != (b.pole in _RETURNS):
            yield "", False, one, other
    elif a.kind == b.kind == "ac" and not (a.pole in _RETURNS and b.pole in _RETURNS):
        yield "", True, one, other


def _meetings(one: Pole, other: Pole) -> Iterator[tuple[str, bool, Pole, Pole]]:
    """Whether two poles must not meet of which `_conflicts` says nothing, in its form. A neutral or 0 V may be earthed by a
    contact, as that of a generator is while it feeds alone."""
    a, b = one.potential, other.potential
    if a.group == b.group and "PEN" in (a.pole, b.pole):
        return  # a return of the same source
    if "earth" in (a.kind, b.kind):
        far, live = (one, other) if a.kind == "earth" else (other, one)
        if live.potential.kind != "earth" and live.potential.pole not in _RETURNS:
            yield "", True, live, far
    elif a.group != b.group and "dc" in (a.kind, b.kind) and "pwm" not in (a.kind, b.kind) and not a.pole == b.pole == "0V":
        yield "", True, one, other
