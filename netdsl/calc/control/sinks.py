"""What takes current from a control voltage: coils, lamps and other loads, inputs, transmitters, potentiometers."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from netdsl.calc.basis import Given, Settings
from netdsl.calc.control.net import ControlNet
from netdsl.findings import Span
from netdsl.model.plant import Consumer, Device, Role, Terminal
from netdsl.quantities import Quantity


class Sink(NamedTuple):
    """A consumer between nodes `a` and `b` (None: its return is not drawn).

    `kind`: "coil", "load", "digital input", "safety input", "current loop", "potentiometer" or "supply input". Its current
    comes from `current`, else `power` over `voltage` (of the source where not stated), else the source's voltage over
    `resistance`. `span`: where it is declared; `consumer`: the line of its part, where it is one.
    """

    device: str
    a: str
    b: str | None
    kind: str
    span: Span
    power: Given | None = None
    voltage: Given | None = None
    current: Given | None = None
    resistance: Given | None = None
    consumer: Consumer | None = None

    def amps(self, volts: float | None) -> float | None:
        """The current it takes from a source of `volts`; None where nothing says so."""
        if self.current is not None:
            return self.current.value
        own = self.voltage.value if self.voltage is not None else volts
        if self.power is not None and own:
            return self.power.value / own
        return volts / self.resistance.value if self.resistance is not None and volts else None

    @property
    def alike(self) -> tuple[object, ...]:
        """The same for sinks that take the same current for the same reason."""
        values = (given.value if given else None for given in (self.power, self.voltage, self.current, self.resistance))
        return (self.kind, *values)

    def term(self, number: int, volts: Given) -> tuple[str, tuple[Given, ...]]:
        """Its current as part of a formula, symbols numbered, and the values put in."""
        if self.current is not None:
            return f"{{I_{number}}}", (_numbered(self.current, "I", number),)
        voltage = _numbered(self.voltage, "U", number) if self.voltage is not None else volts
        if self.power is not None:
            return f"{{P_{number}}} / {{{voltage.symbol}}}", (_numbered(self.power, "P", number), voltage)
        if self.resistance is not None:
            return f"{{{volts.symbol}}} / {{R_{number}}}", (_numbered(self.resistance, "R", number), volts)
        return "0", ()


def sinks(control: ControlNet, settings: Settings) -> Iterator[Sink]:
    """Every consumer of a net that a control voltage or a supply reaches, in order of declaration."""
    for device in control.plant.devices.values():
        taken = set()
        for consumer in device.consumers:
            taken |= {consumer.a, consumer.b}
            sink = _consumer(control, device, consumer)
            if sink is not None:
                yield sink
        if device.kind == "potentiometer":
            yield from _potentiometer(control, device)
        for name, terminal in device.terminals.items():
            if name not in taken and terminal.role in _TERMINALS:
                yield from _terminal(control, settings, device, terminal)


_TERMINALS = frozenset({Role.DIGITAL_IN, Role.SAFETY_IN, Role.SUPPLY_IN})


def _consumer(control: ControlNet, device: Device, consumer: Consumer) -> Sink | None:
    a, b = control.node(device.id, consumer.a), control.node(device.id, consumer.b)
    if a is None or b is None or not (_reached(control, a) or _reached(control, b)):
        return None
    power = _given("P", consumer.power, "W", f"power of the {consumer.kind}", consumer.span)
    voltage = _given("U", consumer.voltage, "V", f"rated voltage of the {consumer.kind}", consumer.span)
    return Sink(device.id, a, b, consumer.kind, consumer.span, power, voltage, consumer=consumer)


def _potentiometer(control: ControlNet, device: Device) -> Iterator[Sink]:
    ends = [control.node(device.id, name) for name, t in device.terminals.items() if t.role is Role.ANALOGUE_COMMON]
    if len(ends) != 2 or ends[0] is None or ends[1] is None or not (_reached(control, ends[0]) or _reached(control, ends[1])):
        return
    ohms = _given("R", device.ratings.quantity("resistance"), "Ω", "resistance of the potentiometer", device.span)
    yield Sink(device.id, ends[0], ends[1], "potentiometer", device.span, resistance=ohms)


def _terminal(control: ControlNet, settings: Settings, device: Device, terminal: Terminal) -> Iterator[Sink]:
    node = control.node(device.id, terminal.name)
    if node is None or not (_reached(control, node) or control.network.net_of[node] in control.zero):
        return
    common = control.node(device.id, terminal.common) if terminal.common else None
    own = _given("I", terminal.current, "A", f"current of terminal {terminal.name}", terminal.span)
    if terminal.role is Role.SUPPLY_IN:
        if _reached(control, node):
            sink = _supply_input(device, node, common, own)
            if sink is not None:
                yield sink
        return
    safety = terminal.role is Role.SAFETY_IN
    if safety and device.kind == "safety-relay":
        return  # the return of a safety relay's own channel: its feed is part of the relay's power
    choice = "safety-input-current" if safety else "digital-input-current"
    yield Sink(
        device.id,
        node,
        common,
        "safety input" if safety else "digital input",
        terminal.span,
        current=own or settings.given(choice, "I"),
    )


def _supply_input(device: Device, node: str, common: str | None, own: Given | None) -> Sink | None:
    signal, amps, watts = (device.ratings.quantity(name) for name in ("signal", "current", "power"))
    if own is None and signal is not None and signal.kind == "current":
        most = Given("I", signal.last, "A", "upper end of the signal", device.span)
        return Sink(device.id, node, common, "current loop", device.span, current=most)
    if own is None and device.kind in ("controller", "surge-protection") and watts is None:
        return None  # a card of outputs: what these feed is counted one by one; an arrester takes nothing in service
    current = own or _given("I", amps, "A", "current", device.span)
    power = _given("P", watts, "W", "power", device.span) if current is None else None
    return Sink(device.id, node, common, "supply input", device.span, power, None, current)


def _reached(control: ControlNet, node: str) -> bool:
    return control.network.net_of[node] in control.live


def _given(symbol: str, value: Quantity | None, unit: str, words: str, span: Span) -> Given | None:
    return Given(symbol, value.value, unit, words, span) if value is not None else None


def _numbered(given: Given, symbol: str, number: int) -> Given:
    return Given(f"{symbol}_{number}", given.value, given.unit, given.words, given.span, given.source, given.confidence)
