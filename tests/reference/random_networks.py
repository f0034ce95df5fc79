"""Random radial networks, once in the language and once as an independent network calculation takes them."""

from __future__ import annotations

import random
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from itertools import islice
from math import sqrt
from typing import Any

from tests.reference.others import found

#: IEC 60228, class 2: section mm2 -> ohm/km at 20 degC
SECTIONS = {
    4: 4.61,
    6: 3.08,
    10: 1.83,
    16: 1.15,
    25: 0.727,
    35: 0.524,
    50: 0.387,
    70: 0.268,
    95: 0.193,
    120: 0.153,
    150: 0.124,
    185: 0.0991,
    240: 0.0754,
}
#: voltage factors of low voltage by the tolerance of the voltage, percent (IEC 60909-0:2016, table 1)
FACTORS = {6: (1.05, 0.95), 10: (1.10, 0.90)}
#: of the network before a transformer
NETWORK_FACTORS = (1.10, 1.00)
#: temperature coefficient of IEC 60909-0
ALPHA = 0.004
#: highest temperature of conductors in service by insulation, degC
WARM = {"PVC": 70.0, "XLPE": 90.0}


@dataclass(frozen=True)
class Cable:
    """From bus `parent` to bus `bus`; section mm2, length m, reactance ohm/km; `load`: current A and power factor at the bus, if
    any."""

    bus: int
    parent: int
    section: int
    length: float
    parallel: int
    reactance: float
    load: tuple[float, float] | None


@dataclass(frozen=True)
class Supply:
    """Fault level (A) and ratio of resistance to reactance, or a transformer (VA, %, W, V) behind a network (VA)."""

    volts: float
    level: float
    ratio: float
    power: float
    percent: float
    losses: float
    rated: float
    network: float


@dataclass(frozen=True)
class Radial:
    """A network: bus 0 are the supply's terminals. `end`: conductor temperature of the smallest fault current, degC."""

    tolerance: int
    end: float
    insulation: str
    supply: Supply
    cables: tuple[Cable, ...]

    @property
    def text(self) -> str:
        """The network in the language."""
        return "\n".join(self._lines()) + "\n"

    def _lines(self) -> Iterator[str]:
        most, least = FACTORS[self.tolerance]
        yield f"""netdsl 1
project "Random network" {{
  voltage-factor-max = {most}
  voltage-factor-min = {least}
  network-voltage-factor = {NETWORK_FACTORS[0]}
  temperature-coefficient = {ALPHA}
  fault-temperature = {self.end:g}degC
  motor-contribution = no
  insulation = {self.insulation}
}}
place +A "Hall" kind=cabinet
part load "Three-phase load" {{
  kind = motor   letter = M   class = II
  terminal :U :V :W winding 1..240mm2
}}"""
        supply = self.supply
        if supply.level:
            level = f"fault-current={supply.level:.0f}A r-over-x={supply.ratio!r}"
        else:
            level = (
                f"transformer={supply.power:.0f}VA transformer-impedance={supply.percent!r}%"
                f" transformer-losses={supply.losses:.0f}W transformer-voltage={supply.rated:g}V"
                f" network-power={supply.network:.0f}VA network-voltage=20kV"
                f" r-over-x={supply.ratio!r}"
            )
        yield f'supply -G0 "Supply" system=TN-S voltage={supply.volts:g}V {level}'
        for cable in self.cables:
            yield from self._cable(cable)

    def _cable(self, cable: Cable) -> Iterator[str]:
        start, end = f"-WB{cable.parent}" if cable.parent else "-G0", f"-WB{cable.bus}"
        yield f"busbar {end} at=+A poles=3 current=1000A"
        yield (
            f"cable -W{cable.bus} 3x{cable.section} length={cable.length:g}m parallel={cable.parallel}"
            f" reactance-per-length={cable.reactance!r}ohm/km {{"
        )
        for core, pole in (("BN", "L1"), ("BK", "L2"), ("GY", "L3")):
            yield f"  {core} {start}:{pole} to {end}:{pole}"
        yield "}"
        if cable.load is not None:
            current, factor = cable.load
            yield f"device -M{cable.bus} load at=+A current={current!r}A power-factor={factor!r}"
            yield f"wire {end}:L1,L2,L3 to -M{cable.bus}:U,V,W {cable.section}mm2 resistance=0ohm"


def networks(seed: int, count: int) -> list[Radial]:
    """Random networks; the same for the same seed."""
    chance = random.Random(seed)
    return [_network(chance) for _ in range(count)]


def _network(chance: random.Random) -> Radial:
    supply = _supply(chance)
    insulation = chance.choice(sorted(WARM))
    cables = [_random_cable(chance, bus) for bus in range(1, chance.randint(2, 12))]
    cables[-1] = _loaded(chance, cables[-1])
    radial = Radial(chance.choice(sorted(FACTORS)), float(chance.choice((70, 90, 160, 250))), insulation, supply, tuple(cables))
    # Currents such that the farthest load sees a drop that a designer would still accept.
    scale = chance.uniform(0.5, 4.0) / max(_drops(radial))
    scaled = (
        cable if cable.load is None else _loaded(chance, cable, round(cable.load[0] * scale, 4), cable.load[1])
        for cable in cables
    )
    return Radial(radial.tolerance, radial.end, insulation, supply, tuple(scaled))


def _supply(chance: random.Random) -> Supply:
    volts = chance.choice((380.0, 400.0, 415.0, 690.0))
    if chance.random() < 0.5:
        return Supply(volts, float(chance.randrange(2000, 50000, 500)), round(chance.uniform(0.05, 1.5), 3), 0, 0, 0, 0, 0)
    power = chance.choice((100e3, 250e3, 400e3, 630e3, 1000e3, 1600e3))
    losses = round(power * chance.uniform(0.008, 0.02))
    return Supply(volts, 0, 0.1, power, chance.choice((4.0, 4.5, 6.0)), losses, volts, chance.choice((100e6, 250e6, 500e6)))


def _random_cable(chance: random.Random, bus: int) -> Cable:
    section = chance.choice(sorted(SECTIONS))
    length = float(chance.randint(5, 120))
    cable = Cable(
        bus, chance.randrange(bus), section, length, chance.choice((1, 1, 1, 2, 3)), round(chance.uniform(0.06, 0.12), 4), None
    )
    return _loaded(chance, cable) if chance.random() < 0.6 else cable


def _loaded(chance: random.Random, cable: Cable, current: float | None = None, factor: float | None = None) -> Cable:
    if current is None or factor is None:
        current, factor = chance.uniform(0.2, 1.0) * cable.section, round(chance.uniform(0.6, 1.0), 3)
    return Cable(cable.bus, cable.parent, cable.section, cable.length, cable.parallel, cable.reactance, (current, factor))


def _drops(radial: Radial) -> list[float]:
    """Rough drop at each bus, percent, to choose currents by."""
    currents = [0.0] * (len(radial.cables) + 1)
    for cable in reversed(radial.cables):
        currents[cable.bus] += cable.load[0] if cable.load else 0.0
        currents[cable.parent] += currents[cable.bus]
    drops = [0.0]
    for cable in radial.cables:
        ohms = SECTIONS[cable.section] * 1.25 * cable.length / 1000 / cable.parallel
        drops.append(drops[cable.parent] + 100 * sqrt(3) * currents[cable.bus] * ohms / radial.supply.volts)
    return drops


def _powers(radials: list[Radial]) -> dict[str, list[float]]:
    """The grids' columns of pandapower. Their impedance is the same in both cases: it divides it by the factor of the case."""
    largest, smallest = [], []
    for radial in radials:
        supply = radial.supply
        most, least = FACTORS[radial.tolerance] if supply.level else NETWORK_FACTORS
        largest.append((sqrt(3) * supply.volts * supply.level if supply.level else supply.network) / 1e6)
        smallest.append(largest[-1] * least / most)
    ratios = [radial.supply.ratio for radial in radials]
    return {"s_sc_max_mva": largest, "s_sc_min_mva": smallest, "rx_max": ratios, "rx_min": ratios}


@cache
def _bare() -> Any:
    import pandapower as pp

    return pp.create_empty_network(f_hz=50, sn_mva=1)


def bare_net() -> Any:
    """A net of pandapower with nothing in it: a copy, made in a tenth of the time that its dozens of tables take."""
    return deepcopy(_bare())


def fault_levels(radials: list[Radial], tolerance: int) -> list[list[tuple[float, ...]]]:
    """By network and bus the initial symmetrical current of a fault, A: the largest of three phases, the smallest of three, that
    of two; the voltage has that `tolerance`, percent."""

    def ask() -> Iterator[float]:
        from pandapower.shortcircuit import calc_sc

        nets, levels = Nets(radials, supplied=True), []
        for case, fault in (("max", "3ph"), ("min", "3ph"), ("min", "2ph")):
            calc_sc(nets.net, fault=fault, case=case, lv_tol_percent=tolerance, branch_results=False, inverse_y=False)
            levels.append(1000 * nets.net.res_bus_sc.ikss_ka)
        return (float(level[bus]) for buses in nets.buses for bus in buses for level in levels)

    return _by_bus(radials, found("pandapower", f"fault levels {tolerance} {radials}", ask), 3)


def flows(radials: list[Radial]) -> list[list[tuple[float, ...]]]:
    """By network and bus the voltage in service: per unit, and its angle in degrees."""

    def ask() -> Iterator[float]:
        import pandapower as pp

        nets = Nets(radials, supplied=False)
        pp.runpp(nets.net, consider_line_temperature=True, numba=False)
        flow = nets.net.res_bus
        return (float(column[bus]) for buses in nets.buses for bus in buses for column in (flow.vm_pu, flow.va_degree))

    return _by_bus(radials, found("pandapower", f"flows {radials}", ask), 2)


def _by_bus(radials: list[Radial], numbers: list[float], each: int) -> list[list[tuple[float, ...]]]:
    """Numbers by network and bus, so many for each bus."""
    rest = iter(numbers)
    return [[tuple(islice(rest, each)) for _ in range(len(radial.cables) + 1)] for radial in radials]


class Nets:
    """The same networks side by side in one net of pandapower, so that each calculation runs once for all of them.

    `buses`: its bus of each network's bus. `supplied`: with the supplies' impedances, for faults; else the terminals of the
    supply are held at their voltage and loads are connected, for the flow in service.
    """

    def __init__(self, radials: list[Radial], *, supplied: bool) -> None:
        import pandapower as pp

        self.net = bare_net()
        # each call of pandapower copies its tables: one call for the things of one kind of all networks
        counts = [len(radial.cables) + 1 for radial in radials]
        volts = [radial.supply.volts / 1000 for radial, count in zip(radials, counts, strict=True) for _ in range(count)]
        numbers = iter([int(bus) for bus in pp.create_buses(self.net, len(volts), vn_kv=volts)])
        self.buses = [list(islice(numbers, count)) for count in counts]
        self._cables(pp, radials)
        terminals = [buses[0] for buses in self.buses]
        if supplied:
            self._grids(pp, self._transformed(pp, radials, terminals), **_powers(radials))
        else:
            self._grids(pp, terminals)
            self._loads(pp, radials)

    def _cables(self, pp: Any, radials: list[Radial]) -> None:
        rows = [(radial, buses, cable) for radial, buses in zip(radials, self.buses, strict=True) for cable in radial.cables]
        pp.create_lines_from_parameters(
            self.net,
            [buses[cable.parent] for _, buses, cable in rows],
            [buses[cable.bus] for _, buses, cable in rows],
            length_km=[cable.length / 1000 for *_, cable in rows],
            r_ohm_per_km=[SECTIONS[cable.section] for *_, cable in rows],
            x_ohm_per_km=[cable.reactance for *_, cable in rows],
            c_nf_per_km=0,
            max_i_ka=1,
            parallel=[cable.parallel for *_, cable in rows],
            alpha=ALPHA,
        )
        self.net.line["endtemp_degree"] = [radial.end for radial, *_ in rows]
        self.net.line["temperature_degree_celsius"] = [WARM[radial.insulation] for radial, *_ in rows]

    def _transformed(self, pp: Any, radials: list[Radial], terminals: list[int]) -> list[int]:
        """The bus of each network's grid: that of its terminals, or the one ahead of its transformer."""
        stepped = [index for index, radial in enumerate(radials) if not radial.supply.level]
        supplies = [radials[index].supply for index in stepped]
        ahead = [int(bus) for bus in pp.create_buses(self.net, len(stepped), vn_kv=20)]
        pp.create_transformers_from_parameters(
            self.net,
            ahead,
            [terminals[index] for index in stepped],
            sn_mva=[supply.power / 1e6 for supply in supplies],
            vn_hv_kv=20,
            vn_lv_kv=[supply.rated / 1000 for supply in supplies],
            vkr_percent=[100 * supply.losses / supply.power for supply in supplies],
            vk_percent=[supply.percent for supply in supplies],
            pfe_kw=0,
            i0_percent=0,
        )
        grids = dict(zip(stepped, ahead, strict=True))
        return [grids.get(index, bus) for index, bus in enumerate(terminals)]

    def _grids(self, pp: Any, buses: list[int], **powers: list[float]) -> None:
        first = pp.create_ext_grid(self.net, buses[0], **{name: values[0] for name, values in powers.items()})
        self.net.ext_grid = self.net.ext_grid.loc[[first] * len(buses)].reset_index(drop=True)
        self.net.ext_grid["bus"] = buses
        for name, values in powers.items():
            self.net.ext_grid[name] = values

    def _loads(self, pp: Any, radials: list[Radial]) -> None:
        rows = [
            (buses[cable.bus], radial.supply.volts, *cable.load)
            for radial, buses in zip(radials, self.buses, strict=True)
            for cable in radial.cables
            if cable.load is not None
        ]
        powers = [sqrt(3) * volts * current / 1e6 for _, volts, current, _ in rows]
        pp.create_loads(
            self.net,
            [bus for bus, *_ in rows],
            [power * row[3] for power, row in zip(powers, rows, strict=True)],
            [power * sqrt(1 - row[3] ** 2) for power, row in zip(powers, rows, strict=True)],
            const_i_p_percent=100,
            const_i_q_percent=100,
        )
