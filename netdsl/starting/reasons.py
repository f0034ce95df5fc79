"""Comments that say, at the line of a size, which check decided it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from netdsl.findings import Source
from netdsl.sizing.proposals import STANDARD, Proposal, texts_for
from netdsl.syntax import format_text

_WORDS = {"section": "wires", "defaults": "wires", "construction": "cable"}


def with_reasons(source: Source, text: str, proposals: Iterable[Proposal]) -> str:
    """`text`, which has the lines of `source` with sizes in place of `auto`, with a comment where more decided than the series.

    A comment that is there already goes on; that of a `use` in one line stands above it.
    """
    reasons: dict[int, list[str]] = {}
    for proposal in proposals:
        sizes = texts_for(proposal)
        for value in proposal.item.open_values:
            if value.span.source is source and value.kind in sizes and proposal.holds and proposal.because != STANDARD:
                size = re.sub(r"(mm2|A)$", r" \1", sizes[value.kind]).replace("mm2", "mm²")
                said = f"{_WORDS.get(value.kind, 'rating')} {size}: {proposal.because}"
                reasons.setdefault(value.span.begin[0], []).append(said)
    lines = [_commented(line, reasons.get(number, ())) for number, line in enumerate(text.split("\n"), 1)]
    joined = "\n".join(lines)
    return format_text(Source(source.path, joined)) or joined


def _commented(line: str, reasons: Iterable[str]) -> str:
    said = "; ".join(dict.fromkeys(reasons))
    if not said:
        return line
    indent = line[: len(line) - len(line.lstrip())]
    if line.lstrip().startswith("use "):
        return f"{indent}# {said}\n{line}"
    code, mark, before = line.partition("  # ")
    return f"{code}  # {before}; {said}" if mark else f"{code}  # {said}"
