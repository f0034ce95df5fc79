"""Fault currents, voltage drops and voltages of random networks against pandapower, an independent network calculation.

Both are given the same physics: resistance at 20 degC by IEC 60228, the temperature coefficient 0.004 that pandapower uses, the
temperature of conductors at the end of the fault and in service, and the voltage factors of the chosen tolerance.
"""

from __future__ import annotations

import os
from cmath import rect
from collections.abc import Iterator
from functools import cache
from math import isclose, radians

import pytest
from plants import calculated
from random_meshes import Mesh, MeshNet, meshes, rings, ties
from random_networks import FACTORS, Radial, fault_levels, flows, networks

from netdsl.calc import Calculation
from netdsl.calc.conductors.drops import VoltageDrops
from netdsl.calc.conductors.voltages import LoadVoltages
from netdsl.calc.faults.currents import Faults
from tests.cases import each_of

#: networks by default; `NETDSL_NETWORKS=200` tries as many as were asked for
COUNT = int(os.environ.get("NETDSL_NETWORKS", "40"))
#: asked is 1 %; with the same physics the two differ by rounding alone
TOLERANCE = 1e-6
#: of pandapower's own use of its table library
pytestmark = pytest.mark.filterwarnings("ignore:Downcasting object dtype:FutureWarning")


@cache
def computed() -> tuple[tuple[Radial, Calculation], ...]:
    return tuple((radial, calculated(radial.text)) for radial in networks(20260504, COUNT))


def group(tolerance: int) -> list[tuple[Radial, Calculation]]:
    return [(radial, calculation) for radial, calculation in computed() if radial.tolerance == tolerance]


def device(bus: int) -> str:
    return f"-WB{bus}" if bus else "-G0"


@pytest.mark.parametrize("tolerance", sorted(FACTORS))
def test_fault_currents_agree(tolerance: int) -> None:
    pairs = group(tolerance)
    assert len(pairs) > COUNT / 3
    for (radial, calculation), buses in zip(pairs, fault_levels([radial for radial, _ in pairs], tolerance), strict=True):
        for number, (largest, three, two) in enumerate(buses):
            level = calculation.of(Faults).at(device(number))
            assert level is not None, radial.text
            assert level.three_max == pytest.approx(largest, rel=TOLERANCE), (number, radial.text)
            assert level.three_min == pytest.approx(three, rel=TOLERANCE), (number, radial.text)
            assert level.two_min == pytest.approx(two, rel=TOLERANCE), (number, radial.text)


def drops(pairs: list[tuple[Radial, Calculation]]) -> Iterator[tuple[float, float, float]]:
    """Voltage drop of each load in percent, here and by pandapower, and the largest angle of a voltage in its network, rad."""
    for (radial, calculation), buses in zip(pairs, flows([radial for radial, _ in pairs]), strict=True):
        turned = max(abs(radians(degrees)) for _, degrees in buses)
        for cable in radial.cables:
            if cable.load is not None:
                result = calculation.of(VoltageDrops).running(f"-M{cable.bus}")
                assert result is not None, radial.text
                volts, degrees = buses[cable.bus]
                yield result.value, 100 * (1 - volts), turned
                there = rect(radial.supply.volts * volts, radians(degrees))
                here = calculation.of(LoadVoltages).phasor(f"-M{cable.bus}")
                assert here is not None and abs(here - there) < TOLERANCE * abs(there), radial.text


def test_voltage_drops_agree() -> None:
    """Within 1 %, or as far apart as the two models of a load are.

    Here the current of each load has its angle against the voltage at the origin, there against the voltage at the load itself,
    which the reactance of the cables turns by an angle a. The drop across the voltage, at most a per unit, then counts in the
    drop, so that the two differ by no more than the square of a.
    """
    pairs = list(computed())
    found = list(drops(pairs))
    assert len(found) > 2 * COUNT
    apart = [(here, there, turned) for here, there, turned in found if not isclose(here, there, rel_tol=0.01)]
    assert len(apart) <= 0.01 * len(found)
    for here, there, turned in apart:
        assert abs(here - there) <= 100 * turned**2, (here, there, turned)
        assert isclose(here, there, rel_tol=0.02), (here, there)


# --- two sources with cables side by side, and one phase ------------------------------------------------------------------
MESHES = meshes(20260601, 200 if COUNT >= 200 else 4)


@cache
def of_mesh(number: int) -> Calculation:
    return calculated(MESHES[number].text)


@each_of("number", range(0, len(MESHES), 2))
def test_of_one_phase_currents_and_voltages_agree(number: int) -> None:
    mesh, found = MESHES[number], of_mesh(number)
    largest, smallest = (MeshNet(mesh, (0,)).faults(case) for case in ("max", "min"))
    for bus in range(1, len(largest)):
        level = found.of(Faults).at(f"-WB{bus}")
        assert level is not None, mesh.text
        assert level.largest == pytest.approx(largest[bus], rel=TOLERANCE), mesh.text
        assert level.smallest == pytest.approx(smallest[bus], rel=TOLERANCE), mesh.text
    flow = MeshNet(mesh, (0,)).flow()
    for bus in mesh.loads:
        there = rect(mesh.volts * flow[bus][0], radians(flow[bus][1]))
        here = found.of(LoadVoltages).phasor(f"-E{bus}")
        assert here is not None and abs(here - there) < TOLERANCE * abs(there), mesh.text


@each_of("number", range(1, len(MESHES), 2))
def test_of_two_sources_and_cables_side_by_side_currents_and_voltages_agree(number: int) -> None:
    """The largest current is that of all sources and cables together, the smallest that of the one source and the one of the
    cables by which least flows. The voltage is the least that either source alone gives, all cables in."""
    mesh, found = MESHES[number], of_mesh(number)
    largest = MeshNet(mesh, (0, 1)).faults("max")
    alone = [MeshNet(mesh, (source,), (out,)).faults("min", "2ph") for source in (0, 1) for out in (2, 3)]
    for bus in range(2, len(largest)):
        level = found.of(Faults).at(f"-WB{bus}")
        assert level is not None, mesh.text
        assert level.three_max == pytest.approx(largest[bus], rel=TOLERANCE), (bus, mesh.text)
        assert level.two_min == pytest.approx(min(each[bus] for each in alone), rel=TOLERANCE), (bus, mesh.text)
    flows_alone = [MeshNet(mesh, (source,)).flow() for source in (0, 1)]
    for bus in mesh.loads:
        volts = [mesh.volts * flow[bus][0] for flow in flows_alone]
        here = found.of(LoadVoltages).phasor(f"-E{bus}")
        assert here is not None
        lost, there = mesh.volts - abs(here), mesh.volts - min(volts)
        assert lost == pytest.approx(there, rel=1e-5), mesh.text


# --- rings ------------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("mesh", rings(20261129, 200 if COUNT >= 200 else 1), ids=lambda mesh: f"{len(mesh.lines)} lines")
def test_in_rings_largest_currents_and_voltages_agree(mesh: Mesh) -> None:
    """Both ways feed a fault, and share what the loads draw. Shares count by their amount, not by their angle: voltages agree
    within 0.1 % of the nominal one."""
    found, largest, flow = calculated(mesh.text), MeshNet(mesh, (0,)).faults("max"), MeshNet(mesh, (0,)).flow()
    for bus in range(1, len(largest)):
        level = found.of(Faults).at(f"-WB{bus}")
        assert level is not None and level.largest == pytest.approx(largest[bus], rel=TOLERANCE), mesh.text
    for bus in mesh.loads:
        here = found.of(LoadVoltages).phasor(f"-E{bus}")
        assert here is not None
        assert abs(here) / mesh.volts == pytest.approx(flow[bus][0], abs=1e-3), mesh.text


@pytest.mark.parametrize("mesh", ties(20261129, 200 if COUNT >= 200 else 1), ids=lambda mesh: f"{len(mesh.lines)} lines")
def test_between_tied_sources_largest_currents_agree(mesh: Mesh) -> None:
    """At every bar both feed, whichever of them the power tree begins with."""
    found, largest = calculated(mesh.text), MeshNet(mesh, (0, 1)).faults("max")
    for bus in range(2, len(largest)):
        level = found.of(Faults).at(f"-WB{bus}")
        assert level is not None and level.largest == pytest.approx(largest[bus], rel=TOLERANCE), (bus, mesh.text)
