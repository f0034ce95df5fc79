"""Whether an electronic 24 V supply can trip the protective devices of its branches."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import NamedTuple

from msgspec.structs import replace

from netdsl.calc.basis import Calculation, Gap, Given, Limit, Result, Sense, amount, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.paths import ControlCircuits, Feed, Line
from netdsl.calc.control.source_poles import Source
from netdsl.calc.devices import ELECTRONIC, Characteristic, Characteristics, PoleResistances
from netdsl.kept import cached_property
from netdsl.model.kinds import PROTECTIVE

#: within this a fuse of a branch has to operate, s
WITHIN_S = 5.0


class Branch(NamedTuple):
    """A short circuit behind a protective device: `place` in words, `conductors` there and back, the `devices` on the way, and
    the resistance of the conductors, ohm; `twice`: they are those of the way there alone, and as much is taken for the way
    back."""

    place: str
    conductors: tuple[str, ...]
    devices: tuple[str, ...]
    ohms: float
    twice: bool = False


class SupplyTrips:
    """A short at the far end of a branch draws what the supply gives at most, or what the conductors there and back let
    through. Of a device ahead of others it is a short at the next of them."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation

    def results(self) -> Iterator[Result]:
        """`supply-trip` of every protective device between a 24 V supply and what it feeds."""
        return (found for _, found in self._judged if isinstance(found, Result))

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Such devices of which it is not known, with the reason; where data is missing a gap is noted instead."""
        return tuple((name, found) for name, found in self._judged if isinstance(found, str))

    @cached_property
    def _judged(self) -> tuple[tuple[str, Result | str], ...]:
        found = list[tuple[str, Result | str]]()
        for source in self._calculation.of(ControlCircuits).net.sources:
            device = self._calculation.plant.devices[source.device]
            if source.inner and source.kind == "dc" and device.kind == "supply-24v" and source.volts:
                for name, branch in self._branches(source).items():
                    each = self._trip(source, name, branch)
                    if each is not None:
                        found.append((name, each))
        return tuple(found)

    def _branches(self, source: Source) -> dict[str, Branch]:
        """For each protective device the short circuit behind it with the most resistance on its way."""
        circuits, found = self._calculation.of(ControlCircuits), dict[str, Branch]()
        for feed in circuits.by_source.get(source.pole, ()):
            out, back = circuits.line(feed, False), circuits.line(feed, True)
            for name, branch in self._behind(feed, out, back) if out is not None and back is not None else ():
                if name not in found or branch.ohms > found[name].ohms:
                    found[name] = branch
        return found

    def _behind(self, feed: Feed, out: Line, back: Line) -> Iterator[tuple[str, Branch]]:
        devices, leads = self._calculation.plant.devices, self._calculation.of(ControlCircuits).leads
        end, ohms = feed.sink.device, inf if out.ohms is None or back.ohms is None else out.ohms + back.ohms
        for name in back.devices:
            if devices[name].kind in PROTECTIVE:
                yield name, Branch(end, (*out.conductors, *back.conductors), (*out.devices, *back.devices), ohms)
        following: int | None = None
        for number, name in enumerate(out.devices):
            if devices[name].kind not in PROTECTIVE:
                continue
            if following is None:
                yield name, Branch(end, (*out.conductors, *back.conductors), (*out.devices, *back.devices), ohms)
            else:
                conductors = out.conductors[out.before[following] :]
                total = leads.total(conductors)
                place = out.devices[following]
                yield name, Branch(place, conductors, out.devices[number:], inf if total is None else 2 * total, True)
            following = number

    def _trip(self, source: Source, name: str, branch: Branch) -> Result | str | None:
        calculation = self._calculation
        supply = calculation.plant.devices[source.device]
        absent = f"whether {source.device} can trip {name}"
        characteristic = calculation.of(Characteristics).of(name)
        peak = amount(supply, "peak-current")
        lasting = amount(supply, "peak-time")
        wanted = self._wanted(characteristic, lasting) if characteristic else None
        if characteristic is None or wanted is None:
            return f"{absent}: at which current that is certain to trip is not known"
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
            return None
        if branch.ohms == inf:
            leads = calculation.of(ControlCircuits).leads
            leads.note_missing(branch.conductors, calculation.of(Circuit).feeder(name), absent)
            return None
        most, note = Given("I_p", peak, "A", f"what {supply.id} gives into a short circuit", supply.span), ""
        needed = self._seconds(characteristic)
        if lasting is not None and lasting < needed:
            limited = amount(supply, "output-current") or source.amps or 0.0
            most = replace(most, value=limited, words=f"current to which {supply.id} limits itself")
            note = f"; its peak of {peak:g} A lasts {lasting:g} s, {name} is certain to act within {needed:g} s"
        return self._result(source, name, branch, most, wanted, note)

    def _result(self, source: Source, name: str, branch: Branch, most: Given, wanted: Given, note: str) -> Result:
        """`supply-trip`; `most`: what the supply gives at most, `wanted`: what trips the device for certain, both A."""
        conductors, inner = branch.conductors, tuple(self._inner(branch.devices))
        volts = Given("U", source.volts or 0.0, "V", f"voltage of {source.pole}", source.span)
        words = f"conductors from {source.pole} to {branch.place}{'' if branch.twice else ' and back'}"
        loop = (*self._calculation.of(ControlCircuits).leads.given(conductors, "R", words), *inner)
        own = "2 * {R}" if branch.twice else "{R}"
        resistance = f"({' + '.join([own, *(f'{{{given.symbol}}}' for given in inner)])})" if inner or branch.twice else own
        # without resistance on the way the supply alone limits the current
        bare = not inner and branch.ohms == 0
        text, givens = ("{I_p}", (most,)) if bare else (f"min({{I_p}}; {{U}} / {resistance})", (most, volts, *loop))
        place = f"{branch.place}, the next behind it" if branch.twice else f"{branch.place}, the far end of the branch"
        return Result.worked(
            "supply-trip",
            name,
            self._calculation.of(Circuit).feeder(name),
            formula(text),
            "A",
            givens,
            "Ohm's law",
            Limit(wanted.value, Sense.AT_LEAST, "current at which the device is certain to trip", wanted),
            note=f"short circuit at {place}; {self._left_out(branch.devices)}{note}",
            conductors=conductors,
            span=self._calculation.plant.devices[name].span,
        )

    def _inner(self, names: tuple[str, ...]) -> Iterator[Given]:
        """The resistances of the poles of devices on the way, stated or typical."""
        for number, name in enumerate(names, 1):
            found = self._calculation.of(PoleResistances).of(name)
            if found is not None and found.value:
                yield replace(found, symbol=f"R_{number}")

    def _left_out(self, names: tuple[str, ...]) -> str:
        """What is not included, in words."""
        bare = [name for name in dict.fromkeys(names) if self._calculation.of(PoleResistances).of(name) is None]
        return f"resistance of contacts{''.join(f' and of {name}' for name in bare)} not included"

    # --- the device ------------------------------------------------------------------------------------------------------
    def _wanted(self, device: Characteristic, lasting: float | None) -> Given | None:
        """The current at which a device is certain to act on direct current: at once by its release, a fuse within 5 s, or while
        the peak of its supply lasts."""
        if device.instantaneous_a is None:
            return self._calculation.of(Characteristics).current_for(device, min(WITHIN_S, lasting or WITHIN_S))
        upper = device.instantaneous_a[1]
        if device.curve == ELECTRONIC:
            point = device.points[0]
            words = f"current at which {device.device} switches off"
            return Given("I_a", upper, "A", words, point.span, point.source, point.confidence)
        factor = self._calculation.settings.given("dc-trip-factor", "k")
        words = f"{factor.shown} times the upper end of its instantaneous band, {upper:g} A"
        return Given("I_a", upper * factor.value, "A", words, factor.span, factor.source, factor.confidence)

    @staticmethod
    def _seconds(device: Characteristic) -> float:
        """The time within which a device is certain to act at that current, s; 0 of a fuse, whose current is that of the time."""
        if device.clearing is not None:
            return device.clearing.value
        return 0.0 if device.instantaneous_a is None else min(point.seconds for point in device.points)
