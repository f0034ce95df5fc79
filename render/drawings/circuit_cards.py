"""The cards of a rack in a circuit diagram: a block for each, with address and text of every channel and where it is drawn."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from netdsl.model.plant import Device, Role, Terminal
from render.drawings.circuit_draft import Draft, Frame, Text, stacked
from render.drawings.circuit_homes import Homes
from render.drawings.circuit_laid import Laid, Standing
from render.drawings.circuit_layout import Layout
from render.drawings.circuit_parts import Part, is_stated
from render.drawings.circuit_ranks import Circuit
from render.drawings.circuit_words import Words
from render.layout.columns import broken
from render.layout.fonts import text_width
from render.layout.writing import PITCH
from render.sheet import NORMAL
from render.words.purposes import purpose

#: roles of terminals that are channels
_CHANNELS = frozenset({Role.DIGITAL_IN, Role.DIGITAL_OUT, Role.ANALOGUE_IN, Role.ANALOGUE_OUT})
_HEAD, _MARGIN, _APART = 5.6, 1.6, 2.4  # of a block: its heading; inside its frame; between two columns
_GAP = 3.0  # between two blocks of a stack
_TEXT = 42.0  # of what a channel is for, mm
_TALL = 112.0  # of a stack, mm


class _Row(Struct, frozen=True):
    """A channel: its terminals, address, tag, lines of text, and the parts that show it elsewhere."""

    name: str
    of: str
    cells: tuple[str, str]
    lines: tuple[str, ...]
    refer: tuple[str, ...]


class CardStack(Layout):
    """Blocks of cards below each other."""

    def __init__(self, parts: Sequence[Part], drafts: Sequence[Draft]) -> None:
        self.circuit = Circuit({part.key: part for part in parts}, [])
        self.drafts = drafts
        self.edge = max(draft.left[0] for draft in drafts)
        self.width = self.edge + max(draft.right[0] for draft in drafts)
        self.upper = sum_heights(drafts)
        self.lower = self.foot = 0.0

    def widen(self, width: float) -> None:
        """Blocks stay as wide as their words."""

    def laid(self, _slack: float) -> Laid:
        """Everything in place, from above on."""
        found, y = Laid(), 0.0
        for part, draft in zip(self.circuit.parts.values(), self.drafts, strict=True):
            found.standing.append(Standing(part, draft, [self.edge], [("", "")], y, y + draft.height, None))
            y += draft.height + _GAP
        return found


def sum_heights(drafts: Iterable[Draft]) -> float:
    """Height of blocks below each other, mm."""
    height = 0.0
    for draft in drafts:
        height += draft.height + (_GAP if height else 0.0)
    return height


def card_stacks(looks: Words, parts: Sequence[Part], height: float) -> list[CardStack]:
    """The cards of a group in as many stacks as their height takes, none higher than `height` mm where a card is not."""
    found: list[CardStack] = []
    held: list[Part] = []
    drafts: list[Draft] = []
    for part in parts:
        draft = _drawn(looks, part)
        if drafts and sum_heights([*drafts, draft]) > min(_TALL, height):
            found.append(CardStack(held, drafts))
            held, drafts = [], []
        held.append(part)
        drafts.append(draft)
    return [*found, CardStack(held, drafts)] if held else found


def _drawn(looks: Words, part: Part) -> Draft:
    device = looks.plant.devices[part.device]
    rows, free = list(_rows(looks.homes, device)), _free(looks.homes, device)
    draft = Draft(part, [(False, False)])
    widths = [max((text_width(row.name, NORMAL, True) for row in rows), default=0.0)]
    widths += [max((text_width(row.cells[n]) for row in rows), default=0.0) for n in (0, 1)]
    widths += [max((text_width(line) for row in rows for line in row.lines), default=0.0)]
    widths += [max((looks.reference(key) for row in rows for key in row.refer), default=0.0)]
    starts, x = [], _MARGIN
    for width in widths:
        starts.append(x)
        x += width + _APART if width else 0.0
    title = looks.homes.title(device)
    wide = max(x - _APART + _MARGIN, text_width(title, NORMAL, True) + 2 * _MARGIN)
    y = _HEAD
    draft.texts[0].append(Text(_MARGIN, y - 1.8, title, NORMAL, of=device.id, bold=True))
    for row in rows:
        first = y + NORMAL + 0.4
        texts = [(starts[0], row.name, "", True), *((starts[n + 1], cell, "", False) for n, cell in enumerate(row.cells) if cell)]
        draft.texts[0] += [Text(at, first, text, NORMAL, of=row.of, bold=bold) for at, text, _, bold in texts]
        lines = [Text(starts[3], first + n * PITCH, line, NORMAL, of=row.of) for n, line in enumerate(row.lines)]
        places = [Text(starts[4], first + n * PITCH, "", NORMAL, of=row.of, refer=key) for n, key in enumerate(row.refer)]
        draft.texts[0] += [*lines, *places]
        y += PITCH * max(len(lines), len(places), 1)
    for line in broken(f"free {', '.join(free)}", wide - 2 * _MARGIN) if free else ():
        draft.texts[0].append(Text(_MARGIN, y + NORMAL + 0.4, line, NORMAL, of=device.id))
        y += PITCH
    lines_of = [*looks.identity(device)]
    draft.height = max(y + _MARGIN, stacked(lines_of))
    draft.frame = Frame("device", 0.0, draft.height, 0.0, wide)
    looks.words(draft, 0.0, stacked(lines_of) / 2, lines_of)
    draft.right[0] = wide + 0.6
    return draft


def _rows(homes: Homes, device: Device) -> Iterator[_Row]:
    """A row for each channel that is stated or wired, and for what else of the card is wired, in the order of its terminals."""
    parts = homes.of.get(device.id, [])
    contacts = {node: part for part in parts if part.kind == "contact" for node in part.nodes}
    told: set[str] = set()
    for name, terminal in device.terminals.items():
        node = f"{device.id}:{name}"
        contact = contacts.get(node)
        if contact is not None:
            if contact.key in told:
                continue
            told.add(contact.key)
            names = [end.rpartition(":")[2] for end in contact.nodes]
            stated = next((device.terminals[end] for end in reversed(names) if is_stated(device.terminals[end])), terminal)
            yield _row("-".join(names), f"{device.id}:{stated.name}", device, stated, (contact.key,))
            continue
        pins = tuple(part.key for part in parts if node in part.nodes)
        if pins or is_stated(terminal):
            yield _row(name, node, device, terminal, pins)


def _row(name: str, of: str, device: Device, terminal: Terminal, refer: tuple[str, ...]) -> _Row:
    address, tag = terminal.attributes.text("address"), terminal.attributes.text("tag")
    text = terminal.text.removeprefix(" ".join(filter(None, (tag, address)))).strip() or purpose(device, terminal)
    said = text if refer else f"{text}, not wired"
    return _Row(name, of, (address, tag), broken(said, _TEXT, united=True), refer)


def _free(homes: Homes, device: Device) -> list[str]:
    """Channels on which nothing lands and of which nothing is stated."""
    used = {node for part in homes.of.get(device.id, ()) for node in part.nodes}
    found = [
        name
        for name, terminal in device.terminals.items()
        if terminal.role in _CHANNELS and f"{device.id}:{name}" not in used and not is_stated(terminal)
    ]
    ends = [(path.a, path.b) for path in device.paths if path.kind in ("make", "break")]
    return found + [f"{a}-{b}" for a, b in ends if not {f"{device.id}:{a}", f"{device.id}:{b}"} & used]
