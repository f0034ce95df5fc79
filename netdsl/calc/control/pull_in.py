"""What coils take while they pull in: an armature that is not yet closed asks for many times what holds it."""

from __future__ import annotations

from netdsl.calc.basis import Calculation, Given
from netdsl.calc.control.sinks import Sink
from netdsl.calc.control.source_poles import Source
from netdsl.model.kinds import Kind


def pulls_in(source: Source, sink: Sink) -> bool:
    """Whether a sink takes more while it pulls in: a coil on alternating voltage, or one that states what it then takes."""
    return sink.kind == "coil" and (source.kind == "ac" or (sink.consumer is not None and sink.consumer.pull_in is not None))


def taken(calculation: Calculation, sink: Sink) -> tuple[str, tuple[Given, ...]] | None:
    """What a coil takes while it pulls in, VA, as part of a formula with its values: as its part states it, else by what holds
    it; None where neither is stated."""
    if sink.consumer is not None and sink.consumer.pull_in is not None:
        words = f"what the coil of {sink.device} takes while it pulls in"
        return "{S_p}", (Given("S_p", sink.consumer.pull_in.value, "VA", words, sink.consumer.span),)
    if sink.power is None:
        return None
    contactor = calculation.plant.devices[sink.device].kind == Kind.CONTACTOR
    return "{k_p} * {P}", (calculation.settings.given("contactor-pull-in" if contactor else "coil-pull-in", "k_p"), sink.power)
