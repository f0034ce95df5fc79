"""What `check --coverage` prints: rule by rule what was judged, what was left alone and what could not be judged."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from netdsl.cli.excerpt import cells

if TYPE_CHECKING:
    from lint.verdict import Coverage, Verdict
    from netdsl.calc import Calculation


def coverage_lines(verdict: Verdict, calculation: Calculation | None = None) -> Iterator[str]:
    """A head for each rule with its numbers, below it the designations; a blank line behind each. Last what `calculation` keeps
    by less than a tenth on what nobody stated: judged, without a finding, and the first to look at."""
    for each in verdict.coverage():
        numbers = (
            (len(each.judged), "judged without a finding"),
            (len(each.reported), "with a finding"),
            (len({one.subject for one in each.spared}), "left alone"),
            (len({one.subject for one in each.not_judged}), "not judged"),
        )
        yield f"{each.rule}: {', '.join(f'{number} {words}' for number, words in numbers if number) or 'nothing to look at'}"
        yield from _details(each)
        yield ""
    if calculation is not None:
        yield from _narrow(calculation)


def _narrow(calculation: Calculation) -> Iterator[str]:
    from netdsl.calc.sheet import margin_text, narrow, title

    found = [*narrow(calculation)]
    if found:
        yield f"kept by less than 10 %, on what nobody stated: {len(found)}"
    for result, words in found:
        line = f"  {title(result.question)} of {result.subject}: margin {margin_text(result)}, {words.partition(', ')[2]}"
        yield cells(line)[0]
    if found:
        yield ""


def _details(each: Coverage) -> Iterator[str]:
    if each.judged:
        yield f"  judged without a finding: {_names(each.judged)}"
    if each.reported:
        yield f"  with a finding: {_names(each.reported)}"
    for words, left in (("left alone", each.spared), ("not judged", each.not_judged)):
        by_reason: dict[str, dict[str, None]] = {}
        for one in left:
            by_reason.setdefault(one.reason, {})[one.subject or "the plant"] = None
        for reason, names in by_reason.items():
            yield f"  {words}: {_names(names)}: {cells(reason)[0]}"


def _names(names: Iterable[str]) -> str:
    return ", ".join(cells(name)[0] for name in names)
