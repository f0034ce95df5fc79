"""Selectivity of protective devices one behind the other."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, amount, formula, one_table, rating
from netdsl.calc.circuit import Circuit
from netdsl.calc.coordination.discrimination import Discrimination, discriminate
from netdsl.calc.coordination.pairs import Pair, Pairs
from netdsl.calc.devices import Characteristic, Characteristics
from netdsl.calc.faults import FaultResults
from netdsl.calc.protection import Trips
from netdsl.kept import cached_property

SOURCE = "IEC 60364-5-53, 536.4; IEC 60947-2, annex A"
_AT_OVERLOAD = (
    "devices discriminate in the range of overload where the one ahead bears the conventional tripping current of the one behind;"
    " the bands that the standards leave overlap there, so that makers' curves decide (`selectivity-limit`, `selective`)"
)
_RATIO = formula("{I_dn} / {I_dn2}")


class Selectivities(SheetQuestion):
    """Up to which current two protective devices in series discriminate, beside the largest fault current behind both.

    A limit where the project wants it (`selectivity=total`: that current; `selectivity=partial`: the conventional tripping
    current of the one behind).
    """

    place = 640
    answers = (
        Answer("selectivity", "Selectivity", "I_s", graded=False),
        Answer("selectivity.residual", "Selectivity of residual-current devices", "r", graded=False),
    )

    def results(self) -> Iterator[Result]:
        """`selectivity` of every pair whose characteristics and fault current are known, `selectivity.residual` of two
        residual-current devices. The subject is the one behind."""
        yield from (found for _, found in self._judged if isinstance(found, Result))
        for pair in self._calculation.of(Pairs).residual:
            yield self._residual(pair)

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """The device behind of each pair that `results` leaves out, with the reason."""
        left = ((pair, why) for pair, why in self._judged if isinstance(why, str))
        return tuple((pair.behind.device, f"behind {self._named(pair.ahead)}: {why}") for pair, why in left)

    def behind(self, device: str) -> tuple[Result, ...]:
        """The results of which a device is the one behind."""
        return self._by_device.get(device, ())

    @cached_property
    def _by_device(self) -> dict[str, tuple[Result, ...]]:
        found: dict[str, tuple[Result, ...]] = {}
        for pair, each in self._judged:
            if isinstance(each, Result):
                found[pair.behind.device] = (*found.get(pair.behind.device, ()), each)
        return found

    @cached_property
    def _judged(self) -> tuple[tuple[Pair, Result | str], ...]:
        return tuple((pair, self.of(pair)) for pair in self._calculation.of(Pairs).all)

    def of(self, pair: Pair) -> Result | str:
        """The result of a pair; or, in words, why there is none."""
        device = self._calculation.plant.devices[pair.behind.device]
        largest = self._calculation.of(FaultResults).largest(device.id)
        if largest is None:
            return "the largest fault current behind it is not computed"
        breaking = rating(device, "breaking", "I_cn", "A", f"rated breaking capacity of {device.id}")
        capacity = breaking if amount(device, "breaking") else None
        known = self._calculation.of(Characteristics)
        found = self._calculation.of(Pairs).stated(pair, capacity)
        if found is None and known.unset(pair.ahead):
            return "at which current its release trips at once is not set"
        judged = discriminate(pair.ahead, pair.behind, capacity, known) if found is None else found
        if isinstance(judged, str):
            return judged
        if found is None and judged.overload:
            self._calculation.settings.assume("selectivity-overload", _AT_OVERLOAD, "common practice", "common practice")
        current = Given("I_k", largest.value, "A", f"largest prospective current at {device.id}", result=largest.key)
        amps = judged.formula.of(judged.givens)
        return Result(
            f"selectivity {device.id} behind {pair.ahead.device}",
            "selectivity",
            device.id,
            self._calculation.of(Circuit).feeder(device.id),
            amps,
            "A",
            judged.formula,
            judged.givens if self._wanted != "partial" else (*judged.givens, current),
            SOURCE,
            self._limit(pair, current),
            note=f"behind {self._named(pair.ahead)}: {_word(judged, amps, current)}; {judged.words}",
            span=device.span,
        )

    def _limit(self, pair: Pair, current: Given) -> Limit:
        wanted = self._wanted
        if wanted == "partial" and pair.behind.tripping_a is not None:
            words = f"conventional tripping current of {pair.behind.device}, for the project wants partial selectivity"
            return Limit(pair.behind.tripping_a, Sense.AT_LEAST, words)
        if wanted == "total":
            words = "largest fault current behind both, for the project wants total selectivity"
            return Limit(current.value, Sense.AT_LEAST, words, current)
        return Limit(current.value, Sense.NONE, "largest fault current behind both", current)

    @property
    def _wanted(self) -> str:
        chosen = self._calculation.plant.project.choices.get("selectivity")
        return chosen.word if chosen is not None else ""

    def _residual(self, pair: Pair) -> Result:
        """A residual-current device selective in time ahead of another, with so much more rated residual current."""
        ahead, behind = (self._calculation.plant.devices[each.device] for each in (pair.ahead, pair.behind))
        row = one_table("coordination", "residual_selectivity")
        least = Given("r", row["ratio"], "", "least ratio", None, row["source"], row["confidence"])
        delays = amount(ahead, "delay") is not None
        sense = Sense.AT_LEAST if self._wanted and delays else Sense.NONE
        held = delays and amount(behind, "delay") is None
        note = f"behind {ahead.id}, which is delayed" if held else f"behind {ahead.id}: none, for it is not the only one delayed"
        return Result.worked(
            "selectivity.residual",
            behind.id,
            self._calculation.of(Circuit).feeder(behind.id),
            _RATIO,
            "",
            (
                rating(ahead, "residual-current", "I_dn", "A", f"rated residual current of {ahead.id}"),
                rating(behind, "residual-current", "I_dn2", "A", f"rated residual current of {behind.id}"),
            ),
            "IEC 60364-5-53, 535.3",
            Limit(least.value, sense, "least ratio of rated residual currents", least),
            key=f"selectivity.residual {behind.id} behind {ahead.id}",
            note=note,
            span=behind.span,
        )

    def _named(self, device: Characteristic) -> str:
        return self._calculation.of(Trips).named(device)


def _word(found: Discrimination, amps: float, largest: Given) -> str:
    """`total`, `partial` or `none`, held to the largest current that can flow here."""
    if not found.overload:
        return "none"
    if amps >= largest.value * (1 - 1e-9):
        return f"total, for no more than {largest.shown} can flow"
    return f"partial, for up to {largest.shown} can flow"
