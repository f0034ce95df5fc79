"""Limits of distortion that a project names: of the current a number, of the voltage an assessment class (IEC 61000-2-4)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from netdsl.calc.basis import Given, Limit, Question, Sense, one_table


class DistortionLimits(Question):
    """Limits as results are held to them; None where the project names none."""

    def current(self) -> Limit | None:
        """The limit of the distortion of a supply's current, percent of its fundamental."""
        chosen = self._calculation.plant.project.choices.get("distortion-limit")
        if chosen is None:
            return None
        words = "largest distortion of a supply's current"
        return Limit(chosen.values[0], Sense.AT_MOST, words, Given("limit", chosen.values[0], "%", words, chosen.span))

    def total(self) -> Limit | None:
        """The limit of the distortion of its voltage, percent of the nominal one."""
        table = self._table()
        return None if table is None else self._limit(float(table["total"]), table, "")

    def of_order(self, order: int) -> Limit | None:
        """The limit of one harmonic of its voltage, an odd one that is no multiple of 3."""
        table = self._table()
        if table is None:
            return None
        known = dict(zip(table["order"], table["percent"], strict=True))
        percent = known.get(order)
        return self._limit(percent if percent is not None else table["a"] * 17 / order - table["b"], table, f", order {order}")

    def _table(self) -> Mapping[str, Any] | None:
        chosen = self._calculation.settings.word("distortion-class")
        return None if chosen == "none" else one_table("harmonics", "assessment", **{"class": chosen})

    def _limit(self, percent: float, table: Mapping[str, Any], of: str) -> Limit:
        words = f"compatibility level of {str(table['class']).replace('-', ' ')}{of}"
        given = Given("limit", percent, "%", words, None, str(table["source"]), str(table["confidence"]))
        return Limit(percent, Sense.AT_MOST, words, given)
