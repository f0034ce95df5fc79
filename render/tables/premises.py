"""What stands before the derivations and behind them, in the same columns: smallest margins, missing data, what is not judged,
assumptions; sources by number."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.calc.sheet import CONFIDENCES, Sources, margin_text, not_judged, summary_of, title
from netdsl.sums import sum_of
from render.layout.columns import broken
from render.layout.fonts import text_width
from render.sheet import NORMAL, Label, Primitive
from render.tables.derivations import limit_text
from render.tables.flow import Block, Row, heading_block, rule_row, said_rows, text_row

NOT_KEPT, MARGINS, MISSING = "Not kept", "Smallest margins", "Missing data"
LEFT, ASSUMED, SOURCES = "Not judged", "Assumptions", "Sources"
_BEHIND = "What lacks data is not computed, nor what rests on it: neither in the circuit named nor in those that it feeds."
_REPLACED = (
    "Used because neither the project nor the thing itself states them; a word of that name in the project statement, or at the "
    "thing itself, replaces each."
)
_PITCH = 1.65 * NORMAL
_PART = 3.0
#: pitch of the lines of sources, mm
_SOURCE = 1.65 * NORMAL


def premises(calculation: Calculation, results: Sequence[Result], width: float, where: Mapping[str, str]) -> Iterator[Block]:
    """What is not kept and kept by the least, what is missing, not judged and assumed; `where`: the sheet of each derivation."""
    summary = summary_of(calculation, results)
    for heading, found in ((NOT_KEPT, summary.broken), (MARGINS, summary.tightest)):
        if found:
            yield heading_block(heading, "", width)
        for result in found:
            yield _of_margin(result, width, where.get(result.key, ""))
    if calculation.missing:
        yield heading_block(MISSING, "", width)
        yield _block("", "", "", _BEHIND, width)
    for gap in calculation.missing:
        remedy = f"{gap.remedy.replace('`', '')} ({gap.span.source.path}:{gap.span.begin[0]})"
        said = f"not computed: {', '.join(gap.absent)}; {remedy}"
        yield _block(gap.feeder, f"{gap.feeder} {gap.kind}".strip(), f"of {', '.join(gap.things)}", said, width)
    groups: dict[tuple[str, str], list[str]] = {}
    for left in not_judged(calculation):
        groups.setdefault((left.what, left.reason.replace(left.device, "it").replace("`", "")), []).append(left.device)
    if groups:
        yield heading_block(LEFT, "", width)
    for (what, reason), devices in groups.items():
        yield _block(devices[0], ", ".join(devices), what, reason, width)
    if calculation.assumptions:
        yield heading_block(ASSUMED, "", width)
        yield _block("", "", "", _REPLACED, width)
    for assumption in calculation.assumptions:
        sure = CONFIDENCES.get(assumption.confidence, assumption.confidence)
        source = "" if assumption.source == sure else assumption.source
        said = "; ".join(each for each in (source, sure) if each)
        yield _block("", assumption.name, assumption.words.replace("`", ""), said, width)


def source_blocks(sources: Sources, width: float) -> Iterator[Block]:
    """The sources by number, with how sure their figures are and what uses them."""
    named = sources.named()
    if named:
        yield heading_block(SOURCES, "", width)
    for source in named:
        sure = CONFIDENCES.get(source.confidence, source.confidence) or "names a formula"
        yield _source(f"[{source.number}]", source.text, f"{sure}: {', '.join(source.questions)}", width)


def _source(number: str, text: str, said: str, width: float) -> Block:
    """A source: its number in bold, the text, and at the right what uses it, or below."""
    indent = text_width("[000]", NORMAL, True) + _PART / 2
    lines, small = broken(text, width - indent, NORMAL, united=True), text_width(said, NORMAL)
    last = len(lines) == 1 and indent + text_width(text, NORMAL) + _PART + small <= width

    def draw(x: float, y: float) -> Iterator[Primitive]:
        yield Label(x, y + NORMAL + 0.5, number, NORMAL, bold=True)
        yield Label(x + indent, y + NORMAL + 0.5, lines[0], NORMAL)
        if last:
            yield Label(x + width - small, y + NORMAL + 0.5, said, NORMAL)

    more = lines[1:] if last else (*lines[1:], *broken(said, width - indent, NORMAL, united=True))
    rows = [Row(_SOURCE, draw), *(text_row(line, NORMAL, _SOURCE, "", indent) for line in more if line)]
    return Block("", [], "", rows)


def _of_margin(result: Result, width: float, link: str) -> Block:
    """`=BW1 -WB1:L1 -- =BW1-Q1:1  Overload ...  17.5 A  at most 17.67 A  1 %`, which leads to its derivation."""
    margin = margin_text(result)
    right = [result.shown, limit_text(result, words=False), margin]
    room = width - sum_of(text_width(text, NORMAL, not result.holds) + _PART for text in right)
    head = f"{result.subject}" if result.feeder in ("", result.subject) else f"{result.feeder}  {result.subject}"
    name = title(result.question)
    beside = text_width(head, NORMAL, True) + _PART + text_width(name, NORMAL) < room

    def draw(x: float, y: float) -> Iterator[Primitive]:
        yield Label(x, y + 3.4, head, NORMAL, bold=True, of=result.subject, link=link)
        if beside:
            yield Label(x + text_width(head, NORMAL, True) + _PART, y + 3.4, name, NORMAL, of=result.subject, link=link)
        left = x + width - sum_of(text_width(text, NORMAL, not result.holds) + _PART for text in right) + _PART
        for text in right:
            yield Label(left, y + 3.4, text, NORMAL, bold=not result.holds, of=result.subject)
            left += text_width(text, NORMAL, not result.holds) + _PART

    said = "; ".join(text for text in ("" if beside else name, result.limit_words) if text)
    rows = [Row(_PITCH + 0.6, draw), *said_rows(said, width, result.subject)]
    return Block(result.subject, [], "", [*rows, rule_row(width, result.subject)])


def _block(of: str, head: str, words: str, said: str, width: float) -> Block:
    """A name in bold with words beside it, and what else is said: at the right where there is room, else below."""
    indent = text_width(head, NORMAL, True) + _PART if head else 0.0
    beside = indent < 0.45 * width
    lines = broken(words, width - (indent if beside else 0.0), NORMAL, united=True) if words else ()
    heads = broken(head, width, NORMAL, bold=True) if head else ()
    first = lines[0] if lines and beside and head else ""
    small = text_width(said, NORMAL)
    last = len(heads) == 1 and len(lines) <= 1 and beside and indent + text_width(first, NORMAL) + small + _PART <= width

    def draw(x: float, y: float) -> Iterator[Primitive]:
        yield Label(x, y + 3.4, heads[0], NORMAL, bold=True, of=of)
        if first:
            yield Label(x + indent, y + 3.4, first, NORMAL, of=of)
        if last:
            yield Label(x + width - small, y + 3.4, said, NORMAL, of=of)

    rows: list[Row] = []
    if head:
        rows.append(Row(_PITCH + 0.3, draw))
        rows += [text_row(line, NORMAL, _PITCH, of) for line in heads[1:]]
        lines = lines[1:] if beside else lines
    rows += [text_row(line, NORMAL, _PITCH, of, indent if beside else 0.0) for line in lines]
    rows += [] if last else said_rows(said, width, of)
    return Block(of, [], "", [*rows, rule_row(width, of)])
