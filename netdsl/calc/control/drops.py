"""Voltage at the far end of control circuits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from msgspec.structs import replace

from netdsl.calc.basis import Answer, Given, Input, Later, Limit, Result, Sense, SheetQuestion, formula
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.paths import ControlCircuits, Feed
from netdsl.calc.control.source_poles import Source
from netdsl.calc.devices import PoleResistances
from netdsl.kept import kept
from netdsl.sums import sum_of

#: sinks whose own voltage matters; inputs and loops work over a wide range
_JUDGED = frozenset({"coil", "load"})


def _carried(lines: Sequence[tuple[Feed, Way | None]]) -> dict[str, float]:
    """What each conductor and device carries of all whose way leads over it, as if all were on, A."""
    carried: dict[str, float] = {}
    for feed, way in lines:
        for name in (*way.conductors, *way.poles) if way else ():
            carried[name] = carried.get(name, 0.0) + (feed.amps or 0.0)
    return carried


class Way(NamedTuple):
    """What the current of a sink flows through, there and back: conductors, devices with the resistance of a pole, and in words
    those of which none is known."""

    conductors: tuple[str, ...]
    poles: dict[str, Given]
    left_out: str


class ControlDrops(SheetQuestion):
    """Voltage at the far end of control circuits."""

    place = 1300
    answers = (Answer("control-drop", "Voltage drop of a control circuit", "dU", in_series=True),)

    def results(self) -> Iterator[Result]:
        """`control-drop` of every coil and load of the control circuits."""
        numbers: dict[tuple[str, str], int] = {}
        for source, feed, way, carried in self.ways(_JUDGED):
            of = (source.pole, feed.sink.device)
            count = numbers[of] = numbers.get(of, 0) + 1
            yield from self._drop(source, feed, way, carried, f"/{count}" if count > 1 else "")

    def ways(self, kinds: frozenset[str]) -> Iterator[tuple[Source, Feed, Way, dict[str, float]]]:
        """Sinks of these kinds with their source, their way there and back, and what each conductor and device on it carries with
        all on, A."""
        for source in self._calculation.of(ControlCircuits).net.sources:
            if source.volts and (source.inner or source.kind == "dc"):
                lines, carried = self.lines(source)
                for feed, way in lines:
                    if feed.sink.kind in kinds and feed.leaves is not None and way is not None and way.conductors:
                        yield source, feed, way, carried

    @kept
    def lines(self, source: Source) -> tuple[tuple[tuple[Feed, Way | None], ...], dict[str, float]]:
        """All that a source feeds with its way there and back, None where none can be followed; and what each conductor and
        device on these ways carries with all on, A."""
        feeds = self._calculation.of(ControlCircuits).by_source.get(source.pole, ())
        lines = tuple((feed, self._there_and_back(feed)) for feed in feeds)
        return lines, _carried(lines)

    def ohms(self, way: Way) -> dict[str, float] | None:
        """Resistance of each conductor and pole on a way, ohm; None where one is unknown."""
        leads = self._calculation.of(ControlCircuits).leads
        known = {name: leads.ohms(name) for name in way.conductors}
        if None in known.values():
            return None
        return {name: own for name, own in known.items() if own is not None} | {
            name: pole.value for name, pole in way.poles.items()
        }

    def _drop(self, source: Source, feed: Feed, way: Way, carried: dict[str, float], suffix: str) -> Iterator[Result]:
        calculation = self._calculation
        leads = calculation.of(ControlCircuits).leads
        sink, conductors = feed.sink, way.conductors
        device = calculation.plant.devices[sink.device]
        feeder = calculation.of(Circuit).feeder(sink.device)
        ohms = leads.total(conductors)
        if feed.amps is None:
            calculation.of(ControlCircuits).note_unknown(feed, "voltage at the far end of control circuits")
        if ohms is None:
            leads.note_missing(conductors, feeder, "voltage at the far end of control circuits")
        if feed.amps is None or ohms is None or not source.volts:
            return
        known = {
            **{name: leads.ohms(name) or 0.0 for name in conductors},
            **{name: pole.value for name, pole in way.poles.items()},
        }
        others = max(sum_of((carried[name] - feed.amps) * own for name, own in known.items()), 0.0)
        poles = tuple(replace(pole, symbol=f"R_{number}") for number, pole in enumerate(way.poles.values(), 1))
        limit = calculation.settings.given("control-drop-limit", "u_max")
        current = self._current(feed, source)
        whole = f"({' + '.join(['{R}', *(f'{{{pole.symbol}}}' for pole in poles)])})" if poles else "{R}"
        how = formula(f"100 * ({' / '.join(f'{{{given.symbol}}}' for given in current)} * {whole} + {{U_o}}) / {{U}}")
        numbers = {given.symbol: given.value for given in (*current, *poles)}
        givens = Later(self._givens, source, feed, current, conductors, others, poles)
        yield Result(
            f"control-drop {sink.device}{suffix} from {source.pole}",
            "control-drop",
            sink.device,
            feeder,
            how(R=ohms, U_o=others, U=source.volts, **numbers),
            "%",
            how,
            givens,
            "Ohm's law",
            Limit(limit.value, Sense.AT_MOST, "largest drop to the far end of a control circuit", limit),
            note=f"resistance of contacts{way.left_out} not included; of several ways that of most resistance",
            conductors=conductors,
            span=device.span,
        )

    def _givens(
        self,
        source: Source,
        feed: Feed,
        current: tuple[Given, ...],
        conductors: tuple[str, ...],
        others: float,
        poles: tuple[Given, ...],
    ) -> tuple[Input, ...]:
        words = f"conductors from {source.pole} to {feed.sink.device} and back"
        return (
            *current,
            *self._calculation.of(ControlCircuits).leads.given(conductors, "R", words),
            *poles,
            Given(
                "U_o",
                others,
                "V",
                "drop that the others cause in what is shared with them, all of them on",
                None,
                "Kirchhoff's laws on the conductors named",
                "verified",
            ),
            Given("U", source.volts or 0.0, "V", f"voltage of {source.pole}", source.span),
        )

    def _current(self, feed: Feed, source: Source) -> tuple[Given, ...]:
        """What a sink takes as it is stated: its current, or its power and the voltage of that, the one to be divided by the
        other."""
        sink = feed.sink
        if sink.power is None or sink.current is not None:
            return (sink.current,) if sink.current else ()
        own = sink.voltage or Given("U_n", source.volts or 0.0, "V", f"voltage of {source.pole}", source.span)
        return sink.power, Given("U_n", own.value, own.unit, own.words, own.span)

    def _there_and_back(self, feed: Feed) -> Way | None:
        circuits = self._calculation.of(ControlCircuits)
        out = circuits.line(feed, False)
        back = circuits.line(feed, True) if feed.leaves else None
        if out is None or (feed.leaves is not None and back is None):
            return None
        devices = dict.fromkeys((*out.devices, *(back.devices if back else ())))
        known = {name: self._calculation.of(PoleResistances).of(name) for name in devices}
        poles = {name: pole for name, pole in known.items() if pole is not None}
        bare = "".join(f" and of {name}" for name, pole in known.items() if pole is None)
        return Way((*out.conductors, *(back.conductors if back else ())), poles, bare)
