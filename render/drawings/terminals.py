"""Terminal drawings: every strip, and every device on which a cable lands, as the shop and the site wire from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from netdsl.network.types import Network
from render.drawings.cable_ends import cable_ends
from render.drawings.live import LiveCircuits, live_circuits
from render.drawings.terminal_page import drawn, remarks_above
from render.drawings.terminal_pages import Stack, stacked
from render.drawings.terminal_rows import Block, BlockMaker
from render.drawings.terminal_words import shade_words
from render.layout.fonts import Box
from render.layout.frame import drawing_area
from render.sheet import Sheet

KIND = "Terminal diagram"
_LARGE = 10  # a block with more rows has sheets of its own


@dataclass(frozen=True, slots=True)
class _Drawing:
    """A stack with its names: `key` and `number` of its sheets without the suffix of a part."""

    key: str
    number: str
    title: str
    function: str
    place: str
    stack: Stack

    def part(self, index: int) -> str:
        """Suffix of sheet `index`, nothing where there is one only."""
        return f".{index + 1}" if len(self.stack.pages) > 1 else ""


def terminal_sheets(network: Network) -> list[Sheet]:
    """The terminal drawings of the whole plant, without frames, function by function."""
    return terminal_drawings(network)[0]


def terminal_drawings(network: Network) -> tuple[list[Sheet], dict[str, str]]:
    """The terminal drawings with what `terminal_sheet_keys` gives, planned once."""
    size = size_of(network)
    live = live_circuits(network)
    drawings = _drawings(network, live, size)
    keys = _keys(drawings)
    return [sheet for drawing in drawings for sheet in _sheets(network, drawing, keys, live, size)], keys


def terminal_sheet_keys(network: Network) -> dict[str, str]:
    """Key of the sheet that shows each terminal (`=RP1-T1:U`), and of the first sheet of each device (`=RP1-T1`)."""
    return _keys(_drawings(network, live_circuits(network), size_of(network)))


def size_of(network: Network) -> str:
    """The project's sheet size, A3 where it names none."""
    return "A4" if network.plant.project.attributes.get("sheet-size") == "A4" else "A3"


def drawn_devices(network: Network) -> list[str]:
    """Devices and places that have a terminal drawing, in order of declaration."""
    landed = {end.device for conductor in network.plant.conductors.values() if conductor.cable for end in conductor.ends}
    devices = [device.id for device in network.plant.devices.values() if device.category == "strip" or device.id in landed]
    return devices + [place for place in network.plant.places if place in landed]


def _drawings(network: Network, live: LiveCircuits, size: str) -> list[_Drawing]:
    maker = BlockMaker(network, cable_ends(network), live)
    blocks = [maker.block(identity) for identity in drawn_devices(network)]
    by_function: dict[str, list[Block]] = {}
    for block in blocks:
        by_function.setdefault(block.function, []).append(block)
    result: list[_Drawing] = []
    taken: set[str] = set()
    whole = drawing_area(size)
    for function in ("", *network.plant.functions):
        area = Box(
            whole.left, whole.top, whole.right, whole.bottom - remarks_above(function, live, shade_words(network.plant), size)
        )
        for group in _grouped(by_function.get(function, ())):
            result.append(_drawing(function, group, area, taken))
    return result


def _grouped(blocks: Iterable[Block]) -> list[list[Block]]:
    """Large blocks alone, small ones of one place together, each where its first stands."""
    groups: list[list[Block]] = []
    shared: dict[tuple[str, str], list[Block]] = {}
    for block in blocks:
        if len(block.rows) > _LARGE:
            groups.append([block])
        elif (where := (block.place, block.field)) in shared:
            shared[where].append(block)
        else:
            shared[where] = [block]
            groups.append(shared[where])
    return groups


def _drawing(function: str, blocks: list[Block], area: Box, taken: set[str]) -> _Drawing:
    first = blocks[0]
    alone = len(first.rows) > _LARGE
    name = first.id if alone else f"{function}-at-{first.place.lstrip('+') or 'site'}"
    title = _title(first) if alone else f"Terminals at {first.place}" if first.place else "Terminals outside"
    mark = function.lstrip("=")
    key = sheet_key("terminals", name, taken)
    # from what is on it, not from a counter: a device more moves no other sheet's number
    of = key.removeprefix("terminals-").removeprefix(f"{mark}-").removeprefix("at-")
    printed = f"{mark}/T.{of}" if mark else f"T.{of}"
    return _Drawing(key, printed, title, function, first.place, stacked(blocks, area, printed))


def _title(block: Block) -> str:
    return f"Terminal strip {block.id}" if block.strip else f"Terminals {block.id}"


def sheet_key(kind: str, name: str, taken: set[str]) -> str:
    """A file stem made of `kind` and `name`; a number behind it where another has it already."""
    plain = "".join(c if c.isascii() and (c.isalnum() or c in "-_.") else "_" for c in name.lstrip("=+-"))
    key, number = f"{kind}-{plain}", 2
    while key in taken:
        key, number = f"{kind}-{plain}_{number}", number + 1
    taken.add(key)
    return key


def _keys(drawings: Sequence[_Drawing]) -> dict[str, str]:
    keys: dict[str, str] = {}
    for drawing in drawings:
        for index, page in enumerate(drawing.stack.pages):
            key = drawing.key + drawing.part(index)
            for piece in page:
                block = piece.laid.block
                keys.setdefault(block.id, key)
                for row in block.rows[piece.first : piece.last]:
                    keys.setdefault(block.points[row.terminal].id, key)
    return keys


def belongs_to(network: Network, function: str, place: str) -> str:
    """What a sheet is part of: its function, for the common part its place."""
    functions, places = network.plant.functions, network.plant.places
    if function:
        return f"{function} {functions[function].title}".strip()
    return f"{place} {places[place].title}".strip() if place in places else ""


def _sheets(network: Network, drawing: _Drawing, keys: Mapping[str, str], live: LiveCircuits, size: str) -> Iterable[Sheet]:
    numbers = [drawing.number + drawing.part(index) for index in range(len(drawing.stack.pages))]
    part_of = belongs_to(network, drawing.function, drawing.place)
    for index, number in enumerate(numbers):
        key = drawing.key + drawing.part(index)

        def link(identity: str, key: str = key) -> str:
            found = keys.get(identity) or keys.get(identity.partition(":")[0], "")
            return found if found != key else ""

        primitives = drawn(drawing.stack, index, numbers, drawing.function, live, shade_words(network.plant), link, size)
        yield Sheet(key, number, drawing.title, KIND, part_of, primitives, size)
