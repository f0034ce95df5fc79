"""Circuits that are too large for a sheet parted in two: terminals are drawn again, other lines go on at references."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from render.drawings.circuit_groups import COUNTER, Group, Grouped, Link
from render.drawings.circuit_layout import Layout
from render.drawings.circuit_parts import Part
from render.drawings.circuit_ranks import RETURN, Circuit, End
from render.drawings.circuit_rows import components
from render.drawings.circuit_words import Words

_AGAIN = frozenset({"terminal", "pin"})  # what may stand in several places
_LED = frozenset({"refer", "rail"})  # what stands with what it is joined to
_REFERENCES = frozenset({"refer"})  # of these what does so where taps of rails have to be parted from the terminal they share
AGAIN = " again "  # between the key of a part and the number of the copy
_GAIN = 0.45  # of the width of a sheet, by which a cut lessens at least what remains too wide
_NEAR = 2.0  # how many sheets from its left or right end a wide circuit is cut first
_HUGE = 8.0  # of how many sheets a circuit is halved: to take a sheet from it at a time would take the square of its size
_REFER = 1  # how much more a line that goes on at references is worth than a terminal that is drawn again


#: parts with what each is joined to
Neighbours = Sequence[tuple[str, list[str]]]


class Cuts:
    """Parts the circuits of one group."""

    def __init__(self, drawn: Grouped, group: Group, looks: Words) -> None:
        self.drawn = drawn
        self.group = group
        self.looks = looks
        self.parted = False  # whether it parted any

    def part(self, layout: Layout, wide: bool, width: float) -> list[Circuit]:
        """The circuits into which a cut parts one: across columns, for sheets `width` mm wide, where it is too `wide`, else
        across rows; the other way where that does not part it. None where neither does."""
        for led in (_LED, _REFERENCES):
            for across in (wide, not wide):
                chosen = self._chosen(layout, across, width, led)
                if chosen:
                    return self._cut(layout.circuit, chosen)
        return []

    def _chosen(self, layout: Layout, wide: bool, width: float, led: frozenset[str]) -> set[str]:
        """The parts on the first side of the best cut, none where no cut lessens both sides; parts of the kinds `led` stay with
        what they are joined to."""
        circuit = layout.circuit
        best: tuple[float, ...] | None = None
        chosen: set[str] = set()
        for choices in self._choices(layout, wide, width, _neighbours(circuit, led)):
            for first, away in choices:
                if not self._lessens(circuit, first):
                    continue
                parted = [link for link in circuit.links if (link.ends[0][0] in first) != (link.ends[1][0] in first)]
                refers = [link for link in parted if self._again(circuit, link) is None]
                crossing = len(parted) + len(refers) * _REFER
                spans = sorted((_span(layout, first), _span(layout, circuit.parts.keys() - first))) if wide else [0.0, 0.0]
                # what stays too wide is parted again, and has to be less for that
                poor = spans[0] > width or spans[1] > max(width, layout.width - _GAIN * width)
                found = (float(poor), spans[1] if poor else crossing, crossing, away)
                if best is None or found < best:
                    best, chosen = found, first
            if best is not None and (not best[0] or layout.width > _HUGE * width):
                break
        return chosen

    def _choices(
        self, layout: Layout, wide: bool, width: float, neighbours: Neighbours
    ) -> Iterator[Iterator[tuple[set[str], float]]]:
        """The first sides of cuts across columns or rows, each with what speaks against it where as few lines cross: of columns a
        first side that is small, of rows one far from the middle. Of columns those come first that leave little on one side, of
        a huge circuit those in the middle: the others need not be tried then."""
        if not wide:
            yield self._by_row(layout, neighbours)
            return
        x, count = layout.x, layout.columns.count
        if layout.width > _HUGE * width:
            near = [abs(2 * x[col] - x[0] - x[count - 1]) <= width for col in range(1, count)]
        else:
            near = [min(x[col - 1] - x[0], x[count - 1] - x[col]) <= _NEAR * width for col in range(1, count)]
        for of_these in (True, False):
            columns = [col for col in range(1, count) if near[col - 1] is of_these]
            yield self._by_column(layout, columns, neighbours)

    def _by_row(self, layout: Layout, neighbours: Neighbours) -> Iterator[tuple[set[str], float]]:
        circuit = layout.circuit
        for row in range(1, layout.rows):
            away = abs(row - layout.rows / 2) + (0.0 if 0.3 * layout.rows <= row <= 0.7 * layout.rows else layout.rows)
            yield _whole(neighbours, {key for key in circuit.parts if circuit.row[key] < row}), away

    def _by_column(self, layout: Layout, columns: Sequence[int], neighbours: Neighbours) -> Iterator[tuple[set[str], float]]:
        circuit = layout.circuit
        for of in (min, max):
            at = {key: of(ways) for key, ways in layout.columns.ways.items()}
            for col in columns:
                yield _whole(neighbours, {key for key in circuit.parts if at[key] < col}), -layout.x[col - 1]

    def _again(self, circuit: Circuit, link: Link) -> int | None:
        """Which end of a parted link is drawn again on the other side: the one where more lines meet; None where neither may."""
        ends = [n for n, (key, _) in enumerate(link.ends) if circuit.parts[key].kind in _AGAIN]
        return max(ends, key=lambda n: circuit.degree[link.ends[n][0]], default=None)

    def _lessens(self, circuit: Circuit, first: set[str]) -> bool:
        """Whether both sides of a cut are less than the whole, with what is drawn again on each."""
        total = sum(part.kind != "refer" for part in circuit.parts.values())
        here = {key for key in first if circuit.parts[key].kind != "refer"}
        there = {key for key, part in circuit.parts.items() if key not in first and part.kind != "refer"}
        copies: tuple[set[str], set[str]] = (set(), set())
        for link in circuit.links:
            if (link.ends[0][0] in first) != (link.ends[1][0] in first) and (number := self._again(circuit, link)) is not None:
                key = link.ends[number][0]
                copies[key in first].add(key)
        return 0 < len(here) + len(copies[0]) < total and 0 < len(there) + len(copies[1]) < total

    def _cut(self, circuit: Circuit, first: set[str]) -> list[Circuit]:
        """Part a circuit: a terminal is drawn again on the other side, any other line goes on at a reference."""
        self.parted = True
        group = self.group
        before = set(group.parts)
        kept: list[Link] = []
        again: dict[tuple[str, bool], str] = {}
        for link in circuit.links:
            sides = [key in first for key, _ in link.ends]
            if sides[0] == sides[1]:
                kept.append(link)
                continue
            group.links.remove(link)
            count = len(group.links)
            number = self._again(circuit, link)
            if number is not None:
                key, node = link.ends[number]
                copy = again.get((key, sides[1 - number])) or self._copy(circuit, key)
                again[key, sides[1 - number]] = copy
                spots = [link.ends[0], link.ends[1]]
                spots[number] = (copy, node)
                group.links.append(Link(link.key, link.kind, (spots[0], spots[1]), link.of))
            else:
                self.drawn.refer(link, 0, group, group)
            kept += group.links[count:]
        added = {key: part for key, part in group.parts.items() if key not in before}
        found = components({**circuit.parts, **added}, kept)
        for each in found:
            self._inherit(each, circuit)
        return found

    def _inherit(self, circuit: Circuit, whole: Circuit) -> None:
        """Let everything in a part of a circuit stand as it stood in the whole: a conductor comes from where it came from."""
        circuit.rank = dict(whole.rank)
        circuit.flipped = whole.flipped & circuit.parts.keys()
        circuit.above = {key for key in circuit.parts if key in whole.above or key.rpartition(AGAIN)[0] in whole.above}
        for link in circuit.links:
            ends = whole.ends[link.key] if link.key in whole.ends else whole.ends[link.key.removesuffix(COUNTER)][::-1]
            one, other = (End(key, end.way, end.top) for (key, _), end in zip(link.ends, ends, strict=True))
            if circuit.parts[other.part].kind == "refer" and other.part not in whole.parts:
                other = End(other.part, 0, not one.top)
                circuit.rank[other.part] = -1 if one.top else 2 * RETURN
                if one.top:
                    circuit.above.add(other.part)
            circuit.ends[link.key] = one, other

    def _copy(self, circuit: Circuit, key: str) -> str:
        """A terminal drawn once more, each naming the place of the other."""
        part = circuit.parts[key]
        number = 2
        while f"{key}{AGAIN}{number}" in self.group.parts:
            number += 1
        copy = f"{key}{AGAIN}{number}"
        self.group.parts[copy] = Part(copy, part.kind, part.device, part.ways)
        self.drawn.name(key, copy)
        self.looks.homes.group_of[copy] = self.looks.homes.group_of[key] = self.looks.group
        return copy


def _neighbours(circuit: Circuit, led: frozenset[str]) -> Neighbours:
    """What may stand in several places or stands with what it is joined to, which the kinds `led` do, each with what it is joined
    to; the latter last: what they are joined to has its side then. Where taps of rails do not, no more does a terminal that those
    at the other ends of its conductors are drawn again beside."""
    near: dict[str, list[str]] = {}
    for link in circuit.links:
        for (one, _), (other, _) in (link.ends, link.ends[::-1]):
            if circuit.parts[one].kind in _AGAIN | led:
                near.setdefault(one, []).append(other)
    if led is _REFERENCES:
        many = circuit.degree
        near = {
            key: of for key, of in near.items() if circuit.parts[key].kind in led or any(many[key] >= many[each] for each in of)
        }
    return sorted(near.items(), key=lambda each: circuit.parts[each[0]].kind in led)


def _whole(neighbours: Neighbours, first: set[str]) -> set[str]:
    """`first` with each reference and each tap of a rail on the side of what it is joined to: no conductor is parted twice,
    none from the potential that it takes from. So is a terminal of which all conductors lead to the other side: alone it
    would be a circle that nothing leads to."""
    for _ in range(3):
        for key, joined in neighbours:
            if not any((other in first) == (key in first) for other in joined):
                first ^= {key}
    return first


def _span(layout: Layout, keys: Collection[str]) -> float:
    """How wide some parts of a circuit stand apart, mm."""
    ways, looks = layout.columns.ways, layout.looks
    first = min((layout.x[ways[key][0]] - looks[key].left[0] for key in keys), default=0.0)
    return max((layout.x[ways[key][-1]] + looks[key].right[-1] for key in keys), default=0.0) - first
