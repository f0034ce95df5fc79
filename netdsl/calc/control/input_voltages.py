"""Voltage that is left at digital inputs, far from what feeds them."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, amount, figure, formula, one_table
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.drops import ControlDrops
from netdsl.calc.control.paths import ControlCircuits
from netdsl.sums import sum_of

_INPUTS = frozenset({"digital input", "safety input"})


class InputVoltages(SheetQuestion):
    """Digital inputs of 24 V: what the way there and back leaves of the source's voltage, with all else on."""

    place = 1310
    answers = (Answer("input-voltage", "Voltage at a digital input", "U_i", in_series=True),)

    def results(self) -> Iterator[Result]:
        """`input-voltage` of every digital and safety input whose way to its source and back is known, V, held to the least at
        which it is on: as its device states, else as of an input of type 1 or 3."""
        for source, feed, way, carried in self._calculation.of(ControlDrops).ways(_INPUTS):
            ohms = self._calculation.of(ControlDrops).ohms(way)
            if ohms is None or feed.amps is None or not source.volts or source.kind != "dc":
                continue
            made = self._calculation.plant.devices[feed.sink.device]
            lost = sum_of(carried[name] * own for name, own in ohms.items())
            own_ohms = sum_of(ohms.values())
            least = self._least(made.id)
            words = f"conductors from {source.pole} to {feed.enters} and back"
            poles = tuple(replace(pole, symbol=f"R_{number}") for number, pole in enumerate(way.poles.values(), 1))
            whole = f"({' + '.join(['{R}', *(f'{{{pole.symbol}}}' for pole in poles)])})" if poles else "{R}"
            givens = (
                Given("U", source.volts, "V", f"voltage of {source.pole}", source.span),
                Given("I", feed.amps, "A", f"current of the input {feed.enters}", feed.sink.span),
                *self._calculation.of(ControlCircuits).leads.given(way.conductors, "R", words),
                *poles,
                Given(
                    "U_o",
                    max(lost - feed.amps * own_ohms, 0.0),
                    "V",
                    "drop that the others cause in what is shared with them, all of them on",
                    None,
                    "Kirchhoff's laws on the conductors named",
                    "verified",
                ),
            )
            yield Result.worked(
                "input-voltage",
                feed.enters,
                self._calculation.of(Circuit).feeder(made.id),
                formula(f"{{U}} - {{I}} * {whole} - {{U_o}}"),
                "V",
                givens,
                "Ohm's law",
                Limit(least.value, Sense.AT_LEAST, "least voltage at which it is on", least),
                key=f"input-voltage {feed.enters} from {source.pole}",
                note=f"resistance of contacts{way.left_out} not included; of several ways that of most resistance",
                conductors=way.conductors,
                span=made.span,
            )

    def _least(self, device: str) -> Given:
        made = self._calculation.plant.devices[device]
        stated = amount(made, "input-on-voltage")
        if stated is not None:
            return Given("U_on", stated, "V", f"voltage from which inputs of {device} are on", made.span)
        found = figure(one_table("control", "digital_input"), "on_v", 0)
        return Given("U_on", found.value, "V", "voltage from which an input is on", None, found.source, found.confidence)
