"""State of the search for sizes, and how a check that fails is traced and told."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from msgspec import Struct, field

from netdsl.calc import Calculation
from netdsl.calc.basis import Result, figure_text, sheet_questions
from netdsl.calc.circuit import Circuit
from netdsl.calc.protection import Withstands
from netdsl.collector import collector_paused
from netdsl.network.types import Network
from netdsl.quantities import number_text
from netdsl.sizing.clamps import ClampLimit
from netdsl.sizing.items import Item
from netdsl.sizing.lacking import Lacking
from netdsl.sizing.substitute import with_sizes
from netdsl.sizing.ways import is_along, way

#: what a conductor lets through in a fault, which others may bring down again as they grow: `reduce` tries these smaller together
BEARING = ("fault-withstand", "protective-conductor.table", "protective-conductor.adiabatic")
#: what larger conductors cure that a result names: as long as any of it fails, a search asks for nothing else
_OWN = frozenset(
    """
    current-carrying-capacity overload.capacity overload.tripping overload.control overload.return fault-withstand
    protective-conductor.table arrester-lead coil-voltage input-voltage serial-line.length
    """.split()
)
#: judged sizes that are kept: a search comes back to those before the last steps, whose sizes did not do
_REMEMBERED = 4
#: what depends on no section: it holds none back
LENGTHS = frozenset({"motor-cable.length", "motor-cable.peak"})


class Judgement:
    """A plant computed with some sizes, each question of it when it is first asked for."""

    def __init__(self, calculation: Calculation) -> None:
        self.calculation = calculation
        self._by_table = calculation.settings.word("protective-conductor-size") == "table"

    @cached_property
    def own(self) -> tuple[Result, ...]:
        """What is held to a limit and cured by larger conductors that it names; all else is not asked for."""
        asked = [each for each in sheet_questions() if any(answer.question in _OWN for answer in each.answers)]
        with collector_paused():
            return self._held(result for each in asked for result in self.calculation.results_of(each))

    @cached_property
    def limited(self) -> tuple[Result, ...]:
        """All that is held to a limit."""
        return self._held(self.calculation.judged)

    def _held(self, results: Iterable[Result]) -> tuple[Result, ...]:
        return tuple(each for each in results if each.limit is not None or (self._by_table and _below_table(each)))

    def lacking(self) -> Lacking:
        """What could not be computed."""
        made, like = Lacking(self.calculation), self.calculation.like
        if (self.calculation.missing and "own" in vars(self)) or (like is not None and like.missing):
            # what is missing is named in the order in which it was asked for: that of the sheet, of these sizes alone
            return Lacking(Calculation(self.calculation.network))
        return made


class Search(Struct):
    """State of a search: sizes so far, why each was last raised, those whose series ended."""

    network: Network
    sizes: dict[Item, float]
    reasons: dict[Item, str] = field(default_factory=dict)
    most: dict[Item, float] = field(default_factory=dict)  # the largest size its clamps take
    obstacles: dict[Item, str] = field(default_factory=dict)  # why none of the series fits
    notes: dict[Item, str] = field(default_factory=dict)  # what else is to be said of it
    unknown: set[Item] = field(default_factory=set)  # of which the load is not known
    along: set[Item] = field(default_factory=set)  # last raised for what a whole way adds up to
    bearing: set[Item] = field(default_factory=set)  # last raised for what a fault lets through, which other conductors change
    failing: tuple[Result, ...] = ()
    limited: tuple[Result, ...] = ()  # all that is held to a limit, with the sizes as they are
    touched: frozenset[str] = frozenset()  # conductors and devices that some check is about
    judgement: Judgement | None = None  # of the plant with the sizes as they are
    circuit: Circuit | None = None
    _index: dict[str, list[Result]] = field(default_factory=dict)  # what `about` looks up, of the results in `_indexed`
    _lacking: Lacking | None = None
    _indexed: tuple[Result, ...] | None = None
    taps: frozenset[str] = frozenset()  # conductors in which no fault is judged, for they are short
    _known: dict[tuple[float, ...], Judgement] = field(default_factory=dict)  # by sizes, newest last
    _first: Calculation | None = None  # with the sizes that were judged first

    def judge(self) -> Calculation:
        """Compute the plant with the sizes as they are, and keep what fails."""
        self._begin()
        return self.judge_rest()

    def judge_own(self) -> Calculation:
        """The same, but of what fails only that which larger conductors cure that it names: all else stays as last judged."""
        judgement = self._begin()
        self.failing = _failing(judgement.own)
        return judgement.calculation

    def judge_rest(self) -> Calculation:
        """All that `judge` keeps, of the sizes that were judged last."""
        judgement = self.judgement or self._begin()
        if self.limited is not judgement.limited:
            self.limited = judgement.limited
            self.taps = judgement.calculation.of(Withstands).taps()
            self.touched = frozenset(name for result in self.limited for name in (result.subject, *result.conductors))
        self.failing = _failing(self.limited)
        return judgement.calculation

    def _begin(self) -> Judgement:
        sizes = tuple(self.sizes.values())
        found = self._known.pop(sizes, None)
        if found is None:  # ratings stay as they are while sections are sought
            found = Judgement(Calculation(with_sizes(self.network, self.sizes), self._first))
        self._first = self._first or found.calculation
        self._known[sizes] = found
        if len(self._known) > _REMEMBERED:
            del self._known[next(iter(self._known))]
        self.judgement, self._lacking = found, None
        self.circuit = found.calculation.of(Circuit)
        return found

    def bears_on(self, result: Result) -> frozenset[str]:
        """Conductors and devices that a result is about; of what adds up along a way, all of that."""
        along = way(result, self.circuit) if self.circuit is not None and is_along(result) else ()
        return frozenset((result.subject, *result.conductors, *along))

    def lacking(self, item: Item) -> str:
        """What of an item could not be computed with the sizes as they are, "" where all was."""
        if self._lacking is None and self.judgement is not None:
            self._lacking = self.judgement.lacking()
        return self._lacking.of(item) if self._lacking is not None else ""

    def about(self, item: Item) -> tuple[Result, ...]:
        """What is held to a limit and is about an item, with the sizes as they are."""
        if self._indexed is not self.limited:
            self._index = {}
            for result in self.limited:
                if result.question not in LENGTHS:
                    for name in self.bears_on(result):
                        self._index.setdefault(name, []).append(result)
            self._indexed = self.limited
        names = (*item.conductors, item.device) if item.device else item.conductors
        found = {result.key: result for name in names for result in self._index.get(name, ())}
        return tuple(found.values())

    def failing_of(self, item: Item) -> tuple[Result, ...]:
        """Those of them that fail."""
        failing = {result.key for result in self.failing}
        return tuple(result for result in self.about(item) if result.key in failing)

    def helpless(self) -> frozenset[Item]:
        """Items that a failing check is about though it was tried with larger ones: to try smaller ones is vain."""
        items = {name: item for item in self.sizes for name in item.conductors}
        return frozenset(items[name] for result in self.failing for name in self.bears_on(result) if name in items)


def _failing(limited: Iterable[Result]) -> tuple[Result, ...]:
    return tuple(result for result in limited if not result.holds or _below_table(result))


def _below_table(result: Result) -> bool:
    """Whether a protective conductor is thinner than the table asks for, where the adiabatic equation allows it."""
    if result.question != "protective-conductor.table" or result.limit is not None or result.limit_given is None:
        return False
    return result.value > result.limit_given.value * (1 + 1e-9)


def words_of(result: Result) -> str:
    """What a result is called: `current carrying capacity`, `voltage drop, running`."""
    return result.question.replace(".", ", ").replace("-", " ")


def limit_of(result: Result) -> str:
    """`, at least 17.5 A`; "" without a limit."""
    return f", {result.sense.value} {figure_text(result.limit)} {result.unit}".rstrip() if result.limit is not None else ""


def reason_of(result: Result, size: float, item: Item) -> str:
    """`current carrying capacity: 15.5 A with 1.5 mm², at least 17.5 A`; of a required section `10 mm² required with 6 mm²`."""
    unit = "mm²" if item.unit == "mm2" else item.unit
    if result.unit == "mm²":
        return f"{words_of(result)}: {result.shown} required with {number_text(size)} mm²"
    return f"{words_of(result)}: {result.shown} with {number_text(size)} {unit}{limit_of(result)}"


def clamped(clamp: ClampLimit) -> str:
    """Why a size is no less than a clamp takes."""
    return f"clamp of `{clamp.terminal}` takes no less"
