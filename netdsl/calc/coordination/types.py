"""Type of coordination of contactors and relays of motors, as their parts state it."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Gap, Given, Limit, Result, Sense, SheetQuestion, formula, word
from netdsl.calc.circuit import Circuit
from netdsl.calc.coordination.run_up import RunUps
from netdsl.model.kinds import Kind
from netdsl.model.plant import Device

_KINDS = frozenset({Kind.CONTACTOR, Kind.OVERLOAD, Kind.SOFT_STARTER})


class CoordinationTypes(SheetQuestion):
    """IEC 60947-4-1, 8.2.5.1: type 1, after a short circuit it may need repair; type 2, it goes on to serve."""

    place = 717
    answers = (Answer("starting.coordination", "Type of coordination of a starter", "type", graded=False),)

    def results(self) -> Iterator[Result]:
        """`starting.coordination` of every contactor and relay ahead of a motor on the mains, held to what the project asks for.
        Where the project asks and a part says nothing that is missing. Whether what is ahead is what the part names is held by
        its conditional rating."""
        wanted = self._calculation.settings.word("coordination-type")
        for name in self._switching():
            made = self._calculation.plant.devices[name]
            stated = word(made, "coordination-type")
            if stated:
                yield self._of(made, stated, wanted)
            elif wanted != "none":
                remedy = "state `coordination-type=` with the `conditional-current=` and `max-upstream=` of its maker's table"
                absent = ("type of coordination",)
                feeder = self._calculation.of(Circuit).feeder(name)
                self._calculation.gaps.note(Gap(feeder, "coordination type", (name,), absent, made.span, remedy))

    def _switching(self) -> Iterator[str]:
        devices, seen = self._calculation.plant.devices, dict[str, None]()
        for motor in self._calculation.of(RunUps).motors():
            for path in self._calculation.of(Circuit).paths(motor):
                seen.update((name, None) for name in path.devices if devices[name].kind in _KINDS and not path.drive)
        return iter(seen)

    def _of(self, made: Device, stated: str, wanted: str) -> Result:
        ahead = made.ratings.text("upstream-kind")
        given = Given("type", float(stated[-1]), "", f"type of coordination of {made.id}", made.span)
        limit = None
        if wanted != "none":
            asked = self._calculation.settings.said("coordination-type")
            limit = Limit(
                float(wanted[-1]),
                Sense.AT_LEAST,
                "type that the project asks for",
                Given("type", float(wanted[-1]), "", asked.words, asked.span),
            )
        note = f"behind {ahead}, by the data of its maker" if ahead else "by the data of its maker"
        return Result.worked(
            "starting.coordination",
            made.id,
            self._calculation.of(Circuit).feeder(made.id),
            formula("{type}"),
            "",
            (given,),
            "IEC 60947-4-1, 8.2.5.1",
            limit,
            note=note,
            span=made.span,
        )
