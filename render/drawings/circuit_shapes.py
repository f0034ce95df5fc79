"""The symbols of contacts, poles and loads as a circuit diagram draws them, relative to the line of their way."""

from __future__ import annotations

from functools import cache

from netdsl.model.kinds import Kind
from netdsl.model.plant import Device, Path
from render.drawings.circuit_parts import Way
from render.layout.bounds import bounds_of
from render.layout.columns import broken
from render.layout.fonts import widest
from render.layout.writing import PITCH
from render.sheet import MEDIUM, NARROW, NORMAL, WIDE, Circle, Label, Line, Primitive
from render.symbols import by_quantity, placed, symbol, symbol_names

POLE_HEIGHT = 20.0
_FREE_X, _FREE_Y = 1.4, 3.9  # right of a line, above and below a symbol: where numbers stand

#: symbol of a part -> symbol of one of its poles
POLES = {
    "circuit-breaker": "circuit-breaker",
    "electronic-fuse": "electronic-fuse",
    "disconnector": "disconnector",
    "switch-disconnector": "switch-disconnector",
    "fuse": "fuse",
    "fuse-switch": "fuse-switch-disconnector",
    "contactor": "contactor",
    "relay": "contactor",
    "overload-relay": "overload-relay",
    "motor-protection-breaker": "motor-breaker",
    "motor-starter": "motor-starter",
    "residual-current-device": "residual-current-device",
    "reactor": "reactor",
}
#: how far below the upper end of a pole the link to the next runs where it cannot run in the middle
LINKS = {"motor-starter": 5.7}
#: devices of which the coil is all that takes current; any other is more than a coil, and its block says what
_COILS = ("relay", "contactor", "motor-starter", "motor", "guard-lock", "valve")
#: one wave across the box of a pole
_WAVE = ((-1.8, 0.0), (-0.9, -0.8), (0.0, 0.0), (0.9, 0.8), (1.8, 0.0))
_POLE_LETTERS = {"current-relay": "I>"}
#: how far what moves a contact reaches to the left of its line, mm
ACTUATED = {
    "by-hand": 7.0,
    "by-push": 7.0,
    "by-turn": 8.0,
    "by-key": 8.0,
    "by-mushroom": 9.0,
    "by-limit": 8.0,
    "by-level": 8.8,
    "by-thermal": 9.0,
    "by-on-delay": 6.0,
    "by-off-delay": 6.0,
    "by-both-delays": 6.4,
    "by-positive": 6.4,
    "letter": 9.0,
}
_KINDS = {
    Kind.PUSH_BUTTON: "by-push",
    Kind.SELECTOR: "by-turn",
    Kind.EMERGENCY_STOP: "by-mushroom",
    Kind.LEVEL_SWITCH: "by-level",
    Kind.THERMOSTAT: "t",
}
#: what moves a contact, said by the path or as the quantity of the device -> symbol, or letter of a quantity
_BY = {
    "overload": "by-thermal",
    "handle": "by-hand",
    "hand": "by-hand",
    "key": "by-key",
    **dict.fromkeys(("limit", "position", "open", "closed"), "by-limit"),
    **dict.fromkeys(("level", "water"), "by-level"),
    "pressure": "p",
    "temperature": "t",
    "flow": "F",
    "current": "I",
    "voltage": "U",
    "speed": "n",
    "humidity": "H",
    "moisture": "H",
    "torque-open": "M",
    "torque-close": "M",
}
_DELAYS = {"relay-on-delay": "by-on-delay", "relay-off-delay": "by-off-delay"}


def actuator(device: Device, path: Path) -> str:
    """What moves a contact: the name of a symbol or the letter of a quantity, "" for a coil and for what is not known."""
    if "delayed" in path.marks:
        return _DELAYS.get(device.symbol, "by-both-delays")
    if "positive" in path.marks and device.kind != Kind.EMERGENCY_STOP:
        return "by-positive"
    if device.symbol == "key-switch":
        return "by-key"
    if device.kind == Kind.THERMOSTAT and device.word("quantity") in _BY:  # one that tells damp has another letter
        return _BY[device.word("quantity")]
    if device.kind in _KINDS:
        return _KINDS[Kind(device.kind)]
    if path.by in _BY:
        return _BY[path.by]
    if path.by or device.consumers:
        return ""
    return _BY.get(device.word("quantity"), "")


def contact_shape(path: Path, acts: str, y: float, of: str, change: str = "") -> list[Primitive]:
    """A contact at rest with what moves it, its upper end at `y`; `change`: the symbol of one of which both sides are in use."""
    shape = [*placed(symbol(change or ("upright-break" if path.kind == "break" else "upright-make")), 0.0, y, of)]
    blade = 1.5 if path.kind == "break" else -1.6
    if acts:
        drawn = symbol(acts) if acts.startswith("by-") else by_quantity(acts)
        shape += placed(drawn, -1.6, y + 8.4, of)
        if blade > 0:
            dash = () if acts in ("by-mushroom", "by-positive") else (1.6, 1.0)
            shape.append(Line(((-1.6, y + 8.4), (1.4, y + 8.4)), MEDIUM, dash, of=of))
    return shape


def interlock_shape(y: float, of: str) -> list[Primitive]:
    """What keeps a device from being closed with another, at the end of its mechanical link."""
    link = Line(((-1.8, y), (2.0, y)), NARROW, (1.6, 1.0), of=of)
    return [link, Line(((2.0, y - 1.3), (4.4, y - 1.3), (3.2, y + 1.3)), NARROW, closed=True, of=of)]


def pole_shape(name: str, device: str, y: float, of: str) -> list[Primitive]:
    """One pole, 20 mm high; a link is a plain line between two clamps, what has no symbol a box, in which `device`, the symbol of
    the whole, says what it is."""
    if name == "link":
        return [
            Line(((0.0, y), (0.0, y + 20.0)), MEDIUM, of=of),
            Circle(0.0, y + 7.0, 0.8, MEDIUM, of=of),
            Circle(0.0, y + 13.0, 0.8, MEDIUM, of=of),
        ]
    if not name:
        box = ((-3.0, y + 5.0), (3.0, y + 5.0), (3.0, y + 15.0), (-3.0, y + 15.0))
        leads = [Line(((0.0, y), (0.0, y + 5.0)), MEDIUM, of=of), Line(((0.0, y + 15.0), (0.0, y + 20.0)), MEDIUM, of=of)]
        return [Line(box, WIDE, closed=True, of=of), *leads, *_inside(device, y + 10.0, of)]
    return list(placed(symbol(name), 0.0, y, of))


def _inside(device: str, y: float, of: str) -> list[Primitive]:
    """What stands in the box of a pole: waves that are kept back, thyristors either way, or a letter."""
    if "filter" in device:
        return [Line(tuple((x, y + at + up) for x, up in _WAVE), MEDIUM, of=of) for at in (-2.0, 2.0)]
    if device == "soft-starter":
        down, up = ((-2.2, y - 1.2), (-0.4, y - 1.2), (-1.3, y + 1.2)), ((0.4, y + 1.2), (2.2, y + 1.2), (1.3, y - 1.2))
        bars = ((-2.2, y + 1.2), (-0.4, y + 1.2)), ((0.4, y - 1.2), (2.2, y - 1.2))
        return [*(Line(points, MEDIUM, closed=True, of=of) for points in (down, up)), *(Line(bar, MEDIUM, of=of) for bar in bars)]
    return [Label(0.0, y + NORMAL / 2, _POLE_LETTERS.get(device, "×"), NORMAL, "middle", of=of)]


@cache
def is_crowded(name: str) -> bool:
    """Whether a symbol of 20 mm leaves no room for numbers beside its ends."""
    if not name:
        return False
    boxes = [bounds_of(primitive) for primitive in symbol(name).primitives]
    return any(box.right > _FREE_X and (box.top < _FREE_Y or box.bottom > POLE_HEIGHT - _FREE_Y) for box in boxes)


def load_shape(device: Device, way: Way, y: float, of: str) -> tuple[float, float, list[Primitive]]:
    """A coil, a lamp or another load, 20 mm high, and how far it reaches to the left and to the right."""
    coil = way.consumer is not None and way.consumer.kind == "coil"
    name = device.symbol
    drawn = name in symbol_names() and symbol(name).ports.get("out") == (0.0, POLE_HEIGHT) and not is_crowded(name)
    if coil and name in _COILS:
        name, drawn = "coil", True
    if drawn:
        found = symbol(name)
        return max(-found.box.left, 1.5) + 0.4, max(found.box.right, 1.5), list(placed(found, 0.0, y, of))
    words = name.replace("-", " ") or "load"
    lines = broken(words, 22.0, united=True)[:2]
    half = max(6.0, widest(lines) / 2 + 0.9)
    box = ((-half, y + 5.0), (half, y + 5.0), (half, y + 15.0), (-half, y + 15.0))
    shapes: list[Primitive] = [Line(box, WIDE, closed=True, of=of)]
    shapes += [Line(((0.0, y + top), (0.0, y + top + 5.0)), WIDE, of=of) for top in (0.0, 15.0)]
    base = y + 10.0 + NORMAL / 2 - (len(lines) - 1) * PITCH / 2
    shapes += [Label(0.0, base + number * PITCH, line, NORMAL, "middle", of=of) for number, line in enumerate(lines)]
    return half + 0.4, half, shapes
