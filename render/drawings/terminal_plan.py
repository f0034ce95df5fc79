"""Which terminal drawings a plant has and what is on each sheet, before anything is drawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet

from msgspec import Struct

from netdsl.model.kinds import Kind
from netdsl.network.types import Network
from render.drawing import Drawing
from render.drawings.terminal_block import Block
from render.drawings.terminal_halves import fitting, is_wide
from render.drawings.terminal_pages import Piece, Stack, stacked, too_high
from render.drawings.terminal_rows import BlockMaker
from render.layout.fonts import Box
from render.layout.remarks import Remarks
from render.sheet import sheet_key
from render.words.cables import cable_ends
from render.words.names import Names
from render.words.remarks import CAUTION, CONTACTS, MARKS, live_words, scope_words, shade_words

_SIGNS = (
    "Boxes: this end wired, checked. Joint: one ferrule. Ring: one cable, dashed: screened, below it both ends of the screen."
    " Below a wire or in brackets: sheet of the other end."
)
_NAMED = 5  # devices named in the title of a sheet
_PART = ".88"  # as long as the suffix of a part


class Stacked(Struct, frozen=True):
    """A stack with its names: `key` and `number` of its sheets without the suffix of a part; `titles`: of each sheet."""

    key: str
    number: str
    titles: tuple[str, ...]
    function: str
    place: str
    stack: Stack

    def part(self, index: int) -> str:
        """Suffix of sheet `index`, nothing where there is one only."""
        return f".{index + 1}" if len(self.stack.pages) > 1 else ""


class TerminalPlan:
    """The terminal drawings of a plant, function by function. `keys`: key of the sheet that shows each terminal
    (`=RP1-T1:U`), and of the first sheet of each device (`=RP1-T1`); `ends`: of that which shows a conductor at a terminal, by
    terminal and conductor, or a screen where it ends, by that and its cable; `numbers`: of the sheets by their keys."""

    def __init__(self, drawing: Drawing) -> None:
        self.stacks = tuple(self._stacks(drawing))
        self.keys: Mapping[str, str] = _keys(self.stacks)
        self.ends: Mapping[tuple[str, str], str] = _ends(self.stacks)
        self.numbers: Mapping[str, str] = {
            each.key + each.part(index): each.number + each.part(index)
            for each in self.stacks
            for index in range(len(each.stack.pages))
        }
        self._halves = _halves(self.stacks)

    def key(self, terminal: str, conductor: str) -> str:
        """Key of the sheet on which a conductor lands on a terminal, else of that which shows the terminal or its device."""
        return self.ends.get((terminal, conductor)) or self.keys.get(terminal) or self.keys.get(terminal.partition(":")[0], "")

    def other(self, block: Block, sheet: str) -> str:
        """Where the other half of a block on a `sheet` begins, in words, "" where there is none."""
        halves = [(half, number) for (name, half), number in self._halves.items() if name == block.id]
        place, number = next(((place, number) for place, (half, number) in enumerate(halves) if half != block.half), (0, ""))
        return ("below" if place else "above") if number == sheet else f"sheet {number}"

    def _stacks(self, drawing: Drawing) -> Iterable[Stacked]:
        network, whole = drawing.network, drawing.area
        maker = BlockMaker(network, cable_ends(network), drawing.live, drawing.asked)
        by_function: dict[str, list[Block]] = {}
        for identity in drawn_devices(network):
            block = maker.block(identity)
            by_function.setdefault(block.function, []).append(block)
        shades = shade_words(drawing.plant)
        plugs = any(device.kind == Kind.PLUG for device in drawing.plant.devices.values())
        taken: set[str] = set()
        planned: list[_Planned] = []
        for function in ("", *drawing.plant.functions):
            said = remarks(function, drawing.live.isolators, shades, plugs, drawing.notes)
            area = Box(whole.left, whole.top, whole.right, whole.bottom - said.above)
            blocks = by_function.get(function, [])
            wide = frozenset(block.id for block in blocks if is_wide(block, area))
            groups = _grouped(network, blocks)
            if len(groups) > 1 and len({block.field for block in blocks}) == 1 and _on_one(blocks, wide, area):
                site = next((site for site, _ in groups if site), "")
                groups = [(site, blocks)]  # what is inside and outside on one sheet, where that holds both
            planned += (_planned(function, site, fitting(group, wide), area, taken) for site, group in groups)
        numbers = {block.id: each.number for each in planned for block in each.blocks}
        return (each.stacked(Names(drawing.plant, each.function), numbers) for each in planned)


class _Planned(Struct, frozen=True):
    """Blocks that are to share sheets, with the names of these: as of a Stacked."""

    key: str
    number: str
    function: str
    place: str
    blocks: Sequence[Block]
    area: Box

    def stacked(self, names: Names, numbers: Mapping[str, str]) -> Stacked:
        """Shared out over sheets; `numbers`: of the sheets of each block, without the suffix of a part."""

        def reach(terminal: str, _core: str) -> str:
            number = numbers.get(terminal.partition(":")[0], "")
            return f"{number}{_PART}" if number else ""

        stack = stacked(self.blocks, self.area, f"{self.number}{_PART}", reach)
        titles = tuple(_title(page, names) for page in stack.pages)
        return Stacked(self.key, self.number, titles, self.function, self.place, stack)


def _on_one(blocks: Sequence[Block], wide: AbstractSet[str], area: Box) -> bool:
    """Whether one sheet holds all of `blocks`, of which some are too `wide` for it."""
    if too_high(blocks, area):
        return False
    return len(stacked(fitting(blocks, wide), area, "", lambda _terminal, _core: "").pages) == 1


def remarks(function: str, isolators: Sequence[str], shades: Sequence[str], plugs: bool, area: Box) -> Remarks:
    """What is said to who wires from a sheet of `function`, the caution last. `isolators`: with them off, something is live;
    `plugs`: halves of plug connections are on it."""
    words = [_SIGNS, *([CONTACTS] if plugs else []), MARKS, *shades, *scope_words(function)]
    if isolators:
        words.append(live_words(isolators))
    return Remarks.of((" ".join(words), CAUTION), area)


def drawn_devices(network: Network) -> list[str]:
    """Devices and places that have a terminal drawing, in order of declaration."""
    landed = {end.device for conductor in network.plant.conductors.values() if conductor.cable for end in conductor.ends}
    devices = [device.id for device in network.plant.devices.values() if device.category == "strip" or device.id in landed]
    return devices + [place for place in network.plant.places if place in landed]


def _grouped(network: Network, blocks: Iterable[Block]) -> list[tuple[str, list[Block]]]:
    """Blocks of one enclosure with its doors together, and those outside, each group where its first stands. What has no place,
    as a supply, is with what its cable leads to."""
    groups: dict[tuple[str, str], list[Block]] = {}
    loose: list[Block] = []
    for block in blocks:
        place = network.plant.places.get(block.place)
        if block.place:
            groups.setdefault((place.enclosure if place is not None else "", block.field), []).append(block)
        else:
            loose.append(block)
    for block in reversed(loose):
        near = next((each for each in groups if each[0] and each[0] == _led_to(network, block)), ("", block.field))
        groups.setdefault(near, []).insert(0, block)
    return [(site, found) for (site, _), found in groups.items()]


def _led_to(network: Network, block: Block) -> str:
    """The enclosure to which the first cable from a device leads, "" for none."""
    landed = [name for terminal in block.points.values() for name in network.at_terminal.get(terminal.id, ())]
    far = [end.device for name in landed for end in network.plant.conductors[name].ends if end.device != block.id]
    devices = [network.plant.devices[name] for name in far if name in network.plant.devices]
    places = [network.plant.places[device.place] for device in devices if device.place in network.plant.places]
    return next((place.enclosure for place in places if place.enclosure), "")


def _planned(function: str, site: str, blocks: Sequence[Block], area: Box, taken: set[str]) -> _Planned:
    places = list(dict.fromkeys(block.place for block in blocks))
    where = site or (places[0] if len(places) == 1 else "")
    name = f"{function}-at-{where.lstrip('+') or 'site'}"
    mark = function.lstrip("=")
    key = sheet_key("terminals", name, taken)
    # from what is on it, not from a counter: a device more moves no other sheet's number
    of = key.removeprefix("terminals-").removeprefix(f"{mark}-").removeprefix("at-")
    return _Planned(key, f"{mark}/T.{of}" if mark else f"T.{of}", function, where, blocks, area)


def _title(page: Sequence[Piece], names: Names) -> str:
    """The devices and strips on a sheet: `Terminals -X1, -X2, -T1 and 2 more`, with the half of them where it shows one alone."""
    blocks = [piece.laid.block for piece in page]
    found = list(dict.fromkeys(names.of(block.id) for block in blocks))
    shown = found[:_NAMED] if len(found) > _NAMED + 1 else found
    more = f" and {len(found) - len(shown)} more" if len(shown) < len(found) else ""
    halves = {block.half for block in blocks}
    half = next(iter(halves)) if len(halves) == 1 else ""
    return f"Terminals {', '.join(shown)}{more}{f', {half}' if half else ''}"


def _keys(stacks: Iterable[Stacked]) -> dict[str, str]:
    keys: dict[str, str] = {}
    for each in stacks:
        for index, page in enumerate(each.stack.pages):
            key = each.key + each.part(index)
            for piece in page:
                block = piece.laid.block
                keys.setdefault(block.id, key)
                for row in block.rows[piece.first : piece.last]:
                    keys.setdefault(block.points[row.terminal].id, key)
    return keys


def _halves(stacks: Iterable[Stacked]) -> dict[tuple[str, str], str]:
    """Number of the sheet on which each half of a block begins, by the block's id and the half."""
    found: dict[tuple[str, str], str] = {}
    for each in stacks:
        for index, page in enumerate(each.stack.pages):
            for block in (piece.laid.block for piece in page if piece.laid.block.half):
                found.setdefault((block.id, block.half), each.number + each.part(index))
    return found


def _ends(stacks: Iterable[Stacked]) -> dict[tuple[str, str], str]:
    ends: dict[tuple[str, str], str] = {}
    for each in stacks:
        for index, page in enumerate(each.stack.pages):
            key = each.key + each.part(index)
            for piece in page:
                block = piece.laid.block
                for row in block.rows[piece.first : piece.last]:
                    for entry in (row.left, row.right):
                        if entry is not None:
                            ends.setdefault((block.points[row.terminal].id, entry.of), key)
                for group in (*block.groups[0], *block.groups[1]):
                    if piece.first <= group.last < piece.last:  # a screen stands below the last core
                        ends.update({(tail.here_id, tail.of): key for tail in group.tails if tail.here_id})
    return ends
