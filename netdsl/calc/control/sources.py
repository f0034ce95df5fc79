"""Load of every 24 V supply and of the auxiliary supply of every drive; whether a supply can trip its branches."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Gap, Given, Limit, Result, Sense, SheetQuestion, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.paths import ControlCircuits, Feed
from netdsl.calc.control.source_poles import Source
from netdsl.calc.control.supply_trips import SupplyTrips

#: how many designations a value's words name
_NAMED = 4


class SourceLoads(SheetQuestion):
    """Load of every 24 V supply and of the auxiliary supply of every drive; whether a supply can trip its branches."""

    place = 1200
    answers = (
        Answer("source-load", "Load of the source", "I"),
        Answer("supply-trip", "Tripping by the source", "I", in_series=True),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._trips = SupplyTrips(calculation)

    def results(self) -> Iterator[Result]:
        """`source-load` of every inner source and `supply-trip` of every protected branch behind a 24 V supply."""
        circuits = self._calculation.of(ControlCircuits)
        for source in circuits.net.sources:
            feeds = circuits.by_source.get(source.pole, ())
            if source.inner and feeds:
                yield from self._load(source, feeds)
        yield from self._trips.results()

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Protective devices of branches of which it is not known whether the supply can trip them, with the reason."""
        return self._trips.not_judged()

    def _load(self, source: Source, feeds: tuple[Feed, ...]) -> Iterator[Result]:
        """Everything that can be on at once; what contacts exclude is counted all the same."""
        calculation = self._calculation
        unknown = [feed for feed in feeds if feed.amps is None]
        for feed in unknown:
            calculation.of(ControlCircuits).note_unknown(feed, f"load of {source.pole}")
        feeder = calculation.of(Circuit).feeder(source.device)
        if source.amps is None:
            absent, remedy = (f"load of {source.pole}",), "add `current=` to the source"
            calculation.gaps.note(Gap(feeder, "rated current", (source.pole,), absent, source.span, remedy))
        if unknown or source.amps is None:
            return
        text, givens = summed(feeds, source)
        rated = Given("I_r", source.amps, "A", f"rated current of the source {source.pole}", source.span)
        yield Result.worked(
            "source-load",
            source.pole,
            feeder,
            formula(text),
            "A",
            givens,
            "Kirchhoff's current law",
            Limit(source.amps, Sense.AT_MOST, "rated current of the source", rated),
            note="everything that can take current from it, whether its contacts let it be on together or not",
            span=source.span,
        )


def summed(feeds: tuple[Feed, ...], source: Source) -> tuple[str, tuple[Given, ...]]:
    """The sum of currents as a formula, like ones together, and the values in it."""
    alike: dict[tuple[object, ...], list[Feed]] = {}
    for feed in feeds:
        alike.setdefault(feed.sink.alike, []).append(feed)
    volts = Given("U", source.volts or 0.0, "V", f"voltage of {source.pole}", source.span)
    terms = []
    givens: list[Given] = []
    for number, group in enumerate(alike.values(), 1):
        term, values = group[0].sink.term(number, volts)
        terms.append(f"{len(group)} * {term}" if len(group) > 1 else term)
        if values:
            givens.append(_with_names(values[0], group))
            givens += [value for value in values[1:] if value not in givens]
    return " + ".join(terms), tuple(givens)


def _with_names(given: Given, feeds: list[Feed]) -> Given:
    names = list(dict.fromkeys(feed.sink.device for feed in feeds))
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    kind = feeds[0].sink.kind
    of = "" if kind in given.words else f"{kind} "
    words = f"{given.words}, {of}{', '.join(names[:_NAMED])}{more}"
    return Given(given.symbol, given.value, given.unit, words, given.span, given.source, given.confidence, given.result)
