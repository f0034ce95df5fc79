"""Proposals written into the text where it says `auto`, and only there."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from netdsl.findings import Source, Span
from netdsl.model.files import is_shipped
from netdsl.model.open_values import OpenValue
from netdsl.quantities import parse_quantity
from netdsl.sizing.proposals import Proposal, texts_for, why_not


class Unwritten(Struct, frozen=True):
    """An open value that stays as it is, and why."""

    value: OpenValue
    reason: str


def texts_with(proposals: Iterable[Proposal]) -> tuple[dict[Source, str], tuple[Unwritten, ...]]:
    """New texts by source, and what could not be written.

    Where one word of the text serves several (a line of a scheme used twice), the largest section is written. A rating or a
    setting that is right for one is wrong for the other: there the word stays. So it does where nothing
    is proposed for one of them.
    """
    changes: dict[Span, str] = {}
    left: list[Unwritten] = []
    proposals = tuple(proposals)
    failing = {value.span: why_not(each) for each in proposals if not each.holds for value in each.item.open_values}
    disagreeing = _disagreeing(proposals)
    for proposal in proposals:
        texts = texts_for(proposal)
        for value in proposal.item.open_values:
            if is_shipped(value.span.source):
                left.append(Unwritten(value, "it stands in the shipped library: give the value where its scheme is used"))
            elif value.span in failing:
                left.append(Unwritten(value, failing[value.span]))
            elif value.kind not in texts:
                left.append(Unwritten(value, f"nothing is proposed for it: {proposal.because}"))
            elif value.span in disagreeing:
                left.append(
                    Unwritten(
                        value,
                        f"`{proposal.item.device}` needs {texts[value.kind]}, another use of this line "
                        "another value: make it a parameter of the scheme",
                    )
                )
            else:
                changes[value.span] = _larger(changes.get(value.span), texts[value.kind])
    by_source: dict[Source, list[tuple[Span, str]]] = {}
    for span, text in changes.items():
        by_source.setdefault(span.source, []).append((span, text))
    return {source: _replaced(source, pairs) for source, pairs in by_source.items()}, tuple(left)


def _disagreeing(proposals: Iterable[Proposal]) -> set[Span]:
    """Words that serve several devices whose ratings or settings differ."""
    wanted: dict[Span, set[str]] = {}
    for proposal in proposals:
        texts = texts_for(proposal)
        for value in proposal.item.open_values:
            if proposal.item.kind in ("rating", "setting") and value.kind in texts:
                wanted.setdefault(value.span, set()).add(texts[value.kind])
    return {span for span, texts in wanted.items() if len(texts) > 1}


def _larger(known: str | None, text: str) -> str:
    """The larger of two sizes as written; a construction is compared by its section."""
    if known is None:
        return text
    one, other = (parse_quantity(size) for size in (known, text))
    if one is None or other is None:
        return max(known, text, key=lambda size: float(size.rpartition("x")[2].rpartition("G")[2] or 0))
    return known if one.last >= other.last else text


def _replaced(source: Source, pairs: list[tuple[Span, str]]) -> str:
    """The text of a source with its open values filled, and nothing else changed."""
    text = source.text
    for span, value in sorted(pairs, key=lambda pair: -pair[0].start):
        text = text[: span.start] + value + text[span.end :]
    return text
