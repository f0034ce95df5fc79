"""What the project chooses for the calculation, and what is assumed where it does not."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from netdsl.calc.basis.figures import standard
from netdsl.calc.basis.givens import Given, Input, Said
from netdsl.calc.basis.results import Assumption
from netdsl.kept import kept
from netdsl.model.plant import Plant
from netdsl.model.project import Choice


class Settings:
    """Choices by name. What nobody states comes from the list of usual values, and is remembered as an assumption."""

    def __init__(self, plant: Plant) -> None:
        self._chosen: Mapping[str, Choice] = plant.project.choices
        self._usual: Mapping[str, Any] = standard("choices")
        self._assumed: dict[str, Assumption] = {}

    @kept
    def choice(self, name: str, symbol: str = "") -> Input:
        """A choice, a number or a word: with its place in the text where the project states it, else with its source."""
        usual: Mapping[str, Any] = self._usual[name]
        if name in self._chosen:
            chosen = self._chosen[name]
            return _made(symbol or name, chosen.word or chosen.values[0], usual["unit"], usual["words"], chosen.span)
        others = tuple([self.word(other) for other in usual["where"]]) if "where" in usual else ()
        found, words = _assumed(name, symbol, others)
        self.assume(name, words, found.source, found.confidence)
        return found

    @kept
    def given(self, name: str, symbol: str = "") -> Given:
        """A choice of a number as a value to put in. Raises TypeError where it is a word."""
        found = self.choice(name, symbol)
        if isinstance(found, Said):
            raise TypeError(f"{name} is a word")
        return found

    def said(self, name: str, symbol: str = "") -> Said:
        """A choice of a word. Raises TypeError where it is a number."""
        found = self.choice(name, symbol)
        if isinstance(found, Given):
            raise TypeError(f"{name} is a number")
        return found

    def number(self, name: str) -> float:
        """The value of a numeric choice, in the base unit of its kind."""
        return self.given(name).value

    def word(self, name: str) -> str:
        """The value of a choice that is a word."""
        return self.said(name).text

    def stated(self, name: str) -> bool:
        """Whether the project itself states a choice."""
        return name in self._chosen

    def series(self, name: str) -> tuple[float, ...]:
        """The values of a series the shop stocks, ascending; empty where the project states none."""
        choice = self._chosen.get(name)
        return tuple(sorted(choice.values)) if choice else ()

    def assume(self, name: str, words: str, source: str, confidence: str) -> None:
        """Remember that a value nobody stated was used."""
        if name not in self._assumed:
            self._assumed[name] = Assumption(name, words, source, confidence)

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """The values used so far that nobody stated, in order of their names."""
        return tuple(self._assumed[name] for name in sorted(self._assumed))


@cache
def _assumed(name: str, symbol: str, others: tuple[str, ...]) -> tuple[Input, str]:
    """The usual value of a choice, where the `others` that it depends on are these, and what is said of it; of all plants the
    same."""
    usual: Mapping[str, Any] = standard("choices")[name]
    for cases, word in zip(usual.get("where", {}).values(), others, strict=True):
        usual = {**usual, **cases.get(word, {})}
    found = _made(symbol or name, usual["value"], usual["unit"], usual["words"], None, usual["source"], usual["confidence"])
    return found, f"{found.words}: {found.shown}"


def _made(symbol: str, value: float | str, unit: str, *rest: Any) -> Input:
    """A choice as what results rest on; a word has no unit, though a number in its place would."""
    return Said(symbol, value, "", *rest) if isinstance(value, str) else Given(symbol, value, unit, *rest)
