"""The search for the smallest sizes: all begin at the smallest; what a failing check can be cured by grows, until none fails."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import inf

from netdsl.calc.calculation import Calculation
from netdsl.calc.circuit import Circuit
from netdsl.calc.leads import Lead
from netdsl.calc.results import Result, figure_text
from netdsl.network.types import ConductorClass, Network
from netdsl.quantities import number_text
from netdsl.sizing.clamps import ClampLimit, largest_taken, smallest_taken
from netdsl.sizing.items import Item, is_earth, items_of
from netdsl.sizing.ratings import load_of, smallest_rating
from netdsl.sizing.substitute import range_up_to, with_sizes

#: rounds of the search; each raises sizes by one step at least
MAX_ROUNDS = 80
#: items that are tried smaller in the end; each step costs a whole calculation
MAX_TRIES = 30
_ALONG = ("voltage-drop", "disconnection", "supply-trip", "control-drop", "loop-burden")
_BESIDE = ("protective-conductor.table", "protective-conductor.adiabatic")
#: what depends on no section: it holds none back
_LENGTHS = frozenset({"motor-cable.length", "motor-cable.peak"})
_FIXED = _LENGTHS | {"overload.rated", "breaking-capacity"}
_UNJUDGED = "no check here is about it: as written"
#: the reason where nothing forced a larger size
STANDARD = "smallest of the series, and every check passes"


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
    most: dict[Item, float] = field(default_factory=dict)  # the largest size its clamps take
    along: set[Item] = field(default_factory=set)  # last raised for what a whole way adds up to
    beside: set[Item] = field(default_factory=set)  # last raised as protective conductors of phases that were thinner then
    failing: tuple[Result, ...] = ()
    touched: frozenset[str] = frozenset()  # conductors and devices that some check is about

    def judge(self) -> Calculation:
        """Compute the plant with the sizes as they are, and keep what fails."""
        calculation = Calculation(with_sizes(self.network, self.sizes))
        limited = [result for result in calculation.judged if result.limit is not None]
        self.failing = tuple(result for result in limited if not result.holds)
        self.touched = frozenset(name for result in limited for name in (result.subject, *result.conductors))
        return calculation


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
        clamp = largest_taken(network, item)
        if clamp is not None:
            search.most[item] = max(clamp.least, size)
    owners = _owners(search.sizes)
    for _ in range(MAX_ROUNDS):
        calculation = search.judge()
        _follow_phases(search, calculation, owners)
        if not _raise_all(search, calculation, owners):
            break
    _reduce(search)
    _follow_earths(search)
    if start.settings.word("one-section-per-class") == "yes":
        _level(search)
        search.judge()
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
    if not item.series:
        return item.present or 0.0, "no section is stocked that this use allows"
    clamp = smallest_taken(calculation.network, item)
    fitting = [size for size in item.series if clamp is None or size >= clamp.least - 1e-9]
    size = fitting[0] if fitting else item.series[-1]
    return size, _clamped(clamp) if clamp is not None and size > item.series[0] else ""


def _clamped(clamp: ClampLimit) -> str:
    return f"clamp of `{clamp.terminal}` takes no less"


def _owners(sizes: Mapping[Item, float]) -> dict[str, Item]:
    """The item that each conductor belongs to."""
    return {name: item for item in sizes for name in item.conductors}


def _raise_all(search: _Search, calculation: Calculation, owners: Mapping[str, Item]) -> bool:
    """Raise what can cure the failing results by one step; False where nothing could be raised.

    What fails on a conductor itself is cured first: a way that is too thin somewhere would make all of it grow.
    """
    own = [result for result in search.failing if not _is_along(result)]
    along = [result for result in search.failing if _is_along(result)]
    return _raise(search, own, calculation.circuit, owners) or _raise(search, along, calculation.circuit, owners)


def _raise(search: _Search, failing: Iterable[Result], circuit: Circuit, owners: Mapping[str, Item]) -> bool:
    raised: set[Item] = set()
    for result in failing:
        candidates = _cures(result, circuit, owners)
        if any(item in raised for item in candidates):
            continue  # what was raised already may be enough
        for item in candidates:
            bigger = _next(item, search.sizes[item], search.most.get(item, inf))
            if bigger is not None:
                search.reasons[item] = _reason(result, search.sizes[item], item)
                search.sizes[item] = bigger
                (search.along.add if _is_along(result) else search.along.discard)(item)
                (search.beside.add if result.question in _BESIDE else search.beside.discard)(item)
                raised.add(item)
                break
    return bool(raised)


def _is_along(result: Result) -> bool:
    """Whether a result adds up along a whole way, so that any conductor of it may be the cure."""
    return result.question.startswith(_ALONG)


def _next(item: Item, size: float, most: float) -> float | None:
    return next((bigger for bigger in item.series if size + 1e-9 < bigger <= most + 1e-9), None)


def _cures(result: Result, circuit: Circuit, owners: Mapping[str, Item]) -> list[Item]:
    """Items that a failing result can be cured by, the best first."""
    if _is_along(result):
        return _by_share(_way(result, circuit), circuit, owners)
    if result.question in _FIXED:
        return []
    return [item for item in dict.fromkeys(owners.get(name) for name in result.conductors) if item is not None]


def _way(result: Result, circuit: Circuit) -> tuple[str, ...]:
    """Conductors that the value of a result depends on: of the path to its subject, and of the way back through earth."""
    found = list(result.conductors)
    path = circuit.path(result.subject)
    if path is not None:
        found += [name for step in path.steps for name in (*step.conductors, *step.neutral)]
    if result.question.startswith("disconnection"):
        found += [name for edge in _back(result.subject, circuit) for name in edge]
    return tuple(dict.fromkeys(found))


def _back(device: str, circuit: Circuit) -> tuple[tuple[str, ...], ...]:
    """Protective conductors back from a device; of one without an earth terminal, from its enclosure."""
    own = circuit.earth_path(device)
    if own is None and device in circuit.plant.devices:
        place = circuit.plant.places.get(circuit.plant.devices[device].place)
        own = circuit.earth_path(place.enclosure) if place is not None and place.enclosure else None
    return own or ()


def _by_share(names: Iterable[str], circuit: Circuit, owners: Mapping[str, Item]) -> list[Item]:
    """Items of conductors, that with the largest impedance first."""
    shares: dict[Item, float] = {}
    for name in names:
        item = owners.get(name)
        lead = circuit.leads.of(name)
        if item is not None and isinstance(lead, Lead):
            shares[item] = max(shares.get(item, 0.0), abs(lead.at(None)))
    return sorted(shares, key=lambda item: -shares[item])


def _follow_phases(search: _Search, calculation: Calculation, owners: Mapping[str, Item]) -> None:
    """Give a neutral laid apart from its phases their section (IEC 60364-5-52, 524.2)."""
    network, circuit = calculation.network, calculation.circuit
    for name, item in owners.items():
        run = network.runs[name]
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
        wanted = min((section for section in beside if section), default=0.0)
        size = next((size for size in item.series if size >= wanted - 1e-9), item.series[-1])
        if wanted and search.sizes[item] <= size:
            search.sizes[item] = size
            search.reasons[item] = f"as its phases, {number_text(wanted)} mm²"


def _follow_earths(search: _Search) -> None:
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


def _reduce(search: _Search) -> None:
    """Try what was raised for a whole way smaller, the thickest first: other conductors may have grown since. So may the phases
    of protective conductors, and with them the fault current that clears sooner."""
    failing = {result.key for result in search.failing}
    along = sorted(search.along, key=lambda item: -search.sizes[item])
    beside = [item for item in search.sizes if item in search.beside]
    for item in (*along[:MAX_TRIES], *beside[:MAX_TRIES]):
        _reduce_one(search, item, failing)
    search.judge()


def _reduce_one(search: _Search, item: Item, failing: set[str]) -> None:
    """Make an item as small as it can be without anything failing that is not in `failing`, and keep what stops it."""
    clamp = smallest_taken(search.network, item)
    least = clamp.least if clamp is not None else 0.0
    for smaller in reversed([size for size in item.series if least - 1e-9 <= size < search.sizes[item] - 1e-9]):
        kept = search.sizes[item]
        search.sizes[item] = smaller
        search.judge()
        stopping = next((result for result in search.failing if result.key not in failing), None)
        if stopping is not None:
            search.sizes[item] = kept
            search.reasons[item] = _reason(stopping, smaller, item)
            return
    if clamp is not None and search.sizes[item] > item.series[0]:
        search.reasons[item] = _clamped(clamp)
    else:
        search.reasons.pop(item, None)


def _reason(result: Result, size: float, item: Item) -> str:
    """`current carrying capacity: 15.5 A with 1.5 mm², at least 17.5 A`; of a required section `10 mm² required, 6 mm² is less`."""
    unit = "mm²" if item.unit == "mm2" else item.unit
    words = result.question.replace(".", ", ").replace("-", " ")
    if result.unit == "mm²":
        return f"{words}: {result.shown} required, {number_text(size)} mm² is less"
    limit = f", {result.sense.value} {figure_text(result.limit)} {result.unit}".rstrip() if result.limit is not None else ""
    return f"{words}: {result.shown} with {number_text(size)} {unit}{limit}"


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
    names = {*item.conductors, item.device} - {""}
    reason = search.reasons.get(item)
    if reason is None and not names & search.touched:
        return Proposal(item, item.present, item.written, _UNJUDGED, not item.open_values)
    size = search.sizes[item]
    failing = [
        result for result in search.failing if result.question not in _LENGTHS and {result.subject, *result.conductors} & names
    ]
    return Proposal(item, size or None, _text(item, size), reason or STANDARD, not failing and bool(size))


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
