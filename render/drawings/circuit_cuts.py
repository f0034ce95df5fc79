"""Circuits that are too large for a sheet parted in two: terminals are drawn again, other lines go on at references."""

from __future__ import annotations

from render.drawings.circuit_groups import Group, Grouped, Link
from render.drawings.circuit_layout import Layout
from render.drawings.circuit_parts import Part
from render.drawings.circuit_ranks import Circuit, Net, joint
from render.drawings.circuit_rows import components
from render.drawings.circuit_words import Words

_AGAIN = frozenset({"terminal", "pin"})  # what may stand in several places
_AGAIN_WORD = " again "  # between the key of a part and the number of the copy


class Cuts:
    """Parts the circuits of one group."""

    def __init__(self, drawn: Grouped, group: Group, net: Net, looks: Words) -> None:
        self.drawn = drawn
        self.group = group
        self.net = net
        self.looks = looks

    def part(self, layout: Layout, wide: bool, width: float) -> list[Circuit]:
        """The circuits into which a cut parts one: across columns, for sheets `width` mm wide, where it is too `wide`, else
        across rows; the other way where that does not part it. None where neither does."""
        for across in (wide, not wide):
            chosen = self._chosen(layout, across, width)
            if chosen:
                return self._cut(layout.circuit, chosen)
        return []

    def _chosen(self, layout: Layout, wide: bool, width: float) -> set[str]:
        """The parts on the first side of the best cut, none where no cut lessens both sides."""
        circuit = layout.circuit
        if wide:
            at = {key: min(ways) for key, ways in layout.columns.ways.items()}
            count = layout.columns.count
            choices = [col for col in range(1, count) if 0.45 * width <= layout.x[col - 1] <= 0.9 * width]
        else:
            at, count = dict(circuit.row), layout.rows
            choices = [row for row in range(1, count) if 0.3 * count <= row <= 0.7 * count]
        best: tuple[bool, int, float] | None = None
        chosen: set[str] = set()
        for choice in range(1, count):
            first = self._whole(circuit, {key for key in circuit.parts if at[key] < choice})
            if not self._lessens(circuit, first):
                continue
            crossing = sum((link.ends[0][0] in first) != (link.ends[1][0] in first) for link in circuit.links)
            # the wider the first part is, the better its sheet is filled; of rows the middle
            away = -layout.x[choice - 1] if wide else abs(choice - count / 2)
            found = choice not in choices, crossing, away
            if best is None or found < best:
                best, chosen = found, first
        return chosen

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

    def _whole(self, circuit: Circuit, first: set[str]) -> set[str]:
        """`first` with each reference on the side of what it is joined to: no conductor is parted twice. So is a terminal
        that is drawn several times and has one conductor here: alone it would be a circle that nothing leads to."""
        for link in circuit.links:
            for near, far in (link.ends, link.ends[::-1]):
                if circuit.parts[near[0]].kind == "refer" or (circuit.degree[near[0]] == 1 and self._copied(near[0])):
                    (first.add if far[0] in first else first.discard)(near[0])
        return first

    def _copied(self, key: str) -> bool:
        """Whether a part is one of several that stand for a terminal."""
        return _AGAIN_WORD in key or f"{key}{_AGAIN_WORD}2" in self.group.parts

    def _cut(self, circuit: Circuit, first: set[str]) -> list[Circuit]:
        """Part a circuit: a terminal is drawn again on the other side, any other line goes on at a reference."""
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
                copy = again.get((key, sides[1 - number])) or self._copy(circuit, key, node)
                again[key, sides[1 - number]] = copy
                spots = [link.ends[0], link.ends[1]]
                spots[number] = (copy, node)
                group.links.append(Link(link.key, link.kind, (spots[0], spots[1]), link.of))
            else:
                self.drawn.refer(link, 0, group, group)
                for name, (key, node) in zip((f"{link.key} comes", f"{link.key} goes on"), link.ends, strict=True):
                    self.net.rank[name] = circuit.rank[joint(circuit.parts[key], node)]
            kept += group.links[count:]
        added = {key: part for key, part in group.parts.items() if key not in before}
        return components({**circuit.parts, **added}, kept)

    def _copy(self, circuit: Circuit, key: str, node: str) -> str:
        """A terminal drawn once more, each naming the place of the other."""
        part = circuit.parts[key]
        number = 2
        while f"{key}{_AGAIN_WORD}{number}" in self.group.parts:
            number += 1
        copy = f"{key}{_AGAIN_WORD}{number}"
        self.group.parts[copy] = Part(copy, part.kind, part.device, part.ways)
        self.net.rank[copy] = self.net.rank[key] = circuit.rank[node]
        self.drawn.name(key, copy)
        self.looks.homes.group_of[copy] = self.looks.homes.group_of[key] = self.looks.group
        return copy
