"""Proposals for every item of a plant, made of what the search found, and how a size is written."""

from __future__ import annotations

from dataclasses import dataclass

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.network.types import Network
from netdsl.quantities import number_text
from netdsl.sizing.items import Item, items_of
from netdsl.sizing.raising import LENGTHS, searched
from netdsl.sizing.search import Search
from netdsl.sizing.substitute import range_up_to

_UNJUDGED = "no check here is about it: as written"
#: the reason where nothing forced a larger size
STANDARD = "smallest of the series, and every check passes"
_AS_FAR = "smallest of the series, and every check that could be made passes"
_TAP = "a short tap, in which no fault is judged: lay it so that a short circuit is unlikely"


@dataclass(frozen=True, slots=True)
class Proposal:
    """What is proposed for an item: `size` in mm2 or A (None where nothing of the series passes), `text` as it is written in the
    language, `because`: the check that decided, in words. `holds`: whether the checks it bears on could all be made and pass
    with it. `note`: what no check covers. `lacking`: which of them could not be made, and for want of what."""

    item: Item
    size: float | None
    text: str
    because: str
    holds: bool
    note: str = ""
    lacking: str = ""


@dataclass(frozen=True, slots=True)
class Sizing:
    """Proposals in order of the text, and the results that fail whatever the sizes, or because a series ends."""

    proposals: tuple[Proposal, ...]
    unresolved: tuple[Result, ...]


def propose(network: Network) -> Sizing:
    """Proposals for every item of a plant.

    Open values are sized with all else as written; for what is written, the proposal is that of a plant in which everything
    is free. Where the project wants one section per class, the wires of a class share the largest.
    """
    calculation = Calculation(network)
    items = items_of(network, calculation)
    opened = [item for item in items if item.open_values]
    free = searched(calculation, items)
    bound = searched(calculation, opened) if len(opened) not in (0, len(items)) else free
    proposals = tuple(_proposal(item, bound if item.open_values else free) for item in items)
    return Sizing(
        proposals, tuple(result for result in (bound if opened else _as_written(network)).failing if result.limit is not None)
    )


def propose_open(network: Network) -> tuple[Proposal, ...]:
    """Proposals for the open values alone, the same ones as `propose` gives: what is written is not sized beside them."""
    calculation = Calculation(network)
    opened = [item for item in items_of(network, calculation) if item.open_values]
    if not opened:
        return ()
    search = searched(calculation, opened)
    return tuple(_proposal(item, search) for item in opened)


def _as_written(network: Network) -> Search:
    search = Search(network, {})
    search.judge()
    return search


def _proposal(item: Item, search: Search) -> Proposal:
    names = {*item.conductors, item.device} - {""}
    reason = search.reasons.get(item)
    if reason is None and not names & search.touched:
        return Proposal(item, item.present, item.written, _UNJUDGED, not item.open_values)
    size = search.sizes[item]
    failing = [
        result for result in search.failing if result.question not in LENGTHS and {result.subject, *result.conductors} & names
    ]
    lacking = search.lacking.of(item) if search.lacking is not None else ""
    note = _TAP if names & search.taps else ""
    holds = not failing and not lacking and bool(size)
    because = reason or (_AS_FAR if lacking else STANDARD)
    return Proposal(item, size or None, _text(item, size), because, holds, note, lacking)


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
