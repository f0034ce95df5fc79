"""What comes on behind a protective device against the current at which that may operate: transformers, supplies, coils."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import sqrt

from msgspec.structs import replace

from netdsl.calc.basis import (
    Answer,
    Calculation,
    Given,
    Limit,
    Result,
    Sense,
    SheetQuestion,
    amount,
    figure_text,
    formula,
    one_table,
    rating,
)
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.paths import ControlCircuits, Feed
from netdsl.calc.control.pull_in import pulls_in, taken
from netdsl.calc.control.sources import summed
from netdsl.calc.devices import Characteristic, Characteristics, Point
from netdsl.calc.loads import LoadCurrents
from netdsl.calc.protection import Trips
from netdsl.findings import Span
from netdsl.kept import cached_property
from netdsl.model.kinds import BREAKING, INNER_SUPPLIES, Kind

_SOURCE = "IEC 60898-1, table 7; IEC 60947-2, 8.3.3.1.2; IEC 60269-1, table 3"
_NOT_SET = "at which current its release trips at once is not known or not set"


class Inrushes(SheetQuestion):
    """The device next ahead of what comes on holds it: all transformers and supplies behind it at once, and of coils the one that
    takes most while it pulls in, the others held: several that pull in at one moment are what no netlist says."""

    place = 1328
    answers = (
        Answer("inrush.peak", "Inrush of what is switched on", "i"),
        Answer("inrush.energy", "Inrush of what is switched on, energy", "E"),
        Answer("inrush.coils", "Largest coil that pulls in, the others held", "I"),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._devices = calculation.plant.devices

    def results(self) -> Iterator[Result]:
        """`inrush.peak` (of supplies behind a fuse `inrush.energy`) of each device that breaks short circuits next ahead of
        transformers and 24 V supplies, `inrush.coils` of each in a circuit of coils that take more while they pull in."""
        return (found for _, found in self._judged if isinstance(found, Result))

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Devices ahead of such things of which it is not known, with the reason."""
        return tuple((name, found) for name, found in self._judged if isinstance(found, str))

    @cached_property
    def _judged(self) -> tuple[tuple[str, Result | str], ...]:
        return (*self._of_switched(), *self._of_coils())

    def _of_switched(self) -> Iterator[tuple[str, Result | str]]:
        for device in self._breaking(self._switched):
            held = self._held(device)
            yield device.device, _NOT_SET if held is None else self._peak(device, self._switched[device.device], held)

    def _of_coils(self) -> Iterator[tuple[str, Result | str]]:
        for device in self._breaking(self._coils):
            held = self._held(device)
            yield device.device, _NOT_SET if held is None else self._pulled(device, self._coils[device.device], held)

    def _breaking(self, names: Iterable[str]) -> Iterator[Characteristic]:
        known = (self._calculation.of(Characteristics).of(name) for name in names)
        return (device for device in known if device is not None and device.short_circuit)

    def _held(self, device: Characteristic) -> Point | None:
        """The largest current of which it is known that a device holds it for a while."""
        if self._calculation.of(Characteristics).unset(device):
            return None
        return device.holds[-1] if device.holds and (device.kind == "fuse" or device.instantaneous_a is not None) else None

    # --- transformers and supplies --------------------------------------------------------------------------------------
    @cached_property
    def _switched(self) -> dict[str, tuple[str, ...]]:
        """Transformers and supplies by the device that breaks short circuits next ahead of them."""
        circuit, found = self._calculation.of(Circuit), dict[str, dict[str, None]]()
        for made in self._devices.values():
            for path in circuit.paths(made.id) if made.kind in INNER_SUPPLIES else ():
                ahead = [name for name in path.devices if name != made.id and self._devices[name].kind in BREAKING]
                if ahead:
                    found.setdefault(ahead[-1], {})[made.id] = None
        return {device: tuple(things) for device, things in found.items()}

    def _peak(self, device: Characteristic, things: tuple[str, ...], held: Point) -> Result | str:
        terms, givens = list[str](), list[Given]()
        for number, name in enumerate(things, 1):
            own = self._of(name, number)
            if own is None:
                return f"the current of {name} is not known"
            terms.append(own[0])
            givens += own[1]
        text, values = " + ".join(terms), tuple(dict.fromkeys(givens))
        supplies = all(self._devices[name].kind == Kind.SUPPLY_24V for name in things)
        if device.kind == "fuse" and supplies and device.pre_arcing is not None:
            found = self._energy(device, text, values)
        else:
            words = f"peak of the {held.words}"
            most = Given("i_max", sqrt(2) * held.amps, "A", words, held.span, held.source, held.confidence)
            limit = Limit(most.value, Sense.AT_MOST, words, most)
            found = self._result("peak", device, text, "A", values, limit, f"with {_named(things)}")
        if found.holds or all(map(self._states, things)):
            return found
        unsaid = " and ".join(name for name in things if not self._states(name))
        most_held = f"{figure_text(found.limit or 0.0)} {found.unit}"
        return f"{unsaid} states no `inrush-current`; with a usual one it would have to hold {found.shown} and holds {most_held}"

    def _states(self, thing: str) -> bool:
        """Whether the inrush of a thing is stated, by its part or for all by the project."""
        made = self._devices[thing]
        name = "supply-inrush" if made.kind == Kind.SUPPLY_24V else "transformer-inrush"
        return amount(made, "inrush-current") is not None or self._calculation.settings.stated(name)

    def _of(self, thing: str, number: int) -> tuple[str, tuple[Given, ...]] | None:
        """The peak of a thing as part of a formula, A, symbols numbered; None where its current is not known."""
        made, settings = self._devices[thing], self._calculation.settings
        if amount(made, "inrush-current") is not None:
            words = f"largest peak that {thing} takes when it is switched on"
            return f"{{i_{number}}}", (rating(made, "inrush-current", f"i_{number}", "A", words),)
        if made.kind == Kind.SUPPLY_24V:
            return "{i_s}", (settings.given("supply-inrush", "i_s"),)
        load = self._calculation.of(LoadCurrents).device(thing)
        if load is None:
            return None
        own = Given(f"I_{number}", load, "A", f"rated primary current of {thing}", result=f"load-current {thing}")
        return f"{{k_t}} * {{I_{number}}}", (settings.given("transformer-inrush", "k_t"), own)

    def _energy(self, device: Characteristic, text: str, values: tuple[Given, ...]) -> Result:
        row, most = one_table("coordination", "inrush"), device.pre_arcing
        assert most is not None
        time = Given("t", row["supply_s"], "s", "time for which such a peak lasts", None, row["source"], row["confidence"])
        limit, text = Limit(most.value, Sense.AT_MOST, most.words, most), f"({text})^2 / 2 * {{t}}"
        return self._result("energy", device, text, "A²s", (*values, time), limit, "half a wave of that peak")

    # --- coils ----------------------------------------------------------------------------------------------------------
    @cached_property
    def _coils(self) -> dict[str, tuple[Feed, ...]]:
        """What is fed through each device that breaks short circuits in circuits of coils that take more while they pull in."""
        circuits, found = self._calculation.of(ControlCircuits), dict[str, dict[str, list[Feed]]]()
        for source in circuits.net.sources:
            feeds = circuits.by_source.get(source.pole, ())
            for feed in feeds if any(pulls_in(source, each.sink) for each in feeds) else ():
                out = circuits.line(feed, False)
                for name in dict.fromkeys(out.devices) if out is not None else ():
                    if self._devices[name].kind in BREAKING and not self._calculation.of(Circuit).out_of.get(name):
                        found.setdefault(name, {}).setdefault(source.pole, []).append(feed)
        most = {name: max(by.values(), key=len) for name, by in found.items()}
        return {name: tuple(feeds) for name, feeds in most.items() if any(pulls_in(each.source, each.sink) for each in feeds)}

    def _pulled(self, device: Characteristic, feeds: tuple[Feed, ...], held: Point) -> Result | str:
        pulling: list[tuple[float, Feed, str, tuple[Given, ...]]] = []
        for feed in feeds:
            if pulls_in(feed.source, feed.sink):
                own = taken(self._calculation, feed.sink)
                if own is None or feed.sink.voltage is None:
                    return f"what {feed.sink.device} takes is not stated"
                text, values = f"{own[0]} / {{U_n}}", (*own[1], replace(feed.sink.voltage, symbol="U_n"))
                pulling.append((formula(text)(**{given.symbol: given.value for given in values}), feed, text, values))
        _, largest, text, givens = max(pulling, key=lambda each: each[0])
        others = tuple(feed for feed in feeds if feed is not largest)
        if any(feed.amps is None for feed in others):
            return "what else is behind it is not known"
        if others:
            more, values = summed(others, others[0].source)
            text, givens = f"{text} + {more}", (*givens, *values)
        most = Given("I_max", held.amps, "A", held.words, held.span, held.source, held.confidence)
        limit = Limit(most.value, Sense.AT_MOST, held.words, most)
        note = f"with {largest.sink.device} pulling in{', all others held' if others else ''}"
        return self._result("coils", device, text, "A", givens, limit, note)

    def _result(
        self, name: str, device: Characteristic, text: str, unit: str, givens: tuple[Given, ...], limit: Limit, note: str
    ) -> Result:
        span: Span = self._devices[device.device].span
        feeder = self._calculation.of(Circuit).feeder(device.device)
        note = f"{self._calculation.of(Trips).named(device)} {note}"
        question = f"inrush.{name}"
        return Result.worked(question, device.device, feeder, formula(text), unit, givens, _SOURCE, limit, note=note, span=span)


def _named(things: tuple[str, ...]) -> str:
    more = f" and {len(things) - 4} more" if len(things) > 4 else ""
    return f"{', '.join(things[:4])}{more} switched on"
