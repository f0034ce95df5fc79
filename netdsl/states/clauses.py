"""Machines as clauses for a solver: one step with its choices, or many steps one behind the other.

The solver is loaded here and nowhere else, when the first question is asked: most plants ask none.
"""

from __future__ import annotations

from collections.abc import Iterable
from threading import current_thread, main_thread
from typing import Any

from netdsl.states.formulas import FALSE, TRUE, Formulas
from netdsl.states.machine import Machine


class Clauses:
    """A solver and the literals of the formulas given to it.

    It is minisat 2.2 of the package `python-sat`: small, incremental, gives cores, and the same answers every time. Its functions
    are called as they are, for what the package has round them takes longer to load than most plants to be proved.
    """

    def __init__(self) -> None:
        import pysolvers

        self._of: Any = pysolvers  # it states no types
        self._solver = self._of.minisat22_new()
        self._found: bool | None = None
        self._main = int(current_thread() is main_thread())  # there alone it can be stopped by the keyboard
        self._count = 1
        self.true = 1
        self.add([1])

    def fresh(self) -> int:
        """A literal of its own."""
        self._count += 1
        return self._count

    def add(self, clause: Iterable[int]) -> None:
        """Add a clause."""
        self._of.minisat22_add_cl(self._solver, clause)

    def solve(self, assumed: Iterable[int]) -> bool:
        """Whether all clauses can hold under what is assumed."""
        self._found = bool(self._of.minisat22_solve(self._solver, assumed, self._main))
        return self._found

    def solve_within(self, conflicts: int) -> bool | None:
        """Whether all clauses can hold; None where so many conflicts do not tell."""
        self._of.minisat22_cbudget(self._solver, conflicts)
        self._found = self._of.minisat22_solve_lim(self._solver, [], self._main, 0)
        return self._found

    def core(self) -> frozenset[int]:
        """Of what was assumed, what was enough for the last "no"."""
        return frozenset((self._of.minisat22_core(self._solver) or ()) if self._found is False else ())

    def holds(self, literals: Iterable[int]) -> list[bool]:
        """Whether literals hold in the last answer, which was a "yes"."""
        model = self._of.minisat22_model(self._solver)
        return [(model[abs(literal) - 1] > 0) is (literal > 0) for literal in literals]

    def close(self) -> None:
        """Give the solver's memory back."""
        self._of.minisat22_del(self._solver)
        self._solver = None


def is_possible(formulas: Formulas, formula: int) -> bool:
    """Whether some values of its variables make a formula hold. The solver is asked only where a variable occurs in it both as it
    is and turned round: all else holds with each variable as it occurs."""
    if formula in (FALSE, TRUE) or all(len(signs) == 1 for signs in formulas.signs(formula).values()):
        return formula != FALSE
    clauses = Clauses()
    literal = {0: -clauses.true}
    for clause in formulas.clauses((formula,), literal, clauses.fresh):
        clauses.add(clause)
    found = clauses.solve((literal_of(literal, formula),))
    clauses.close()
    return found


class Step:
    """One step of a machine: `now` its bits, `choices`, `after` their next values, `bad`, `still`."""

    def __init__(self, clauses: Clauses, made: Machine, now: list[int]) -> None:
        formulas = made.formulas
        self.now = now
        literal = {0: -clauses.true}
        literal.update((formulas.node_of_variable(number), bit) for number, bit in zip(made.numbers, now, strict=True))
        self.choices = [clauses.fresh() for _ in made.choices]
        literal.update(
            (formulas.node_of_variable(number), choice) for number, choice in zip(made.choices, self.choices, strict=True)
        )
        wanted = (*made.following, *made.always, made.bad, made.still)
        for clause in formulas.clauses(wanted, literal, clauses.fresh):
            clauses.add(clause)
        self.after = [literal_of(literal, formula) for formula in made.following]
        self.bad = literal_of(literal, made.bad)
        self.still = literal_of(literal, made.still)
        for formula in made.always:
            clauses.add([literal_of(literal, formula)])


def literal_of(known: dict[int, int], formula: int) -> int:
    """The literal of a formula whose node is known."""
    return known[formula >> 1] * (-1 if formula & 1 else 1)
