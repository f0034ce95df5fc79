"""Rows of the single-line diagram: what does the same work in several feeders stands at one height, where the sheet has room."""

from __future__ import annotations

from netdsl.sums import sum_of
from render.drawings.cell_maker import CellMaker
from render.drawings.feeder_cells import feeder_cells, pinned_cells
from render.drawings.feeder_steps import Branch
from render.drawings.feeder_units import JOINING, LOAD_ROOM, PARTING, TIGHT, Foot, Unit, grouped, merged, rank_of
from render.drawings.power_cells import Cell

_EASE = 6.0  # the most by which a row is made higher than it needs to be, mm
_SHARES = (1.0, 0.75, 0.5, 0.25, 0.0, TIGHT)


class Rows:
    """The units of the branches of one sheet, and where they stand. `feet`: by lane. `chains`: units by the lane and number of
    their branch in order of drawing."""

    def __init__(self, maker: CellMaker) -> None:
        self.maker = maker
        self.units: list[Unit] = []
        self.feet: dict[int, Foot] = {}
        self.chains: list[list[int]] = []
        self.entries: dict[str, tuple[int, int]] = {}  # of a device: its first unit, and the one it stands in itself
        self.loads: dict[str, int] = {}  # lane of a load
        self.joining: list[tuple[int, str, str, bool]] = []  # unit, device it ends in, device it leads to, above its cables

    def add(self, branch: Branch, lane: int, first: bool = True, before: int | None = None, head: float = 0.0) -> None:
        """Add a branch whose leftmost lane is `lane`."""
        chain: list[int] = []
        self.chains.append(chain)
        for cells in grouped(list(feeder_cells(branch, self.maker, first))):
            self.units.append(Unit(cells, lane, self._rank_of(cells), [] if before is None else [before], head))
            before, head = len(self.units) - 1, 0.0
            chain.append(before)
            self._enter(cells, before)
        pinned = pinned_cells(branch, self.maker)
        if pinned:
            self.feet[lane] = Foot(pinned, before, head)
            self.loads[pinned[-1].of] = lane
        elif branch.children:
            at = lane
            for child in branch.children:
                if branch.fold:
                    self.add(child, at + 1, False)
                else:
                    self.add(child, at, False, before, PARTING)
                at += child.width
        elif not branch.cut and before is not None:
            self._join(branch, before)

    def _rank_of(self, cells: tuple[Cell, ...]) -> int:
        return rank_of(cells[-1], self.maker.network.plant.devices.get(cells[-1].of))

    def _enter(self, cells: tuple[Cell, ...], unit: int) -> None:
        for cell in cells:
            if cell.kind == "device":
                step_start = self.entries.get(f"cable of {cell.of}", (unit, unit))[0]
                self.entries[cell.of] = (step_start, unit)
            elif cell.kind == "cable" and cell.leads:
                self.entries.setdefault(f"cable of {cell.leads}", (unit, unit))

    def _join(self, branch: Branch, unit: int) -> None:
        step = branch.steps[-1]
        self.joining += [
            (unit, step.device, j.device, j.shared) for j in step.joins if (step.device, j.device) in self.maker.drawn
        ]

    def close(self) -> None:
        """Tie the second ways to what they lead to, once all branches are there, and give every unit its row."""
        for joining, _, device, shared in self.joining:
            if device in self.loads:
                self.feet[self.loads[device]].ways.append((joining, shared))
            elif device in self.entries:
                target = self.units[self.entries[device][0 if shared else 1]]
                target.before.append(joining)
                target.head += JOINING
        self.order = self._in_order()
        self.template = self._template()
        for index in self.order:
            unit = self.units[index]
            after = max((self.units[above].row + 1 for above in unit.before), default=0)
            unit.row = next((row for row in range(after, len(self.template)) if self.template[row] == unit.rank), after)
            if not unit.rank:  # hangs below what is above it
                unit.row = after - 1

    def _in_order(self) -> list[int]:
        """Units, each behind all above it."""
        done: set[int] = set()
        order: list[int] = []
        waiting = list(range(len(self.units)))
        while waiting:
            ready = [index for index in waiting if all(above in done for above in self.units[index].before)] or waiting
            order += ready
            done.update(ready)
            waiting = [index for index in waiting if index not in done]
        return order

    def _template(self) -> list[int]:
        """Rows in which every chain of units finds its own in order, as few as it takes."""
        chains: dict[int, list[list[int]]] = {}
        ended = set(range(len(self.units)))
        for index in self.order:
            unit = self.units[index]
            above = [chain for before in unit.before for chain in chains.get(before, [])][:8] or [[]]
            chains[index] = [[*chain, unit.rank] if unit.rank else chain for chain in above]
            ended.difference_update(unit.before)
        rows: list[int] = []
        for index in sorted(ended):
            for chain in chains[index]:
                rows = merged(rows, chain)
        return rows

    def place(self, top: float, load_y: float) -> bool:
        """Set top and bottom of every unit between the bar at `top` and the loads at `load_y`; whether they have room."""
        if self._aligned(top, load_y):
            return True
        held = [any(self._packed(top, load_y, share, part) for share in _SHARES) for part in self._parts()]
        return all(held)  # each placed, even where one has no room

    def has_room(self, free: float, share: float = 0.0) -> bool:
        """Whether they fit into `free` mm with a share of full cells' extra height."""
        return all(self._packed(0.0, free, share, part) for part in self._parts())

    def _parts(self) -> list[list[int]]:
        """The units of branches that hang together, each in order."""
        head = list(range(len(self.units)))

        def root(index: int) -> int:
            while head[index] != index:
                index = head[index]
            return index

        tied = [(above, index) for index, unit in enumerate(self.units) for above in unit.before]
        for foot in self.feet.values():
            units = [unit for unit in (foot.before, *(way for way, _ in foot.ways)) if unit is not None]
            tied += [(units[0], unit) for unit in units[1:]]
        for first, second in tied:
            head[max(root(first), root(second))] = min(root(first), root(second))
        parts: dict[int, list[int]] = {}
        for index in self.order:
            parts.setdefault(root(index), []).append(index)
        return list(parts.values())

    def limits(self, load_y: float) -> list[float]:
        """How far down each unit may reach."""
        led = [foot.cables if shared else 0.0 for foot in self.feet.values() for _, shared in foot.ways]
        # what has no load below it may reach into their row, if no way is led over there
        limits = [load_y - JOINING - max(led) if led else load_y + LOAD_ROOM - 1.0] * len(self.units)
        for foot in self.feet.values():
            if foot.before is not None:
                limits[foot.before] = min(limits[foot.before], load_y - foot.cables - JOINING - foot.head)
            for unit, shared in foot.ways:
                limits[unit] = load_y - JOINING - (foot.cables if shared else 0.0)
        return limits

    def _aligned(self, top: float, load_y: float) -> bool:
        for foot in self.feet.values():
            foot.tight = False
        heights = [0.0] * len(self.template)
        for unit in self.units:
            if unit.rank:
                heights[unit.row] = max(heights[unit.row], unit.least)
        limits = self.limits(load_y)
        ease = _EASE
        for index, unit in enumerate(self.units):
            below = sum_of(heights[: unit.row + 1]) + (0.0 if unit.rank else unit.least)
            slack = limits[index] - top - below
            if slack < 0.0:
                return False
            ease = min(ease, slack / (unit.row + 1)) if unit.row >= 0 else ease
        for index in self.order:
            unit = self.units[index]
            if unit.rank:
                unit.top = top + sum_of(heights[: unit.row]) + ease * unit.row
                unit.bottom = unit.top + heights[unit.row] + ease
            else:
                unit.top = max((self.units[above].bottom for above in unit.before), default=top)
                unit.bottom = unit.top + unit.least
        return True

    def _packed(self, top: float, load_y: float, share: float, part: list[int]) -> bool:
        for foot in self.feet.values():
            if foot.before in part:
                foot.tight = share < 0.0
        limits = self.limits(load_y)
        for index in part:
            unit = self.units[index]
            unit.top = max((self.units[above].bottom for above in unit.before), default=top)
            unit.bottom = unit.top + (unit.wanted(share) if unit.rank or share < 0.0 else unit.least)
            if unit.bottom > limits[index] + 1e-6:
                return False
        return True
