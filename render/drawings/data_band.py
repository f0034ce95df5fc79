"""The band of data under the columns of the single-line diagram."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct

from netdsl.calc import Calculation
from netdsl.calc.basis import fault_text
from netdsl.calc.faults import FaultResults
from netdsl.calc.loads import MotorWay, MotorWays
from netdsl.model.kinds import BREAKING, PROTECTIVE
from netdsl.model.plant import Cable
from netdsl.network.types import Network
from netdsl.quantities import number_text
from netdsl.sums import sum_of
from render.drawings.feeder_steps import Step
from render.drawings.feeders import Feeders, Group
from render.layout.fonts import wrap
from render.sheet import MEDIUM, NARROW, Label, Line, Primitive
from render.words.computed import drop_words, fault_words, load_words
from render.words.ratings import (
    MISSING,
    NOT_COMPUTED,
    cable_words,
    current_words,
    power_words,
    protection_words,
    rating,
    total_lines,
    upstream_words,
)

HEADING = 30.0  # width of the column that names the rows, mm
ROWS = ("Function", "Power", "Load current", "Protection", "Cable", "Voltage drop", "Fault current")
#: more is cut, so that the band never takes more than its reserve; the lists have it in full
_MOST_LINES = (2, 1, 1, 2, 3, 2, 2)
_FEWER_LINES = (1, 1, 1, 1, 1, 1, 1)  # where feeders leave no more room
_PITCH, _PAD_X, _PAD_Y = 4.0, 1.6, 1.7


def reserve(small: bool = False) -> float:
    """Height kept for the band when branches are shared out, mm: every row at its most lines; `small`: of a small sheet."""
    return sum_of(_FEWER_LINES if small else _MOST_LINES) * _PITCH + len(ROWS) * (2 * _PAD_Y - 1.5)


#: a text per row of `ROWS`
Texts = tuple[str, ...]


class Column(Struct, frozen=True):
    """Data of one column; `of`: the load it is about."""

    of: str
    texts: Texts
    brief: Texts = ()  # in their place where one has no room, of what is not said elsewhere in the column


def column(calculation: Calculation, feeders: Feeders, group: Group, load: str) -> Column:
    """Data of the column that ends in `load`, a load or the last device before the branch goes on elsewhere."""
    network = calculation.network
    devices = network.plant.devices
    shown = load
    if feeders.steps[load].taps:  # of several small ways what they have in common: what feeds them
        load = feeders.parent[load]
    path = feeders.path(load)
    start = _start(feeders, group)
    below = path[path.index(start) + 1 :] if start in path else path
    protecting = [name for name in below if devices[name].kind in PROTECTIVE]
    if not protecting:
        protecting = [name for name in path if devices[name].kind in PROTECTIVE][-1:]
    way = _way(calculation, feeders.steps[load], path)
    cables = [cable for name in below for cable in feeders.steps[name].wiring.cables]
    end = load
    if way is not None and way.motor != load:
        cables += [cable for join in feeders.steps[load].joins for cable in join.wiring.cables]
        end = way.motor
    breaking = [name for name in protecting if devices[name].kind in BREAKING]
    texts = (
        ", ".join(each for each in (_function(network, load), _way_words(network, way)) if each),
        "continued" if load in feeders.origins else "goes on right" if load in feeders.folded else _power(network, load, way),
        stated if (stated := _current(network, load, way)) != MISSING else load_words(calculation, load) or MISSING,
        "; ".join(protection_words(devices[name]) for name in protecting) or MISSING,
        "; ".join(cable_words(network.plant.cables[name]) for name in cables) or MISSING,
        drop_words(calculation, end, way),
        fault_words(calculation, end, (_ahead(network, path, breaking) or breaking or protecting or [""])[-1], way),
    )
    brief = (texts[0], *texts[1:4], "; ".join(_brief(network.plant.cables[name]) for name in cables) or MISSING, *texts[5:])
    return Column(shown, _with_drive(network, below, load, texts), _with_drive(network, below, load, brief, True))


def _start(feeders: Feeders, group: Group) -> str:
    """The device from which the ways of a group are told: its bar or trunk; of one cut out of another's branch what that hangs
    on, whose protection is that of the group too."""
    seen: set[str] = set()
    while group.origin and group.origin not in seen:
        seen.add(group.origin)
        found = next((other for other in feeders.groups if _draws(other, group.origin)), None)
        if found is None:  # it leaves a trunk
            return group.origin
        group = found
    return group.bar or (group.trunk[-1].device if group.trunk else "")


def _ahead(network: Network, path: Sequence[str], breaking: Sequence[str]) -> list[str]:
    """What breaks ahead of the last drive on a way: behind it no current of a fault is told."""
    drive = max((at for at, name in enumerate(path) if network.plant.devices[name].kind == "drive"), default=len(path))
    return [name for name in breaking if name in path[:drive]]


def _draws(group: Group, device: str) -> bool:
    """Whether a device stands in a branch of a group."""
    return any(step.device == device for branch in group.feeders for step in branch.every())


def _brief(cable: Cable) -> str:
    """A cable without its screen, which the column draws."""
    length = f" {number_text(cable.length_m)} m" if cable.length_m is not None else ""
    return f"{cable.id} {cable.construction}{length}"


def _way(calculation: Calculation, step: Step, path: Sequence[str]) -> MotorWay | None:
    """The way to a motor at which a column ends, of several that differ; else None."""
    ways = calculation.of(MotorWays)
    found = (ways.through(name, (*path, name)) for name in (step.device, *(join.device for join in step.joins)))
    return next((way for way in found if way is not None), None)


def _way_words(network: Network, way: MotorWay | None) -> str:
    """What the terminals of the winding say that a way leads to; of one beside a drive that it goes past it."""
    if way is None or not (way.winding or not way.drive):
        return ""
    return network.plant.devices[way.motor].terminals[way.winding].text if way.winding else "past its drive"


def _power(network: Network, load: str, way: MotorWay | None) -> str:
    """Power of a load; of a motor with a winding for each speed at that which takes all its current."""
    if way is None or not way.winding:
        return power_words(network.plant.devices[load])
    return power_words(network.plant.devices[way.motor]) if way.full else MISSING


def _current(network: Network, load: str, way: MotorWay | None) -> str:
    """Current of a load, of the winding that a way leads to, or of the motor that is fed past its drive."""
    if way is None:
        return current_words(network.plant.devices[load])
    motor = network.plant.devices[way.motor]
    current = None if way.full else motor.terminals[way.winding].current
    return current_words(motor) if current is None else current.shown


def _with_drive(network: Network, below: Sequence[str], load: str, texts: Texts, brief: bool = False) -> Texts:
    """`texts` of a load with what a drive of another function ahead of it states: one that several share has no column. `brief`:
    of that function its designation alone."""
    devices = network.plant.devices
    drive = next((devices[name] for name in reversed(below) if devices[name].kind == "drive"), None)
    if drive is None or drive.function in ("", devices[load].function):
        return texts
    function, power, current, *rest = texts
    function = f"{function}, on {drive.function if brief else _function(network, drive.id)}"
    stated = [rating(drive, name) for name in ("power", "current")]
    power, current = (
        "; ".join([*([own] if own != MISSING else []), *([f"{drive.id} {its}"] if its else [])]) or MISSING
        for own, its in zip((power, current), stated, strict=True)
    )
    return (function, power, current, *rest)


def trunk_column(calculation: Calculation, feeders: Feeders, group: Group) -> Column:
    """Data of a trunk that stands in a column of its own: what the whole supply carries."""
    network = calculation.network
    supply, last = group.trunk[0].device, group.bar or group.trunk[-1].device
    loads = [name for name in feeders.steps if feeders.path(name)[0] == supply]
    total, *largest = total_lines(network, loads)
    cables = [cable for step in group.trunk for cable in step.wiring.cables]
    level = calculation.of(FaultResults).largest(last)
    texts = (
        _function(network, supply),
        total,
        largest[0] if largest else MISSING,
        upstream_words(network.plant.devices[supply]) or MISSING,
        "; ".join(cable_words(network.plant.cables[name]) for name in cables) or MISSING,
        MISSING,
        f"Ik {fault_text(level.value)} at {last}" if level is not None else NOT_COMPUTED,
    )
    return Column(supply, texts)


def _function(network: Network, load: str) -> str:
    device = network.plant.devices[load]
    scope = network.plant.functions.get(device.function)
    if scope is not None:
        return f"{scope.id} {scope.title}".strip()
    return f"{device.id} {device.title or (device.part.title if device.part else '')}".strip()


@lru_cache(maxsize=4096)
def _wrapped(text: str, room: float, most: int) -> tuple[str, ...]:
    return wrap(text, room, lines=most)


def _shown(text: str, brief: str, room: float, most: int) -> tuple[str, ...]:
    """The lines of a text or, where these would be cut, of what is said in its place."""
    lines = _wrapped(text, room, most)
    return lines if brief == text or not lines[-1].endswith("…") else _wrapped(brief, room, most)


class Band:
    """The band for `columns` of `pitch` mm; its height follows its longest texts."""

    def __init__(self, columns: Sequence[Column], pitch: float, small: bool = False) -> None:
        self.columns, self.pitch = columns, pitch
        room, lines = pitch - 2 * _PAD_X, _FEWER_LINES if small else _MOST_LINES
        self.cells = [
            [_shown(text, brief, room, most) for text, brief, most in zip(c.texts, c.brief or c.texts, lines, strict=True)]
            for c in columns
        ]
        self.heights = [
            max((len(cells[row]) for cells in self.cells), default=1) * _PITCH + 2 * _PAD_Y - 1.5 for row in range(len(ROWS))
        ]

    @property
    def height(self) -> float:
        """Height of the whole band, mm."""
        return sum_of(self.heights)

    def draw(self, left: float, bottom: float) -> list[Primitive]:
        """The band with its lower left corner at `left, bottom`."""
        top, right = bottom - self.height, left + HEADING + self.pitch * len(self.columns)
        parts: list[Primitive] = [Line(((left, top), (right, top), (right, bottom), (left, bottom)), MEDIUM, closed=True)]
        borders = [left + HEADING + self.pitch * index for index in range(len(self.columns))]
        parts += [Line(((x, top), (x, bottom)), NARROW) for x in borders]
        y = top
        for row, height in enumerate(self.heights):
            if row:
                parts.append(Line(((left, y), (right, y)), NARROW))
            base = y + _PAD_Y + 2.2
            parts.append(Label(left + _PAD_X, base, ROWS[row]))
            for x, data, cells in zip(borders, self.columns, self.cells, strict=True):
                parts += [Label(x + _PAD_X, base + _PITCH * index, line, of=data.of) for index, line in enumerate(cells[row])]
            y += height
        return parts
