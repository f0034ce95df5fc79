"""Voltage at coils while they pull in: on the mains, behind a control transformer, or where their part states what they take."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from msgspec.structs import replace

from netdsl.calc.basis import (
    Answer,
    Calculation,
    Given,
    Input,
    Limit,
    Result,
    Sense,
    SheetQuestion,
    amount,
    figure,
    formula,
    one_table,
    rating,
)
from netdsl.calc.circuit import Circuit, Missing
from netdsl.calc.conductors import VoltageDrops
from netdsl.calc.control.drops import ControlDrops, Way
from netdsl.calc.control.paths import ControlCircuits, Feed
from netdsl.calc.control.pull_in import pulls_in, taken
from netdsl.calc.control.source_poles import Source
from netdsl.calc.loads import LoadCurrents, to_neutral
from netdsl.kept import cached_property
from netdsl.model.kinds import Kind
from netdsl.quantities import Quantity
from netdsl.sums import sum_of


class Ahead(NamedTuple):
    """What lies between a voltage and the conductors of a control circuit: `text`, in V, of a formula with these values; `note`:
    what of it is not included."""

    text: str
    givens: tuple[Given, ...]
    note: str = ""


class CoilVoltages(SheetQuestion):
    """What is left of a voltage at a coil that pulls in while all else holds, in percent of its rated voltage.

    All drops are added by their magnitudes, as if in phase: no less is left than that.
    """

    place = 1305
    answers = (Answer("coil-voltage", "Voltage at a coil that pulls in", "U_c", in_series=True),)

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuits = calculation.of(ControlCircuits)

    def results(self) -> Iterator[Result]:
        """`coil-voltage` of every coil on alternating voltage, and of those on direct voltage whose `pull-in` is stated."""
        return (found for _, found in self._judged if isinstance(found, Result))

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Coils of which it is not known, with the reason."""
        return tuple((name, found) for name, found in self._judged if isinstance(found, str))

    @cached_property
    def _judged(self) -> tuple[tuple[str, Result | str], ...]:
        found: dict[str, tuple[str, Result | str]] = {}
        for source in self._circuits.net.sources:
            feeds = [feed for feed in self._circuits.by_source.get(source.pole, ()) if pulls_in(source, feed.sink)]
            for feed, way in self._calculation.of(ControlDrops).lines(source)[0] if feeds else ():
                if pulls_in(source, feed.sink):
                    key = f"coil-voltage {feed.enters} from {source.pole}"
                    found[key] = feed.sink.device, self._of(source, feed, way, key)
        return tuple(found.values())

    def _of(self, source: Source, feed: Feed, way: Way | None, key: str) -> Result | str:
        device = self._calculation.plant.devices[feed.sink.device]
        volts, pulling = self._volts(source, feed), taken(self._calculation, feed.sink)
        if volts is None or pulling is None or feed.sink.voltage is None:
            return "its rated voltage, what it takes, or the voltage of its source is not stated"
        if way is None or feed.leaves is None:
            return f"no way to {source.pole} and back is known"
        ohms, drops = self._calculation.of(ControlDrops).ohms(way), self._of_power(way)
        feeder = self._calculation.of(Circuit).feeder(device.id)
        if ohms is None:
            self._circuits.leads.note_missing(way.conductors, feeder, "voltage at coils")
            return "a cable on the way has no length"
        if drops is None:
            return "what else flows in conductors on the way is not known"
        text, current = pulling
        rated = replace(feed.sink.voltage, symbol="U_n")
        carried = self._calculation.of(ControlDrops).lines(source)[1]
        others = max(sum_of((carried[name] - (feed.amps or 0.0)) * own for name, own in ohms.items()), 0.0)
        amps = f"{text} / {{U_n}}"
        ahead = self._ahead(source, feed, amps)
        poles = tuple(replace(pole, symbol=f"R_{number}") for number, pole in enumerate(way.poles.values(), 1))
        whole = f"({' + '.join(['{R}', *(f'{{{pole.symbol}}}' for pole in poles)])})" if poles else "{R}"
        shared = (_lost("U_o", others, "other loads of the control circuit"), _lost("U_p", drops, "loads of the power circuit"))
        least = self._least(feed)
        conductors = self._circuits.leads.given(way.conductors, "R", f"conductors from {source.pole} to {device.id} and back")
        givens: tuple[Input, ...] = (*volts.givens, rated, *current, *conductors, *poles, *ahead.givens, *shared)
        return Result.worked(
            "coil-voltage",
            device.id,
            feeder,
            formula(f"100 * ({volts.text}{ahead.text} - {amps} * {whole} - {{U_o}} - {{U_p}}) / {{U_n}}"),
            "%",
            tuple(dict.fromkeys(givens)),
            "Ohm's law; IEC 60947-4-1, 8.2.1.2",
            Limit(least.value, Sense.AT_LEAST, "of its rated voltage, from which it pulls in", least),
            key=key,
            note=f"resistance of contacts{way.left_out} not included{volts.note}{ahead.note}; others hold meanwhile",
            conductors=way.conductors,
            span=device.span,
        )

    # --- voltage and what is lost ahead of the conductors ---------------------------------------------------------------
    def _volts(self, source: Source, feed: Feed) -> Ahead | None:
        """The voltage at the source's terminals between the poles that a coil lies at."""
        if not source.volts:
            return None
        volts = source.volts
        if not source.inner and len(source.poles) > 1 and self._circuits.comes_back(feed):
            volts = to_neutral(volts)
        given = Given("U", volts, "V", f"voltage of {source.pole}", source.span)
        if source.inner or source.kind != "ac":
            return Ahead("{U}", (given,))
        share = self._calculation.settings.given("coil-supply", "k_u")
        return Ahead("{k_u} / 100 * {U}", (given, share))

    def _ahead(self, source: Source, feed: Feed, amps: str) -> Ahead:
        """What a transformer loses: ahead of it in service, and inside it by what it feeds."""
        made = self._calculation.plant.devices[source.device]
        if not source.inner or made.kind != Kind.TRANSFORMER:
            return Ahead("", ())
        drop = self._calculation.of(VoltageDrops).running(made.id)
        text, note, givens = "", "", list[Given]()
        if drop is not None:
            text = " - {dU} / 100 * {U}"
            givens.append(Given("dU", drop.value, "%", f"voltage drop ahead of {made.id} in service", result=drop.key))
        else:
            note = f", nor is the drop ahead of {made.id}"
        if not amount(made, "short-circuit-voltage") or not amount(made, "apparent-power"):
            return Ahead(text, tuple(givens), f"{note}, nor that inside {made.id}, which states no `short-circuit-voltage`")
        flows = sum(each.amps or 0.0 for each in self._circuits.by_source[source.pole] if each is not feed)
        words = f"what else {made.id} feeds, at most"
        held = Given("I_o", flows, "A", words, None, "Kirchhoff's current law", "verified")
        givens += [
            rating(made, "short-circuit-voltage", "u_k", "%"),
            rating(made, "apparent-power", "S_r", "VA"),
            held,
        ]
        return Ahead(f"{text} - {{u_k}} / 100 * {{U}}^2 / {{S_r}} * ({amps} + {{I_o}})", tuple(givens), note)

    def _of_power(self, way: Way) -> float | None:
        """What the loads of the power circuit lose in conductors that they share with a control circuit, V; None if unknown."""
        loads, leads, total = self._calculation.of(LoadCurrents), self._calculation.of(Circuit).leads, 0.0
        for name in way.conductors:
            amps = loads.conductor(name)
            if amps is None and loads.through(name):
                return None
            lead = leads.like(name) if amps else None
            if amps and lead is not None:
                if isinstance(lead, Missing):
                    return None
                total += amps * abs(lead.at(None))
        return total

    # --- the coil -------------------------------------------------------------------------------------------------------
    def _least(self, feed: Feed) -> Given:
        consumer = feed.sink.consumer
        stated: Quantity | None = consumer.operates_from if consumer is not None else None
        if stated is not None and consumer is not None:
            words = f"share of its voltage from which {feed.sink.device} pulls in"
            return Given("u_min", stated.value, "%", words, consumer.span)
        found = figure(one_table("control", "coil"), "pull_in_percent", 0)
        words = "share of its voltage from which a coil pulls in"
        return Given("u_min", found.value, "%", words, None, found.source, found.confidence)


def _lost(symbol: str, volts: float, by: str) -> Given:
    return Given(symbol, volts, "V", f"drop that {by} cause in conductors shared with it", None, "Kirchhoff's laws", "verified")
