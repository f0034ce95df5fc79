"""Boolean formulas as a graph in which equal ones are made once; they become clauses and can be worked out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

#: the two constants; any other formula is a positive number for itself and the number above it, odd, for its opposite
FALSE, TRUE = 0, 1


class Formulas:
    """And-gates with two inputs over variables 0, 1, ... A formula is a whole number, `negated` of it is one step away."""

    def __init__(self) -> None:
        self._gates: list[tuple[int, int] | None] = [None]  # by node; None: a constant or a variable
        self._nodes: dict[tuple[int, int], int] = {}
        self._variables: dict[int, int] = {}  # variable of a node
        self._of_variable: dict[int, int] = {}

    def variable(self, number: int) -> int:
        """The formula of a variable."""
        if number not in self._of_variable:
            self._of_variable[number] = 2 * len(self._gates)
            self._variables[len(self._gates)] = number
            self._gates.append(None)
        return self._of_variable[number]

    def both(self, one: int, other: int) -> int:
        """Both hold."""
        if one > other:
            one, other = other, one
        if one == FALSE or one == other ^ 1:
            return FALSE
        if one in (TRUE, other):
            return other
        node = self._nodes.get((one, other))
        if node is None:
            node = self._nodes[one, other] = len(self._gates)
            self._gates.append((one, other))
        return 2 * node

    def either(self, one: int, other: int) -> int:
        """One holds, or both."""
        return self.both(one ^ 1, other ^ 1) ^ 1

    def all(self, formulas: Iterable[int]) -> int:
        """All hold."""
        result = TRUE
        for formula in formulas:
            result = self.both(result, formula)
        return result

    def any(self, formulas: Iterable[int]) -> int:
        """At least one holds."""
        result = FALSE
        for formula in formulas:
            result = self.either(result, formula)
        return result

    def choose(self, condition: int, one: int, other: int) -> int:
        """`one` where `condition` holds, else `other`."""
        return self.either(self.both(condition, one), self.both(condition ^ 1, other))

    def assuming(self, formula: int, given: dict[int, bool]) -> int:
        """A formula where the variables that `given` names have these values."""
        known: dict[int, int] = {0: FALSE}
        for node in self._below((formula,)):
            gate = self._gates[node]
            if node == 0:
                continue
            if gate is not None:
                known[node] = self.all(known[part >> 1] ^ (part & 1) for part in gate)
            elif self._variables[node] in given:
                known[node] = TRUE if given[self._variables[node]] else FALSE
            else:
                known[node] = 2 * node
        return known[formula >> 1] ^ (formula & 1)

    def variables(self, formulas: Iterable[int]) -> set[int]:
        """The variables that formulas depend on."""
        return {self._variables[node] for node in self._seen(formulas) if node in self._variables}

    def signs(self, formula: int) -> dict[int, frozenset[bool]]:
        """The variables that a formula depends on, with whether each occurs as it is (False), turned round (True) or both."""
        found: dict[int, set[bool]] = {}
        seen: set[int] = set()
        open_ = [formula]
        while open_:
            part = open_.pop()
            if part in seen:
                continue
            seen.add(part)
            gate = self._gates[part >> 1]
            if gate is not None:
                open_ += [inner ^ (part & 1) for inner in gate]
            elif part >> 1:
                found.setdefault(self._variables[part >> 1], set()).add(bool(part & 1))
        return {number: frozenset(signs) for number, signs in found.items()}

    def needed(self, formula: int, same: Callable[[int], int] = lambda number: number) -> frozenset[int]:
        """Variables that stand in every way to make a formula hold, as they are. Not all that must hold: what the gates show.
        Variables that are the `same` by what it gives count as that one."""
        known: dict[int, frozenset[int]] = {}
        open_ = [formula]
        while open_:
            part = open_[-1]
            gate = self._gates[part >> 1]
            if gate is None:
                known[part] = frozenset() if part & 1 or not part >> 1 else frozenset((same(self._variables[part >> 1]),))
            else:
                inner = [one ^ (part & 1) for one in gate]
                missing = [one for one in inner if one not in known]
                if missing:
                    open_ += missing
                    continue
                one, other = (known[each] for each in inner)
                known[part] = one & other if part & 1 else one | other
            open_.pop()
        return known[formula]

    def parts(self, formula: int) -> list[int]:
        """Formulas of which one at least must hold for `formula` to hold, and that say no more."""
        found: dict[int, None] = {}
        open_ = [formula]
        while open_:
            part = open_.pop()
            gate = self._gates[part >> 1]
            if part & 1 and gate is not None:
                open_ += [inner ^ 1 for inner in gate]
            else:
                found[part] = None
        return list(found)

    def value(self, formula: int, given: Callable[[int], bool]) -> bool:
        """Whether a formula holds where `given` says which variables do."""
        known: dict[int, bool] = {0: False}
        for node in self._below((formula,)):
            gate = self._gates[node]
            if gate is None:
                known[node] = given(self._variables[node]) if node else False
            else:
                known[node] = all(known[part >> 1] ^ bool(part & 1) for part in gate)
        return known[formula >> 1] ^ bool(formula & 1)

    def clauses(self, formulas: Iterable[int], literal: dict[int, int], fresh: Callable[[], int]) -> list[list[int]]:
        """Clauses that define every gate below `formulas` (Tseitin). `literal`: by node, filled up with what `fresh` gives."""
        found: list[list[int]] = []
        for node in self._below(formulas):
            gate = self._gates[node]
            if node in literal or node == 0:
                continue
            own = literal[node] = fresh()
            if gate is not None:
                one, other = gate
                a = -literal[one >> 1] if one & 1 else literal[one >> 1]
                b = -literal[other >> 1] if other & 1 else literal[other >> 1]
                found += [[-own, a], [-own, b], [own, -a, -b]]
        return found

    def shape(self, formulas: Sequence[int], variables: Iterable[int]) -> tuple[list[int], list[int]]:
        """Formulas without the numbers that they have here: the inputs of each gate below them (-1 twice: a variable that is not
        among `variables`), then the formulas, with nodes counted from `variables` on in the order in which `clauses` has them."""
        counted = {0: 0}
        for number in variables:
            counted[self.node_of_variable(number)] = len(counted)
        gates: list[int] = []
        for node in self._below(formulas):
            if node in counted:
                continue
            counted[node] = len(counted)
            gate = self._gates[node]
            if gate is None:
                gates += (-1, -1)
            else:
                one, other = gate
                gates += (2 * counted[one >> 1] + (one & 1), 2 * counted[other >> 1] + (other & 1))
        return gates, [2 * counted[formula >> 1] + (formula & 1) for formula in formulas]

    def node_of_variable(self, number: int) -> int:
        """The node of a variable, as `clauses` counts them."""
        return self.variable(number) >> 1

    def _below(self, formulas: Iterable[int]) -> list[int]:
        """Nodes that formulas are made of, each after its parts."""
        return sorted(self._seen(formulas))  # a gate is made after its parts

    def _seen(self, formulas: Iterable[int]) -> set[int]:
        """Nodes that formulas are made of."""
        gates = self._gates
        seen = {formula >> 1 for formula in formulas}
        open_ = list(seen)
        while open_:
            gate = gates[open_.pop()]
            if gate is not None:
                one, other = gate[0] >> 1, gate[1] >> 1
                if one not in seen:
                    seen.add(one)
                    open_.append(one)
                if other not in seen:
                    seen.add(other)
                    open_.append(other)
        return seen
