"""What a terminal drawing shows of one device or strip: terminals, rows, cables, bridges; no geometry."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from msgspec import Struct

from render.words.cables import Tail


class Entry(Struct, frozen=True):
    """The half of a row on one side of the terminal: a wire's or core's end, or a spare core (`far_id` "")."""

    of: str
    cable: str
    core: str
    section: str
    ferrule: str
    route: str
    mark: str
    far: str
    far_id: str
    twin: bool = False  # it shares a ferrule here with the conductor above or below it

    @property
    def spare(self) -> bool:
        """A core that ends nowhere."""
        return not self.far_id


class Row(Struct, frozen=True):
    """One row: what lands at `terminal` left and right; the first row of a terminal carries its data."""

    terminal: str
    first: bool
    left: Entry | None
    right: Entry | None
    apart: bool = False  # terminals between it and the one above are left out


class Group(Struct, frozen=True):
    """Rows `first` to `last` of one side that belong to one cable: gathered by one mark. `tails`: below its last row. `led`: of
    `lines` that say where cores of it end, which, a terminal there and the core that lands on it."""

    cable: str
    first: int
    last: int
    head: str
    lines: tuple[str, ...]
    tails: tuple[Tail, ...]
    screened: bool
    led: tuple[tuple[int, str, str], ...] = ()


#: number of the sheet on which a core lands on a terminal, "" for none to be said
Reach = Callable[[str, str], str]


def lines_of(group: Group, reach: Reach) -> tuple[str, ...]:
    """The lines of a group, with the sheets on which its cores end."""
    lines = list(group.lines)
    for at, terminal, core in group.led:
        number = reach(terminal, core)
        lines[at] += f" ({number})" if number else ""
    return tuple(lines)


class Point(Struct, frozen=True):
    """A terminal as drawn: `kind` of strip terminal, `size`, lines of text beside it, `live` with the isolator off. `contacts`:
    "pins" or "sockets" of half a plug connection."""

    id: str
    number: str
    kind: str
    size: str
    text: str
    live: bool
    contacts: str = ""
    base: str = ""  # what the levels of one terminal have in common, "" of one with a single level
    clamp: str = ""  # its strip length and torque in words, "" of an earth stud


class Block(Struct, frozen=True):
    """One strip or device. `groups`: left and right. `bridges`: names of the terminals each joins. `notes`: said below its
    name, behind its clamps. `field`: the side that faces the field. `function`, `place`: where its sheet belongs.
    `handle`: where it is worked, or what it meets. `half`: "inside" or "field" where what lands from there alone is shown,
    `other`: what is said of the sheet that shows the rest, before its number."""

    id: str
    title: str
    function: str
    place: str
    rows: tuple[Row, ...]
    points: Mapping[str, Point]
    groups: tuple[tuple[Group, ...], tuple[Group, ...]]
    bridges: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]
    field: str
    strip: bool
    handle: str
    half: str = ""
    other: str = ""
