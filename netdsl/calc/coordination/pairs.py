"""Protective devices one behind the other, and what makers state of such a pair."""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf
from typing import NamedTuple

from msgspec.structs import replace

from netdsl.calc.basis import Given, Question, amount, formula
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.coordination.discrimination import Discrimination
from netdsl.calc.coordination.referring import WORST_SHARE, referred
from netdsl.calc.devices import Characteristic
from netdsl.calc.faults import secondary_volts
from netdsl.calc.protection import Trips, named_kinds
from netdsl.kept import cached_property
from netdsl.model.kinds import BREAKING, Kind
from netdsl.model.part_type import Selective


class Pair(NamedTuple):
    """Two devices that one short-circuit current flows through: `ahead` nearer to the source. `next`: no other between them."""

    ahead: Characteristic
    behind: Characteristic
    next: bool


class Pairs(Question):
    """Pairs of devices in series that break short circuits, what protects ahead of a supply among them."""

    @cached_property
    def all(self) -> tuple[Pair, ...]:
        """Every pair once, in the order of the power tree."""
        return tuple(self._found(lambda each: each.short_circuit, beyond=True))

    @cached_property
    def residual(self) -> tuple[Pair, ...]:
        """Pairs of residual-current devices."""
        return tuple(self._found(lambda each: each.residual_a is not None))

    def _found(self, counts: object, *, beyond: bool = False) -> Iterator[Pair]:
        assert callable(counts)
        circuit, trips = self._calculation.of(Circuit), self._calculation.of(Trips)
        for name in self._calculation.network.power.order:
            if self._calculation.plant.devices[name].kind not in (*BREAKING, "residual-device"):
                continue
            seen: dict[str, Pair] = {}
            for path in circuit.paths(name):
                line = [each for each in trips.protecting(path) if counts(each)]
                if path.drive or not line or line[-1].device != name:
                    continue
                line = [*(self._ahead_of_transformer(path) if beyond else ()), *line]
                for number, ahead in enumerate(line[:-1]):
                    nearest = number == len(line) - 2
                    known = seen.get(ahead.device)
                    seen[ahead.device] = Pair(ahead, line[-1], nearest or (known is not None and known.next))
            yield from seen.values()

    def _ahead_of_transformer(self, path: Path) -> Iterator[Characteristic]:
        """What protects ahead of the transformer inside the plant at which a path begins, as a current behind that sees it."""
        made = self._calculation.plant.devices[path.origin]
        rated, volts = amount(made, "voltage"), secondary_volts(made) if made.kind == Kind.TRANSFORMER else None
        for ahead in self._calculation.of(Circuit).paths(path.origin)[:1] if rated and volts else ():
            lines = 2 if ahead.step is None or ahead.step.phases < 3 else 3
            for each in self._calculation.of(Trips).protecting(ahead):
                if each.short_circuit and volts and rated:
                    yield referred(each, rated / volts * WORST_SHARE[lines], f"{rated:g} V over {volts:g} V")

    def stated(self, pair: Pair, breaking: Given | None) -> Discrimination | None:
        """What the maker states of a pair: the device behind of the next ahead of it, or a row in the part of either; of several
        rows that fit, the one that reaches farthest. None where nothing is stated."""
        device = self._calculation.plant.devices[pair.behind.device]
        limit = amount(device, "selectivity-limit") if pair.next else None
        if limit is not None:
            words = f"current up to which {device.id} alone operates, as stated"
            return Discrimination(formula("{I_s}"), (Given("I_s", limit, "A", words, device.span),), "as stated", limit > 0)
        row = max(self._rows(pair), key=lambda each: each.up_to_a, default=None)
        if row is None:
            return None
        words = f"current up to which {device.id} alone operates, by the table of its maker"
        if not isinf(row.up_to_a):
            given = Given("I_s", row.up_to_a, "A", words, row.span)
            return Discrimination(formula("{I_s}"), (given,), "by the table of its maker", row.up_to_a > 0)
        if breaking is None:
            return None
        given = replace(breaking, symbol="I_s", words=f"{breaking.words}, all of which the table of its maker covers")
        return Discrimination(formula("{I_s}"), (given,), "by the table of its maker")

    def _rows(self, pair: Pair) -> Iterator[Selective]:
        devices = self._calculation.plant.devices
        for this, other, behind in ((pair.ahead, pair.behind, True), (pair.behind, pair.ahead, False)):
            part, beside = devices[this.device].part, devices[other.device]
            names = {*named_kinds(other), beside.part.name if beside.part is not None else ""}
            for row in part.selective if part is not None else ():
                if row.behind is behind and row.other in names and _fits(row, this, other):
                    yield row


def _fits(row: Selective, this: Characteristic, other: Characteristic) -> bool:
    """Whether the rated currents of two devices are within those of a row: behind at most, ahead at least."""
    sign = 1 if row.behind else -1
    of_other = row.current_a is None or sign * (other.rated_a or 0.0) <= sign * row.current_a + 1e-9
    of_this = row.rated_a is None or sign * (this.rated_a or 0.0) >= sign * row.rated_a - 1e-9
    return of_other and of_this
