"""Overload of the return wires of control circuits, which no protective device stands in: what those on the live side let
flow."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Given, Limit, Result, Sense, SheetQuestion, amount, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.conductors import Ampacities
from netdsl.calc.control.paths import ControlCircuits, Feed
from netdsl.calc.control.source_poles import Source
from netdsl.calc.devices import Characteristics
from netdsl.model.kinds import INNER_SUPPLIES, PROTECTIVE
from netdsl.sums import sum_of

_TAKEN = formula("{I_n}")


class ControlReturns(SheetQuestion):
    """One result per 24 V supply or control transformer, of the return wire that bears least of what can flow in it."""

    place = 330
    answers = (Answer("overload.return", "Overload: return of a control circuit", "I_n"),)

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._plant = calculation.plant

    def results(self) -> Iterator[Result]:
        """`overload.return` of each source whose own limit and whose branches' ratings are known."""
        circuits = self._calculation.of(ControlCircuits)
        for source in circuits.net.sources:
            if source.inner and self._plant.devices[source.device].kind in INNER_SUPPLIES:
                found = self._of(source, circuits.by_source.get(source.pole, ()))
                if found is not None:
                    yield found

    def _of(self, source: Source, feeds: tuple[Feed, ...]) -> Result | None:
        most = amount(self._plant.devices[source.device], "output-current") or source.amps
        worst: tuple[float, str, float, tuple[str, ...]] | None = None
        for name, devices in self._letting(feeds).items():
            ratings = [self._rated(device) for device in devices]
            known = [amps for amps in ratings if amps is not None]
            flows = sum_of(known) if len(known) == len(ratings) else None
            amps = min((each for each in (flows, most) if each is not None), default=None)
            capacity = self._calculation.of(Ampacities).of(name, alone=True)
            if amps is not None and capacity is not None and (worst is None or amps / capacity.amps > worst[0]):
                worst = amps / capacity.amps, name, amps, tuple(devices) if amps == flows else ()
        return self._result(source, *worst[1:]) if worst is not None else None

    def _letting(self, feeds: tuple[Feed, ...]) -> dict[str, dict[str, None]]:
        """By return wire the protective devices next to the sinks whose current comes back by it; "" for a sink without one."""
        circuits = self._calculation.of(ControlCircuits)
        found: dict[str, dict[str, None]] = {}
        for feed in feeds:
            out, back = circuits.line(feed, False), circuits.line(feed, True) if feed.leaves else None
            if out is None or back is None:
                continue
            device = next((name for name in out.devices if self._plant.devices[name].kind in PROTECTIVE), "")
            for name in back.conductors:
                found.setdefault(name, {})[device] = None
        return found

    def _rated(self, device: str) -> float | None:
        release = self._calculation.of(Characteristics).of(device) if device else None
        return release.rated_a if release is not None else None

    def _result(self, source: Source, name: str, amps: float, devices: tuple[str, ...]) -> Result | None:
        capacity = self._calculation.of(Ampacities).of(name, alone=True)
        if capacity is None:
            return None
        span = self._plant.devices[devices[0] if devices else source.device].span
        words = (
            f"rated current of {' and '.join(devices)} together"
            if len(devices) > 1
            else (f"rated current of {devices[0]}" if devices else f"rated current of {source.pole}")
        )
        i_n = Given("I_n", amps, "A", words, span)
        i_z = Given("I_z", capacity.amps, "A", f"capacity of {name}, alone", self._plant.conductors[name].span)
        return Result.worked(
            "overload.return",
            source.device,
            self._calculation.of(Circuit).feeder(source.device),
            _TAKEN,
            "A",
            (i_n, *capacity.givens),
            "IEC 60364-4-43, 433.1",
            Limit(capacity.amps, Sense.AT_MOST, f"current-carrying capacity of {name}", i_z),
            key=f"overload.return {source.pole}",
            note="no protective device stands in a return: those on the live side count",
            conductors=(name,),
            span=self._plant.devices[source.device].span,
        )
