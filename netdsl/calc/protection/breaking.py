"""Breaking capacity of every protective device against the largest fault current at its terminals."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Gap, Given, Limit, Result, Sense, SheetQuestion, amount, formula, rating
from netdsl.calc.circuit import Circuit
from netdsl.calc.devices import place
from netdsl.calc.faults import FaultResults
from netdsl.calc.protection.limiting import Limiting, conditional
from netdsl.calc.protection.trips import Trips
from netdsl.model.kinds import BREAKING
from netdsl.model.plant import Device

QUESTION = "breaking-capacity"
SOURCE = "IEC 60364-4-43, 434.5.1"
_TAKEN = formula("{I_k}")


class BreakingCapacities(SheetQuestion):
    """Breaking capacity of every protective device against the largest fault current at its terminals.

    Back-up protection by a device before it counts where the manufacturer states it (`conditional-current`), and is never
    assumed. What stands beyond the supply's terminals is not judged. A residual-current device is judged where it states a
    breaking capacity.
    """

    place = 600
    answers = (Answer("breaking-capacity", "Breaking capacity", "I_k"),)

    def of(self, device: str) -> Result | None:
        """The largest current at a protective device with its breaking capacity as the limit; None where there is no current to
        break or either is not known (an unstated capacity is noted as a gap)."""
        made = self._calculation.plant.devices[device]
        capacity = amount(made, "breaking")
        if made.kind not in BREAKING and not (made.kind == "residual-device" and capacity):
            return None
        largest = self._calculation.of(FaultResults).largest(device)
        if largest is None:
            return None
        if not capacity:
            self._note_missing(made)
            return None
        backed = self._backed_up(made, capacity)
        current = Given("I_k", largest.value, "A", f"largest prospective current at {device}", result=largest.key)
        limit = rating(made, "breaking", "I_cn", "A", f"rated breaking capacity of {device}")
        return Result.worked(
            QUESTION,
            device,
            largest.feeder,
            _TAKEN,
            "A",
            (current,),
            SOURCE,
            backed[0] if backed else Limit(capacity, Sense.AT_MOST, "rated breaking capacity", limit),
            note=backed[1] if backed else "back-up by a device before it is not assumed",
            span=made.span,
        )

    def _backed_up(self, device: Device, alone: float) -> tuple[Limit, str] | None:
        """What a device breaks with the back-up that it states, where that is ahead on every way, with a note; None where it
        breaks no more than alone."""
        stated = conditional(device.ratings, None, place(device, "conditional-current"))
        if stated is None or stated.amps <= alone or stated.most is None:
            return None
        fitting = self._calculation.of(Limiting).fitting(device.id, stated)
        if fitting is None:
            return None
        words = "breaking capacity with back-up"
        given = Given("I_cc", stated.amps, "A", f"{words} of {device.id}", stated.span)
        named = " and ".join(dict.fromkeys(self._calculation.of(Trips).named(each) for each in fitting))
        return Limit(stated.amps, Sense.AT_MOST, words, given), f"backed up by {named}, as its maker states"

    def results(self) -> Iterator[Result]:
        """`breaking-capacity` of every protective device."""
        for device in self._calculation.network.power.order:
            result = self.of(device)
            if result is not None:
                yield result

    def _note_missing(self, device: Device) -> None:
        feeder = self._calculation.of(Circuit).feeder(device.id)
        self._calculation.gaps.note(
            Gap(
                feeder,
                "breaking capacity",
                (device.id,),
                ("breaking capacity",),
                device.span,
                "add `breaking=` to the device or its part",
            )
        )
