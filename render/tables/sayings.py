"""What derivations of results say, however wide they are set. Those of one circuit that say the same of several things stand
once, for all of them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct

from netdsl.calc import Calculation
from netdsl.calc.basis import Input, Result, answers
from netdsl.calc.sheet import Section, Sources, in_series, noted, sections_of, told, worked
from render.layout.pieces import GREEK

#: a symbol that is set in Greek, where it is told what it is; a connection in delta stays one
_NAMED = re.compile(rf"(?<![^\s;,])(?:delta(?= = )|(?!delta)(?:{'|'.join(GREEK)})(?=(?:_\w+|\d+)?(?:[,:] | = )))")
#: which symbols stand for what: `c, c_1: voltage factor of the largest fault current [6]`
_TELLS = re.compile(r"[^\W\d]\w*(?:, [^\W\d]\w*)*: [^:]*")


class Saying(Struct):
    """A derivation. `results`: those it stands for; `text`: what its values are; `source`: the number of that of its formula;
    `worked`: how its value came about."""

    results: list[Result]
    text: str
    source: str = ""
    worked: tuple[str, ...] = ()


class Sayings:
    """What the derivations of some results say, in `sections`, and the `sources` that they name."""

    def __init__(self, calculation: Calculation, results: Sequence[Result]) -> None:
        self.sources = Sources()
        self._calculation = calculation
        self.sections: tuple[tuple[Section, tuple[Saying, ...]], ...] = tuple(
            (section, tuple(self._of(section))) for section in sections_of(calculation, results)
        )

    def _of(self, section: Section) -> Iterator[Saying]:
        before: Result | None = None
        alike: dict[object, Saying] = {}
        same: dict[object, Saying] = {}  # of one thing, by several ways to it
        told_of: dict[str, tuple[str, set[str]]] = {}
        for result in section.results:
            said = _shortened(self._said(result, before), result, told_of)
            before = result
            limit = (result.beside.value, result.beside.sense, result.beside.words) if result.beside is not None else None
            figures = (result.question, result.shown, limit, result.formula.text, result.inserted)
            key, own = (*figures, said), (*figures, result.subject)
            known = alike.get(key) or (same[own] if own in same and _says_no_more(said, same[own].text) else None)
            if known is None:
                alike[key] = same[own] = Saying([result], said)
            else:
                known.results.append(result)
        for saying in alike.values():
            first = saying.results[0]
            saying.source = self.sources.mark(first.source, "", first.question)
            saying.worked = worked(first)
            yield saying

    def _said(self, result: Result, before: Result | None) -> str:
        """What the limit is and what the values are. What the result `before`, of the same subject, says beside its formula is
        not said again."""
        said_before = before.rests_on if before is not None and before.subject == result.subject else ()
        mark = self._mark(result)
        limit_mark = mark(result.limit_given) if result.limit_given is not None else ""
        limit = f"limit: {result.limit_words} {limit_mark}".strip() if result.limit_words and result.limit is not None else ""
        series = in_series(self._calculation, result.conductors, mark) if answers()[result.question].in_series else ""
        said = told(result, mark, said_before, series)
        note = noted(self._calculation, result)
        ordered = (note, *said) if result.computed else (*said, note)
        return _NAMED.sub(lambda match: GREEK[match[0]], "; ".join(each for each in (limit, *ordered) if each))

    def _mark(self, result: Result) -> Callable[[Input], str]:
        return lambda given: self.sources.mark(given.source, given.confidence, result.question)


def _shortened(said: str, result: Result, told_of: dict[str, tuple[str, set[str]]]) -> str:
    """What is said of a result without what was said of the first of its kind in this circuit: which symbol stands for what."""
    parts = said.split("; ")
    symbols = {part for part in parts if _TELLS.fullmatch(part)}
    first, known = told_of.setdefault(result.question, (result.subject, symbols))
    again = symbols & known
    if first == result.subject or len(again) < 2:
        return said
    return "; ".join([*(part for part in parts if part not in again), f"else as of {first}"])


def _says_no_more(said: str, than: str) -> bool:
    """Whether all that is said was said before."""
    return {part for part in said.split("; ") if not part.startswith("else as of ")} <= set(than.split("; "))
