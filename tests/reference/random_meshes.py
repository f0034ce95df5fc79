"""Random networks of two sources with cables side by side, of one phase with its neutral, of rings, and of two sources with ties
between."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt
from typing import Any, NamedTuple

from random_networks import ALPHA, SECTIONS, WARM, bare_net

from tests.reference.others import found

#: voltage factors of a tolerance of 10 %
MOST, LEAST = 1.10, 0.90
RATIO = 0.1  # resistance over reactance of the sources


@dataclass(frozen=True)
class Line:
    """From bus `start` to bus `end`: section mm2, length m, reactance ohm/km; `fused`: through fuses of its own."""

    start: int
    end: int
    section: int
    length: float
    reactance: float
    fused: bool = False


@dataclass(frozen=True)
class Mesh:
    """A network. `levels`: largest prospective current of each source, A, at buses 0 and 1 (one source: at bus 0 alone); `loads`:
    current A and power factor by bus. `phases`: 3, or 1 with a neutral like the line."""

    phases: int
    levels: tuple[float, ...]
    lines: tuple[Line, ...]
    loads: dict[int, tuple[float, float]]

    @property
    def volts(self) -> float:
        """Nominal voltage of the sources, V: between phases, or to neutral of one phase."""
        return 400.0 if self.phases == 3 else 230.0

    @property
    def text(self) -> str:
        """The network in the language."""
        return "\n".join(self._lines()) + "\n"

    def _lines(self) -> Iterator[str]:
        poles = ("L1", "L2", "L3") if self.phases == 3 else ("L", "N")
        terminals = ":1 :2 :3 line-in" if self.phases == 3 else ":1 line-in\n  terminal :2 neutral"
        bars = poles if self.phases == 3 else ("L1", "N")
        yield f"""netdsl 1
project "Random mesh" {{
  voltage-factor-max = {MOST}   voltage-factor-min = {LEAST}   temperature-coefficient = {ALPHA}
  motor-contribution = no   source-r-over-x = {RATIO}
}}
place +A "Hall" kind=cabinet
part load "Load" {{
  kind = heater   letter = E   class = II
  terminal {terminals}
}}"""
        phases = "" if self.phases == 3 else "phases=1 "
        for number, level in enumerate(self.levels):
            yield f"supply -G{number} system=TN-S {phases}voltage={self.volts:g}V frequency=50Hz fault-current={level:.0f}A"
        buses = {line.end for line in self.lines}
        for bus in sorted(buses):
            yield f"busbar -WB{bus} at=+A poles={3 if self.phases == 3 else 4} current=1000A"
        for number, line in enumerate(self.lines):
            yield from self._line(number, line, poles)
        for bus, (amps, cos) in self.loads.items():
            yield f"device -E{bus} load at=+A current={amps!r}A power-factor={cos!r}"
            ends = ",".join(str(n + 1) for n in range(len(poles)))
            yield f"wire -WB{bus}:{','.join(bars)} to -E{bus}:{ends} 10mm2 resistance=0ohm"
        if len(self.levels) > 1:
            first = self.lines[0].end
            yield from (f"potential {pole} of -WB{first}:{pole} parallel=yes" for pole in poles)

    def _line(self, number: int, line: Line, poles: tuple[str, ...]) -> Iterator[str]:
        start = f"-G{line.start}" if line.start < len(self.levels) else f"-WB{line.start}"
        says = f"length={line.length:g}m reactance-per-length={line.reactance!r}ohm/km"
        bars = poles if self.phases == 3 else ("L1", "N")
        starts = [f"{start}:{pole}" for pole in (poles if line.start < len(self.levels) else bars)]
        if line.fused:
            yield f"device -F{number} fuse-nh1-gg at=+A current=250A"
            yield f"wire {start}:L1,L2,L3 to -F{number}:1,3,5 {line.section}mm2 resistance=0ohm"
            starts = [f"-F{number}:{terminal}" for terminal in (2, 4, 6)]
        yield f"cable -W{number} {len(poles)}x{line.section} {says} {{"
        colours = ("BN", "BK", "GY") if len(poles) == 3 else ("BN", "BU")
        for colour, begin, pole in zip(colours, starts, bars, strict=True):
            yield f"  {colour} {begin} to -WB{line.end}:{pole}"
        yield "}"


def meshes(seed: int, count: int) -> list[Mesh]:
    """Random networks by turns of two sources and of one phase; the same for the same seed."""
    chance = random.Random(seed)
    return [_two_sources(chance) if number % 2 else _one_phase(chance) for number in range(count)]


def rings(seed: int, count: int) -> list[Mesh]:
    """Random networks of one source whose bars one or two cables more join to rings; the same for the same seed."""
    chance, found = random.Random(seed), list[Mesh]()
    while len(found) < count:
        lines = [_line(chance, 0, 1), *(_line(chance, chance.randrange(1, bus), bus) for bus in range(2, chance.randint(4, 7)))]
        last = lines[-1].end
        for _ in range(chance.randint(1, 2)):
            start, end = sorted(chance.sample(range(1, last + 1), 2))
            if all((line.start, line.end) != (start, end) for line in lines):
                lines.append(_line(chance, start, end))
        loads = {bus: (chance.uniform(2, 30), round(chance.uniform(0.7, 1.0), 3)) for bus in range(2, last + 1)}
        if len(lines) > last:
            found.append(Mesh(3, (float(chance.randrange(4000, 30000, 500)),), tuple(lines), loads))
    return found


def ties(seed: int, count: int) -> list[Mesh]:
    """Random networks of two sources, each at a bar of its own, some of them with a ring; the same for the same seed."""
    chance, found = random.Random(seed), list[Mesh]()
    for number in range(count):
        last = chance.randint(4, 8)
        levels = tuple(float(chance.randrange(4000, 30000, 500)) for _ in range(2))
        lines = [_line(chance, 0, 2), _line(chance, 1, chance.randrange(3, last + 1))]
        lines += [_line(chance, chance.randrange(2, bus), bus) for bus in range(3, last + 1)]
        start, end = sorted(chance.sample(range(2, last + 1), 2))
        if number % 2 and all((line.start, line.end) != (start, end) for line in lines):
            lines.append(_line(chance, start, end))
        found.append(Mesh(3, levels, tuple(lines), {}))
    return found


def _line(chance: random.Random, start: int, end: int, fused: bool = False) -> Line:
    section = chance.choice([each for each in sorted(SECTIONS) if each <= 120])
    return Line(start, end, section, float(chance.randint(5, 80)), round(chance.uniform(0.06, 0.12), 4), fused)


def _two_sources(chance: random.Random) -> Mesh:
    """Two sources feed bus 2 together, two cables with fuses of their own lead on to bus 3, from there cables go on."""
    levels = tuple(float(chance.randrange(4000, 30000, 500)) for _ in range(2))
    lines = [_line(chance, 0, 2), _line(chance, 1, 2), _line(chance, 2, 3, True), _line(chance, 2, 3, True)]
    lines += [_line(chance, chance.randrange(2, bus), bus) for bus in range(4, chance.randint(5, 7))]
    return Mesh(3, levels, tuple(lines), {lines[-1].end: (chance.uniform(5, 40), round(chance.uniform(0.7, 1.0), 3))})


def _one_phase(chance: random.Random) -> Mesh:
    lines = [_line(chance, 0, 1), *(_line(chance, chance.randrange(1, bus), bus) for bus in range(2, chance.randint(3, 6)))]
    loads = {line.end: (chance.uniform(1, 8), round(chance.uniform(0.7, 1.0), 3)) for line in lines if chance.random() < 0.7}
    return Mesh(1, (float(chance.randrange(500, 6000, 100)),), tuple(lines), loads)


class MeshNet(NamedTuple):
    """One mesh as pandapower takes it: of one phase by the network of three phases whose lines have the impedance there and back.

    `sources`: those that are in; `without`: numbers of lines that are out.
    """

    mesh: Mesh
    sources: tuple[int, ...]
    without: tuple[int, ...] = ()

    def faults(self, case: str, fault: str = "3ph") -> list[float]:
        """Initial symmetrical current at each bus, A."""

        def ask() -> Iterator[float]:
            from pandapower.shortcircuit import calc_sc

            net = self._made(False)
            calc_sc(net, fault=fault, case=case, lv_tol_percent=10, branch_results=False, inverse_y=False)
            return (1000 * float(amps) for amps in net.res_bus_sc.ikss_ka)

        return found("pandapower", f"faults {case} {fault} {self}", ask)

    def flow(self) -> list[tuple[float, float]]:
        """The voltage in service at each bus, per unit, and its angle in degrees; the sources are held at their voltage."""

        def ask() -> Iterator[float]:
            import pandapower as pp

            net = self._made(True)
            pp.runpp(net, consider_line_temperature=True, numba=False)
            return (float(number) for row in zip(net.res_bus.vm_pu, net.res_bus.va_degree, strict=True) for number in row)

        numbers = found("pandapower", f"flow {self}", ask)
        return list(zip(numbers[::2], numbers[1::2], strict=True))

    def _made(self, loaded: bool) -> Any:
        """The net of pandapower; `loaded`: for the flow in service, with loads and sources held at their voltage."""
        import pandapower as pp

        mesh, net = self.mesh, bare_net()
        volts = mesh.volts if mesh.phases == 3 else mesh.volts * sqrt(3)
        count = max(line.end for line in mesh.lines) + 1
        pp.create_buses(net, count, vn_kv=volts / 1000)
        both = 1 if mesh.phases == 3 else 2
        for line in (line for number, line in enumerate(mesh.lines) if number not in self.without):
            if line.start < len(mesh.levels) and line.start not in self.sources:
                continue
            pp.create_line_from_parameters(
                net,
                line.start,
                line.end,
                length_km=line.length / 1000,
                r_ohm_per_km=both * SECTIONS[line.section],
                x_ohm_per_km=both * line.reactance,
                c_nf_per_km=0,
                max_i_ka=1,
                alpha=ALPHA,
                endtemp_degree=WARM["PVC"],
                temperature_degree_celsius=WARM["PVC"],
            )
        for source in self.sources:
            power = sqrt(3) * volts * mesh.levels[source] / 1e6
            levels = (
                {} if loaded else {"s_sc_max_mva": power, "s_sc_min_mva": power * LEAST / MOST, "rx_max": RATIO, "rx_min": RATIO}
            )
            pp.create_ext_grid(net, source, **levels)
        for bus, (amps, cos) in mesh.loads.items() if loaded else ():
            power = sqrt(3) * volts * amps / 1e6
            pp.create_load(net, bus, power * cos, power * sqrt(1 - cos**2), const_i_p_percent=100, const_i_q_percent=100)
        return net
