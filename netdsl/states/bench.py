"""The functional test at the bench: what to operate, step by step, and what the wiring makes of it."""

from __future__ import annotations

from collections import deque
from collections.abc import Container, Iterable, Mapping, Sequence
from typing import NamedTuple

from netdsl.model.kinds import Kind
from netdsl.model.plant import Role, Terminal
from netdsl.states import told
from netdsl.states.machine import Builder
from netdsl.states.operating import Operation, operable, play
from netdsl.states.simulation import Simulation
from netdsl.states.slices import Slicer
from netdsl.states.types import Cause, Circuit, Load, Mover
from netdsl.states.ways import Islands, Variables, Wants

#: states looked at for one load before it counts as not reached
SEARCHED = 400
#: loads up to which one test shows all that changes: what every step does to all others costs more than their number
TOGETHER = 200
_SLICE = 100  # loads tested together where the test goes function by function

Change = tuple[Mover, bool]


class Row(NamedTuple):
    """A step of the test: what to operate, and what is then to be seen; the designation of what is operated, "" of no device, and
    of what shows it."""

    operate: str
    expect: tuple[str, ...]
    operated: str = ""
    shows: tuple[str, ...] = ()


class BenchTest(NamedTuple):
    """The rows in order, and the loads that no short sequence was found for."""

    rows: tuple[Row, ...]
    not_reached: tuple[str, ...]


def bench_tests(circuit: Circuit) -> tuple[tuple[str, BenchTest], ...]:
    """The test of every load: all in one, under "", where there are no more than `TOGETHER`; else function by function, each with
    what changes in it and in the relays that it depends on."""
    if len(circuit.loads) <= TOGETHER:
        return (("", bench_test(circuit)),)
    tests: dict[str, list[BenchTest]] = {}
    for function, part, loads in Slicer(circuit).by_function(_SLICE):
        tests.setdefault(function, []).append(_Tester(part).whole({(load.device, load.name, load.nodes) for load in loads}))
    return tuple(
        (
            function,
            BenchTest(tuple(row for test in found for row in test.rows), tuple(n for test in found for n in test.not_reached)),
        )
        for function, found in tests.items()
    )


def bench_test(circuit: Circuit, sequence: Iterable[Operation] | None = None) -> BenchTest:
    """The test that plays `sequence`; without one, each load is switched on from rest, and off again by everything that can."""
    tester = _Tester(circuit)
    if sequence is None:
        return tester.whole()
    for operation in sequence:
        tester.do(operation)
    return BenchTest(tuple(tester.rows), ())


class _Tester:
    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.rest = Simulation(circuit)
        self.rest.settle()
        self.simulation = self.rest.copy()
        lit = {load: True for load in circuit.loads if self.simulation.joined.fed(load)}
        said = self._seen(lit) or ["nothing pulls, nothing lights"]
        self.rows = [Row("switch the supply on, everything else at rest", tuple(said), "", _devices(lit))]
        variables = Variables()
        self._wants = Wants(circuit, Islands(circuit), variables)
        self._builder = Builder(circuit, self._wants, variables)
        self._seen_on: set[Load] = set()

    def whole(self, only: Container[tuple[str, str, tuple[str, str]]] | None = None) -> BenchTest:
        """The test of every load; of those in `only`, each by device, name and nodes, where that is given."""
        missed = []
        for load in self.circuit.loads:
            if only is not None and (load.device, load.name, load.nodes) not in only:
                continue
            if load in self._seen_on or self.rest.joined.fed(load):
                continue
            path = self._path(load)
            if path is None:
                missed.append(told.load_words(self.circuit, load))
                continue
            self._switch_on(load, path)
            if load.kind != "load":
                self._switch_off(load)
            self._home()
        return BenchTest(tuple(self.rows), tuple(missed))

    def do(self, operation: Operation) -> None:
        """Play an operation and write its row."""
        before = self._fed()
        for change in operation.moves or (None,):
            play(self.simulation, Operation(operation.text, (change,) if change else ()))
            words = told.operation(self.circuit, *change) if change else "wait until all times have gone by"
            after = self._fed()
            changed = {load: after[load] for load in self.circuit.loads if before[load] is not after[load]}
            said = self._seen(changed)
            if self.simulation.restless:
                said.append(f"{self.simulation.restless[0].device} does not come to rest")
            operated = change[0].device if change else ""
            self.rows.append(Row(words, tuple(said) or ("nothing changes",), operated, _devices(changed)))
            self._seen_on.update(load for load, fed in after.items() if fed)
            before = after

    # --- one load -------------------------------------------------------------------------------------------------------
    def _switch_on(self, load: Load, path: tuple[Change | None, ...]) -> None:
        """Play a path, then let go of the buttons that need not be held."""
        for change in path:
            self.do(Operation("", (change,) if change else ()))
        for mover in operable(self.circuit):
            button = self.circuit.network.plant.devices[mover.device].kind == Kind.PUSH_BUTTON
            if button and self.simulation.state[mover] is not self.rest.state[mover]:
                tried = self.simulation.copy()
                tried.operate(mover, self.rest.state[mover])
                if tried.joined.fed(load):
                    self.do(Operation("", ((mover, self.rest.state[mover]),)))

    def _switch_off(self, load: Load) -> None:
        """Each thing by itself that takes the voltage from a load that is on."""
        for change in self._toggles(self.simulation, self._cone(load)):
            tried = self.simulation.copy()
            tried.operate(*change)
            if tried.joined.fed(load):
                continue
            held = self.simulation.copy()
            self.do(Operation("", (change,)))
            for back in self._undone(held, self.simulation):
                self.do(Operation("", (back,)))
            if not self.simulation.joined.fed(load):
                again = self._search(load, self.simulation, self._cone(load))
                self._switch_on(load, again or ())

    def _home(self) -> None:
        for back in self._undone(self.rest, self.simulation):
            self.do(Operation("", (back,)))
        if self.simulation.state != self.rest.state:  # held by itself: begin again from rest
            self.simulation = self.rest.copy()
            self.rows.append(Row("switch the supply off and on again", ("as at the beginning",)))

    def _path(self, load: Load) -> tuple[Change | None, ...] | None:
        return self._search(load, self.simulation, self._cone(load))

    def _search(self, load: Load, start: Simulation, movers: frozenset[Mover]) -> tuple[Change | None, ...] | None:
        """The shortest sequence of operations after which a load is on; None (in it) is a wait."""
        queue: deque[tuple[Simulation, tuple[Change | None, ...]]] = deque([(start.copy(), ())])
        seen = {_key(start)}
        for _ in range(SEARCHED):
            if not queue:
                return None
            simulation, path = queue.popleft()
            steps: list[Change | None] = [None] if self._has_delay(movers) else []
            for step in (*self._toggles(simulation, movers), *steps):
                tried = simulation.copy()
                if step is None:
                    tried.wait()
                else:
                    tried.operate(*step)
                if tried.joined.fed(load):
                    return (*path, step)
                if _key(tried) not in seen:
                    seen.add(_key(tried))
                    queue.append((tried, (*path, step)))
        return None

    def _cone(self, load: Load) -> frozenset[Mover]:
        return frozenset(self._builder.cone((self._wants.fed(load),)))

    def _has_delay(self, movers: frozenset[Mover]) -> bool:
        return any(self.circuit.movements[mover].cause is Cause.DELAY for mover in movers)

    def _toggles(self, simulation: Simulation, movers: frozenset[Mover]) -> list[Change]:
        """Each thing that can be operated, the other way than it stands; supplies are left alone."""
        kept = [m for m in operable(self.circuit) if m in movers and self.circuit.movements[m].cause is not Cause.VOLTAGE]
        return [(mover, not simulation.state[mover]) for mover in kept]

    def _undone(self, wanted: Simulation, present: Simulation) -> list[Change]:
        """What to operate so that everything given stands as in `wanted`; selectors turn to where they stood."""
        changes = [(m, wanted.state[m]) for m in operable(self.circuit) if wanted.state[m] is not present.state[m]]
        turned = {mover.device for mover, on in changes if on and self.circuit.movements[mover].cause is Cause.POSITION}
        return [
            (mover, on)
            for mover, on in changes
            if on or self.circuit.movements[mover].cause is not Cause.POSITION or mover.device not in turned
        ][::-1]

    # --- what is seen ---------------------------------------------------------------------------------------------------
    def _fed(self) -> dict[Load, bool]:
        joined = self.simulation.joined
        return {load: joined.fed(load) is not None for load in self.circuit.loads}

    def _seen(self, changed: Mapping[Load, bool]) -> list[str]:
        """What is seen of loads that are on or off now: safety inputs of one device that go together are told together."""
        together: dict[tuple[str, bool], list[Load]] = {}
        for load, on in changed.items():
            if self._is_safety_input(load):
                together.setdefault((load.device, on), []).append(load)
        said = []
        for load, on in changed.items():
            group = together.get((load.device, on), []) if self._is_safety_input(load) else []
            if len(group) < 2:
                said.append(self._one(load, on))
            elif load is group[0]:
                said.append(f"{self._inputs(group)} {'on' if on else 'off'}")
        return said

    def _is_safety_input(self, load: Load) -> bool:
        return load.kind == "input" and self._terminal(load).role is Role.SAFETY_IN

    def _terminal(self, load: Load) -> Terminal:
        return self.circuit.network.plant.devices[load.device].terminals[load.name]

    def _inputs(self, loads: Sequence[Load]) -> str:
        """Inputs of one device with what they are for, said once where that differs by a number alone."""
        uses = dict.fromkeys(use.rstrip("0123456789 ") for load in loads if (use := told.use_words(self._terminal(load))))
        said = f" ({', '.join(uses)})" if uses else ""
        return f"{loads[0].device}:{', '.join(load.name for load in loads)}{said}"

    def _one(self, load: Load, on: bool) -> str:
        name = told.load_words(self.circuit, load)
        if load.kind == "coil":
            return f"{name} {'pulls' if on else 'drops'}"
        if load.kind == "input":
            return f"{name} {'on' if on else 'off'}"
        lamp = self.circuit.network.plant.devices[load.device].kind == "lamp"
        return f"{name} {('lights' if on else 'goes out') if lamp else ('gets voltage' if on else 'gets none')}"


def _devices(loads: Iterable[Load]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(load.device for load in loads))


def _key(simulation: Simulation) -> frozenset[Mover]:
    return frozenset(mover for mover, on in simulation.state.items() if on)
