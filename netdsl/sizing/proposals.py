"""Proposals for every item of a plant, made of what the search found, and how a size is written."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct
from msgspec.structs import replace

from netdsl.calc import Calculation
from netdsl.calc.basis import Result, answers
from netdsl.calc.circuit import Circuit
from netdsl.network.types import Network
from netdsl.quantities import number_text
from netdsl.sizing.cures import Cures
from netdsl.sizing.items import Item, items_of
from netdsl.sizing.obstacles import obstacle_of, unfit
from netdsl.sizing.raising import searched
from netdsl.sizing.search import Judgement, Search, limit_of, words_of
from netdsl.sizing.substitute import range_up_to

_UNJUDGED = "no check here is about it"
#: the reason where nothing forced a larger size
STANDARD = "smallest of the series"
_TAP = "a short tap, in which no fault is judged: lay it so that a short circuit is unlikely"


class Verdict(StrEnum):
    """What is said of an item. Only the first two give a size: with it every check that applies was computed and is kept."""

    PROPOSED = "proposed"
    KEPT = "kept"
    UNDECIDABLE = "not decidable"
    NONE = "none fits"


class Proposal(Struct, frozen=True):
    """What is said of an item.

    `size` in mm2 or A, None where none is proposed; `text` as it is written in the language, then as it stands. `because`: what
    decided, in words: the check that fails with the next smaller size, `smaller` (None where there is none), or what else asks
    for this one; where none fits, the check that fails. `tightest`: of all checks about it the one kept by
    the least, of those that know a distance.
    `obstacle`: what keeps a larger size away, where none fits. `lacking`: which checks could not be made, and for want of what.
    `note`: what no check covers.
    """

    item: Item
    verdict: Verdict
    size: float | None
    text: str
    because: str
    smaller: float | None = None
    tightest: str = ""
    obstacle: str = ""
    lacking: str = ""
    note: str = ""

    @property
    def holds(self) -> bool:
        """Whether a size is proposed, or what is written stays."""
        return self.verdict in (Verdict.PROPOSED, Verdict.KEPT)


class Sizing(Struct, frozen=True):
    """Proposals in order of the text; the results that fail whatever the sizes, or because a series ends, each with what would
    cure it, "" where nothing that was tried does. `opened`, `free`: the sizes with which what is open was judged, and what is
    written; of what no size is known, 0."""

    proposals: tuple[Proposal, ...]
    unresolved: tuple[Result, ...]
    cures: tuple[str, ...]
    opened: Mapping[Item, float]
    free: Mapping[Item, float]


def propose(network: Network, known: Calculation | None = None) -> Sizing:
    """Proposals for every item of a plant. `known`: what was computed of it already, if anything was.

    Open values are sized with all else as written; for what is written, the proposal is that of a plant in which everything
    is free. Where the project wants one section per class, the wires of a class share the largest.
    """
    calculation = known or Calculation(network)
    items = items_of(network, calculation)
    opened = [item for item in items if item.open_values]
    written = None if opened else _as_written(calculation)  # first: all of it in the order of the sheet
    free = searched(calculation, items)
    bound = searched(calculation, opened) if len(opened) not in (0, len(items)) else free
    proposals = tuple(_proposal(item, bound if item.open_values else free) for item in items)
    last = written or bound
    unresolved = tuple(result for result in last.failing if result.limit is not None)
    cures = Cures(last, items, calculation)
    return Sizing(proposals, unresolved, tuple(map(cures.of, unresolved)), bound.sizes if opened else {}, free.sizes)


def propose_open(network: Network, known: Calculation | None = None) -> tuple[Proposal, ...]:
    """Proposals for the open values alone, the same ones as `propose` gives: what is written is not sized beside them."""
    calculation = known or Calculation(network)
    opened = [item for item in items_of(network, calculation) if item.open_values]
    if not opened:
        return ()
    search = searched(calculation, opened)
    return tuple(_proposal(item, search) for item in opened)


def _undecided(made: Proposal, lacking: str) -> Proposal:
    """A proposal taken back, for something that it rests on is missing."""
    because = f"what could be checked asks for no less than {made.text}"
    because += f", {made.because}" if made.because != STANDARD else ""
    return replace(
        made, verdict=Verdict.UNDECIDABLE, size=None, text=made.item.written, because=because, lacking=lacking, tightest=""
    )


def _as_written(calculation: Calculation) -> Search:
    search = Search(calculation.network, {}, judgement=Judgement(calculation), circuit=calculation.of(Circuit))
    search.judge_rest()
    return search


def _proposal(item: Item, search: Search) -> Proposal:
    names = {*item.conductors, item.device} - {""}
    reason = search.reasons.get(item)
    if reason is None and not names & search.touched:
        if item.open_values:
            return Proposal(item, Verdict.UNDECIDABLE, None, item.written, _UNJUDGED)
        return Proposal(item, Verdict.KEPT, item.present, item.written, _UNJUDGED)
    size = search.sizes[item]
    failing = search.failing_of(item)
    note = "; ".join(words for words in (search.notes.get(item), _TAP if names & search.taps else "") if words)
    if item in search.unknown:
        return Proposal(item, Verdict.UNDECIDABLE, None, item.written, reason or _UNJUDGED, note=note)
    if failing or unfit(item, search) or not size:
        because = f"{words_of(failing[0])}: {failing[0].shown}{limit_of(failing[0])}" if failing else reason or ""
        because = "" if because.startswith("clamp of") else because  # the obstacle says it
        obstacle = unfit(item, search) or obstacle_of(item, search, failing)
        return Proposal(item, Verdict.NONE, None, item.written, because, obstacle=obstacle, note=note)
    lacking = search.lacking(item)
    smaller = max((each for each in item.series if each < size - 1e-9), default=None)
    kept = item.present is not None and not item.open_values and abs(item.present - size) < 1e-9
    verdict = Verdict.KEPT if kept else Verdict.PROPOSED
    made = Proposal(item, verdict, size, _text(item, size), reason or STANDARD, smaller, _tightest(item, search), note=note)
    return _undecided(made, lacking) if lacking else made


def why_not(proposal: Proposal) -> str:
    """Why nothing is proposed for an item: `none fits: overload, capacity: 25 A, at most 24 A; the series ends at 2.5 mm² (cable
    -W2)`; `not decidable: its load is not known (-Q1)`."""
    said = "; ".join(part for part in (proposal.because, proposal.obstacle, proposal.lacking) if part)
    return f"{proposal.verdict}: {said} ({proposal.item.name})"


def _tightest(item: Item, search: Search) -> str:
    """`voltage drop, running of -M1, 12 % left` of the check about an item that is kept by the least; "" without one."""
    about = [result for result in search.about(item) if result.margin_percent is not None and answers()[result.question].graded]
    least = min(about, key=lambda result: round(result.margin_percent or 0.0, 6), default=None)
    if least is None:
        return ""
    return f"{words_of(least)} of {least.subject}, {max(0.0, least.margin_percent or 0.0):.0f} % left"


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
    """What each open value of an item becomes, by the kind of the open value; empty where nothing is proposed."""
    if proposal.size is None or not proposal.holds:
        return {}
    found = {}
    for value in proposal.item.open_values:
        if value.kind == "setting-range":
            low, high = range_up_to(proposal.size)
            found[value.kind] = f"{number_text(low)}..{number_text(high)}A"
        else:
            found[value.kind] = proposal.text
    return found
