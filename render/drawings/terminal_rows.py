"""Makes the block of each device or strip that has a terminal drawing: what lands where, what is said beside it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping

from netdsl.model.plant import Conductor, Device, Role
from netdsl.network.isolation import LiveCircuits
from netdsl.network.queries import mate_of
from netdsl.network.types import CableUse, Net, Network
from netdsl.network.unused import jumpered_terminals, required_terminals, spare_cores, terminals_in_use
from render.drawings.terminal_block import Block, Entry, Group, Point, Row
from render.drawings.terminal_columns import MORE
from render.words.cables import ALSO, LEADS, OTHERS, CableEnd, Tail, landing, remarks, spare_text, tails, type_text
from render.words.names import Names
from render.words.purposes import as_wired
from render.words.ratings import handle_words
from render.words.terminals import (
    BOX_ORDER,
    WINDING_LINKS,
    clamp_words,
    contacts_of,
    ferrule_text,
    kind_of,
    point_text,
    section_text,
    size_text,
    span_text,
    winding_note,
)

#: conductors that end at one terminal, each with which of its two ends does
_Landings = list[tuple[Conductor, int]]


class BlockMaker:
    """Makes Blocks of a network's devices; keeps what all of them need."""

    def __init__(
        self,
        network: Network,
        ends: Mapping[str, tuple[CableEnd, CableEnd]],
        live: LiveCircuits,
        asked: Mapping[str, frozenset[str]],
    ) -> None:
        self._network = network
        self._plant = network.plant
        self._asked = asked
        self._ends = ends
        self._live = live
        self._used = terminals_in_use(network)

    def block(self, identity: str) -> Block:
        """The block of a device, or of a place on whose earth stud a cable lands."""
        device = self._plant.devices.get(identity)
        function = device.function if device is not None else ""
        names = Names(self._plant, function)
        shown = self._shown(identity, device)
        sides = self._sides(identity, device, shown)
        filled = [[self._entries(landings, names) for landings in side] for side in sides]
        homes = _homes(filled)
        for side, own in zip(filled, homes, strict=True):
            self._add_spares(identity, side, own)
        rows = _rows(shown, filled[0], filled[1])
        groups = tuple(self._groups(identity, [(row.left, row.right)[k] for row in rows], homes[k], names) for k in (0, 1))
        place = self._plant.places.get(identity)
        return Block(
            id=identity,
            title=_title(device) if device is not None else place.title if place is not None else "",
            function=function,
            place=device.place if device is not None else identity,
            rows=rows,
            points={name: self._point(identity, name, device) for name in shown},
            groups=(groups[0], groups[1]),
            bridges=_bridges(device, shown),
            notes=self._notes(device, shown),
            field=device.field_side if device is not None else "right",
            strip=device is not None and device.category == "strip",
            handle=_worked_or_met(self._network, device) if device is not None else "",
        )

    def _shown(self, identity: str, device: Device | None) -> list[str]:
        """Terminals that get rows: all of a strip; of other devices those used or required, and a motor's windings."""
        if device is None:
            return ["PE"]
        if device.category == "strip":
            return list(device.terminals)
        required = required_terminals(device)
        names = [name for name in device.terminals if name in required or self._network.at_terminal.get(f"{identity}:{name}")]
        if device.kind != "motor":
            return names
        windings = {name for name, terminal in device.terminals.items() if terminal.role is Role.WINDING}
        boxed = [name for name in BOX_ORDER if name in windings]
        return boxed + [name for name in device.terminals if name in {*names, *windings} and name not in boxed]

    def _landings(self, key: str) -> _Landings:
        found = []
        for name in dict.fromkeys(self._network.at_terminal.get(key, ())):
            conductor = self._plant.conductors[name]
            found += [(conductor, index) for index in (0, 1) if conductor.ends[index].id == key]
        return found

    def _sides(self, identity: str, device: Device | None, shown: list[str]) -> list[list[_Landings]]:
        """Landings left and right of each terminal; a wire comes from inside and a cable from the field unless named."""
        inside: list[_Landings] = []
        outside: list[_Landings] = []
        for name in shown:
            landings = self._landings(f"{identity}:{name}")
            outer = [end for end in landings if _is_outside(*end)]
            outside.append(outer)
            inside.append([end for end in landings if end not in outer])
        split = device is not None and any(terminal.split for terminal in device.terminals.values())
        # without wires from inside one side would be empty; a split terminal has two sides of its own, which stay as they are
        if not any(inside) and not split:
            inside, outside = _parted(outside)
        return [outside, inside] if device is not None and device.field_side == "left" else [inside, outside]

    def _entries(self, landings: _Landings, names: Names) -> list[Entry]:
        return [
            self._entry(conductor, index, conductor.ends[index].id in conductor.twin_at, names)
            # cores first: gathered into their cable they must lie together, a wire may lie anywhere
            for conductor, index in sorted(landings, key=lambda end: not end[0].cable)
        ]

    def _entry(self, conductor: Conductor, index: int, twin: bool, names: Names) -> Entry:
        run = self._network.runs[conductor.id]
        far = conductor.ends[1 - index]
        return Entry(
            of=conductor.id,
            cable=conductor.cable or "",
            core=conductor.core if conductor.cable else run.colour or "",
            section="" if conductor.cable else section_text(run),
            ferrule=ferrule_text(run, twin),
            route="" if conductor.cable else ", ".join(run.routes),
            mark=run.mark,
            far=names.end(far.device, far.terminal),
            far_id=far.id,
            twin=twin,
        )

    def _add_spares(self, identity: str, side: list[list[Entry]], homes: set[str]) -> None:
        """Put the spare cores of each cable whose end this device stands for below its last core."""
        last: dict[str, int] = {}
        for index, entries in enumerate(side):
            last.update({entry.cable: index for entry in entries if entry.cable in homes})
        for cable, index in last.items():
            if self._end_here(identity, cable) is None:
                continue
            held = self._network.cables[cable].cable
            spares = [
                Entry(f"{cable} {core}", cable, core, "", "", "", "", spare_text(held), "")
                for core in spare_cores(held, self._plant)
            ]
            where = max(n for n, entry in enumerate(side[index]) if entry.cable == cable) + 1
            side[index][where:where] = spares

    def _end_here(self, identity: str, cable: str) -> CableEnd | None:
        """The end of `cable` for which this device stands, None where another one does."""
        return next((end for end in self._ends.get(cable, ()) if end.main == identity), None)

    def _groups(self, identity: str, entries: list[Entry | None], homes: set[str], names: Names) -> tuple[Group, ...]:
        spans = _spans(entries)
        final = {cable: number for number, (cable, _, _) in enumerate(spans)}
        return tuple(
            self._group(identity, cable, (first, last), final[cable] == number, cable in homes, names)
            for number, (cable, first, last) in enumerate(spans)
        )

    def _group(self, identity: str, cable: str, rows: tuple[int, int], final: bool, home: bool, names: Names) -> Group:
        """One run of rows of a cable; the last of them on its `home` side says what there is to say."""
        use = self._network.cables[cable]
        own = self._end_here(identity, cable)
        guest = next((end for end in self._ends[cable] if identity in (end.main, *end.others)), None)
        if not final:
            lines: tuple[str, ...] = (MORE,)
        elif own is not None:
            lines = remarks(own, self._ends[cable][1 - own.side].main, self._plant, names)
        else:
            lines = (type_text(use.cable), *((f"its other cores: see {names.of(guest.main)}",) if guest is not None else ()))
        at = own if own is not None else guest
        led: tuple[tuple[int, str, str], ...] = ()
        if final and own is not None:
            far = self._ends[cable][1 - own.side]
            ends = {LEADS: landing(far, self._plant)}
            ends |= {f"{ALSO} {names.of(each)}": landing(far, self._plant, each) for each in far.others}
            if len(own.others) == 1:  # of several it would be said of the last alone
                ends[OTHERS] = landing(own, self._plant, own.others[0])
            said = (
                (n, *end)
                for n, line in enumerate(lines)
                for word, end in ends.items()
                if f"{line} ".startswith(f"{word} ") and line != use.cable.title  # a cable may be named after what it leads to
            )
            led = tuple((number, terminal, core) for number, terminal, core in said if terminal)
        elif final and guest is not None:
            led = ((1, *landing(guest, self._plant)),)
        made = tails(at, self._plant, names) if at is not None else ()
        screens = tuple(tail for tail in made if self._ends_here(tail, identity, own, use))
        screens = screens if final and (home or own is None) else ()
        return Group(cable, *rows, names.of(cable), lines, screens, bool(use.cable.screen), led)

    def _ends_here(self, tail: Tail, identity: str, own: CableEnd | None, use: CableUse) -> bool:
        """Whether a screen is drawn at a device: at that where it is made, else, if none of its cores land there, at that which
        stands for the end of its cable."""
        made_at = tail.here_id.partition(":")[0]
        return made_at == identity if made_at in (*use.devices[0], *use.devices[1]) else own is not None

    def _point(self, identity: str, name: str, device: Device | None) -> Point:
        key = f"{identity}:{name}"
        if device is None:
            return Point(key, name, "earth", "", "", False)
        terminal = device.terminals[name]
        base = name.partition(".")[0] if terminal.level else ""
        wired = as_wired(terminal, self._asked.get(key, ()))
        words = kind_of(terminal), size_text(terminal, device), point_text(wired)
        return Point(key, name, *words, self._is_live(key), contacts_of(device), base, clamp_words(terminal))

    def _is_live(self, key: str) -> bool:
        nets: Iterable[Net | None] = (self._network.net(node) for node in (key, f"{key}/in", f"{key}/out"))
        return any(net is not None and net.id in self._live.nets for net in nets)

    def _wired(self, device: Device) -> Callable[[str], bool]:
        return lambda name: bool(self._network.at_terminal.get(f"{device.id}:{name}"))

    def _notes(self, device: Device | None, shown: list[str]) -> tuple[str, ...]:
        if device is None:
            return ("earth stud of the enclosure",)
        notes = ["Rail bonded to the plate." if device.category == "strip" and device.rail_bonded else ""]
        # a screen's clamp is no row of its own, and in use
        unused = [name for name in device.terminals if name not in shown and f"{device.id}:{name}" not in self._used]
        jumpers = jumpered_terminals(device)
        if free := [name for name in unused if name not in jumpers]:
            notes.append(f"Unused: {span_text(free)}.")
        if held := [name for name in unused if name in jumpers]:
            notes.append(f"Jumper: {span_text(held)}.")
        if device.kind == "motor":
            notes.append(winding_note(device, shown, self._wired(device)))
        return tuple(note for note in notes if note)


def _title(device: Device) -> str:
    return device.title or (device.part.title if device.part is not None else "")


def _is_outside(conductor: Conductor, index: int) -> bool:
    side = conductor.ends[index].side
    return side == "out" if side else bool(conductor.cable)


def _parted(outside: list[_Landings]) -> tuple[list[_Landings], list[_Landings]]:
    """Where cables alone meet, as in a junction box or an isolator: a cable whose rows others would interrupt goes left, if
    its rows stay together there."""
    sequence = [end[0].cable or "" for landings in outside for end in landings]
    left: set[str] = set()
    for cable in dict.fromkeys(sequence):
        right = [name for name in sequence if name not in left]
        if (
            cable
            and _interrupted(right, cable)
            and not any(_interrupted(sequence, name, {*left, cable}) for name in (*left, cable))
        ):
            left.add(cable)
    inner = [[end for end in landings if end[0].cable in left] for landings in outside]
    return inner, [[end for end in landings if end[0].cable not in left] for landings in outside]


def _interrupted(sequence: list[str], cable: str, among: set[str] | None = None) -> bool:
    """Whether cores of other cables (of those `among`) lie between the cores of `cable`."""
    kept = [name for name in sequence if among is None or name in among]
    first, last = kept.index(cable), len(kept) - kept[::-1].index(cable)
    return any(name != cable for name in kept[first:last])


def _homes(filled: list[list[list[Entry]]]) -> tuple[set[str], set[str]]:
    """The cables that belong to each side: where most of their cores land, the right one if equal."""
    counts = [Counter(entry.cable for entries in side for entry in entries if entry.cable) for side in filled]
    right = {cable for cable, count in counts[1].items() if count >= counts[0][cable]}
    return set(counts[0]) - right, right


def _rows(shown: list[str], left: list[list[Entry]], right: list[list[Entry]]) -> tuple[Row, ...]:
    rows = []
    for name, lefts, rights in zip(shown, left, right, strict=True):
        for n in range(max(len(lefts), len(rights), 1)):
            rows.append(Row(name, n == 0, lefts[n] if n < len(lefts) else None, rights[n] if n < len(rights) else None))
    return tuple(rows)


def _spans(entries: list[Entry | None]) -> list[tuple[str, int, int]]:
    """Runs of rows that hold cores of one cable; rows empty on that side may lie between, rows of others not."""
    spans: list[tuple[str, int, int]] = []
    for index, entry in enumerate(entries):
        if entry is None:
            continue
        if entry.cable and spans and spans[-1][0] == entry.cable:
            spans[-1] = (entry.cable, spans[-1][1], index)
        else:
            spans.append((entry.cable, index, index))
    return [span for span in spans if span[0]]


def _bridges(device: Device | None, shown: list[str]) -> tuple[tuple[str, ...], ...]:
    if device is None:
        return ()
    links = device.bridges if device.category == "strip" else WINDING_LINKS.get(device.connection, ())
    kept = (tuple(name for name in bridge if name in shown) for bridge in links)
    return tuple(bridge for bridge in kept if len(bridge) > 1)


def _worked_or_met(network: Network, device: Device) -> str:
    """Where the handle of a device is, or which half the half of a plug connection meets."""
    mate = mate_of(network.plant, device.id)
    return f"meets {mate}" if mate else handle_words(device)
