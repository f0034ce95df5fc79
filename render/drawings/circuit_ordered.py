"""What stands beside what in a circuit, by its columns and rows alone: known before anything has its width."""

from __future__ import annotations

from render.drawings.circuit_columns import Columns
from render.drawings.circuit_parts import Part
from render.drawings.circuit_ranks import Circuit

_NAMED = frozenset({"terminal", "rail"})  # parts at which a terminal of a strip is named
_CLOSE = 2  # columns from a part to the one that leaves its designation out


class Ordered:
    """A circuit in its `columns`. `rows`: how many; `cells`: what stands or passes in each, by row and column; `by_col`: the same
    by column, with the row; `before`: what stands directly left of each part in its row; `leads`: whether the designation of a
    part is said at it; `chains`: contacts that mechanical links join, each from its first."""

    def __init__(self, circuit: Circuit, columns: Columns) -> None:
        self.circuit = circuit
        self.columns = columns
        self.rows = max(circuit.row.values()) + 1
        self.cells: dict[tuple[int, int], str] = {}
        for key, ways in columns.ways.items():
            for col in ways:
                self.cells[circuit.row[key], col] = key
        for key, lane in columns.lanes.items():
            for row in range(lane.first, lane.last):
                self.cells[row, int(lane.col)] = key
        self.by_col: dict[int, list[tuple[int, str]]] = {}
        for (row, col), key in self.cells.items():
            self.by_col.setdefault(col, []).append((row, key))
        self.before = self._neighbours()
        self.leads = {key: self._led(key) for key in circuit.parts}
        self.chains = self._chains()

    def _neighbours(self) -> dict[str, str]:
        """The part that stands directly left of each in its row."""
        found: dict[str, str] = {}
        last: dict[int, str] = {}
        for (row, _), key in sorted(self.cells.items()):
            if key in self.circuit.parts and row in last and last[row] != key:
                found[key] = last[row]
            last[row] = key
        return found

    def _led(self, key: str) -> bool:
        """Whether the designation of a part is said at it: not where the one close before it has the same device."""
        part, before = self.circuit.parts[key], self.circuit.parts.get(self.before.get(key, ""))
        if before is None or before.device != part.device or before.kind != part.kind:
            return True
        if part.kind == "contact":
            return not self._linked(before, part)
        return self._is_far(before, part) or self._below_another(part)

    def _is_far(self, before: Part, part: Part) -> bool:
        """Whether more stands between two parts than that one designation serves both, or but one of them hangs."""
        if self.columns.ways[part.key][0] - self.columns.ways[before.key][-1] > _CLOSE:
            return True
        used = self.circuit.used
        return part.kind == "pin" and ((part.key, 0, True) in used) != ((before.key, 0, True) in used)

    def _below_another(self, part: Part) -> bool:
        """Whether the next above a terminal on its line is one of another strip, to which it would be read as belonging."""
        row, col = self.circuit.row[part.key], self.columns.ways[part.key][0]
        key = next((self.cells[at, col] for at in range(row - 1, -1, -1) if (at, col) in self.cells), "")
        above = self.circuit.parts.get(key)
        return above is not None and {part.kind, above.kind} <= _NAMED and above.device != part.device

    def follows(self, key: str) -> str:
        """The contact to which a mechanical link joins a part, "" for none."""
        before = self.circuit.parts.get(self.before.get(key, ""))
        both = before is not None and before.kind == self.circuit.parts[key].kind == "contact"
        return before.key if before is not None and both and not self.leads[key] else ""

    def _chains(self) -> list[list[str]]:
        """Contacts that links join, each chain from its first."""
        found: dict[str, list[str]] = {}
        for key in sorted(self.circuit.parts, key=lambda key: self.columns.ways[key]):
            if before := self.follows(key):
                chain = found.setdefault(before, [before])
                chain.append(key)
                found[key] = chain
        return [chain for key, chain in found.items() if key == chain[0]]

    def _linked(self, one: Part, other: Part) -> bool:
        a, b = one.ways[0].path, other.ways[0].path
        if a is None or b is None or a.by != b.by or a.by == "output":
            return False
        return ("delayed" in a.marks) == ("delayed" in b.marks)
