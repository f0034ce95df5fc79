"""Resistance of the poles of small breakers and fuses, which on 24 V takes a share of the voltage and limits a short circuit."""

from __future__ import annotations

from bisect import bisect_right

from netdsl.calc.basis import Given, Question, amount, figure, one_table
from netdsl.kept import kept
from netdsl.model.kinds import BREAKING


class PoleResistances(Question):
    """Resistances by device."""

    @kept
    def of(self, device: str) -> Given | None:
        """The resistance `R_d` of one pole, ohm: as stated, else typical for the rated current, and listed as assumed. None for
        what states none and breaks no short circuit, or whose rated current is not stated."""
        made = self._calculation.plant.devices[device]
        stated = amount(made, "resistance")
        if stated is not None:
            return Given("R_d", stated, "Ω", f"resistance of a pole of {device}", made.span)
        rated = amount(made, "current") or amount(made, "fuse-rating")
        if made.kind not in BREAKING or not rated:
            return None
        table = one_table("devices", "pole_resistance")
        sizes = table["current_a"]
        row = max(bisect_right(sizes, rated + 1e-9) - 1, 0)
        found = figure(table, "ohm", row)
        ohms = found.value * max(sizes[0] / rated, 1.0) ** 2  # below the table the losses stay as they are
        words = "poles of breakers and fuses in control circuits that state no `resistance`: by their rated current"
        self._calculation.settings.assume("pole-resistance", words, found.source, found.confidence)
        words = f"resistance of a pole of {device}, typical for {rated:g} A"
        return Given("R_d", ohms, "Ω", words, None, found.source, found.confidence)
