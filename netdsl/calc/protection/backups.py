"""Back-up protection of arresters against what their parts state."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, amount, formula, rating
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.devices import Characteristic, Characteristics
from netdsl.model.kinds import Kind
from netdsl.model.plant import Device

SOURCE = "IEC 60364-5-53, 534.2.4; the arrester's maker"
_TAKEN = formula("{I_n}")


class ArresterBackups(SheetQuestion):
    """The protective device of least rated current ahead of each arrester, between the least and the largest its part states."""

    place = 620
    answers = (
        Answer("arrester-backup.most", "Back-up protection of an arrester, at most", "I_n", graded=False),
        Answer("arrester-backup.least", "Back-up protection of an arrester, at least", "I_n", graded=False),
    )

    def results(self) -> Iterator[Result]:
        """`arrester-backup.most` and `.least` of every arrester that states `max-upstream` or `min-upstream`: the least rated
        current on a way to it, of several ways the result that asks most. What lies ahead of the supply counts."""
        for device in self._calculation.plant.devices.values():
            if device.kind != Kind.SURGE_PROTECTION:
                continue
            paths = self._calculation.of(Circuit).paths(device.id)
            found = [each for path in paths if (each := self.backup(path))]
            largest = amount(device, "max-upstream")
            if largest and found:
                worst = max(found, key=lambda each: each.rated_a or 0.0)
                yield self._result("most", device, worst, largest, Sense.AT_MOST)
            smallest = amount(device, "min-upstream")
            if smallest and found and all(map(self._rated, paths)):
                worst = min(found, key=lambda each: each.rated_a or 0.0)
                yield self._result("least", device, worst, smallest, Sense.AT_LEAST)

    def backup(self, path: Path) -> Characteristic | None:
        """The protective device of least rated current on a way; None where none states one."""
        known = self._calculation.of(Characteristics)
        devices = [known.of(name) for name in self._calculation.of(Circuit).protections(path)]
        if self._calculation.plant.devices[path.origin].category == "supply":
            devices.insert(0, known.upstream(path.origin))
        rated = [each for each in devices if each is not None and each.short_circuit and each.rated_a]
        return min(rated, key=lambda each: each.rated_a or 0.0, default=None)

    def _rated(self, path: Path) -> bool:
        """Whether every protective device of the plant on a way states its current: one that does not may be the smallest."""
        known = self._calculation.of(Characteristics)
        devices = [known.of(name) for name in self._calculation.of(Circuit).protections(path)]
        return all(each is not None and (each.rated_a or not each.short_circuit) for each in devices)

    def _result(self, kind: str, device: Device, ahead: Characteristic, limit: float, sense: Sense) -> Result:
        made = self._calculation.plant.devices[ahead.device]
        where = "what protects ahead of " if made.category == "supply" else ""
        given = Given("I_n", ahead.rated_a or 0.0, "A", f"rated current of {where}{ahead.device}", made.span)
        name = "max-upstream" if kind == "most" else "min-upstream"
        words = f"{'largest' if kind == 'most' else 'smallest'} protection ahead that {device.id} states"
        return Result.worked(
            f"arrester-backup.{kind}",
            device.id,
            self._calculation.of(Circuit).feeder(device.id),
            _TAKEN,
            "A",
            (given,),
            SOURCE,
            Limit(limit, sense, words, rating(device, name, "I_n", "A", words)),
            note=ahead.device,
            span=device.span,
        )
