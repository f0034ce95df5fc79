"""Which card and which channel takes each signal, and the addresses of those that the list gives none."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import count

from msgspec import Struct
from msgspec.structs import replace

from netdsl.starting.io_list import Signal
from netdsl.starting.motor_list import Motor
from netdsl.starting.panels import Panel
from netdsl.starting.practice import practice

#: what a motor by hand or by a controller exchanges with it, in the order of its scheme's parameters
HAND_OFF_AUTO = (("do", "start"), ("di", "in automatic"), ("di", "runs"), ("di", "tripped"))


class Placed(Struct, frozen=True):
    """A signal with its `card`, `-K2`, the number of its `channel` on it and its `number` among those of its kind in the field,
    both from 1; 0 for one that does not come from the field."""

    signal: Signal
    card: str
    channel: int
    number: int


class Card(Struct, frozen=True):
    """A card beside the head station: designation, part, kind of its signals, title."""

    name: str
    part: str
    kind: str
    title: str


def own_signals(motors: Iterable[Motor]) -> Iterator[Signal]:
    """What motors exchange with their controller."""
    for motor in motors:
        if motor.way == "hand-off-auto":
            for kind, what in HAND_OFF_AUTO:
                text = f"{motor.description}, {what}"
                yield Signal("", text, kind, "", motor.place, motor.place_title, motor.length_m, motor.panel, motor.designation)


def cards_of(signals: Sequence[Signal]) -> tuple[tuple[Card, ...], tuple[Placed, ...]]:
    """The cards that signals of one panel ask for, and where each signal is, in order of the cards."""
    cards, placed = list[Card](), list[Placed]()
    for row in practice()["io"]["cards"]:
        field = count(1)
        for index, signal in enumerate(each for each in signals if each.kind == row["kind"]):
            number, channel = divmod(index, row["channels"])
            if not channel:
                title = row["title"] if not number else f"{row['title']}, card {number + 1}"
                cards.append(Card(f"-K{len(cards) + 2}", row["part"], row["kind"], title))
            placed.append(Placed(signal, cards[-1].name, channel + 1, 0 if signal.of else next(field)))
    return tuple(cards), tuple(placed)


def addressed(signals: Iterable[Signal]) -> tuple[Signal, ...]:
    """Signals with an address each: where the list gives none the next free one of its kind, `I0.0`, `Q0.0`, `IW0`, `QW0`."""
    listed = tuple(signals)
    used = {signal.address for signal in listed if signal.address}
    free = {kind: (each for each in _addresses(kind) if each not in used) for kind in ("di", "do", "ai", "ao")}
    free["rtd"] = free["ai"]
    return tuple(signal if signal.address else replace(signal, address=next(free[signal.kind])) for signal in listed)


def _addresses(kind: str) -> Iterator[str]:
    letter = "Q" if kind in ("do", "ao") else "I"
    if kind in ("di", "do"):
        yield from (f"{letter}{number // 8}.{number % 8}" for number in count())
    # words lie beyond the bytes of what is digital
    yield from (f"{letter}W{number}" for number in count(64, 2))


def channels_of(signals: Sequence[Signal]) -> dict[str, tuple[str, ...]]:
    """By the designation of each motor that a controller commands its channels as other functions name them, in the order of
    `HAND_OFF_AUTO`."""
    terminals = {id(each.signal): f"=IO1{each.card}:{each.channel}" for each in cards_of(signals)[1]}
    found: dict[str, tuple[str, ...]] = {}
    for signal in signals:
        if signal.of:
            found[signal.of] = (*found.get(signal.of, ()), terminals[id(signal)])
    return found


def signals_of(panel: Panel, panels: Sequence[Panel], signals: Iterable[Signal]) -> tuple[Signal, ...]:
    """Those that a panel takes: of its motors, and of the list those that name it; the first panel takes what names none."""
    motors = {motor.designation for motor in panel.motors}
    titles = [each.motors[0].panel for each in panels]
    begins = titles.index(panel.motors[0].panel) == list(panels).index(panel)

    def belongs(signal: Signal) -> bool:
        if signal.of:
            return signal.of in motors
        return begins and titles.index(panel.motors[0].panel) == (titles.index(signal.panel) if signal.panel in titles else 0)

    return tuple(filter(belongs, signals))


def io_assumed(signals: Sequence[Signal]) -> tuple[str, ...]:
    """What a draft assumes of inputs and outputs."""
    lines = ["remote inputs and outputs on the network of a controller elsewhere; addresses counted where the list gives none"]
    kinds = {signal.kind for signal in signals if not signal.of}
    said = {
        "di": "digital inputs: contacts that close, on 24 V of the panel",
        "do": "digital outputs: loads for 24 V DC of at most 0.5 A, with their own suppressors",
        "ai": "analogue inputs: two-wire transmitters 4 to 20 mA, on 24 V of the panel",
        "ao": "analogue outputs: 4 to 20 mA into at most 500 ohm",
        "rtd": "resistance thermometers of three wires",
    }
    lines += [text for kind, text in said.items() if kind in kinds]
    return tuple(lines) if signals else ()


def io_decisions(signals: Sequence[Signal]) -> tuple[str, ...]:
    """What of inputs and outputs the designer must still decide."""
    if all(signal.of for signal in signals):
        return ()
    return ("what stands in the field at each input and output: drawn as something outside, with the terminals that it needs",)
