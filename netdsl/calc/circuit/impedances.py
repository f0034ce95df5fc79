"""Impedances of the power circuit: of conductors in parallel, of steps, of the devices in between."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import pi, sqrt

from netdsl.calc.basis import Gap, Given, amount
from netdsl.calc.circuit.lead import Impedances, Lead, Missing, in_parallel
from netdsl.calc.circuit.steps import Step
from netdsl.calc.circuit.tree import PowerTree
from netdsl.kept import cached_property, kept
from netdsl.model.kinds import BREAKING, SWITCHES, TAPPED
from netdsl.model.plant import Device
from netdsl.sums import sum_of

#: devices in the power path whose own impedance counts
_IN_SERIES = BREAKING | SWITCHES | {"reactor", "filter", "overload"}
_POLES = BREAKING | SWITCHES
_USUAL_V = 400.0
_NOTHING: Impedances = (0j, 0j, 0j)


class CircuitImpedances:
    """Impedances in the power circuit, ohm, each worked out once: cold, in service ("warm") and at the end of a fault."""

    def __init__(self, tree: PowerTree) -> None:
        self._tree = tree
        self._plant = tree.plant
        self._leads = tree.leads
        self._of_leads: dict[str, Impedances] = {}

    @kept
    def step(self, step: Step) -> tuple[Impedances, Impedances] | None:
        """Impedance of the worst pole and of the neutral of a step, ohm, each cold, warm and at the end of a fault.

        None where a length or section is missing; the gap is noted.
        """
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
            return self.parallel(conductors, step.fed)
        ways: list[Impedances] = []
        for name, chain in zip(conductors, chains, strict=True):
            pieces = [self.parallel(piece, step.fed) for piece in ((name,), *chain)]
            known = [piece for piece in pieces if piece is not None]
            if len(known) < len(pieces):
                return None
            ways.append(in_series(known))
        return _side_by_side(ways)

    def chain(self, step: Step, conductor: str) -> tuple[tuple[str, ...], ...]:
        """What lies between the feeder of a step and a conductor of it that begins at another device of the same chain, as from
        lamp to lamp: conductors in parallel, piece by piece, the nearest to the device fed first; empty where it begins at the
        feeder."""
        found: list[tuple[str, ...]] = []
        fed, seen = step.fed, {conductor}
        while True:
            run = self._tree.network.runs[conductor]
            before = next((end.device for end in run.conductor.ends if end.device != fed), step.feeder)
            prior = self._tree.steps.get((step.feeder, before)) if before != step.feeder else None
            if prior is None:
                return tuple(found)
            piece = tuple(
                name
                for name in (*prior.conductors, *prior.neutral)
                if name not in seen and self._tree.network.runs[name].net == run.net
            )
            if not piece:
                return tuple(found)
            found.append(piece)
            seen.update(piece)
            conductor, fed = piece[0], before

    def parallel(self, conductors: Iterable[str], fed: str | None) -> Impedances | None:
        """Impedance of conductors in parallel: cold, warm, at the end of a fault; None where it is not known, the gap noted
        under the circuit of `fed` (None: not noted)."""
        found: list[Impedances] = []
        for name in conductors:
            lead = self._leads.like(name)
            if isinstance(lead, Missing):
                if fed is not None:
                    self.note_missing(name, lead.kind, self._tree.feeder(fed))
                return None
            found.append(self._of_lead(lead))
        return _side_by_side(found)

    def _of_lead(self, lead: Lead) -> Impedances:
        known = self._of_leads.get(lead.conductor)  # conductors that are alike share one lead, under the name of the first
        if known is None:
            known = self._of_leads[lead.conductor] = lead.at(self.cold_c), lead.at(None), lead.at(self.end_c)
        return known

    def note_missing(self, name: str, kind: str, feeder: str) -> None:
        """Note a conductor whose length or section is not stated, in the circuit it belongs to; `feeder`: who asks, where it is
        part of none."""
        conductor = self._plant.conductors[name]
        thing = conductor.cable or conductor.id
        cable = self._plant.cables.get(conductor.cable or "")
        own = next(
            (step for each in (name, *(cable.conductors if cable else ())) if (step := self._tree.step_of.get(each))), None
        )
        feeder = self._tree.feeder(own.fed) if own else feeder
        remedy = "give its section, or write `auto` and let `netdsl size --write` put one"
        if kind == "length":
            remedy = "add `length=`" + ("" if cable else ", to the wire or to the `defaults` that fit it")
        self._tree.gaps.note(
            Gap(
                feeder,
                kind,
                (thing,),
                ("fault currents", "disconnection", "voltage drop"),
                cable.span if cable else conductor.span,
                remedy,
            )
        )

    @cached_property
    def cold_c(self) -> float:
        """Temperature of conductors at the largest fault current, °C."""
        return self._tree.settings.number("fault-temperature-max")

    @cached_property
    def end_c(self) -> float | None:
        """Temperature of conductors at the smallest fault current, °C; None: that of their insulation in service."""
        chosen = self._tree.settings.choice("fault-temperature")
        return chosen.value if isinstance(chosen, Given) else None

    def device(self, device: str) -> complex:
        """Impedance of one pole of a device in the power path, ohm: as stated, of a reactor from its inductance."""
        made = self._plant.devices[device]
        if made.kind not in _IN_SERIES and made.category not in TAPPED:
            return 0j
        ohms, reactance = amount(made, "resistance"), amount(made, "reactance")
        if ohms is None and made.kind in _POLES:
            words = "poles of breakers, fuses and switches in power circuits that state no `resistance` are taken as without"
            self._tree.settings.assume("pole-impedance", words, "usual in fault and voltage drop calculations", "common practice")
        ohms = ohms or 0.0
        if reactance is None:
            reactance = self._choke(made) if made.kind == "reactor" else 0.0
        return complex(ohms, reactance)

    def _choke(self, reactor: Device) -> float:
        """Reactance of a reactor, ohm: from its inductance, else from its drop at rated current and voltage."""
        henry, drop, amps, volts = (amount(reactor, name) for name in ("inductance", "drop", "current", "voltage"))
        if henry:
            return 2 * pi * self._tree.frequency_hz * henry
        if not drop or not amps:
            return 0.0
        if not volts:
            words = f"reactors that state a drop and no `voltage` are for {_USUAL_V:g} V"
            self._tree.settings.assume("reactor-voltage", words, "IEC 60038", "common practice")
        return drop / 100 * (volts or _USUAL_V) / (sqrt(3) * amps)


def in_series(pieces: Sequence[Impedances]) -> Impedances:
    """Impedance of pieces one behind the other, ohm."""
    return sum_of(z[0] for z in pieces), sum_of(z[1] for z in pieces), sum_of(z[2] for z in pieces)


def _side_by_side(ways: Sequence[Impedances]) -> Impedances:
    if len(ways) == 1:
        return ways[0]
    return in_parallel(z[0] for z in ways), in_parallel(z[1] for z in ways), in_parallel(z[2] for z in ways)
