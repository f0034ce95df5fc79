"""Terminal blocks of strips against the short circuit that flows through them."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, formula, one_table
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.coordination.stress import Stressing
from netdsl.calc.protection import Trips

_BORNE = formula("{j} * {S}")


class TerminalWithstands(SheetQuestion):
    """Terminals of strips in the power circuit: for a second 120 A for each mm² of the largest section they take."""

    place = 830
    answers = (Answer("terminal-withstand", "Fault current of one second through a terminal", "I_1s"),)

    def results(self) -> Iterator[Result]:
        """`terminal-withstand` of the smallest terminal on the way through each strip, nothing behind a drive and where no
        section is stated."""
        circuit = self._calculation.of(Circuit)
        for name in self._calculation.network.power.order:
            if self._calculation.plant.devices[name].category != "strip":
                continue
            sections = [found for path in circuit.paths(name) if not path.drive and (found := self._smallest(name, path))]
            stress = self._calculation.of(Stressing).second(name) if sections else None
            if stress is None:
                continue
            section = min(sections, key=lambda each: each.value)
            row = one_table("coordination", "terminal_block")
            density = Given(
                "j", row["for_1s_A_per_mm2"], "A/mm²", "current borne for 1 s", None, row["source"], row["confidence"]
            )
            borne = _BORNE.of((density, section))
            words = f"{section.words}, {density.shown} for 1 s"
            yield Result.worked(
                "terminal-withstand",
                name,
                circuit.feeder(name),
                stress.formula,
                "A",
                (*stress.givens, section),
                row["source"],
                Limit(borne, Sense.AT_MOST, words, Given("I_cw", borne, "A", words, None, row["source"], row["confidence"])),
                note=f"broken by {self._calculation.of(Trips).named(stress.device)}",
                span=self._calculation.plant.devices[name].span,
            )

    def _smallest(self, strip: str, path: Path) -> Given | None:
        """The smallest of the largest sections that the terminals take on which a way enters a strip."""
        made, runs, found = self._calculation.plant.devices[strip], self._calculation.network.runs, list[Given]()
        for conductor in path.step.conductors if path.step is not None else ():
            for end in runs[conductor].conductor.ends:
                terminal = made.terminals.get(end.terminal) if end.device == strip else None
                if terminal is not None and terminal.clamp.section is not None:
                    words = f"terminal :{terminal.name} of {strip}"
                    found.append(Given("S", terminal.clamp.section[1], "mm²", words, terminal.span))
        return min(found, key=lambda each: each.value, default=None)
