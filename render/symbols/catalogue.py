"""Symbols by name: each drawn once onto the recording canvas, then only moved.

schemdraw is loaded when the first symbol is asked for, so that commands which draw nothing do not pay for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from importlib import import_module
from types import MappingProxyType

from msgspec import Struct

from render.layout.bounds import bounds
from render.layout.fonts import Box
from render.sheet import Arc, Circle, Label, Line, Primitive

#: name → module and class that draws it; by name, so that schemdraw is loaded with the first symbol and not with this module
_DRAWN: Mapping[str, tuple[str, str]] = {
    "make-contact": ("switching", "MakeContact"),
    "break-contact": ("switching", "BreakContact"),
    "coil": ("switching", "Coil"),
    "circuit-breaker": ("switching", "CircuitBreaker"),
    "disconnector": ("switching", "Disconnector"),
    "switch-disconnector": ("switching", "SwitchDisconnector"),
    "fuse": ("switching", "Fuse"),
    "fuse-switch-disconnector": ("switching", "FuseSwitchDisconnector"),
    "contactor": ("switching", "Contactor"),
    "overload-relay": ("switching", "OverloadRelay"),
    "motor-breaker": ("switching", "MotorBreaker"),
    "motor-starter": ("switching", "MotorStarter"),
    "residual-current-device": ("switching", "ResidualCurrentDevice"),
    "relay-on-delay": ("switching", "OnDelayCoil"),
    "relay-off-delay": ("switching", "OffDelayCoil"),
    "surge-arrester": ("protecting", "SurgeArrester"),
    "electronic-fuse": ("protecting", "ElectronicFuse"),
    "varistor": ("protecting", "Varistor"),
    "rc-element": ("protecting", "RcElement"),
    "diode": ("protecting", "Diode"),
    "frequency-converter": ("machines", "FrequencyConverter"),
    "soft-starter": ("machines", "SoftStarter"),
    "supply-24v": ("machines", "Supply24V"),
    "emc-filter": ("machines", "EmcFilter"),
    "reactor": ("machines", "Reactor"),
    "motor": ("machines", "Motor"),
    "single-phase-motor": ("machines", "SinglePhaseMotor"),
    "transformer": ("machines", "Transformer"),
    "resistor": ("machines", "Resistor"),
    "potentiometer": ("machines", "Potentiometer"),
    "capacitor": ("machines", "Capacitor"),
    "heater": ("machines", "Heater"),
    "lamp": ("machines", "Lamp"),
    "valve": ("consumers", "Valve"),
    "buzzer": ("consumers", "Buzzer"),
    "socket": ("consumers", "Socket"),
    "meter": ("consumers", "Meter"),
    "thermistor": ("consumers", "Thermistor"),
    "battery": ("converters", "Battery"),
    "signal-converter": ("converters", "SignalConverter"),
    "dc-converter": ("converters", "DirectConverter"),
    "three-phase-transformer": ("converters", "ThreePhaseTransformer"),
    "fan": ("machines", "Fan"),
    "conductor": ("wiring", "Conductor"),
    "cable": ("wiring", "Cable"),
    "screened-cable": ("wiring", "ScreenedCable"),
    "tap": ("wiring", "Tap"),
    "incoming": ("wiring", "Incoming"),
    "terminal": ("wiring", "Terminal"),
    "terminal-box": ("wiring", "TerminalBox"),
    "plug": ("wiring", "Plug"),
    "earth": ("wiring", "Earth"),
    "protective-earth": ("wiring", "ProtectiveEarth"),
    "earth-tail": ("wiring", "EarthTail"),
    "upright-make": ("contacts", "UprightMake"),
    "upright-break": ("contacts", "UprightBreak"),
    "upright-change": ("contacts", "UprightChange"),
    "upright-change-under": ("contacts", "UprightChangeUnder"),
    "by-hand": ("contacts", "Hand"),
    "by-push": ("contacts", "Push"),
    "by-turn": ("contacts", "Turn"),
    "by-key": ("contacts", "Key"),
    "by-mushroom": ("contacts", "Mushroom"),
    "by-limit": ("contacts", "Limit"),
    "by-level": ("contacts", "Level"),
    "by-thermal": ("contacts", "Thermal"),
    "by-on-delay": ("contacts", "OnDelay"),
    "by-off-delay": ("contacts", "OffDelay"),
    "by-both-delays": ("contacts", "BothDelays"),
    "by-positive": ("contacts", "Positive"),
}

#: other words for the same thing, the kinds of parts among them
_ALIASES: Mapping[str, str] = {
    "drive": "frequency-converter",
    "isolator": "switch-disconnector",
    "breaker": "circuit-breaker",
    "mcb": "circuit-breaker",
    "mccb": "circuit-breaker",
    "overload": "overload-relay",
    "filter": "emc-filter",
    "sine-filter": "emc-filter",
    "choke": "reactor",
    "rcd": "residual-current-device",
    "residual-device": "residual-current-device",
    "brake-resistor": "resistor",
    "buffer": "battery",
    "supply": "incoming",
    "surge-protection": "surge-arrester",
    "contact": "make-contact",
    "thermostat": "make-contact",
    "strip": "terminal",
    "relay": "coil",
    "timer": "coil",
    "fuse-switch": "fuse-switch-disconnector",
    "motor-protection-breaker": "motor-breaker",
    "motor-single-phase": "single-phase-motor",
    "rectifier": "supply-24v",
}


class Symbol(Struct, frozen=True):
    """A symbol at its origin. `ports`: where conductors meet it, mm; `in` is there always, `out`, `earth`, `slider` where
    it has them. `box`: extent of its geometry, leads included."""

    name: str
    primitives: tuple[Primitive, ...]
    ports: Mapping[str, tuple[float, float]]
    box: Box

    @property
    def height(self) -> float:
        """How far below its inlet the next symbol begins, mm."""
        return self.ports["out"][1] if "out" in self.ports else self.box.bottom


def symbol_names() -> tuple[str, ...]:
    """All names that have a symbol of their own, in alphabetical order."""
    return tuple(sorted({*_DRAWN, *_ALIASES}))


@cache
def symbol(name: str) -> Symbol:
    """The symbol called `name`; a block with that name as its words where there is none."""
    known = _ALIASES.get(name, name)
    if known not in _DRAWN:
        return _recorded(known, import_module("render.symbols.machines").LabelledBlock(known))
    module, drawn_by = _DRAWN[known]
    return _recorded(known, getattr(import_module(f"render.symbols.{module}"), drawn_by)())


@cache
def by_quantity(letter: str) -> Symbol:
    """What moves a contact by a quantity with that letter: `p`, `t`."""
    from render.symbols.contacts import Quantity

    return _recorded(f"by-quantity-{letter}", Quantity(letter))


@cache
def conductor_count(phases: int, neutral: bool = False, earth: bool = False) -> Symbol:
    """A run of 10 mm with a stroke for each conductor it stands for: `phases`, then neutral, then protective earth."""
    from render.symbols.wiring import ConductorCount

    return _recorded(f"conductor-count-{phases}", ConductorCount(phases, neutral, earth))


def placed(symbol: Symbol, x: float, y: float, of: str = "") -> tuple[Primitive, ...]:
    """The primitives of `symbol` with its origin at `x, y`, belonging to designation `of`."""
    return moved(symbol.primitives, x, y, of)


def moved(primitives: Iterable[Primitive], x: float, y: float, of: str = "") -> tuple[Primitive, ...]:
    """`primitives` shifted by `x, y` mm and given to designation `of`."""
    result: list[Primitive] = []
    for p in primitives:
        match p:
            case Line():
                points = tuple([(px + x, py + y) for px, py in p.points])
                result.append(Line(points, p.width, p.dash, p.closed, p.fill, of))
            case Circle():
                result.append(Circle(p.x + x, p.y + y, p.radius, p.width, p.dash, p.fill, of))
            case Arc():
                result.append(Arc(p.x + x, p.y + y, p.rx, p.ry, p.start, p.end, p.width, p.dash, of))
            case Label():
                result.append(Label(p.x + x, p.y + y, p.text, p.height, p.anchor, p.bold, of, p.link))
    return tuple(result)


def _recorded(name: str, element: object) -> Symbol:
    from render.symbols.canvas import recorded
    from render.symbols.cell import Cell

    if not isinstance(element, Cell):
        raise TypeError(f"{element!r} is no cell")
    primitives = recorded(element)
    return Symbol(name, primitives, MappingProxyType(dict(element.ports)), bounds(primitives))
