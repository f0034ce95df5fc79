"""Load of the protective devices in control circuits: all that they feed, against their rating."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.paths import ControlCircuits, Feed
from netdsl.calc.control.sources import summed
from netdsl.calc.devices import Characteristics
from netdsl.calc.loads import LoadCurrents
from netdsl.kept import cached_property
from netdsl.model.kinds import PROTECTIVE


class ControlBranches(SheetQuestion):
    """One result per protective device of a control circuit, of everything that takes its current through it."""

    place = 320
    answers = (Answer("overload.branch", "Overload: load of a control circuit against rated current", "I_b"),)

    def results(self) -> Iterator[Result]:
        """`overload.branch` of each protective device whose load is known in full, and not in its power circuit already."""
        for device in self._feeds:
            found = self._of(device)
            if found is not None:
                yield found

    def load_a(self, device: str) -> float | None:
        """What a protective device of a control circuit carries with all on, A; None where it carries nothing known."""
        feeds = self._feeds.get(device, ())
        amps = [feed.amps for feed in feeds]
        return None if not amps or None in amps else sum(each or 0.0 for each in amps)

    @cached_property
    def _feeds(self) -> dict[str, tuple[Feed, ...]]:
        """What takes its current through each protective device, of the source from which that is the most."""
        calculation, circuits = self._calculation, self._calculation.of(ControlCircuits)
        out_of, loads = calculation.of(Circuit).out_of, calculation.of(LoadCurrents)
        found: dict[str, dict[str, list[Feed]]] = {}
        for feed in circuits.feeds:
            out = circuits.line(feed, False)
            for name in dict.fromkeys(out.devices) if out is not None else ():
                # what power circuits carry is judged there, where it is known; what fans and heaters on 24 V take is not
                known = bool(out_of.get(name)) and (feed.source.kind != "dc" or loads.device(name) is not None)
                if calculation.plant.devices[name].kind in PROTECTIVE and not known:
                    found.setdefault(name, {}).setdefault(feed.source.pole, []).append(feed)
        return {
            name: tuple(max(by_source.values(), key=lambda feeds: sum(feed.amps or 0.0 for feed in feeds)))
            for name, by_source in found.items()
        }

    def _of(self, device: str) -> Result | None:
        calculation, feeds = self._calculation, self._feeds[device]
        if self.load_a(device) is None:
            for feed in feeds:
                if feed.amps is None:
                    calculation.of(ControlCircuits).note_unknown(feed, "load of protective devices in control circuits")
            return None
        release = calculation.of(Characteristics).of(device)
        if release is None or release.rated_a is None:
            return None
        made = calculation.plant.devices[device]
        rated = Given("I_n", release.rated_a, "A", f"rated current of {device}", made.span)
        text, givens = summed(feeds, feeds[0].source)
        return Result.worked(
            "overload.branch",
            device,
            calculation.of(Circuit).feeder(device),
            formula(text),
            "A",
            givens,
            "IEC 60364-4-43, 433.1",
            Limit(release.rated_a, Sense.AT_MOST, "rated current", rated),
            note="everything behind it that can take current, whether contacts let it be on together or not",
            span=made.span,
        )
