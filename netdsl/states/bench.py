"""The functional test at the bench: what to operate, step by step, and what the wiring makes of it."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Container, Iterable
from typing import NamedTuple

from netdsl.kept import kept
from netdsl.model.kinds import Kind
from netdsl.states import told
from netdsl.states.bench_trials import Change, hangs, key, locked_out, outlasting, starts, undone
from netdsl.states.bench_words import devices_of, seen
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
_SEARCHED_AGAIN = 60  # for one more way to switch it on
_SLICE = 100  # loads tested together where the test goes function by function


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
        said = seen(circuit, lit) or ["nothing pulls, nothing lights"]
        self.rows = [Row("switch the supply on, everything else at rest", tuple(said), "", devices_of(lit))]
        variables = Variables()
        self._wants = Wants(circuit, Islands(circuit), variables)
        self._builder = Builder(circuit, self._wants, variables)
        self._seen_on: set[Load] = set()
        self._tried: set[Mover] = set()
        self._given_up: set[Mover] = set()  # no short way was found on which something hangs on them

    def whole(self, only: Container[tuple[str, str, tuple[str, str]]] | None = None) -> BenchTest:
        """The test of every load; of those in `only`, each by device, name and nodes, where that is given."""
        missed = []
        loads = [load for load in self.circuit.loads if only is None or (load.device, load.name, load.nodes) in only]
        for load in loads:
            if load in self._seen_on or self.rest.joined.fed(load):
                continue
            path = self._path(load)
            if path is None:
                missed.append(load)
                continue
            self._switch_on(load, path)
            if load.kind != "load":
                self._try_locked(load)
                self._switch_off(load)
            self._home()
        for load in loads:
            if load not in missed or load in self._seen_on:
                self._try_rest(load)
        names = (told.load_words(self.circuit, load) for load in missed if load not in self._seen_on)
        return BenchTest(tuple(self.rows), tuple(names))

    def _try_rest(self, load: Load) -> None:
        """Operate what a load depends on and no step has operated yet: what takes its voltage from it, then what gives it."""
        if not self._untried(load):
            return
        path = () if self.simulation.joined.fed(load) else self._path(load)
        if path is not None and self._takes(load, path):
            self._switch_on(load, path)
            self._switch_off(load, frozenset(self._untried(load)))
            self._home()
        for mover in self._untried(load):
            if mover in self._tried or mover in self._given_up:
                continue
            if way := self._through(load, mover):
                self._switch_on(load, way)
                self._home()
            elif way := self._started(load, mover):
                self._switch_on(load, way)
                if way[-1] == (mover, now := self.simulation.state[mover]):  # no button, which was let go of
                    self.do(Operation("", ((mover, not now),)))  # the load stays on
                self._home()
            else:
                self._given_up.add(mover)
        for mover in self._untried(load):
            if self._is_button(mover):
                self.do(Operation("", ((mover, not self.simulation.state[mover]),)))
                self._home()

    def _through(self, load: Load, mover: Mover) -> tuple[Change | None, ...]:
        """How a load is switched on so that it hangs on `mover`; empty where no short way is found."""
        change, back = (mover, not self.simulation.state[mover]), (mover, self.simulation.state[mover])
        moved = self.simulation.copy()
        moved.operate(*change)
        others: tuple[Change | None, ...] | None = ()
        if not hangs(moved, load, back):
            others = self._search(moved, self._cone(load) - {mover}, lambda tried: hangs(tried, load, back), _SEARCHED_AGAIN)
        if others is None:
            return ()
        last = self._played((*others, change))
        return (*others, change) if last.joined.fed(load) else (change, *others)

    def _started(self, load: Load, mover: Mover) -> tuple[Change | None, ...]:
        """How a load that then holds itself is switched on by `mover` last; empty where no short way is found."""
        change = (mover, not self.simulation.state[mover])
        others = self._search(
            self.simulation, self._cone(load) - {mover}, lambda tried: starts(tried, load, change), _SEARCHED_AGAIN
        )
        return () if others is None else (*others, change)

    def _untried(self, load: Load) -> list[Mover]:
        cone = self._cone(load)
        return [mover for mover, _ in self._toggles(self.simulation, cone) if mover not in self._tried]

    def _takes(self, load: Load, path: tuple[Change | None, ...]) -> bool:
        """Whether something that was not operated yet takes the voltage from a load that is on."""
        on = self._played(path)
        return any(hangs(on, load, (mover, not on.state[mover])) for mover in self._untried(load))

    def _played(self, path: Iterable[Change | None]) -> Simulation:
        """What a sequence of operations comes to."""
        tried = self.simulation.copy()
        for change in path:
            play(tried, Operation("", (change,) if change else ()))
        return tried

    def _is_button(self, mover: Mover) -> bool:
        return self.circuit.network.plant.devices[mover.device].kind == Kind.PUSH_BUTTON

    def do(self, operation: Operation) -> None:
        """Play an operation and write its row."""
        before = self._fed()
        for change in operation.moves or (None,):
            play(self.simulation, Operation(operation.text, (change,) if change else ()))
            words = told.operation(self.circuit, *change) if change else "wait until all times have gone by"
            after = self._fed()
            changed = {load: after[load] for load in self.circuit.loads if before[load] is not after[load]}
            said = seen(self.circuit, changed)
            if self.simulation.restless:
                said.append(f"{self.simulation.restless[0].device} does not come to rest")
            operated = change[0].device if change else ""
            self._tried.update([change[0]] if change else [])
            self.rows.append(Row(words, tuple(said) or ("nothing changes",), operated, devices_of(changed)))
            self._seen_on.update(load for load, fed in after.items() if fed)
            before = after

    # --- one load ---
    def _switch_on(self, load: Load, path: tuple[Change | None, ...]) -> None:
        """Play a path, then let go of the buttons that need not be held."""
        for change in path:
            self.do(Operation("", (change,) if change else ()))
        for mover in operable(self.circuit):
            if self._is_button(mover) and self.simulation.state[mover] is not self.rest.state[mover]:
                tried = self.simulation.copy()
                tried.operate(mover, self.rest.state[mover])
                if tried.joined.fed(load):
                    self.do(Operation("", ((mover, self.rest.state[mover]),)))

    def _try_locked(self, load: Load) -> None:
        """Press and let go of each button that a load which is on locks out: a start in the other direction, or speed."""
        changes = [change for change in self._toggles(self.simulation, self._cone(load)) if self._is_button(change[0])]
        for mover, on in locked_out(self.simulation, self.rest, changes):
            self.do(Operation("", ((mover, on),)))
            self.do(Operation("", ((mover, not on),)))

    def _switch_off(self, load: Load, only: frozenset[Mover] | None = None) -> None:
        """Each thing by itself, or each of `only`, that takes the voltage from a load that is on, at once or in time."""
        for change in self._toggles(self.simulation, self._cone(load) if only is None else only):
            tried = self.simulation.copy()
            tried.operate(*change)
            waits = bool(tried.joined.fed(load))
            if waits and not self._falls_in_time(load, tried):
                continue
            held, seen_on = self.simulation.copy(), set(self._seen_on)
            self.do(Operation("", (change,)))
            if waits:
                self.do(Operation("", ()))
                self._seen_on = seen_on  # what comes on by the way here is still to be switched off by all that can
            for back in undone(self.circuit, held, self.simulation):
                self.do(Operation("", (back,)))
            if not self.simulation.joined.fed(load):
                self._wait_out(load)
                again = self._search(self.simulation, self._cone(load), lambda tried: hangs(tried, load, None))
                self._switch_on(load, again or ())

    def _falls_in_time(self, load: Load, operated: Simulation) -> bool:
        """Whether a load that is still on after an operation goes off in time, and would not without it."""
        if not self._has_delay(self._cone(load)):
            return False
        alone = self.simulation.copy()
        for simulation in (operated, alone):
            simulation.wait()
        return bool(alone.joined.fed(load)) and not operated.joined.fed(load)

    def _wait_out(self, load: Load) -> None:
        """Let contacts that a load depends on and that outlast their coil fall back, if they do: what is switched on anew then
        begins with all times, as at the bench, where nobody is quick enough for another way."""
        timed = [mover for mover in self._cone(load) if self.circuit.movements[mover].cause is Cause.DELAY]
        waited = self.simulation.copy()
        waited.wait()
        if outlasting(self.simulation, timed) and not outlasting(waited, timed):
            self.do(Operation("", ()))

    def _home(self) -> None:
        for back in undone(self.circuit, self.rest, self.simulation):
            self.do(Operation("", (back,)))
        if self.simulation.state != self.rest.state:  # held by itself: begin again from rest
            self.simulation = self.rest.copy()
            self.rows.append(Row("switch the supply off and on again", ("as at the beginning",)))

    def _path(self, load: Load) -> tuple[Change | None, ...] | None:
        """How a load is switched on: by what it depends on, else by what feeds its source, as a contactor ahead of a drive."""
        near = self._cone(load)
        path = self._search(self.simulation, near, lambda tried: hangs(tried, load, None))
        if path is None and (behind := self._cone_of_sources(load)) - near:
            path = self._search(self.simulation, near | behind, lambda tried: hangs(tried, load, None))
        return path

    def _search(
        self, start: Simulation, movers: frozenset[Mover], reached: Callable[[Simulation], bool], most: int = SEARCHED
    ) -> tuple[Change | None, ...] | None:
        """The shortest sequence of operations after which it is as wanted, of `most` states looked at; None (in it) is a wait."""
        queue: deque[tuple[Simulation, tuple[Change | None, ...]]] = deque([(start.copy(), ())])
        seen = {key(start)}
        for _ in range(most):
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
                if reached(tried):
                    return (*path, step)
                if key(tried) not in seen:
                    seen.add(key(tried))
                    queue.append((tried, (*path, step)))
        return None

    @kept
    def _cone(self, load: Load) -> frozenset[Mover]:
        return frozenset(self._builder.cone((self._wants.fed(load),)))

    def _cone_of_sources(self, load: Load) -> frozenset[Mover]:
        """What decides whether the sources that may feed a load, and give nothing yet, are fed themselves."""
        live = self.simulation.joined.live
        points, formulas = [load.a, load.b], dict[int, None]()
        seen: set[int] = set()
        while points:
            point = points.pop()
            seen.add(point)
            for root in self._wants.roots_of(point):
                dead = {pole.group for pole in self.circuit.roots[root]} - live
                behind = {at for group in dead for at in self.circuit.fed_by.get(group, ())}
                formulas.update(dict.fromkeys(formula for at in sorted(behind) for formula in self._wants.roots_of(at).values()))
                points += sorted(behind - seen - set(points))
        return frozenset(self._builder.cone(formulas))

    def _has_delay(self, movers: frozenset[Mover]) -> bool:
        return any(self.circuit.movements[mover].cause is Cause.DELAY for mover in movers)

    def _toggles(self, simulation: Simulation, movers: frozenset[Mover]) -> list[Change]:
        """Each thing that can be operated, the other way than it stands; supplies are left alone."""
        kept = [m for m in operable(self.circuit) if m in movers and self.circuit.movements[m].cause is not Cause.VOLTAGE]
        return [(mover, not simulation.state[mover]) for mover in kept]

    def _fed(self) -> dict[Load, bool]:
        joined = self.simulation.joined
        return {load: joined.fed(load) is not None for load in self.circuit.loads}
