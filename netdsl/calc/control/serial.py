"""Serial lines: length, stations, termination."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from netdsl.calc.basis import (
    Answer,
    Figure,
    Gap,
    Given,
    Limit,
    Result,
    Sense,
    SheetQuestion,
    Words,
    amount,
    figure,
    formula,
    one_table,
    word,
)
from netdsl.calc.circuit import Circuit
from netdsl.findings import Span
from netdsl.kept import kept
from netdsl.model.plant import Device, Role
from netdsl.network.search import walk

#: the `line` attribute that counts a line once: its first data core
_FIRST = "a"


class SerialLine(Struct, frozen=True):
    """A serial line. `stations`: devices on it in order of declaration, `conductors`: those of its first data core."""

    stations: tuple[Device, ...]
    conductors: tuple[str, ...]

    @property
    def name(self) -> str:
        """The designation under which it is listed: that of its first station."""
        return self.stations[0].id


class SerialLines(SheetQuestion):
    """Serial lines: length, stations, termination."""

    place = 1600
    answers = (
        Answer("serial-line.length", "Length of a serial line", "L"),
        Answer("serial-line.stations", "Stations on a serial line", "N"),
        Answer("serial-line.terminations", "Terminations of a serial line", "n", graded=False),
    )

    def results(self) -> Iterator[Result]:
        """`serial-line.length`, `serial-line.stations` and `serial-line.terminations` of every serial line."""
        for line in self.lines():
            yield from self._length(line)
            yield self._stations(line)
            yield self._terminations(line)

    @kept
    def lines(self) -> tuple[SerialLine, ...]:
        """Every line of two stations or more, joined through strips."""
        return tuple(self._found())

    def _found(self) -> Iterator[SerialLine]:
        network, plant = self._calculation.network, self._calculation.plant
        stations: dict[str, dict[str, None]] = {}
        for device in plant.devices.values():
            for name in _first_core(device):
                net = network.net_of.get(f"{device.id}:{name}")
                if net is not None:
                    stations.setdefault(net, {})[device.id] = None
        joined = self._joined(set(stations))
        for nets in joined:
            found = dict.fromkeys(device for net in nets for device in stations.get(net, ()))
            conductors = tuple(name for net in nets for name in network.nets[net].conductors)
            if len(found) > 1 and conductors:
                yield SerialLine(tuple(plant.devices[name] for name in plant.devices if name in found), conductors)

    def _joined(self, starts: set[str]) -> Iterator[tuple[str, ...]]:
        """Nets of one line: joined by the two sides of split strip terminals."""
        network = self._calculation.network
        beside: dict[str, list[str]] = {}
        for device in self._calculation.plant.devices.values() if starts else ():
            for name, terminal in device.terminals.items() if device.category == "strip" else ():
                if terminal.split:
                    one, other = (network.net_of[f"{device.id}:{name}/{side}"] for side in ("in", "out"))
                    beside.setdefault(one, []).append(other)
                    beside.setdefault(other, []).append(one)
        seen: set[str] = set()
        for start in network.nets:
            if start not in starts or start in seen:
                continue
            line = tuple(walk((start,), lambda net: beside.get(net, ())))
            seen.update(line)
            yield line

    def _length(self, line: SerialLine) -> Iterator[Result]:
        """The longest the line can be is the sum of all pieces: from station to station, ends included."""
        network, calculation = self._calculation.network, self._calculation
        feeder = calculation.of(Circuit).feeder(line.name)
        pieces = [network.runs[name] for name in line.conductors]
        absent = f"length of the serial line at {line.name}"
        missing = [run for run in pieces if run.length_m is None and run.conductor.cable is not None]
        for run in missing:
            cable = calculation.plant.cables[run.conductor.cable or ""]
            calculation.gaps.note(Gap(feeder, "length", (cable.id,), (absent,), cable.span, "add `length=`"))
        if missing:
            return
        givens = tuple(
            Given(f"L_{n}", run.length_m, "m", f"length of {run.conductor.cable or run.id}", run.conductor.span)
            if run.length_m is not None
            else self._calculation.settings.given("control-wire-length", f"L_{n}")
            for n, run in enumerate(pieces, 1)
        )
        rate, total = self.rate(line), " + ".join(f"{{{g.symbol}}}" for g in givens)
        limit = longest(rate.value)
        words = f"longest line at {rate.shown}"
        given = Given("L_max", limit.value, "m", words, rate.span, limit.source, limit.confidence) if limit else None
        yield Result.worked(
            "serial-line.length",
            line.name,
            feeder,
            formula(total),
            "m",
            (*givens, rate),
            given.source if given else "TIA-485-A",
            Limit(given.value, Sense.AT_MOST, words, given) if given else None,
            note="" if limit else f"no guideline for {rate.shown}: the data of the transceivers hold",
            conductors=line.conductors,
            span=self._span(line),
        )

    def rate(self, line: SerialLine) -> Given:
        """The highest bit rate that a station states, else that of the project."""
        stated = [(value, device) for device in line.stations if (value := amount(device, "bit-rate")) is not None]
        if not stated:
            return self._calculation.settings.given("bit-rate", "rate")
        value, device = max(stated, key=lambda pair: pair[0])
        return Given("rate", value, "bit/s", f"bit rate of {device.id}", device.span)

    def _stations(self, line: SerialLine) -> Result:
        table = one_table("control", "serial_stations")
        most, usual = figure(table, "unit_loads", 0), figure(table, "unit_load_per_station", 0)
        stated = [(device, amount(device, "unit-load")) for device in line.stations]
        plain = sum(load is None for _, load in stated)
        givens = [
            Given("n", plain, "", "stations that state no unit load", line.stations[0].span),
            Given("u", usual.value, "", "unit load of such a station", None, usual.source, usual.confidence),
        ]
        own = [(device, load) for device, load in stated if load is not None]
        givens += [Given(f"u_{n}", load, "", f"unit load of {device.id}", device.span) for n, (device, load) in enumerate(own, 1)]
        text = " + ".join(["{n} * {u}", *(f"{{u_{n}}}" for n in range(1, len(own) + 1))])
        given = Given("u_max", most.value, "", "unit loads on one line", None, most.source, most.confidence)
        return Result.worked(
            "serial-line.stations",
            line.name,
            self._calculation.of(Circuit).feeder(line.name),
            formula(text),
            "unit loads",
            tuple(givens),
            most.source,
            Limit(most.value, Sense.AT_MOST, "on one line without a repeater", given),
            note="stations: " + ", ".join(device.id for device in line.stations),
            span=self._span(line),
        )

    def _terminations(self, line: SerialLine) -> Result:
        on = [device for device in line.stations if word(device, "termination") == "on"]
        wanted = figure(one_table("control", "serial_stations"), "terminations", 0)
        givens = tuple(Given(f"t_{n}", 1, "", f"termination of {device.id} is on", device.span) for n, device in enumerate(on, 1))
        return Result(
            f"serial-line.terminations {line.name}",
            "serial-line.terminations",
            line.name,
            self._calculation.of(Circuit).feeder(line.name),
            len(on),
            "",
            formula(" + ".join(f"{{{g.symbol}}}" for g in givens)) if givens else Words("none"),
            givens,
            wanted.source,
            note=f"wanted: {wanted.value:g}, at the two ends of the line and nowhere else",
            span=self._span(line),
        )

    def _span(self, line: SerialLine) -> Span:
        return line.stations[0].span


def _first_core(device: Device) -> list[str]:
    """Names of the terminals for the first data core; of a device that names no lines, its first bus terminal."""
    bus = [terminal for terminal in device.terminals.values() if terminal.role is Role.BUS]
    if any("line" in terminal.attributes for terminal in bus):
        return [terminal.name for terminal in bus if str(terminal.attributes.get("line", "")).lower() == _FIRST]
    return [terminal.name for terminal in bus[:1]]


def longest(bit_per_s: float) -> Figure | None:
    """The longest line at a bit rate, m: that of the table, between its last rates in inverse proportion; None beyond it."""
    table = one_table("control", "serial_length")
    rates = table["bit_per_s"]
    if bit_per_s > rates[-1]:
        return None
    if bit_per_s <= rates[-2] or bit_per_s == rates[-1]:
        index = next(n for n, rate in enumerate(rates) if bit_per_s <= rate)
        return figure(table, "length_m", index)
    product = figure(one_table("control", "serial_product"), "bit_m_per_s", 0)
    below, above = figure(table, "length_m", len(rates) - 2), figure(table, "length_m", len(rates) - 1)
    value = min(max(product.value / bit_per_s, above.value), below.value)
    return Figure(value, product.source, product.confidence)
