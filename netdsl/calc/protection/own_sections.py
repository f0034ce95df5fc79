"""Least sections of protective conductors, as the standards ask for them and as a project does."""

from __future__ import annotations

from collections.abc import Mapping

from netdsl.calc.basis import Calculation, Figure, Given, Question, one_table, single
from netdsl.model.plant import OwnSection, Plant

#: for each kind of `least-section` the table, and its columns for copper
_ASKED: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "bond": ("bond_minimum", ("covered_copper_mm2", "open_copper_mm2")),
    "separate": ("pe_minimum_separate", ("mechanically_protected_mm2_cu", "not_protected_mm2_cu")),
    "pen": ("pen_minimum", ("copper_mm2",)),
    "leakage": ("pe_leakage_rule", ("pe_min_mm2_copper",)),
    "arrester": ("arrester_earth", ("surge_copper_mm2",)),
    "arrester-lead": ("arrester_earth", ("surge_live_mm2",)),
    "lightning": ("arrester_earth", ("lightning_copper_mm2",)),
    "lightning-lead": ("arrester_earth", ("lightning_live_mm2",)),
}


def asked_mm2(kind: str) -> float:
    """What the standards ask of copper, mm2: the largest figure of that kind."""
    table, columns = _ASKED[kind]
    return max(single(one_table("conductors", table), column).value for column in columns)


def loosened(plant: Plant) -> list[OwnSection]:
    """Least sections of a project that count and are below what the standards ask."""
    return [own for own in _by_kind(plant).values() if own.least_mm2 < asked_mm2(own.kind) - 1e-9]


def _by_kind(plant: Plant) -> dict[str, OwnSection]:
    """The last in the text for each kind."""
    return {own.kind: own for own in plant.least_sections}


class OwnSections(Question):
    """The least section that counts: the project's where it is larger, or smaller for a reason."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._own = _by_kind(calculation.plant)

    def least(self, kind: str, needed: Figure, words: str, *, copper: bool = True) -> Given:
        """`S_min` of a conductor for which the standards ask `needed` mm2. A reason lets it be less of copper alone: the figures
        of other metals stay."""
        own = self._own.get(kind)
        smaller = own is not None and copper and bool(own.reason.strip()) and own.least_mm2 < needed.value
        if own is not None and (own.least_mm2 > needed.value or smaller):
            return Given("S_min", own.least_mm2, "mm²", f"{words}, in this project", own.span)
        return Given("S_min", needed.value, "mm²", words, None, needed.source, needed.confidence)
