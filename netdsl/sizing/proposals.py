"""The search for the smallest sizes: all begin at the smallest; what a failing check can be cured by grows, until none fails."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from netdsl.calc.calculation import Calculation
from netdsl.calc.circuit import Circuit
from netdsl.calc.results import Result, Sense, figure_text
from netdsl.network.types import Network
from netdsl.quantities import number_text
from netdsl.sizing.clamps import smallest_taken
from netdsl.sizing.items import Item, items_of
from netdsl.sizing.ratings import load_of, smallest_rating
from netdsl.sizing.substitute import range_up_to, with_sizes

#: rounds of the search; each raises sizes by one step at least
MAX_ROUNDS = 80
_STANDARD = "smallest of the series, and every check passes"


@dataclass(frozen=True, slots=True)
class Proposal:
    """What is proposed for an item: `size` in mm2 or A (None where nothing of the series passes), `text` as it is written in
    the language, `because`: the check that decided, in words. `holds`: whether the checks it bears on pass with it."""

    item: Item
    size: float | None
    text: str
    because: str
    holds: bool


@dataclass(frozen=True, slots=True)
class Sizing:
    """Proposals in order of the text, and the results that fail whatever the sizes, or because a series ends."""

    proposals: tuple[Proposal, ...]
    unresolved: tuple[Result, ...]


@dataclass(slots=True)
class _Search:
    """State of a search: sizes so far, why each was last raised, those whose series ended."""

    network: Network
    sizes: dict[Item, float]
    reasons: dict[Item, str] = field(default_factory=dict)
    ended: set[Item] = field(default_factory=set)
    failing: tuple[Result, ...] = ()


def propose(network: Network) -> Sizing:
    """Proposals for every item of a plant.

    Open values are sized with all else as written; for what is written, the proposal is that of a plant in which everything
    is free. Where the project wants one section per class, the wires of a class share the largest.
    """
    calculation = Calculation(network)
    items = items_of(network, calculation)
    opened = [item for item in items if item.open_values]
    free = _search(network, items)
    bound = _search(network, opened) if len(opened) not in (0, len(items)) else free
    proposals = tuple(_proposal(item, bound if item.open_values else free) for item in items)
    return Sizing(proposals, bound.failing if opened else _search(network, ()).failing)


def _search(network: Network, items: Iterable[Item]) -> _Search:
    start = Calculation(network)
    search = _Search(network, {})
    for item in items:
        size, reason = _first(item, start)
        search.sizes[item] = size
        if reason:
            search.reasons[item] = reason
    owners = _owners(search.sizes)
    for _ in range(MAX_ROUNDS):
        calculation = Calculation(with_sizes(network, search.sizes))
        search.failing = tuple(result for result in calculation.judged if not result.holds)
        if not _raise_all(search, calculation, owners):
            break
    if start.settings.word("one-section-per-class") == "yes":
        _level(search)
        search.failing = tuple(r for r in Calculation(with_sizes(network, search.sizes)).judged if not r.holds)
    return search


def _first(item: Item, calculation: Calculation) -> tuple[float, str]:
    """The size an item begins with, and what decides it already."""
    if item.kind == "setting":
        amps = load_of(calculation, item.device)
        return (
            (amps, f"current of what it protects, {figure_text(amps)} A") if amps is not None else (0.0, "its load is not known")
        )
    if item.kind == "rating":
        return smallest_rating(calculation, item)
    clamp = smallest_taken(calculation.network, item)
    fitting = [size for size in item.series if clamp is None or size >= clamp.least - 1e-9]
    if not item.series:
        return item.present or 0.0, "no section is stocked that this use allows"
    size = fitting[0] if fitting else item.series[-1]
    return size, f"clamp of `{clamp.terminal}` takes no less" if clamp is not None and size > item.series[0] else ""


def _owners(sizes: Mapping[Item, float]) -> dict[str, Item]:
    """The item that each conductor belongs to."""
    return {name: item for item in sizes for name in item.conductors}


def _raise_all(search: _Search, calculation: Calculation, owners: Mapping[str, Item]) -> bool:
    """Raise what can cure each failing result by one step; False where nothing could be raised."""
    raised: set[Item] = set()
    for result in search.failing:
        candidates = [item for item in _cures(result, calculation.circuit, owners) if item not in raised]
        item = next((item for item in candidates if _next(search, item) is not None), None)
        if item is None:
            continue
        bigger = _next(search, item)
        if bigger is not None:
            search.reasons[item] = _reason(result, search.sizes[item], item)
            search.sizes[item] = bigger
            raised.add(item)
    return bool(raised)


def _next(search: _Search, item: Item) -> float | None:
    size = search.sizes[item]
    return next((bigger for bigger in item.series if bigger > size + 1e-9), None)


def _cures(result: Result, circuit: Circuit, owners: Mapping[str, Item]) -> list[Item]:
    """Items that a failing result can be cured by, the best first."""
    if result.question.startswith(("voltage-drop", "disconnection", "loop", "supply-trip", "control-drop")):
        names = _way(result, circuit)
        return _by_share(names, circuit, owners)
    if result.question in ("overload.rated", "breaking-capacity"):
        return []
    return [item for item in dict.fromkeys(owners.get(name) for name in result.conductors) if item is not None]


def _way(result: Result, circuit: Circuit) -> tuple[str, ...]:
    """Conductors that the value of a result depends on: of the path to its subject, and of the way back through earth."""
    found = list(result.conductors)
    path = circuit.path(result.subject)
    if path is not None:
        found += [name for step in path.steps for name in (*step.conductors, *step.neutral)]
    if result.question.startswith(("disconnection", "loop")):
        found += [name for edge in circuit.earth_path(result.subject) or () for name in edge]
    return tuple(dict.fromkeys(found))


def _by_share(names: Iterable[str], circuit: Circuit, owners: Mapping[str, Item]) -> list[Item]:
    """Items of conductors, that with the largest impedance first."""
    shares: dict[Item, float] = {}
    for name in names:
        item = owners.get(name)
        lead = circuit.leads.of(name)
        if item is not None and not hasattr(lead, "kind"):
            shares[item] = max(shares.get(item, 0.0), abs(lead.at(None)))
    return sorted(shares, key=lambda item: -shares[item])


def _reason(result: Result, size: float, item: Item) -> str:
    """`current-carrying-capacity: 15.5 A with 1.5 mm², at least 17.5 A`."""
    unit = "mm²" if item.unit == "mm2" else item.unit
    limit = f"{result.sense.value} {figure_text(result.limit)} {result.unit}".rstrip() if result.limit is not None else ""
    words = result.question.replace(".", ", ").replace("-", " ")
    return f"{words}: {result.shown} with {number_text(size)} {unit}" + (
        f", {limit}" if limit and result.sense is not Sense.NONE else ""
    )


def _level(search: _Search) -> None:
    """Give the wires of each class one section, the largest found."""
    largest: dict[str, float] = {}
    wires = [item for item in search.sizes if item.kind == "section"]
    for item in wires:
        largest[item.klass] = max(largest.get(item.klass, 0.0), search.sizes[item])
    for item in wires:
        if search.sizes[item] < largest[item.klass]:
            search.sizes[item] = largest[item.klass]
            search.reasons[item] = f"one section for all {item.klass} wires"


def _proposal(item: Item, search: _Search) -> Proposal:
    size = search.sizes[item]
    failing = [
        result for result in search.failing if set(result.conductors) & set(item.conductors) or result.subject == item.device
    ]
    because = search.reasons.get(item, _STANDARD)
    return Proposal(item, size or None, _text(item, size), because, not failing and bool(size))


def _text(item: Item, size: float) -> str:
    """A size as it is written: `2.5mm2`, `4G10`, `25A`."""
    if item.kind == "cable" and (item.written.endswith("auto") or item.present):
        return _construction(item.written, size)
    return f"{number_text(size)}{item.unit}"


def _construction(written: str, size: float) -> str:
    """A construction with another section: `4Gauto` and 10 give `4G10`, `2x2x0.75` and 1 give `2x2x1`."""
    head = written.removesuffix("auto")
    if head == written:
        cut = max(written.rfind("G"), written.rfind("x"))
        head = written[: cut + 1]
    return f"{head}{number_text(size)}"


def texts_for(proposal: Proposal) -> dict[str, str]:
    """What each open value of an item becomes, by the kind of the open value."""
    if proposal.size is None:
        return {}
    found = {}
    for value in proposal.item.open_values:
        if value.kind == "setting-range":
            low, high = range_up_to(proposal.size)
            found[value.kind] = f"{number_text(low)}..{number_text(high)}A"
        else:
            found[value.kind] = proposal.text
    return found
