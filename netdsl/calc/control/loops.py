"""Burden of current loops against what drives them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from msgspec import Struct

from netdsl.calc.basis import Answer, Given, Limit, Result, Sense, SheetQuestion, figure, formula, one_table
from netdsl.calc.circuit import Circuit
from netdsl.calc.control.paths import ControlCircuits, Feed
from netdsl.model.plant import Device, Role, Terminal
from netdsl.quantities import Quantity

#: inputs in series in one loop
_MAX_INPUTS = 8


class Input(Struct, frozen=True):
    """A current input in a loop: `enters` and `leaves` are the nodes of its terminal and of its common."""

    device: Device
    terminal: Terminal
    enters: str
    leaves: str | None


class Loop(Struct, frozen=True):
    """A loop from the terminal `driver` at which the current comes out, through `inputs`; `conductors` of the way there, between
    and back, None where it cannot be followed. `fed`: the terminal at which the loop feeds its own transmitter, of two wires;
    None where the driver has a supply of its own."""

    device: Device
    driver: str
    fed: str | None
    inputs: tuple[Input, ...]
    conductors: tuple[str, ...] | None


class LoopBurdens(SheetQuestion):
    """Burden of current loops against what drives them."""

    place = 1500
    answers = (
        Answer("loop-burden", "Burden of a current loop", "R", in_series=True),
        Answer("loop-limit", "Burden a current loop bears", "R"),
    )

    def results(self) -> Iterator[Result]:
        """`loop-limit` (of a two-wire transmitter) and `loop-burden` of every 4..20 mA loop."""
        for device in self._calculation.plant.devices.values():
            for terminal in device.terminals.values():
                if terminal.role is Role.ANALOGUE_OUT:
                    loop = self._loop(device, terminal)
                    if loop is not None:
                        yield from self._burden(loop)

    # --- what the loop is -----------------------------------------------------------------------------------------
    def _loop(self, device: Device, terminal: Terminal) -> Loop | None:
        net = self._calculation.of(ControlCircuits).net
        driver = net.node(device.id, terminal.name)
        if driver is None or device.kind in ("potentiometer", "sensor"):
            return None
        fed = self._fed(device)
        inputs = self._inputs(driver)
        current = _is_current(device.ratings.quantity("signal"))
        if not inputs or not (current or any(_takes_current(one) for one in inputs)):
            return None
        back = fed if fed is not None else net.node(device.id, terminal.common) if terminal.common else None
        return Loop(device, driver, fed, inputs, self._conductors(driver, inputs, back, fed is not None))

    def _fed(self, device: Device) -> str | None:
        """The supply terminal of a transmitter that its own loop feeds: it has no return of its own."""
        supply = [t for t in device.terminals.values() if t.role is Role.SUPPLY_IN]
        if (
            device.kind != "transmitter"
            or len(supply) != 1
            or any(t.role is Role.SUPPLY_COMMON for t in device.terminals.values())
        ):
            return None
        return self._calculation.of(ControlCircuits).net.node(device.id, supply[0].name)

    def _inputs(self, driver: str) -> tuple[Input, ...]:
        """Inputs one after the other: at the driver's net the first, at its common the next."""
        found: list[Input] = []
        node: str | None = driver
        while node is not None and len(found) < _MAX_INPUTS:
            following = self._input_at(node, {one.enters for one in found})
            if following is None:
                break
            found.append(following)
            node = following.leaves
        return tuple(found)

    def _input_at(self, node: str, seen: set[str]) -> Input | None:
        network, plant = self._calculation.network, self._calculation.plant
        for name in network.nets[network.net_of[node]].nodes:
            owner, _, terminal_name = name.partition(":")
            device = plant.devices.get(owner)
            terminal = device.terminals.get(terminal_name) if device else None
            if device is not None and terminal is not None and terminal.role is Role.ANALOGUE_IN and name not in seen:
                leaves = self._calculation.of(ControlCircuits).net.node(owner, terminal.common) if terminal.common else None
                return Input(device, terminal, name, leaves)
        return None

    def _conductors(self, driver: str, inputs: tuple[Input, ...], back: str | None, two_wire: bool) -> tuple[str, ...] | None:
        """Conductors from the driver through the inputs and back; of a two-wire loop, by way of its source."""
        ends: list[tuple[str, str | None]] = [(driver, inputs[0].enters)]
        ends += [(one.leaves, other.enters) for one, other in pairwise(inputs) if one.leaves]
        if two_wire and back is not None:
            feed = self._source_line(back)
            if feed is None:
                return None
            pieces, common = feed
            ends.append((inputs[-1].leaves or common, common))
        else:
            pieces = ()
            ends.append((inputs[-1].leaves or driver, back) if inputs[-1].leaves else (driver, driver))
        for start, end in ends:
            piece = self._piece(start, end)
            if piece is None:
                return None
            pieces = (*pieces, *piece)
        return pieces

    def _source_line(self, fed: str) -> tuple[tuple[str, ...], str] | None:
        """Conductors from the loop's source to the transmitter, and the source's common."""
        circuits = self._calculation.of(ControlCircuits)
        feed = self._feed(fed)
        line = circuits.line(feed, False) if feed else None
        return (line.conductors, feed.source.common) if feed is not None and line is not None else None

    def _feed(self, fed: str) -> Feed | None:
        """How the supply terminal of a transmitter is fed from a source inside a device, or a direct-current supply of the
        plant."""
        feeds = self._calculation.of(ControlCircuits).feeds
        return next((feed for feed in feeds if feed.enters == fed and (feed.source.inner or feed.source.kind == "dc")), None)

    def _piece(self, start: str, end: str | None) -> tuple[str, ...] | None:
        net_of = self._calculation.network.net_of
        if end is None or net_of[start] != net_of[end]:
            return None
        return self._calculation.of(ControlCircuits).leads.between(net_of[start], start, end)

    # --- what it amounts to ---------------------------------------------------------------------------------------
    def _burden(self, loop: Loop) -> Iterator[Result]:
        calculation = self._calculation
        leads = calculation.of(ControlCircuits).leads
        feeder = calculation.of(Circuit).feeder(loop.device.id)
        if loop.conductors is None:
            return
        ohms = leads.total(loop.conductors)
        if ohms is None:
            leads.note_missing(loop.conductors, feeder, "burden of current loops")
            return
        limit = self._limit(loop, feeder)
        if isinstance(limit, Result):
            yield limit
            given: Given | None = Given("R_max", limit.value, "Ω", "largest burden of the loop", result=limit.key)
        else:
            given = limit
        inputs = tuple(self._resistance(one, n) for n, one in enumerate(loop.inputs, 1))
        cable = leads.given(loop.conductors, "R_c", "conductors of the loop")
        values, text = (*cable, *inputs), " + ".join(["{R_c}", *(f"{{{one.symbol}}}" for one in inputs)])
        taken = ", ".join(f"{one.device.id}:{one.terminal.name}" for one in loop.inputs)
        yield Result.worked(
            "loop-burden",
            loop.device.id,
            feeder,
            formula(text),
            "Ω",
            values,
            "Ohm's law",
            Limit(given.value, Sense.AT_MOST, "largest burden that the loop can drive", given) if given else None,
            key=f"loop-burden {loop.driver}",
            note=f"inputs: {taken}; poles and contacts not included",
            conductors=loop.conductors,
            span=loop.device.span,
        )

    def _resistance(self, one: Input, number: int) -> Given:
        """What an input states, at its terminal or as a device, else what is assumed."""
        places = [(one.terminal.attributes, one.terminal.span), (one.device.ratings, one.device.span)]
        for name in ("burden", "resistance"):
            for table, span in places:
                ohms = table.amount(name)
                if ohms is not None:
                    return Given(f"R_{number}", ohms, "Ω", f"resistance of {one.device.id}:{one.terminal.name}", span)
        return self._calculation.settings.given("loop-input-resistance", f"R_{number}")

    def _limit(self, loop: Loop, feeder: str) -> Result | Given | None:
        """What a transmitter states, else, fed by its loop, what its source leaves it at 20 mA; None where neither is known."""
        ratings = loop.device.ratings
        most = ratings.quantity("max-burden") or (ratings.quantity("burden") if loop.fed is None else None)
        if most is not None:
            return Given("R_max", most.value, "Ω", f"largest burden of {loop.device.id}", loop.device.span)
        lowest = ratings.quantity("voltage-range") or ratings.quantity("voltage")
        if loop.fed is None or lowest is None or lowest.form != "range":
            return None
        feed = self._feed(loop.fed)
        source = feed.source if feed else None
        if source is None or not source.volts:
            return None
        amps = self._most(loop.device)
        givens = (
            Given("U", source.volts, "V", f"voltage of {source.pole}", source.span),
            Given("U_min", lowest.value, "V", f"lowest voltage of {loop.device.id}", loop.device.span),
            amps,
        )
        # a source below the lowest voltage leaves nothing
        text = "({U} - {U_min}) / {I}" if source.volts >= lowest.value else "max({U} - {U_min}; 0) / {I}"
        return Result.worked(
            "loop-limit",
            loop.device.id,
            feeder,
            formula(text),
            "Ω",
            givens,
            "Ohm's law",
            key=f"loop-limit {loop.driver}",
            note="what the conductors, inputs and all else in the loop may have together",
            span=loop.device.span,
        )

    @staticmethod
    def _most(device: Device) -> Given:
        """The most that a transmitter drives: the end of the signal, or the current by which it reports a fault."""
        stated = device.ratings.amount("alarm-current")
        if stated is not None:
            return Given("I", stated, "A", f"current by which {device.id} reports a fault", device.span)
        found = figure(one_table("control", "current_loop"), "most_a", 0)
        return Given("I", found.value, "A", "upper end of the signal", None, found.source, found.confidence)


def _is_current(value: Quantity | None) -> bool:
    return value is not None and value.kind == "current"


def _takes_current(one: Input) -> bool:
    """Whether an input works with a current: as it is set, as its device is rated, or because it states a burden."""
    settings, name = one.device.settings, one.terminal.name.lower()
    if name in settings:
        return _is_current(settings.quantity(name)) or settings.text(name).endswith("mA")
    return (
        _is_current(one.device.ratings.quantity("signal"))
        or "burden" in one.device.ratings
        or "burden" in one.terminal.attributes
    )
