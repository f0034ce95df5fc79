"""What would cure a check that no section cures: a smaller rating of a protective device, tried."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.quantities import number_text
from netdsl.sizing.items import Item
from netdsl.sizing.ratings import smallest_rating
from netdsl.sizing.search import Search
from netdsl.sizing.substitute import with_sizes

#: ratings that are tried in all, each for a whole calculation
MAX_TRIES = 20
#: what a smaller rating of a device can cure
_BY_RATING = ("overload", "disconnection", "fault-withstand", "protective-conductor.adiabatic", "supply-trip")


class Cures:
    """Cures of the checks that a search left failing."""

    def __init__(self, search: Search, items: Iterable[Item], start: Calculation) -> None:
        """`start`: the plant as written."""
        self._search = search
        self._ratings = {item.device: item for item in items if item.kind == "rating"}
        self._tried: dict[Item, dict[str, Result]] = {}
        self._start = start

    def of(self, result: Result) -> str:
        """`20 A for -Q1 instead of 25 A`: the smaller rating, which carries its load, with which a result keeps its limit, tried
        nearest to its subject first; "" where none does."""
        if not result.question.startswith(_BY_RATING):
            return ""
        for item in self._ahead(result):
            size = self._rating(item)
            found = self._with(item, size).get(result.key) if size is not None else None
            if found is not None and found.holds:
                return f"{number_text(size or 0.0)} A for {item.device} instead of {number_text(self._present(item) or 0.0)} A"
        return ""

    def _ahead(self, result: Result) -> list[Item]:
        """Devices with a rating on the ways to what a result is about and right behind it, the nearest first."""
        circuit = self._search.circuit
        if circuit is None:
            return []
        steps = [circuit.step_of[name] for name in result.conductors if name in circuit.step_of]
        ends = dict.fromkeys([result.subject, *(name for step in steps for name in (step.fed, step.feeder))])
        ways = [path for name in ends for path in circuit.paths(name)]
        names = dict.fromkeys(name for path in ways for name in reversed(path.devices))
        return [self._ratings[name] for name in names if name in self._ratings]

    def _present(self, item: Item) -> float | None:
        return self._search.sizes.get(item, item.present or 0.0) or None

    def _rating(self, item: Item) -> float | None:
        """A smaller rating of a device that carries its load; None where there is none."""
        present = self._present(item)
        made = smallest_rating(self._start, item)
        fits = made.known and not made.obstacle
        return made.size if fits and present is not None and made.size < present - 1e-9 else None

    def _with(self, item: Item, size: float) -> dict[str, Result]:
        if item not in self._tried:
            if len(self._tried) >= MAX_TRIES:
                return {}
            changed = with_sizes(self._search.network, {**self._search.sizes, item: size})
            self._tried[item] = {each.key: each for each in Calculation(changed).judged}
        return self._tried[item]
