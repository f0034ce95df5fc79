"""The search for the smallest sizes: all begin at the smallest; what a failing check can be cured by grows, until none fails."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import inf

from netdsl.calc import Calculation
from netdsl.calc.basis import Result, figure_text
from netdsl.calc.circuit import Circuit, Lead
from netdsl.calc.loads import neutrals
from netdsl.network.types import ConductorClass
from netdsl.quantities import number_text
from netdsl.sizing.clamps import largest_taken, smallest_taken
from netdsl.sizing.items import Item, is_earth
from netdsl.sizing.obstacles import FIXED
from netdsl.sizing.ratings import Rating, load_of, smallest_rating
from netdsl.sizing.reducing import reduce
from netdsl.sizing.search import BEARING, Search, clamped, reason_of
from netdsl.sizing.smaller import tell_smaller
from netdsl.sizing.substitute import with_sizes
from netdsl.sizing.ways import is_along, way

#: rounds of the search; each raises sizes by one step at least, and a series has 20: more only where ways share conductors
MAX_ROUNDS = 80


def searched(start: Calculation, items: Iterable[Item]) -> Search:
    """The sizes of `items` found from the smallest up; `start`: the plant as written."""
    network = start.network
    search = Search(network, {})
    for item in items:
        _begin(search, item, start)
        clamp = largest_taken(network, item)
        if clamp is not None:
            search.most[item] = max(clamp.least, search.sizes[item])
    owners = _owners(search.sizes)
    poles = _poles(start.of(Circuit), owners)
    for number in range(MAX_ROUNDS):
        calculation = search.judge_own() if number else search.judge()  # many searches end with the first: all in its order
        _follow_phases(search, calculation, owners)
        if not _raise_all(search, calculation, owners):
            break
        _level_poles(search, poles)
    search.judge_rest()
    reduce(search, owners)
    if _level_poles(search, poles):
        search.judge()
    _follow_earths(search)
    if start.settings.word("one-section-per-class") == "yes":
        _level(search)
        search.judge()
    else:
        tell_smaller(search, {item for items in poles for item in items})
    return search


def _begin(search: Search, item: Item, calculation: Calculation) -> None:
    """Give an item the size it begins with, and remember what decides it already."""
    if item.kind in ("setting", "rating"):
        made = _setting(calculation, item) if item.kind == "setting" else smallest_rating(calculation, item)
        search.sizes[item], search.reasons[item] = made.size, made.words
        if made.obstacle:
            search.obstacles[item] = made.obstacle
        if not made.known:
            search.unknown.add(item)
        return
    if not item.series:
        search.sizes[item] = item.present or 0.0
        return
    clamp = smallest_taken(calculation.network, item)
    fitting = [size for size in item.series if clamp is None or size >= clamp.least - 1e-9]
    search.sizes[item] = fitting[0] if fitting else item.series[-1]
    if clamp is not None and search.sizes[item] > item.series[0]:
        search.reasons[item] = clamped(clamp)


def _setting(calculation: Calculation, item: Item) -> Rating:
    amps = load_of(calculation, item.device)
    if amps is None:
        return Rating(0.0, "its load is not known", known=False)
    return Rating(amps, f"current of what it protects, {figure_text(amps)} A")


def _owners(sizes: Mapping[Item, float]) -> dict[str, Item]:
    """The item that each conductor belongs to."""
    return {name: item for item in sizes for name in item.conductors}


def _raise_all(search: Search, calculation: Calculation, owners: Mapping[str, Item]) -> bool:
    """Raise what can cure the failing results by one step; False where nothing could be raised.

    What fails on a conductor itself is cured first: a way that is too thin somewhere would make all of it grow. So what adds up
    along ways need not be known before.
    """
    circuit = calculation.of(Circuit)
    if _raise(search, [result for result in search.failing if not is_along(result)], circuit, owners):
        return True
    search.judge_rest()
    own = [result for result in search.failing if not is_along(result)]
    along = [result for result in search.failing if is_along(result)]
    return _raise(search, own, circuit, owners) or _raise(search, along, circuit, owners)


def _raise(search: Search, failing: Iterable[Result], circuit: Circuit, owners: Mapping[str, Item]) -> bool:
    raised: set[Item] = set()
    for result in failing:
        candidates = _cures(result, circuit, owners)
        if any(item in raised for item in candidates):
            continue  # what was raised already may be enough
        for item in candidates:
            bigger = _next(item, search.sizes[item], search.most.get(item, inf))
            if bigger is not None:
                search.reasons[item] = reason_of(result, search.sizes[item], item)
                search.sizes[item] = bigger
                (search.along.add if is_along(result) else search.along.discard)(item)
                (search.bearing.add if result.question.startswith(BEARING) else search.bearing.discard)(item)
                raised.add(item)
                break
    return bool(raised)


def _next(item: Item, size: float, most: float) -> float | None:
    return next((bigger for bigger in item.series if size + 1e-9 < bigger <= most + 1e-9), None)


def _cures(result: Result, circuit: Circuit, owners: Mapping[str, Item]) -> list[Item]:
    """Items that a failing result can be cured by, the best first."""
    if is_along(result):
        return _by_share(way(result, circuit), circuit, owners)
    if result.question in FIXED:
        return []
    return [item for item in dict.fromkeys(owners.get(name) for name in result.conductors) if item is not None]


def _by_share(names: Iterable[str], circuit: Circuit, owners: Mapping[str, Item]) -> list[Item]:
    """Items of conductors, that with the largest impedance first."""
    shares: dict[Item, float] = {}
    for name in names:
        item = owners.get(name)
        lead = circuit.leads.of(name)
        if item is not None and isinstance(lead, Lead):
            shares[item] = max(shares.get(item, 0.0), abs(lead.at(None)))
    return sorted(shares, key=lambda item: -shares[item])


def _poles(circuit: Circuit, owners: Mapping[str, Item]) -> list[tuple[Item, ...]]:
    """Items that are poles of one circuit each, as single-core cables of three phases are."""
    found: dict[tuple[Item, ...], None] = {}
    for step in circuit.steps.values():
        items = tuple(dict.fromkeys(owners[name] for name in step.conductors if name in owners))
        if len(items) > 1 and all(item.kind == "cable" for item in items):
            found[items] = None
    return list(found)


def _level_poles(search: Search, poles: Iterable[tuple[Item, ...]]) -> bool:
    """Give the poles of a circuit the largest section found for one of them; whether any was less."""
    changed = False
    for items in poles:
        first = max(items, key=lambda item: search.sizes[item])
        size, reason = search.sizes[first], search.reasons.get(first)
        for item in items:
            if search.sizes[item] < size <= search.most.get(item, inf):
                search.sizes[item], changed = size, True
                if reason is not None:
                    search.reasons[item] = reason
                for marked in (search.along, search.bearing):
                    (marked.add if first in marked else marked.discard)(item)
    return changed


def _follow_phases(search: Search, calculation: Calculation, owners: Mapping[str, Item]) -> None:
    """Give a neutral laid apart from its phases their section (IEC 60364-5-52, 524.2)."""
    network, circuit = calculation.network, calculation.of(Circuit)
    known = neutrals(calculation)
    for name, item in owners.items():
        run = network.runs[name]
        if item.kind == "section" and name in known:
            _at_least(search, item, known[name].needed_mm2)
            continue
        if item.kind != "section" or not any(pole.pole == "N" for pole in network.nets[run.net].certain):
            continue
        beside = [
            max(
                (
                    network.runs[phase].section_mm2 or 0.0
                    for step in circuit.into.get(end.device, ())
                    for phase in step.conductors
                ),
                default=0.0,
            )
            for end in run.conductor.ends
        ]
        _at_least(search, item, min((section for section in beside if section), default=0.0))


def _at_least(search: Search, item: Item, wanted: float) -> None:
    size = next((size for size in item.series if size >= wanted - 1e-9), item.series[-1])
    if wanted and search.sizes[item] <= size:
        search.sizes[item] = size
        search.reasons[item] = f"as its phases, {number_text(wanted)} mm²"


def _follow_earths(search: Search) -> None:
    """Give an open protective conductor that no check is about the largest section of those that end where it does."""
    network = with_sizes(search.network, search.sizes)
    for item in search.sizes:
        if not item.open_values or item in search.reasons or set(item.conductors) & search.touched or not is_earth(network, item):
            continue
        ends = {end.device for name in item.conductors for end in network.plant.conductors[name].ends}
        beside = [
            run.section_mm2 or 0.0
            for run in network.runs.values()
            if run.klass == ConductorClass.EARTH
            and run.id not in item.conductors
            and {e.device for e in run.conductor.ends} & ends
        ]
        size = next((size for size in item.series if size >= max(beside, default=0.0) - 1e-9), item.series[-1])
        search.sizes[item] = size
        search.reasons[item] = f"as the largest protective conductor beside it, {number_text(size)} mm²"


def _level(search: Search) -> None:
    """Give the wires of each class one section, the largest found; those whose clamps do not take it keep their own, with a
    note."""
    largest: dict[str, float] = {}
    wires = [item for item in search.sizes if item.kind == "section"]
    for item in wires:
        largest[item.klass] = max(largest.get(item.klass, 0.0), search.sizes[item])
    for item in wires:
        most = search.most.get(item, inf)
        if search.sizes[item] < largest[item.klass] > most + 1e-9:
            clamp = largest_taken(search.network, item)
            wanted = f"not the one section of all {item.klass} wires, {number_text(largest[item.klass])} mm²"
            search.notes[item] = (
                f"{wanted}: clamp of `{clamp.terminal if clamp else ''}` takes no more than {number_text(most)} mm²"
            )
        elif search.sizes[item] < largest[item.klass]:
            search.sizes[item] = largest[item.klass]
            search.reasons[item] = f"one section for all {item.klass} wires"
