"""The panels that a list asks for: by its column `panel`, and where one incoming supply does not carry all motors."""

from __future__ import annotations

import re

from msgspec import Struct

from netdsl.starting.choosing import feeder_rating, supply_for, upstream_for
from netdsl.starting.feeders import drawn_current, rail_watts, taken_current
from netdsl.starting.motor_list import Motor
from netdsl.starting.practice import practice
from netdsl.sums import sum_of

#: what each of several panels has under a name of its own; texts in quotes stay as they are
_NAMES = re.compile(r'"[^"]*"|\+MCP\b|\+ROOM\b|\b(?:DUCT|HINGE|TRAY|RISER)(?=[0-9])')
#: what the panel takes beside its motors, A
_OWN_A = 2


class Panel(Struct, frozen=True):
    """A panel: its motors, its `title`, the rating of the fuse at the origin of its incoming cable, A; `letter`: A, B, ... where
    there are several, else ""; a letter, as in names of ways a range counts the first number."""

    motors: tuple[Motor, ...]
    title: str
    upstream: int
    letter: str = ""

    @property
    def place(self) -> str:
        """Designation of its place, without `+`; that of the function that holds it where there are several."""
        return f"MCP{self.letter}"

    @property
    def words(self) -> str:
        """What sentences about it begin with; "" where there is one alone."""
        return f"+{self.place}: " if self.letter else ""

    def renamed(self, text: str) -> str:
        """A text written for a panel that is alone, with the names that its place and its ways have among several."""
        if not self.letter:
            return text

        def name(found: re.Match[str]) -> str:
            word = found[0]
            if word.startswith('"'):
                return word
            return f"+{self.place}" if word == "+MCP" else f"+{self.place}ROOM" if word == "+ROOM" else f"{self.place}_{word}"

        return _NAMES.sub(name, text)

    def inside(self, text: str, *, begins: bool = False) -> str:
        """A text of what the panel holds: as it is where the panel is alone, among several inside a function of its own, which
        has its title where it `begins`."""
        if not self.letter:
            return text
        head = f'={self.place} "{self.title}"' if begins else f"={self.place}"
        return f"\nfunction {head} at=+{self.place} {{\n{self.renamed(text)}}}\n"


def panels_of(motors: tuple[Motor, ...]) -> tuple[Panel, ...]:
    """The panels for motors: those that the list names, in order of their first motors; one that draws more than one incoming
    supply carries is split, its motors taken in the order of the list."""
    named: dict[str, list[Motor]] = {}
    for motor in motors:
        named.setdefault(motor.panel, []).append(motor)
    found = list[Panel]()
    for title, group in named.items():
        parts = _split(group, len(named) == 1)
        for place, (part, upstream) in enumerate(parts, 1):
            words = title or "Motor control panel"
            found.append(Panel(part, f"{words}, part {place}" if len(parts) > 1 else words, upstream))
    if len(found) == 1:
        return tuple(found)
    return tuple(Panel(panel.motors, panel.title, panel.upstream, _letters(number)) for number, panel in enumerate(found))


def _letters(number: int) -> str:
    """A to Z for 0 to 25, then AA, AB, ..."""
    before, last = divmod(number, 26)
    return (_letters(before - 1) if before else "") + chr(ord("A") + last)


def _split(motors: list[Motor], alone: bool) -> list[tuple[tuple[Motor, ...], int]]:
    """Motors that one incoming supply carries, with the rating of its fuse, A: all of them where it can. `alone`: the list names
    no other panel."""
    found, most = list[tuple[tuple[Motor, ...], int]](), practice()["infeeds"]["split_above"]
    if (upstream := _upstream(tuple(motors))) is not None and (alone or upstream <= most):
        return [(tuple(motors), upstream)]
    group: tuple[Motor, ...] = ()
    for motor in motors:
        upstream = _upstream((*group, motor))
        if group and (upstream is None or upstream > most):
            found.append((group, _carried(group)))
            group = ()
        group = (*group, motor)
    return [*found, (group, _carried(group))]


def _carried(motors: tuple[Motor, ...]) -> int:
    upstream = _upstream(motors)
    assert upstream is not None  # the largest motor of every way fits one supply
    return upstream


def _upstream(motors: tuple[Motor, ...]) -> int | None:
    """Rating of the fuse for all of them, A; None where neither one infeed nor one supply of 24 V carries them."""
    if supply_for(rail_watts(motors)) is None:
        return None
    largest = max(feeder_rating(taken_current(motor)) for motor in motors)
    return upstream_for(sum_of(map(drawn_current, motors)) + _OWN_A, largest)
