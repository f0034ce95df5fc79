"""Slices of a circuit: what is played in one does there what it does in the whole."""

from __future__ import annotations

import random
from pathlib import Path

from netdsl.states import Simulation, circuit_of
from netdsl.states.bench import bench_tests
from netdsl.states.operating import operable
from netdsl.states.slices import Slicer
from netdsl.states.types import Cause
from tests.cases import each_of
from tests.readings import EXAMPLES, PLANTS, drawing_of

_STEPS = 12


@each_of("plant", PLANTS)
def test_operations_feed_the_loads_of_a_slice_as_they_do_in_the_whole(plant: Path) -> None:
    circuit = circuit_of(drawing_of(plant).network)
    chance = random.Random(plant.parent.name)
    played = [load.nodes for load in circuit.loads]
    seen = []
    for _, part, loads in Slicer(circuit).by_function(100):
        seen += [load.nodes for load in loads]
        assert part.points <= circuit.points and len(part.edges) <= len(circuit.edges)
        whole, own = Simulation(circuit), Simulation(part)
        whole.settle()
        own.settle()
        here = {load.nodes: load for load in part.loads}
        movers = operable(part)
        for _ in range(_STEPS if movers else 1):
            for load in loads:
                assert bool(whole.joined.fed(load)) is bool(own.joined.fed(here[load.nodes])), load
            if movers and chance.random() < 0.8:
                mover = chance.choice(movers)
                on = not own.state[mover]
                whole.operate(mover, on)
                own.operate(mover, on)
            else:
                whole.wait()
                own.wait()
    assert sorted(seen) == sorted(played)


def test_a_slice_has_no_more_than_its_loads_depend_on() -> None:
    circuit = circuit_of(drawing_of(EXAMPLES / "hatchery" / "plant.netdsl").network)
    sizes = {name: {mover.device for mover in part.movements} for name, part, _ in Slicer(circuit).by_function(100)}
    assert not {"=RP2-S21", "=RP2-S22", "=AB1-S1", "=AB1-T1", "-B9"} & sizes["=RP1"]
    assert {"=RP1-S1", "=ES1-S1", "-F3"} <= sizes["=RP1"]
    assert circuit.movements[next(m for m in circuit.movements if m.device == "-F3")].cause is Cause.FREE


def test_many_loads_of_one_function_are_tested_in_parts() -> None:
    circuit = circuit_of(drawing_of(EXAMPLES / "hatchery" / "plant.netdsl").network)
    parts = [(name, len(loads)) for name, _, loads in Slicer(circuit).by_function(2)]
    assert max(count for _, count in parts) == 2 and sum(count for _, count in parts) == len(circuit.loads)
    assert [name for name, test in bench_tests(circuit)] == [""]
