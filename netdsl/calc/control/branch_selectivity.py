"""Selectivity of the protective devices of direct-current branches one behind the other, and against their supply's own limit."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, amount, rating
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.paths import ControlCircuits
from netdsl.calc.control.source_poles import Source
from netdsl.calc.coordination import discriminate
from netdsl.calc.devices import Characteristic, Characteristics
from netdsl.calc.protection import Trips
from netdsl.model.kinds import BREAKING


class BranchSelectivities(SheetQuestion):
    """Up to which current the hindmost of two devices behind a 24 V supply alone operates, beside what the supply gives."""

    place = 645
    answers = (Answer("selectivity.branch", "Selectivity behind a 24 V supply", "I_s", graded=False),)

    def results(self) -> Iterator[Result]:
        """`selectivity.branch DEVICE behind DEVICE` of every two, the next behind the other, of which it can be said and whose
        supply states its `peak-current`, A."""
        circuits = self._calculation.of(ControlCircuits)
        for source in circuits.net.sources:
            supply = self._calculation.plant.devices[source.device]
            if source.inner and source.kind == "dc" and amount(supply, "peak-current"):
                for behind, ahead in self._pairs(source):
                    found = self._of(source, behind, ahead)
                    if found is not None:
                        yield found

    def _pairs(self, source: Source) -> tuple[tuple[str, str], ...]:
        """Devices with the next ahead of them, in the order in which they are met."""
        circuits, found = self._calculation.of(ControlCircuits), dict[tuple[str, str], None]()
        for feed in circuits.by_source.get(source.pole, ()):
            out = circuits.line(feed, False)
            names = [name for name in out.devices if self._calculation.plant.devices[name].kind in BREAKING] if out else []
            found.update(dict.fromkeys(pairwise(names)))
        return tuple(found)

    def _of(self, source: Source, behind: str, ahead: str) -> Result | None:
        known, devices = self._calculation.of(Characteristics), self._calculation.plant.devices
        first, last = known.of(ahead), known.of(behind)
        if first is None or last is None or known.unset(first):
            return None
        made, supply = devices[behind], devices[source.device]
        breaking = rating(made, "breaking", "I_cn", "A", f"rated breaking capacity of {behind}")
        found = discriminate(first, last, breaking if amount(made, "breaking") else None, known)
        if isinstance(found, str):
            return None
        peak = rating(supply, "peak-current", "I_p", "A", f"what {supply.id} gives into a short circuit")
        amps = found.formula.of(found.givens)
        word = self._word(found.overload, amps, peak, first)
        return Result(
            f"selectivity.branch {behind} behind {ahead}",
            "selectivity.branch",
            behind,
            self._calculation.of(Circuit).feeder(behind),
            amps,
            "A",
            found.formula,
            found.givens,
            "IEC 60947-2, annex A; IEC 60898-1, table 7",
            Limit(peak.value, Sense.NONE, peak.words, peak),
            note=f"behind {self._calculation.of(Trips).named(first)}: {word}; {found.words}",
            span=made.span,
        )

    @staticmethod
    def _word(overload: bool, amps: float, peak: Given, ahead: Characteristic) -> str:
        """`total`, `partial` or `none`, held to the largest current that the supply gives."""
        if not overload:
            return "none"
        if amps >= peak.value * (1 - 1e-9):
            return f"total, for its supply gives no more than {peak.shown}"
        return f"partial: beyond it {ahead.device} may operate too"
