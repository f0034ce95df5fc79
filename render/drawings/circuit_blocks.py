"""Blocks of a circuit diagram: drives and supplies, motors, terminals of electronic devices and of strips, references."""

from __future__ import annotations

from math import ceil

from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device
from render.drawings.circuit_draft import Draft, Frame, Text, stacked, terminal_name
from render.drawings.circuit_homes import Mention
from render.drawings.circuit_ranks import Circuit
from render.drawings.circuit_words import Words
from render.layout.columns import balanced, broken
from render.layout.fonts import text_width
from render.layout.writing import PITCH
from render.sheet import DESIGNATION, MEDIUM, NORMAL, Anchor, Circle, Line
from render.words.ratings import rating_lines

_TERMINAL, _STUB = 5.0, 2.5
_HEADS = 9.0  # height of the row of terminals of a motor
_MOTOR = 15.0  # of its circle below that
_WORDS, _LONG = 20.0, 36.0  # of what is written in a block; of a word that may make it wider
_MARGIN, _EDGE = 1.4, 1.6
_NAMED, _BESIDE = 7.0, 3  # height of a row of terminals in a block; other terminals beside each other in it
_PURPOSE = 27.0  # of what a terminal at which a circuit ends is for


def draw_block(looks: Words, draft: Draft, circuit: Circuit, device: Device) -> None:
    """A drive, a supply or a motor: its terminals in a frame."""
    part, head = draft.part, draft.shift
    motor = part.kind == "sink" and device.kind == Kind.MOTOR
    # of a signal's ends what it is stands at the symbol of the whole alone
    others = looks.homes.of.get(device.id, ())
    told = part.is_signal and any(other.kind in ("load", "sink") for other in others)
    text = device.terminals[terminal_name(part.nodes[0])].text if told else looks.homes.title(device)
    said = looks.said(device, [text] if told else [text, *rating_lines(device)])
    lines = looks.beside([*looks.identity(device), *said, *looks.homes.home_line(part), *looks.homes.list_of(part)])
    least = _HEADS + (_MOTOR if motor else 0.0) if part.kind == "sink" else 16.0
    inside = looks.homes.inside_of(part)
    count = min(_BESIDE, len(inside)) or 1
    height = max(least, stacked(lines), 2 * _NAMED + ceil(len(inside) / count) * PITCH)
    draft.height = head + height
    low = head + (_HEADS if part.kind == "sink" else height) - (_EDGE if part.kind != "sink" else 0.0)
    for number in range(len(part.ways)):
        above, below = circuit.top(part, number), circuit.bottom(part, number)
        if above:
            draft.lead(number, 0.0, head + _EDGE)
            draft.centred(number, Text(0.0, head + _EDGE + 3.8, terminal_name(above), NORMAL, "middle", above), 1.2)
        if below:
            draft.lead(number, low, draft.height)
            draft.centred(number, Text(0.0, low - 1.3, terminal_name(below), NORMAL, "middle", below), 1.2)
    left, right = max(draft.left[0], 5.9), max(draft.right[-1], 5.9)
    cell = max((looks.width(line) for line in inside), default=0.0) + 2.5
    for number, line in enumerate(inside):
        x, y = 2.0 - left + number % count * cell, head + _NAMED + (number // count + 1) * PITCH - 1.0
        draft.texts[0].append(Text(x, y, line.text, NORMAL, of=line.of, refer=line.refer))
    draft.inner = count * cell + 2.0 if inside else 0.0
    if len(part.ways) == 1:
        right = max(right, draft.inner - left)
    draft.left[0], draft.right[-1] = left, right + 0.6
    current = ("1~" if device.symbol == "motor-single-phase" else "3~") if motor else ""
    draft.frame = Frame(
        "solid" if part.kind == "sink" or device.category == Category.SUPPLY else "device",
        head + _EDGE,
        low,
        left,
        right,
        current,
    )
    looks.words(draft, left + 0.6, head + height / 2, lines)


def draw_pin(looks: Words, draft: Draft, device: Device, lead: bool) -> None:
    """A terminal of an electronic device with what it is for and what it is set to."""
    node = draft.part.ways[0].a
    name = terminal_name(node)
    under = draft.used[0][1] and not draft.used[0][0]
    said = looks.homes.pin_words(device, name)
    longest = max((text_width(word) for text in said for word in text.split()), default=0.0)
    reach = max(_WORDS, longest) if longest < _LONG else _WORDS  # no word is broken that is not endless
    words = [line for text in said for line in broken(text, reach, united=True)]
    home = looks.homes.home_line(draft.part) if lead else ()
    lines = [*(looks.identity(device) if lead else ()), *home, *looks.homes.named(draft.part)]
    tall = max(5.0 + PITCH * len(words) + _MARGIN, stacked(lines) - 2.0)
    head = draft.shift + (0.0 if under else _STUB)
    base = head + (tall - _EDGE if under else 5.0)
    draft.centred(0, Text(0.0, base, name, DESIGNATION, "middle", node, bold=True), _MARGIN)
    for number, line in enumerate(words):
        y = head + PITCH * (number + 1) if under else base + PITCH * (number + 1)
        draft.centred(0, Text(0.0, y, line, NORMAL, "middle", node), _MARGIN)
    half = max(text_width(name, DESIGNATION, True), *(text_width(line) for line in ("", *words))) / 2 + _MARGIN
    draft.height = head + tall + (_STUB if under else 0.0)
    draft.lead(0, *((head + tall, draft.height) if under else (0.0, head)))
    draft.frame = Frame("device", head, head + tall, half - 0.3, half - 0.3)
    if lines:
        looks.words(draft, half, head + tall / 2, lines)


def draw_terminal(looks: Words, draft: Draft, lead: bool, narrow: bool, ends: bool) -> None:
    """A terminal of a strip as a circle, its name left of it, right of it if `narrow`, and what it is for where
    the circuit `ends` there; a tap of a busbar is a line alone."""
    part = draft.part
    node = part.ways[0].a
    device = looks.plant.devices.get(part.device)
    if part.kind == "rail" and device is not None and device.category == Category.BUSBAR:
        draft.height = draft.shift + 1.0
        draft.lead(0, 0.0, draft.height)
        return
    name = terminal_name(node)
    text = f"{looks.names.of(part.device)}:{name}" if lead else f":{name}"
    named = looks.homes.named(part)
    # behind the name of the terminal its first other place, below each other the rest
    lines = [Mention(text), *named] if narrow else [Mention(text, refer=named[0].refer if named else ""), *named[1:]]
    terminal = device.terminals.get(name) if ends and device is not None else None
    if part.kind == "terminal" and terminal is not None:
        lines += [Mention(line) for line in balanced(terminal.text, _PURPOSE)]
    tall = max(_TERMINAL, len(lines) * PITCH + 1.0)
    middle = draft.shift + tall / 2
    first = middle + NORMAL / 2 - (len(lines) - 1) * PITCH / 2
    draft.height = draft.shift + tall
    draft.shapes[0].append(Circle(0.0, middle, 1.1, MEDIUM, of=part.key))
    if draft.used[0][0] or part.kind == "rail":
        draft.lead(0, 0.0, middle - 1.1)
    if draft.used[0][1] or part.kind == "rail":
        draft.lead(0, middle + 1.1, draft.height)
    anchor: Anchor = "start" if narrow else "end"
    x, side = (2.0, draft.right) if narrow else (-2.0, draft.left)
    for number, line in enumerate(lines):
        draft.texts[0].append(Text(x, first + number * PITCH, line.text, NORMAL, anchor, node, line.refer))
        side[0] = max(side[0], 3.0 + looks.width(line))


def draw_reference(looks: Words, draft: Draft) -> None:
    """An arrow to what goes on elsewhere, with its terminal, sheet and zone."""
    node = draft.part.ways[0].a
    owner, _, _ = node.rpartition(":")
    text = f"{looks.names.of(owner)}:{terminal_name(node)}"
    under = draft.used[0][1]
    draft.height = draft.shift + 13.0
    tip = draft.shift + (11.0 if under else 3.4)
    arrow = ((0.0, tip - 0.2), (-1.1, tip - 2.6), (1.1, tip - 2.6))
    draft.shapes[0].append(Line(arrow, MEDIUM, closed=True, fill=True, of=draft.part.key))
    draft.lead(0, *((tip - 0.2, draft.height) if under else (0.0, tip - 2.6)))
    base = draft.shift + 3.2 if under else tip + 3.4
    pair = looks.homes.named(draft.part)[0].refer
    draft.centred(0, Text(0.0, base, text, NORMAL, "middle", node), 1.0)
    draft.texts[0].append(Text(0.0, base + PITCH, "", NORMAL, "middle", node, pair))
    half = looks.reference(pair) / 2 + 1.0
    draft.left[0], draft.right[0] = max(draft.left[0], half), max(draft.right[0], half)
