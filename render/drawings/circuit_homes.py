"""What circuit diagrams say of one place at another: where the coil of a contact is, where each contact of a coil."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device, Plant, Role
from netdsl.sums import sum_of
from render.drawings.circuit_groups import Group, Grouped
from render.drawings.circuit_parts import Part
from render.layout.columns import broken
from render.sheet import NORMAL
from render.words.purposes import as_wired, governing, purpose

_FEW, _MOST = 4, 16  # terminals of a device apart from its symbol, up to which its words list them; below a coil
_BLOCKS = frozenset({Kind.DRIVE, Kind.CONTROLLER, Kind.OUTSIDE, Kind.SOFT_STARTER})  # whose block has room for them
_TENTH, _CARD = 50, 8  # ways of a group for which ten sheets are too many; as many of these a card counts
_FREE = 24.0  # of a line of contacts that are free, mm
_SMALL = frozenset({"refer", "rail"})
_FIRST = {"card": 0, "poles": 1, "sink": 2, "through": 3, "load": 4, "source": 5, "contact": 6, "pin": 7}


class Mention(Struct, frozen=True):
    """A line of text; `refer`: the part whose sheet and zone stand behind it."""

    text: str
    height: float = NORMAL
    of: str = ""
    refer: str = ""


class Homes:
    """Where the parts of each device are. `home`: of a device the part that its contacts name: its coil before its poles;
    `inside`: the terminals that stand apart from the block of a device; `group_of`: number of the group of each part; `numbers`:
    the beginning of the sheet numbers of each group; `sheets`: as many digits as the number of any of its sheets has."""

    def __init__(self, drawn: Grouped, plant: Plant, asked: Mapping[str, frozenset[str]]) -> None:
        self.plant = plant
        self.pairs = drawn.pairs
        self._asked = asked
        self.of: dict[str, list[Part]] = {}
        self.group_of: dict[str, int] = {}
        self.numbers: list[str] = []
        self.sheets = ["8" if _size(group) <= _TENTH else "88" for group in drawn.groups]
        for number, group in enumerate(drawn.groups):
            for part in group.parts.values():
                self.group_of[part.key] = number
                supplied = part.kind == "source" and plant.devices[part.device].category != Category.SUPPLY
                if supplied or part.kind in ("card", "contact", "load", "poles", "through", "sink"):
                    self.of.setdefault(part.device, []).append(part)
        pins: dict[str, list[Part]] = {}
        for group in drawn.groups:
            for part in group.parts.values():
                if part.kind == "pin":
                    pins.setdefault(part.device, []).append(part)
        self.home = {device: min(parts, key=_order) for device, parts in self.of.items()}
        self.inside: dict[str, list[Part]] = {}
        for device, found in pins.items():
            home = self.home.get(device)
            if home is None:
                self._name_each_other(drawn, found)
            elif home.kind == "through" and (len(found) > _FEW or plant.devices[device].kind in _BLOCKS):
                self.inside[device] = found
            elif home.kind == "card" or len(found) <= (_MOST if home.kind == "load" else _FEW):
                self.of[device] += found

    def _name_each_other(self, drawn: Grouped, pins: list[Part]) -> None:
        """Let the first terminals of what has no symbol of its own in each group name each other."""
        firsts = {self.group_of[part.key]: part for part in reversed(pins)}
        one, *others = sorted(firsts.values(), key=pins.index)
        for other in others:
            if other.key not in drawn.pairs.get(one.key, ()):
                drawn.name(one.key, other.key)

    def named(self, part: Part) -> list[Mention]:
        """The other places of a reference or a terminal."""
        return [Mention("", NORMAL, part.device, other) for other in self.pairs.get(part.key, ())]

    def has_coil(self, part: Part) -> bool:
        """Whether the device of a part has a coil in the set."""
        home = self.home.get(part.device)
        return home is not None and _is_coil(home)

    def home_line(self, part: Part) -> tuple[Mention, ...]:
        """Where the home of a part is; nothing at the home itself, and for terminals that it does not list."""
        home = self.home.get(part.device)
        if home is None or home.key == part.key or part.kind in ("rail", "terminal"):
            return ()
        if part.kind == "pin" and part not in self.of[part.device] and part not in self.inside.get(part.device, ()):
            return ()
        return (Mention("", NORMAL, part.device, home.key),)

    def list_of(self, part: Part) -> tuple[Mention, ...]:
        """At the home of a device where each of its other parts is, and which of its contacts are free."""
        if self.home.get(part.device) is not part:
            return ()
        device = self.plant.devices[part.device]
        others = [other for other in self.of[part.device] if other is not part]
        lines = [Mention(_ends(device, other), NORMAL, device.id, other.key) for other in others]
        used = {node for other in self.of[part.device] for node in other.nodes}
        free = ", ".join(_free(device, used))
        return (
            *lines,
            *(Mention(text, NORMAL, device.id) for text in (broken(f"free {free}", _FREE, united=True) if free else ())),
        )

    def interlocked(self, part: Part) -> list[Part]:
        """The poles of what is mechanically interlocked with the device of a part."""
        pairs = [pair.devices for pair in self.plant.interlocks if pair.kind == "mechanical" and part.device in pair.devices]
        others = dict.fromkeys(name for pair in pairs for name in pair if name != part.device)
        return [each for name in others for each in self.of.get(name, ()) if each.kind == "poles"]

    def inside_of(self, part: Part) -> list[Mention]:
        """In the block of a drive where each of its other terminals is."""
        if self.home.get(part.device) is not part:
            return []
        device = self.plant.devices[part.device]
        found = self.inside.get(part.device, ())
        return [Mention(_ends(device, other), NORMAL, other.nodes[0], other.key) for other in found]

    def title(self, device: Device) -> str:
        """What a device is."""
        part = device.part.title if device.part is not None else ""
        return device.title or part.partition(",")[0]

    def purpose(self, part: Part) -> str:
        """What a load is for: its own title, that of its function where it has none."""
        device = self.plant.devices[part.device]
        title = device.title if device.part is None or device.title != device.part.title else ""
        return title or (device.part.title.partition(",")[0] if device.part is not None else "")

    def pin_words(self, device: Device, name: str) -> list[str]:
        """What a terminal of a block is for, and its settings."""
        terminal = device.terminals.get(name)
        if terminal is None:
            return []
        terminal = as_wired(terminal, self._asked.get(f"{device.id}:{name}", ()))
        use, settings = purpose(device, terminal), [_set(text) for text in governing(device, terminal)]
        if terminal.role == Role.ANALOGUE_IN and settings:  # as it is set, not as it is called
            use = " ".join(word for word in use.split() if word not in ("voltage", "current"))
        # `enable` is said with `enable input on`
        use = "" if any(f"{said} ".startswith(f"{use} ") for said in settings) else use
        return [line for line in (use, *(said for said in settings if not use.endswith(said))) if line]


def _set(governing: str) -> str:
    """A setting as its terminal says it: its value; `on` and `off` with what is, lest the terminal itself be read as off."""
    name, _, value = governing.partition(": ")
    return f"{name.replace('-', ' ')} {value}" if value in ("on", "off") else value


def _size(group: Group) -> int:
    """How many ways a group has to draw."""
    return sum_of(_CARD if part.kind == "card" else len(part.ways) for part in group.parts.values() if part.kind not in _SMALL)


def _order(part: Part) -> tuple[int, str]:
    return (0, part.key) if _is_coil(part) else (_FIRST.get(part.kind, 9), "")


def _is_coil(part: Part) -> bool:
    consumer = part.ways[0].consumer
    return part.kind == "load" and consumer is not None and consumer.kind == "coil"


def _ends(device: Device, part: Part) -> str:
    names = [node[len(device.id) + 1 :].partition("/")[0] for node in part.nodes]
    if part.kind == "pin":
        return f":{names[0]}"  # E1 alone would be read as a sheet
    if part.kind == "contact":
        return "-".join(names)
    if len(names) > 2:
        return f"{names[0]} … {names[-1]}"
    return ("/" if {"+", "-"} & {name[-1] for name in names} else "-").join(names)


def _free(device: Device, used: set[str]) -> Iterator[str]:
    for path in device.paths:
        if path.kind in ("make", "break"):
            free = [name for name in (path.a, path.b) if f"{device.id}:{name}" not in used]
            if len(free) == 2 or (free and free == [path.b]):
                yield f"{path.a}-{path.b}" if len(free) == 2 else path.b
