"""The power circuit as the calculation walks it: steps of the power tree, paths from a source, their impedances."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property
from math import pi, sqrt

from netdsl.calc.earth_paths import EarthPaths
from netdsl.calc.leads import Impedances, Leads, Missing, network_frequency, together
from netdsl.calc.results import Gap
from netdsl.calc.settings import Settings
from netdsl.calc.steps import Path, Step
from netdsl.findings import Span
from netdsl.model.plant import Device, Plant
from netdsl.network.types import Network
from netdsl.quantities import Quantity

#: devices that protect what is behind them
PROTECTIVE = frozenset({"breaker", "fuse", "motor-breaker", "overload", "residual-device"})
#: devices at whose output a circuit of its own begins
CONVERTERS = frozenset({"drive", "transformer", "supply-24v"})
#: devices in the power path whose own impedance counts
_IN_SERIES = frozenset({"reactor", "filter", "breaker", "fuse", "motor-breaker", "overload", "contactor", "isolator"})
_TAPPED = frozenset({"strip", "busbar"})
#: paths followed to one device; a bypass has two
MAX_PATHS = 8

_NOTHING: Impedances = (0j, 0j, 0j)


class Gaps:
    """Data that is missing, one entry per feeder and kind."""

    def __init__(self) -> None:
        self._found: dict[tuple[str, str], Gap] = {}

    def note(self, gap: Gap) -> None:
        """Remember a gap; of one already known for its feeder and kind, add the things and the absent results."""
        key = (gap.feeder, gap.kind)
        known = self._found.get(key)
        if known is None:
            self._found[key] = gap
            return
        things = tuple(dict.fromkeys((*known.things, *gap.things)))
        absent = tuple(dict.fromkeys((*known.absent, *gap.absent)))
        if (things, absent) != (known.things, known.absent):
            self._found[key] = Gap(gap.feeder, gap.kind, things, absent, known.span, known.remedy)

    def __iter__(self) -> Iterator[Gap]:
        return iter(self._found.values())


class Circuit:
    """The power tree with impedances. Everything is worked out once, on first use."""

    def __init__(self, network: Network, settings: Settings, gaps: Gaps) -> None:
        self.network = network
        self.plant: Plant = network.plant
        self.settings = settings
        self.gaps = gaps
        self.leads = Leads(network, settings)
        self.frequency_hz = network_frequency(self.plant)

    # --- steps and paths ------------------------------------------------------------------------------------------
    @cached_property
    def earths(self) -> EarthPaths:
        """The ways back to the supplies over protective conductors."""
        return EarthPaths(self)

    @cached_property
    def steps(self) -> dict[tuple[str, str], Step]:
        """Steps by (feeder, fed), in the order of the power tree."""
        behind = dict(self.network.power.graph.adjacency())
        return {
            (feeder, fed): self._step(feeder, fed, data["conductors"], data["cables"], data["neutral"])
            for feeder in self.network.power.order
            for fed, data in behind[feeder].items()
        }

    @cached_property
    def into(self) -> dict[str, tuple[Step, ...]]:
        """Steps that feed each device."""
        found: dict[str, list[Step]] = {}
        for step in self.steps.values():
            found.setdefault(step.fed, []).append(step)
        return {device: tuple(steps) for device, steps in found.items()}

    @cached_property
    def out_of(self) -> dict[str, tuple[Step, ...]]:
        """Steps that leave each device."""
        found: dict[str, list[Step]] = {}
        for step in self.steps.values():
            found.setdefault(step.feeder, []).append(step)
        return {device: tuple(steps) for device, steps in found.items()}

    @cached_property
    def step_of(self) -> dict[str, Step]:
        """The step that each live or neutral conductor of the power tree belongs to."""
        return {conductor: step for step in self.steps.values() for conductor in (*step.conductors, *step.neutral)}

    def paths(self, device: str) -> tuple[Path, ...]:
        """Ways from a source to `device`, the one through what is declared first first; empty for what nothing feeds."""
        return self._paths.get(device, ())

    def path(self, device: str) -> Path | None:
        """The first way from a source to `device`."""
        found = self.paths(device)
        return found[0] if found else None

    def protections(self, path: Path) -> tuple[str, ...]:
        """Protective devices on a path, the nearest to the source first, the last device included."""
        return tuple(name for name in path.devices if self.plant.devices[name].kind in PROTECTIVE)

    @cached_property
    def _paths(self) -> dict[str, tuple[Path, ...]]:
        found: dict[str, list[Path]] = {}
        for device in self._topological():
            for step in self.into.get(device, ()):
                for path in found.get(step.feeder, ()):
                    if self._goes_on(path, step) and len(found.setdefault(device, [])) < MAX_PATHS:
                        found[device].append(self._beyond(path, step))
            if self._begins(device):
                found.setdefault(device, []).append(_start(device))
        return {device: tuple(paths) for device, paths in found.items()}

    def _goes_on(self, path: Path, step: Step) -> bool:
        """Whether what arrives by a path leaves by a step: on a strip or in a terminal box several circuits pass side by side."""
        return len(step.poles) == 0 or bool(self.carrying(path, step))

    def carrying(self, path: Path, step: Step) -> tuple[str, ...]:
        """Live conductors of a step in which what arrives by a path goes on: on a strip or in a terminal box not all."""
        via = self.plant.devices[step.feeder]
        if path.step is None or (via.category != "strip" and via.kind != "terminal-box"):
            return step.conductors
        joined = self._joined_nets(via)
        arriving = {joined.get(net, net) for net in self._nets(path.step)}
        nets = self._nets(step)
        if all(joined.get(net, net) in arriving for net in nets):  # the usual case
            return step.conductors
        return tuple(name for net, pole in zip(nets, step.poles, strict=True) if joined.get(net, net) in arriving for name in pole)

    def returning(self, path: Path, step: Step) -> tuple[str, ...]:
        """Neutral conductors of a step that go with those of `carrying`."""
        if path.step is None or len(self.carrying(path, step)) == len(step.conductors):
            return step.neutral
        joined, runs = self._joined_nets(self.plant.devices[step.feeder]), self.network.runs
        arriving = {joined.get(net, net) for net in (runs[name].net for name in path.step.neutral)}
        return tuple(name for name in step.neutral if joined.get(runs[name].net, runs[name].net) in arriving)

    def _nets(self, step: Step) -> tuple[str, ...]:
        return tuple(self.network.runs[pole[0]].net for pole in step.poles)

    def _joined_nets(self, strip: Device) -> dict[str, str]:
        """Nets that fused and disconnect terminals of a strip join, each with one of them to stand for all."""
        if strip.id not in self._joined:
            stands: dict[str, str] = {}
            for terminal in strip.terminals.values():
                sides = [self.network.net_of.get(f"{strip.id}:{terminal.name}/{side}") for side in ("in", "out")]
                if terminal.split and sides[0] is not None and sides[1] is not None:
                    one, other = (stands.get(net, net) for net in sides if net is not None)
                    stands.update({net: one for net, stand in stands.items() if stand == other})
                    stands.update({other: one, sides[0]: one, sides[1]: one})
            self._joined[strip.id] = stands
        return self._joined[strip.id]

    @cached_property
    def _joined(self) -> dict[str, dict[str, str]]:
        return {}

    def _topological(self) -> list[str]:
        """Devices of the power tree, each behind all that feed it."""
        waiting = {device: len(self.into.get(device, ())) for device in self.network.power.order}
        ready = [device for device, count in waiting.items() if not count]
        for device in ready:
            for step in self.out_of.get(device, ()):
                waiting[step.fed] -= 1
                if not waiting[step.fed]:
                    ready.append(step.fed)
        return ready

    def _begins(self, device: str) -> bool:
        """Whether a circuit begins at a device: a supply, or a converter that nothing of the plant feeds."""
        made = self.plant.devices[device]
        return made.category == "supply" or (made.kind in CONVERTERS and not self.into.get(device))

    def _beyond(self, path: Path, step: Step) -> Path:
        feeder = self.plant.devices[step.feeder]
        start = path
        if feeder.kind in CONVERTERS and feeder.id != path.origin:
            drive = feeder.id if feeder.kind == "drive" else ""
            start = Path(feeder.id, feeder.id, None, None, drive, 0j, 0j, 0j, 0j, 0j, 0j, True)
        own = self.device_impedance(step.fed)
        live = self.step_impedance(step)
        if live is None:
            return Path(step.fed, start.origin, start, step, start.drive, 0j, 0j, 0j, 0j, 0j, 0j, False)
        (cold, warm, end), (n_cold, n_warm, n_end) = live
        return Path(
            step.fed, start.origin, start, step, start.drive, start.cold + cold + own, start.warm + warm + own, start.end + end + own,
            start.neutral_cold + n_cold, start.neutral_warm + n_warm, start.neutral_end + n_end, start.known,
        )  # fmt: skip

    def _step(self, feeder: str, fed: str, conductors: Iterable[str], cables: tuple[str, ...], neutral: bool) -> Step:
        poles: dict[str, list[str]] = {}
        returns: list[str] = []
        for name in conductors:
            run = self.network.runs.get(name)
            if run is None:
                continue
            if run.net in self._return_nets:
                returns.append(name)
            else:
                poles.setdefault(run.net, []).append(name)
        live = tuple(tuple(pole) for pole in poles.values())
        return Step(feeder, fed, live, tuple(returns), cables, neutral, tuple(name for pole in live for name in pole))

    @cached_property
    def _return_nets(self) -> frozenset[str]:
        """Nets of a neutral or 0 V."""
        nets = self.network.nets.values()
        return frozenset(net.id for net in nets for potential in net.certain if potential.pole in ("N", "0V"))

    # --- impedances -----------------------------------------------------------------------------------------------
    def step_impedance(self, step: Step) -> tuple[Impedances, Impedances] | None:
        """Impedance of the worst pole and of the neutral of a step, ohm, each cold, warm and at the end of a fault.

        None where a length or section is missing; the gap is noted.
        """
        key = (step.feeder, step.fed)
        if key not in self._of_steps:
            self._of_steps[key] = self._step_impedance(step)
        return self._of_steps[key]

    @cached_property
    def _of_steps(self) -> dict[tuple[str, str], tuple[Impedances, Impedances] | None]:
        return {}

    def _step_impedance(self, step: Step) -> tuple[Impedances, Impedances] | None:
        neutral = self._pole(step, step.neutral) if step.neutral else _NOTHING
        poles = [self._pole(step, pole) for pole in step.poles]
        known = [pole for pole in poles if pole is not None]
        if neutral is None or len(known) < len(poles):
            return None
        worst = known[0] if known else _NOTHING
        for pole in known[1:]:
            if pole is not worst and abs(pole[1]) > abs(worst[1]):
                worst = pole
        return worst, neutral

    def _pole(self, step: Step, conductors: tuple[str, ...]) -> Impedances | None:
        """Impedance of one pole of a step, with the conductors by which a chain comes to it from the feeder."""
        chains = [self.chain(step, name) for name in conductors]
        if not any(chains):
            return self.impedance(conductors, step.fed)
        ways: list[Impedances] = []
        for name, chain in zip(conductors, chains, strict=True):
            pieces = [self.impedance(piece, step.fed) for piece in ((name,), *chain)]
            known = [piece for piece in pieces if piece is not None]
            if len(known) < len(pieces):
                return None
            ways.append((sum(z[0] for z in known), sum(z[1] for z in known), sum(z[2] for z in known)))
        return ways[0] if len(ways) == 1 else (together(z[0] for z in ways), together(z[1] for z in ways), together(z[2] for z in ways))

    def chain(self, step: Step, conductor: str) -> tuple[tuple[str, ...], ...]:
        """What lies between the feeder of a step and a conductor of it that begins at another device of the same chain, as from
        lamp to lamp: conductors in parallel, piece by piece, the nearest to the device fed first; empty where it begins at the feeder."""
        found: list[tuple[str, ...]] = []
        fed, seen = step.fed, {conductor}
        while True:
            run = self.network.runs[conductor]
            before = next((end.device for end in run.conductor.ends if end.device != fed), step.feeder)
            prior = self.steps.get((step.feeder, before)) if before != step.feeder else None
            if prior is None:
                return tuple(found)
            piece = tuple(name for name in (*prior.conductors, *prior.neutral)
                          if name not in seen and self.network.runs[name].net == run.net)  # fmt: skip
            if not piece:
                return tuple(found)
            found.append(piece)
            seen.update(piece)
            conductor, fed = piece[0], before

    def impedance(self, conductors: Iterable[str], fed: str | None) -> Impedances | None:
        """Impedance of conductors in parallel: cold, warm, at the end of a fault; None where it is not known, the gap noted
        under the circuit of `fed` (None: not noted)."""
        found: list[Impedances] = []
        for name in conductors:
            lead = self.leads.like(name)
            if isinstance(lead, Missing):
                if fed is not None:
                    self.note_missing(name, lead.kind, self.feeder(fed))
                return None
            key = id(lead)
            if key not in self._impedances:
                self._impedances[key] = lead.at(self.cold_c), lead.at(None), lead.at(self.end_c)
            found.append(self._impedances[key])
        if len(found) == 1:
            return found[0]
        return together(z[0] for z in found), together(z[1] for z in found), together(z[2] for z in found)

    @cached_property
    def _impedances(self) -> dict[int, Impedances]:
        """By the identity of leads, which live as long as this."""
        return {}

    def note_missing(self, name: str, kind: str, feeder: str) -> None:
        """Note a conductor whose length or section is not stated, in the circuit it belongs to; `feeder`: who asks, where it is
        part of none."""
        conductor = self.plant.conductors[name]
        thing = conductor.cable or conductor.id
        cable = self.plant.cables.get(conductor.cable or "")
        own = next((step for each in (name, *(cable.conductors if cable else ())) if (step := self.step_of.get(each))), None)
        feeder = self.feeder(own.fed) if own else feeder
        remedy = "give its section, or write `auto` and let `netdsl size --write` put one"
        if kind == "length":
            remedy = "add `length=`" + ("" if cable else ", to the wire or to the `defaults` that fit it")
        self.gaps.note(Gap(feeder, kind, (thing,), ("fault currents", "disconnection", "voltage drop"),
                           cable.span if cable else conductor.span, remedy))  # fmt: skip

    @cached_property
    def cold_c(self) -> float:
        """Temperature of conductors at the largest fault current, °C."""
        return self.settings.number("fault-temperature-max")

    @cached_property
    def end_c(self) -> float | None:
        """Temperature of conductors at the smallest fault current, °C; None: that of their insulation in service."""
        value = self.settings.given("fault-temperature").value
        return None if isinstance(value, str) else value

    def device_impedance(self, device: str) -> complex:
        """Impedance of one pole of a device in the power path, ohm: as stated, of a reactor from its inductance."""
        made = self.plant.devices[device]
        if made.kind not in _IN_SERIES and made.category not in _TAPPED:
            return 0j
        ohms, reactance = amount(made, "resistance") or 0.0, amount(made, "reactance")
        if reactance is None:
            reactance = self._choke(made) if made.kind == "reactor" else 0.0
        return complex(ohms, reactance)

    def _choke(self, reactor: Device) -> float:
        """Reactance of a reactor, ohm: from its inductance, else from its drop at rated current and voltage."""
        henry, drop, amps, volts = (amount(reactor, name) for name in ("inductance", "drop", "current", "voltage"))
        if henry:
            return 2 * pi * self.frequency_hz * henry
        if not drop or not amps:
            return 0.0
        return drop / 100 * (volts or 400.0) / (sqrt(3) * amps)

    # --- feeders --------------------------------------------------------------------------------------------------
    def feeder(self, device: str) -> str:
        """The circuit a device is listed under: its function; in the common part the first device behind the last busbar or
        strip that several circuits leave, or the device itself."""
        made = self.plant.devices.get(device)
        if made is None or made.function:
            return made.function if made else device
        if device not in self._feeders:
            self._feeders[device] = self._branch(device)
        return self._feeders[device]

    @cached_property
    def _feeders(self) -> dict[str, str]:
        return {}

    def _branch(self, device: str) -> str:
        here = device
        for _ in range(len(self.network.power.order)):
            steps = self.into.get(here, ())
            if not steps or len(self.out_of.get(steps[0].feeder, ())) > 1 or self.plant.devices[steps[0].feeder].function:
                return here
            before = self.plant.devices[steps[0].feeder]
            if before.category in ("supply", *_TAPPED):
                return here
            here = before.id
        return here

    def span_of(self, thing: str) -> Span | None:
        """Where a device, cable or conductor is declared."""
        for table in (self.plant.devices, self.plant.cables, self.plant.conductors, self.plant.places):
            if thing in table:
                span: Span = table[thing].span
                return span
        return None


def _start(device: str) -> Path:
    return Path(device, device, None, None, "", 0j, 0j, 0j, 0j, 0j, 0j, True)


def amount(device: Device, name: str) -> float | None:
    """A rating or setting of a device in the base unit of its kind, the first value of several; None where not stated."""
    value = device.settings.get(name) if name in device.settings_set else device.ratings.get(name)
    return value.value if isinstance(value, Quantity) else None


def word(device: Device, name: str) -> str:
    """A rating or setting as text, "" where not stated."""
    value = device.settings.get(name) or device.ratings.get(name)
    return value.text if isinstance(value, Quantity) else str(value or "")
