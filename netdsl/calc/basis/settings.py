"""What the project chooses for the calculation, and what is assumed where it does not."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from netdsl.calc.basis.figures import standard
from netdsl.calc.basis.results import Assumption, Given, figure_text
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
    def given(self, name: str, symbol: str = "") -> Given:
        """A choice as a value to put in: with its place in the text where the project states it, else with its source."""
        usual = self._usual[name]
        if name in self._chosen:
            choice = self._chosen[name]
            return Given(symbol or name, choice.word or choice.values[0], usual["unit"], usual["words"], choice.span)
        value = usual["value"]
        shown = value if isinstance(value, str) else f"{figure_text(value)} {usual['unit']}".rstrip()
        self.assume(name, f"{usual['words']}: {shown}", usual["source"], usual["confidence"])
        return Given(symbol or name, value, usual["unit"], usual["words"], None, usual["source"], usual["confidence"])

    def number(self, name: str) -> float:
        """The value of a numeric choice, in the base unit of its kind."""
        return float(self.given(name).value)

    def word(self, name: str) -> str:
        """The value of a choice that is a word."""
        return str(self.given(name).value)

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
