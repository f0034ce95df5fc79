"""The text of a panel's remote inputs and outputs: head station, cards, strips, cables to the field, channels."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import count, groupby

from msgspec import Struct

from netdsl.quantities import number_text
from netdsl.starting.feeders import ZERO_FROM
from netdsl.starting.io_cards import Card, Placed, cards_of
from netdsl.starting.io_list import Signal

#: first terminals of the panel's 24 V that it takes; those before are the feed of the branch
FEED = 3
#: kinds whose field is fed with 24 V of the panel
_FED = ("di", "ai")
_STRIPS = {
    "di": ("-X1", "Digital inputs"),
    "do": ("-X2", "Digital outputs"),
    "ai": ("-X3", "Analogue inputs"),
    "ao": ("-X4", "Analogue outputs"),
    "rtd": ("-X5", "Resistance thermometers"),
}
#: letter and terminals of what stands in the field, which is drawn as something outside
_FIELD = {
    "di": ("B", "terminal :1 :2 contact voltage=250V current=3A"),
    "do": ("E", "terminal :1 :2 load voltage=24V dc"),
    "ai": ("B", "terminal :+ supply-in voltage=24V dc current=22mA\n    terminal :- analogue-out"),
    "ao": ("E", "terminal :+ analogue-in common=:-\n    terminal :- analogue-common"),
    "rtd": ("B", "terminal :1 :2 :3 plain"),
}


def io_text(signals: Sequence[Signal], rail: str) -> str:
    """The function `=IO1` of a panel; `rail`: its strip of 24 V."""
    cards, placed = cards_of(signals)
    body = [
        "# The strips of analogue signals stand beside the cards: wires between them are no longer than 200 mm.",
        "defaults class=analogue section=0.75mm2 colour=DBU along=DUCT3 length=0.15m",
        'device -K1 bus-coupler-network "Head station"',
        *(f'device {card.name} {card.part} "{card.title}"' for card in cards),
        *_supplied(cards, placed, rail)[0],
    ]
    numbers = {"B": count(1), "E": count(1), "W": count(1)}
    for kind in _STRIPS:
        of_kind = [each for each in placed if each.signal.kind == kind]
        if field := [each for each in of_kind if each.number]:
            body += ["", *_strip(kind, field)]
            row = _row(field)
            for each in field:
                letter = _FIELD[kind][0]
                body += _wired(each, row, f"-{letter}{next(numbers[letter])}", f"-W{next(numbers['W'])}")
        body += [*([""] if of_kind else []), *map(_channel, of_kind)]
    lines = "\n".join(f"  {line}" if line else "" for line in body)
    return (
        "# --- Remote inputs and outputs, on the network of a controller elsewhere ---\n"
        f'function =IO1 "Remote inputs and outputs" at=+MCP {{\n{lines}\n}}\n'
    )


def taken(signals: Sequence[Signal]) -> int:
    """The last terminal of each pole of its strip of 24 V that it takes."""
    return _supplied(*cards_of(signals), "")[1]


def _supplied(cards: Sequence[Card], placed: Sequence[Placed], rail: str) -> tuple[list[str], int]:
    """What brings 24 V and 0 V to head station, cards and field; the last terminal of each pole that this takes."""
    plus, zero = count(FEED), count(FEED + ZERO_FROM)
    lines = [f"wire {rail}:{next(plus)} to -K1:24V", f"wire -K1:0V to {rail}:{next(zero)}"]
    for card in cards:
        if card.kind == "do":
            lines.append(f"wire {rail}:{next(plus)} to {card.name}:L+")
        if card.kind in ("di", "do", "ai"):
            way = " DBU along=DUCT2" if card.kind == "ai" else ""
            lines.append(f"wire {card.name}:M to {rail}:{next(zero)}{way}")
    kinds = {each.signal.kind for each in placed if each.number}
    for kind in ("di", "do", "ai"):
        if kind in kinds:
            pole = plus if kind in _FED else zero
            lines.append(f"wire {rail}:{next(pole)} to {_STRIPS[kind][0]}:1")
    return lines, max(next(plus) - 1, next(zero) - ZERO_FROM - 1)


class _Row(Struct, frozen=True):
    """Where signals of a kind stand on their strip: by the number of each the terminal of what it has in common with others, and
    its own; `groups`: the terminals bridged for each common, of which the first is the feed."""

    at: dict[int, tuple[int, int]]
    groups: tuple[tuple[int, ...], ...]


def _row(field: Sequence[Placed]) -> _Row:
    """A feed, then for each signal what it shares and itself side by side; for outputs of current, whose loops close on their
    card, a feed for each card."""
    places, at, groups = count(1), dict[int, tuple[int, int]](), list[tuple[int, ...]]()
    for _, group in groupby(field, key=lambda each: each.card if each.signal.kind == "ao" else ""):
        feed = next(places)
        found = {each.number: (next(places), next(places)) for each in group}
        at |= found
        groups.append((feed, *(common for common, _ in found.values())))
    return _Row(at, tuple(groups))


def _strip(kind: str, field: Sequence[Placed]) -> Iterator[str]:
    """The strip for the field's signals of a kind."""
    name, title = _STRIPS[kind]
    yield f'strip {name} "{title}" at=+MCP {{'
    if kind == "rtd":
        yield from (f'  :{3 * each.number - 2}..{3 * each.number} 2.5mm2 "{each.signal.tag}"' for each in field)
        yield "}"
        return
    row, common = _row(field), "24 V" if kind in _FED else "0 V" if kind == "do" else "return"
    words = {place: common for group in row.groups for place in group}
    words |= {row.at[each.number][1]: each.signal.tag for each in field}
    yield from (f'  :{place} 2.5mm2 "{words[place]}"' for place in sorted(words))
    yield from (f"  bridge :{','.join(map(str, group))}" for group in row.groups)
    yield "}"
    if kind == "ao":
        cards = dict.fromkeys(each.card for each in field)
        yield from (f"wire {card}:M to {name}:{group[0]}" for card, group in zip(cards, row.groups, strict=True))


def _wired(each: Placed, row: _Row, outside: str, cable: str) -> Iterator[str]:
    """What stands in the field at a channel, its cable and the wire from strip to card."""
    signal, kind = each.signal, each.signal.kind
    strip, number = _STRIPS[kind][0], each.number
    common, own = (f"{strip}:{place}" for place in row.at[number])
    yield f'outside {outside} "{_said(signal)}" at=+{signal.place} {{'
    yield f"  {_FIELD[kind][1]}".replace("\n  ", "\n")
    yield "}"
    plain = kind in ("di", "do")
    construction = "2x1.5" if plain else "1x2x0.75 screened" if kind != "rtd" else "3x0.75 screened cores=numbers"
    way = f"{signal.place}-CONTROL/1,DUCT2" if plain else f"{signal.place}-CONTROL/2,DUCT3"
    yield f'cable {cable} {construction} "{signal.tag}" length={number_text(signal.length_m)}m along={way} {{'
    if kind == "rtd":
        yield from (f"  {core} {strip}:{3 * number - 3 + core} to {outside}:{core}" for core in (1, 2, 3))
    elif plain:
        yield from (f"  BN {common} to {outside}:1", f"  BU {own} to {outside}:2")
    elif kind == "ai":
        yield from (f"  1a {common} to {outside}:+", f"  1b {own} to {outside}:-")
    else:
        yield from (f"  1a {own} to {outside}:+", f"  1b {common} to {outside}:-")
    if not plain:
        yield f"  screen {each.card}:SH clamp to {outside} open"
    yield "}"
    if kind == "rtd":
        ends = (f"{each.channel}+", f"{each.channel}M", f"{each.channel}S")
        yield from (f"wire {strip}:{3 * number - 2 + place} to {each.card}:{end}" for place, end in enumerate(ends))
    else:
        yield f"wire {own} to {each.card}:{each.channel}"


def _channel(each: Placed) -> str:
    signal = each.signal
    terminal = f"{each.channel}+" if signal.kind == "rtd" else str(each.channel)
    tag = f" tag={_word(signal.tag)}" if signal.tag else ""
    return f'channel {each.card}:{terminal} "{signal.text}"{tag} address={_word(signal.address)}'


def _said(signal: Signal) -> str:
    return signal.tag if signal.text == signal.tag else f"{signal.tag}, {signal.text}"


def _word(text: str) -> str:
    """A tag or an address as the language writes it."""
    return text if re.fullmatch(r"[A-Za-z][A-Za-z0-9_.]*", text) else f'"{text}"'
