"""Whether an electronic 24 V supply can trip the protective devices of its branches."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from netdsl.calc.basis import Calculation, Gap, Given, Limit, Result, Sense, amount, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.paths import ControlCircuits, Feed, Line
from netdsl.calc.control.source_poles import Source
from netdsl.calc.devices import Characteristic, Characteristics, PoleResistances
from netdsl.model.kinds import PROTECTIVE

#: within this a fuse of a branch has to operate, s
WITHIN_S = 5.0


class SupplyTrips:
    """A short at the far end of a branch draws what the supply gives at most, or what the conductors there and back let
    through."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`supply-trip` of every protective device between a 24 V supply and what it feeds."""
        circuits = self._calculation.of(ControlCircuits)
        for source in circuits.net.sources:
            device = self._calculation.plant.devices[source.device]
            if source.inner and source.kind == "dc" and device.kind == "supply-24v" and source.volts:
                for name, (feed, out, back) in self._branches(source).items():
                    yield from self._trip(source, name, feed, out, back)

    def _branches(self, source: Source) -> dict[str, tuple[Feed, Line, Line]]:
        """For each protective device the sink behind it with the most resistance there and back."""
        circuits = self._calculation.of(ControlCircuits)
        found: dict[str, tuple[Feed, Line, Line]] = {}
        for feed in circuits.by_source.get(source.pole, ()):
            out, back = circuits.line(feed, False), circuits.line(feed, True)
            if out is None or back is None:
                continue
            for name in (*out.devices, *back.devices):
                further = name not in found or _ohms(out, back) > _ohms(*found[name][1:])
                if further and self._calculation.plant.devices[name].kind in PROTECTIVE:
                    found[name] = (feed, out, back)
        return found

    def _trip(self, source: Source, name: str, feed: Feed, out: Line, back: Line) -> Iterator[Result]:
        calculation = self._calculation
        characteristic = calculation.of(Characteristics).of(name)
        wanted = self._wanted(characteristic) if characteristic else None
        if wanted is None:
            return
        supply = calculation.plant.devices[source.device]
        peak = amount(supply, "peak-current")
        absent = f"whether {source.device} can trip {name}"
        if peak is None:
            calculation.gaps.note(
                Gap(
                    calculation.of(Circuit).feeder(supply.id),
                    "peak current",
                    (supply.id,),
                    (absent,),
                    supply.span,
                    "add `peak-current=`, what it gives into a short circuit",
                )
            )
        elif _ohms(out, back) == inf:
            conductors = (*out.conductors, *back.conductors)
            calculation.of(ControlCircuits).leads.note_missing(conductors, calculation.of(Circuit).feeder(name), absent)
        else:
            most = Given("I_p", peak, "A", f"what {supply.id} gives into a short circuit", supply.span)
            yield self._result(source, name, feed, out, back, most, wanted)

    def _result(self, source: Source, name: str, feed: Feed, out: Line, back: Line, most: Given, wanted: Given) -> Result:
        """`supply-trip`; `most`: what the supply gives at most, `wanted`: what trips the device for certain, both A."""
        names = (*out.devices, *back.devices)
        conductors, inner = (*out.conductors, *back.conductors), tuple(self._inner(names))
        volts = Given("U", source.volts or 0.0, "V", f"voltage of {source.pole}", source.span)
        words = f"conductors from {source.pole} to {feed.sink.device} and back"
        loop = (*self._calculation.of(ControlCircuits).leads.given(conductors, "R", words), *inner)
        resistance = f"({' + '.join(['{R}', *(f'{{{given.symbol}}}' for given in inner)])})" if inner else "{R}"
        # without resistance on the way the supply alone limits the current
        bare = not inner and _ohms(out, back) == 0
        text, givens = ("{I_p}", (most,)) if bare else (f"min({{I_p}}; {{U}} / {resistance})", (most, volts, *loop))
        return Result.worked(
            "supply-trip",
            name,
            self._calculation.of(Circuit).feeder(name),
            formula(text),
            "A",
            givens,
            "Ohm's law",
            Limit(wanted.value, Sense.AT_LEAST, "current at which the device is certain to trip", wanted),
            note=f"short circuit at {feed.sink.device}, the far end of the branch; {self._left_out(names)}",
            conductors=conductors,
            span=self._calculation.plant.devices[name].span,
        )

    def _inner(self, names: tuple[str, ...]) -> Iterator[Given]:
        """The resistances of the poles of devices on the way, stated or typical."""
        for number, name in enumerate(names, 1):
            found = self._calculation.of(PoleResistances).of(name)
            if found is not None and found.value:
                yield found._replace(symbol=f"R_{number}")

    def _left_out(self, names: tuple[str, ...]) -> str:
        """What is not included, in words."""
        bare = [name for name in dict.fromkeys(names) if self._calculation.of(PoleResistances).of(name) is None]
        return f"resistance of contacts{''.join(f' and of {name}' for name in bare)} not included"

    def _wanted(self, device: Characteristic) -> Given | None:
        """The current at which a device is certain to act on direct current: at once by its release, a fuse within 5 s."""
        if device.instantaneous_a is not None:
            factor = self._calculation.settings.given("dc-trip-factor", "k")
            value = device.instantaneous_a[1] * factor.value
            words = f"{factor.shown} times the upper end of its instantaneous band, {device.instantaneous_a[1]:g} A"
            return Given("I_a", value, "A", words, factor.span, factor.source, factor.confidence)
        return self._calculation.of(Characteristics).current_for(device, WITHIN_S)


def _ohms(out: Line, back: Line) -> float:
    """Resistance there and back, ohm; infinite where a length is missing."""
    return inf if out.ohms is None or back.ohms is None else out.ohms + back.ohms
