"""The highest fault level that each point of the power circuit bears."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.coordination.exposed import ExposedThings
from netdsl.calc.coordination.strength import EquipmentWithstands
from netdsl.calc.protection import BreakingCapacities
from netdsl.model.kinds import TAPPED

#: results whose limit is a fault current of the point itself
_BY_CURRENT = ("breaking-capacity", "equipment-withstand.conditional", "equipment-withstand.exempt")


class FaultLevelsBorne(SheetQuestion):
    """Bars, strips and supplies with the least fault current that a thing there breaks or bears."""

    place = 840
    answers = (Answer("fault-level-borne", "Highest fault level that the point bears", "I_q"),)

    def results(self) -> Iterator[Result]:
        """`fault-level-borne` of every supply, bar and strip of which all that it feeds, and the bar itself, is judged by a fault
        current, A, beside the largest that can flow there. What is judged by energy or peak alone states no such current, nor do
        loads; a point with a switch or the like that is not judged has none."""
        circuit = self._calculation.of(Circuit)
        for name in self._calculation.network.power.order:
            made = self._calculation.plant.devices[name]
            if made.category != "supply" and made.category not in TAPPED:
                continue
            largest = self._calculation.of(ExposedThings).largest(name)
            borne = self._borne(name) if largest is not None else []
            if largest is None or not borne:
                continue
            symbols = [f"I_{number}" for number in range(1, len(borne) + 1)]
            text = f"min({'; '.join(f'{{{symbol}}}' for symbol in symbols)})" if len(symbols) > 1 else "{I_1}"
            givens = tuple(replace(given, symbol=symbol) for given, symbol in zip(borne, symbols, strict=True))
            current = Given("I_k", largest.value, "A", f"largest prospective current at {name}", result=largest.key)
            least = min(borne, key=lambda given: given.value)
            yield Result.worked(
                "fault-level-borne",
                name,
                circuit.feeder(name),
                formula(text),
                "A",
                givens,
                "IEC 60364-4-43, 434.5.1; IEC 61439-1, 9.3",
                Limit(largest.value, Sense.NONE, "largest fault current there", current),
                note=f"{least.words}; {current.shown} can flow there",
                span=made.span,
            )

    def _borne(self, point: str) -> list[Given]:
        """What the point itself and the things directly behind it break or bear, each current once; empty where one of them is
        not judged."""
        found: dict[float, Given] = {}
        for name in (point, *(step.fed for step in self._calculation.of(Circuit).out_of.get(point, ()))):
            results = self._calculation.of(EquipmentWithstands).of(name)
            if isinstance(results, str):
                return []
            breaking = self._calculation.of(BreakingCapacities).of(name)
            for each in (*results, *((breaking,) if breaking is not None else ())):
                if each.question in _BY_CURRENT and each.limit_given is not None:
                    found.setdefault(each.limit_given.value, each.limit_given)
        return list(found.values())
