"""An electronic fuse in a circuit diagram: a symbol for each output behind the one supply, and what feeds its electronics."""

from __future__ import annotations

from netdsl.model.kinds import Kind
from netdsl.model.plant import Device
from render.drawings.circuit_draft import Draft, Frame, Text, stacked, terminal_name
from render.drawings.circuit_homes import Mention
from render.drawings.circuit_ranks import Circuit
from render.drawings.circuit_shapes import POLE_HEIGHT, POLES, pole_shape
from render.drawings.circuit_words import Words
from render.layout.columns import broken
from render.layout.writing import PITCH
from render.sheet import NORMAL
from render.words.ratings import rating, rating_lines

_EDGE, _SUPPLY = 1.6, 4.6  # from a line that is joined to the frame; below that to where the outputs part
_BESIDE, _WORDS = 3.4, 17.0  # words of an output: how far right of its line, how wide
_FIRST = 7.4  # their first line below where the outputs part


def draw_outputs(looks: Words, draft: Draft, circuit: Circuit, device: Device) -> None:
    """The outputs of an electronic fuse in a frame, each with its symbol, what it is called and set to, and what it is for."""
    part = draft.part
    poles = [number for number, way in enumerate(part.ways) if way.path is not None]
    several = device.kind == Kind.HOUSING
    said = [looks.homes.title(device)] if several else [*rating_lines(device)]
    lines = [*looks.identity(device), *looks.said(device, said), *looks.homes.home_line(part), *looks.homes.list_of(part)]
    words = [_words(looks, draft, number) if several else [] for number in range(len(part.ways))]
    spare = max(0.0, max(len(found) for found in words) * PITCH - 10.0)
    tall = _EDGE + _SUPPLY + POLE_HEIGHT + spare + _EDGE
    height = max(tall, stacked(lines))
    head = draft.shift + (height - tall) / 2
    draft.height = draft.shift + height
    top, bar = head + _EDGE, head + _EDGE + _SUPPLY
    low = bar + POLE_HEIGHT + spare
    draft.above(0, bar)
    if not draft.used[0][0]:
        draft.lead(0, top, bar)
    draft.number(0, circuit.top(part, 0), top + 3.6)
    for number, way in enumerate(part.ways):
        if way.path is None:
            draft.lead(number, low, draft.height)
            draft.centred(number, Text(0.0, low - 1.0, terminal_name(way.b), NORMAL, "middle", way.b), 1.2)
            continue
        draft.number(number, circuit.bottom(part, number), low - 1.0)
        draft.shapes[number] += pole_shape(POLES[device.symbol], device.symbol, bar, part.key)
        draft.lead(number, bar + POLE_HEIGHT, low)
        draft.below(number, low)
        draft.left[number] = 4.0
        for line, mention in enumerate(words[number]):
            draft.beside(number, Text(_BESIDE, bar + _FIRST + line * PITCH, mention.text, NORMAL, of=mention.of))
    if len(poles) > 1:
        draft.bar = bar, poles[-1]
    draft.left[0], draft.right[-1] = max(draft.left[0], 5.0), max(draft.right[-1], 4.0) + 0.8
    left = draft.left[0]
    draft.frame = Frame("device", top, low, left - 0.6, draft.right[-1] - 0.6)
    looks.words(draft, left, head + tall / 2, lines)


def _words(looks: Words, draft: Draft, number: int) -> list[Mention]:
    """What an output is called, to what it is set, what it is for; that it is free."""
    way = draft.part.ways[number]
    if way.path is None:
        return []
    channel = looks.plant.devices[f"{draft.part.device}.{way.path.b}"]
    text = channel.terminals[way.path.b].text
    set_to = rating(channel, "current") or rating(channel, "setting-range")
    said = [looks.names.of(channel.id), set_to, *broken(text, _WORDS, united=True), *(() if draft.used[number][1] else ("free",))]
    return [Mention(line, NORMAL, channel.id) for line in said if line]
