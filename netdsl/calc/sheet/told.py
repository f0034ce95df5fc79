"""What each value in a formula is, short enough to stand below it; sources by number, each with how sure it is."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

from msgspec import Struct, field

from netdsl.calc.basis import Input, Result, answers
from netdsl.calc.sheet.words import symbol, title

#: how sure a figure is, as printed beside it; a verified one carries no mark
_MARKS = {"verified": "", "memory": "from memory"}
_SECTION = re.compile(r" section (\d+)\b")
_IMPEDANCE = ("S", "L", "r20", "T")
#: ratings of a protective device that stand beside what it does, and the section that a table value names already
_BESIDE = frozenset({"k_2", "I_cn", "S"})
#: what a table of capacities is entered with
_OF_A_TABLE = frozenset({"I_0", "method", "theta", "n_c"})


class NamedSource(Struct, frozen=True):
    """A source with its number. `confidence`: of its figures, empty where it names formulas; `questions`: titles of the results
    that use it."""

    number: int
    text: str
    confidence: str
    questions: tuple[str, ...]


class Sources:
    """Sources by number, in the order in which they are first used. One that gives figures and names formulas too is two."""

    def __init__(self) -> None:
        self._uses: dict[tuple[str, str], _Use] = {}

    def mark(self, source: str, confidence: str, question: str) -> str:
        """`[3]`, or `[3, from memory]` of what is not verified; "" without a source."""
        if not source:
            return ""
        key = (source, confidence)
        use = self._uses.get(key)
        if use is None:
            use = self._uses[key] = _Use(len(self._uses) + 1)
        use.questions[title(question)] = None
        sure = _MARKS.get(confidence, confidence)
        return f"[{use.number}, {sure}]" if sure else f"[{use.number}]"

    def named(self) -> tuple[NamedSource, ...]:
        """All of them."""
        return tuple(
            NamedSource(use.number, source, confidence, tuple(use.questions)) for (source, confidence), use in self._uses.items()
        )


class _Use(Struct):
    number: int
    questions: dict[str, None] = field(default_factory=dict)


class _Part(Struct):
    """One saying, and the symbols it is of."""

    text: str
    symbols: list[str] = field(default_factory=list)

    @property
    def line(self) -> str:
        return f"{', '.join(self.symbols)}: {self.text}" if self.symbols else self.text


def told(result: Result, mark: Callable[[Input], str], before: Sequence[Input] = (), series: str = "") -> tuple[str, ...]:
    """What the values of a result are: those in the formula by symbol, others with their value, conductors with section, length,
    resistance and temperature. `mark` gives the number of a source. What is the same for several symbols is said once. How a
    conductor is laid is not said again where it is among `before`, the values of the row above; `series` stands in place of the
    conductor that a way of several names."""
    named = set(result.formula.symbols)
    own = "" if result.computed else symbol(result.question)
    parts: dict[str, _Part] = {}
    section = ""
    for group in _groups(result.rests_on):
        if group[0].symbol in _OF_A_TABLE - named and group[0] in before:
            continue
        section = (_SECTION.findall(group[0].words) or [section])[0]
        spoken = (((), series),) if series and len(group) > 1 else _said(group, named, own, mark)
        for symbols, text in spoken:
            if len(group) > 1 and section:
                text = f"section {section}: {text}"
            part = parts.setdefault(text, _Part(text))
            part.symbols += [each for each in symbols if each not in part.symbols]
    return tuple(part.line for part in parts.values())


def _groups(givens: Sequence[Input]) -> Iterator[tuple[Input, ...]]:
    """Values one by one; section, length and what follows of the conductors of one stretch together."""
    run: list[Input] = []
    for number, given in enumerate(givens):
        after = givens[number + 1].symbol if number + 1 < len(givens) else ""
        if (given.symbol == "S" and after == "L") or (run and given.symbol in _IMPEDANCE):
            run.append(given)
            continue
        if run:
            yield tuple(run)
            run = []
        yield (given,)
    if run:
        yield tuple(run)


def _said(
    group: tuple[Input, ...], named: set[str], own: str, mark: Callable[[Input], str]
) -> Iterator[tuple[tuple[str, ...], str]]:
    first = group[0]
    if first.symbol == "S" and len(group) > 1:
        yield (), "; ".join(_conductors(group, mark))
        return
    if first.symbol in _BESIDE - named:
        return
    words = title(first.words).lower() if first.words in answers() else _SECTION.sub(" each section", first.words)
    text = f"{words} {mark(first)}".strip()
    if first.symbol not in named:
        yield (), ", ".join(each for each in (f"{first.symbol} = {first.shown}", text) if each)
    elif text:
        yield (own or first.symbol,), text


def _conductors(group: tuple[Input, ...], mark: Callable[[Input], str]) -> Iterator[str]:
    """`-W1 BN: 16 mm², 22 m, 1.15 Ω/km [4], 70 °C [5]`; a source and a temperature that go on as before are not said again."""
    before: dict[str, str] = {}
    texts: list[str] = []
    for given in group:
        if given.symbol == "S":
            if texts:
                yield ", ".join(texts)
            texts = [f"{given.words.removeprefix('section of ')}: {given.shown}"]
            continue
        source = mark(given)
        known = f"{given.shown if given.symbol == 'T' else ''} {source}"
        if before.get(given.symbol) != known:
            texts.append(f"{given.shown} {source}".strip())
        elif given.symbol != "T":
            texts.append(given.shown)
        before[given.symbol] = known
    if texts:
        yield ", ".join(texts)
