"""Analogue signals: which outputs come to an input, against what they are measured, of which kind signal and input are."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lint.facts import Facts
from lint.poles import Poles
from netdsl.model.kinds import Kind
from netdsl.model.plant import Device, Role, Terminal
from netdsl.network.search import walk

#: inputs in series in one loop
_MOST = 8


class Signal(NamedTuple):
    """An output and an input that some state joins."""

    source: Device
    out: Terminal
    sink: Device
    into: Terminal

    @property
    def output(self) -> str:
        """Id of the output."""
        return f"{self.source.id}:{self.out.name}"

    @property
    def input(self) -> str:
        """Id of the input."""
        return f"{self.sink.id}:{self.into.name}"


class Signals:
    """The analogue signals of a plant."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._poles = facts.of(Poles)
        self.all = tuple(self._found())

    def terminal(self, node: str) -> tuple[Device, Terminal] | None:
        """The device and terminal of a node; None for what is no terminal."""
        name, _, terminal = node.partition(":")
        device = self._facts.plant.devices.get(name)
        made = device.terminals.get(terminal.split("/")[0]) if device is not None else None
        return (device, made) if device is not None and made is not None else None

    def are_joined(self, one: str, other: str) -> bool:
        """Whether two terminals are one net, over closed ways at the most."""
        net_of, beyond = self._facts.network.net_of, self._facts.certain_neighbours
        if one not in net_of or other not in net_of:
            return False
        return net_of[other] in walk((net_of[one],), lambda net: beyond.get(net, ()))

    def end_of(self, signal: Signal) -> str | None:
        """Where the current of a signal leaves the last of the inputs that lie in series, None where that is not stated."""
        sink, into = signal.sink, signal.into
        for _ in range(_MOST):
            if into.common is None:
                return None
            back = f"{sink.id}:{into.common}"
            following = self._next_input(back)
            if following is None:
                return back
            sink, into = following
        return None

    def _next_input(self, node: str) -> tuple[Device, Terminal] | None:
        net = self._facts.network.net(node)
        for other in net.nodes if net is not None else ():
            found = self.terminal(other)
            if found is not None and found[1].role is Role.ANALOGUE_IN:
                return found
        return None

    def _found(self) -> Iterator[Signal]:
        for device in self._facts.plant.devices.values():
            for terminal in device.terminals.values():
                node = f"{device.id}:{terminal.name}"
                if terminal.role is not Role.ANALOGUE_OUT or node not in self._facts.landed:
                    continue
                for other in dict.fromkeys(self._poles.around(node)):
                    found = self.terminal(other)
                    if found is not None and found[1].role is Role.ANALOGUE_IN and found[0] is not device:
                        yield Signal(device, terminal, *found)


def is_loop_fed(device: Device) -> bool:
    """Whether a transmitter is fed by its own loop: it has a terminal for the plus and none for the 0 V of a supply."""
    roles = [terminal.role for terminal in device.terminals.values()]
    return device.kind == Kind.TRANSMITTER and roles.count(Role.SUPPLY_IN) == 1 and Role.SUPPLY_COMMON not in roles


def kind_of(device: Device) -> str:
    """`current` or `voltage` as a device's output is stated, "" where it is not."""
    if device.kind == Kind.POTENTIOMETER:
        return "voltage"
    stated = device.ratings.quantity("signal")
    return stated.kind if stated is not None and stated.kind in ("current", "voltage") else ""


def setting_of(device: Device, terminal: Terminal) -> tuple[str, str]:
    """What an input is set to, as written, and its kind, `current` or `voltage`; "" where it has no such setting."""
    name = terminal.name.lower()
    if name not in device.settings:
        return "", ""
    quantity, text = device.settings.quantity(name), device.settings.text(name)
    if quantity is not None:
        return text, quantity.kind if quantity.kind in ("current", "voltage") else ""
    kinds = {"current": text == "current" or text.endswith("mA"), "voltage": text == "voltage" or text.endswith("V")}
    return text, next((kind for kind, holds in kinds.items() if holds), "")
