"""Questions about all states that rest leads to, answered by proof, by the shortest way there, or by saying that neither came."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from enum import StrEnum
from itertools import combinations, product
from typing import NamedTuple

from netdsl.kept import cached_property, kept
from netdsl.states.formulas import FALSE
from netdsl.states.induction import QUESTIONS, Budget, reachable
from netdsl.states.loops import restless
from netdsl.states.machine import Builder, Note
from netdsl.states.settling import settle, settle_apart
from netdsl.states.traces import STEPS, Trace, shortest
from netdsl.states.types import Cause, Circuit, Load, Mover
from netdsl.states.ways import Arc, Islands, Variables, Wants

#: questions for each way to a bad state by itself
_SHARE = 300
#: what stands as its circuit asks where nothing wants to move: delays may still be running
_SETTLING = (Cause.COIL, Cause.RELEASE)
_LIMIT = "the search was given up at its limit"


class Answer(StrEnum):
    """What came of a question about all states that rest leads to."""

    NEVER = "never"
    REACHED = "reached"
    NOT_PROVED = "not proved"
    NOT_JUDGED = "not judged"  # the plant states too little to ask


class Outcome(NamedTuple):
    """An answer; reached: the way there; not proved or not judged: why."""

    answer: Answer
    trace: Trace | None = None
    reason: str = ""


class Prover:
    """A circuit with its formulas. The solver is loaded with the first question that formulas alone do not answer."""

    def __init__(self, circuit: Circuit, questions: int = QUESTIONS, steps: int = STEPS) -> None:
        self.circuit = circuit
        self.islands = Islands(circuit)
        self.variables = Variables()
        self.wants = Wants(circuit, self.islands, self.variables)
        self.builder = Builder(circuit, self.wants, self.variables)
        self._questions, self._steps = questions, steps
        self._rests: dict[tuple[tuple[Mover, ...], frozenset[Mover] | None], bool] = {}
        self._apart: dict[tuple[Mover, Mover], bool] = {}
        self.partners = self.builder.partners

    @cached_property
    def inputs(self) -> dict[str, list[Load]]:
        """The wired inputs of each device that has any."""
        found: dict[str, list[Load]] = {}
        for load in self.circuit.loads:
            if load.kind == "input":
                found.setdefault(load.device, []).append(load)
        return found

    def answer(self, bad: int) -> tuple[Answer, str]:
        """Whether a bad state is reached, and why that is not proved. First each way to it by itself, with a small part of the
        circuit and the rest free to move as it likes, as a proof there holds for the whole: contactors are kept apart by what
        is next to them, as a rule. What is left is asked of the whole circuit at once."""
        if bad == FALSE:
            return Answer.NEVER, ""
        budget = Budget(self._questions)
        parts = self.variables.formulas.parts(bad)
        left = [p for p in parts if not self.is_kept_apart(p) and not self._is_apart(p, budget) and not self._is_crossed(p)]
        if not left:
            return Answer.NEVER, ""
        rest = self.variables.formulas.any(left)
        found = reachable(self.builder.machine(rest), budget)
        if found is not False:
            return (Answer.REACHED, "") if found else (Answer.NOT_PROVED, _LIMIT)
        loose = self._loose(self.builder.followed((rest,)))
        if not loose or self._is_never_anyhow(rest, None, loose, budget):
            return Answer.NEVER, ""
        return Answer.NOT_PROVED, _restless_words(loose)

    def is_kept_apart(self, bad: int, besides: Mover | None = None) -> bool:
        """Whether two coils whose poles must both conduct in a bad state are proved never to: as the two contactors of a bypass,
        behind which every motor of a plant stands. Asked of two at a time, once; `besides` them one that may move."""
        coils = [mover for mover in self._coils_in(bad) if mover != besides]
        return any(self._are_never_both(pair) for pair in combinations(coils, 2))

    def _coils_in(self, bad: int) -> list[Mover]:
        """Coils whose poles must conduct wherever a formula holds."""
        return [mover for mover in self.variables.needed(bad) if self.circuit.movements[mover].cause is Cause.COIL]

    def _is_crossed(self, bad: int) -> bool:
        """Whether a bad state needs one of several coils and one of several others, and none of these is ever pulled with one of
        those: as the contactors that lead to a bus from either of two sources."""
        parts = self.variables.formulas.parts
        factors = [[self._coils_in(way) for way in parts(factor ^ 1)] for factor in parts(bad ^ 1)]
        groups = [ways for ways in factors if all(ways)]
        return any(
            all(any(self._are_never_both(pair) for pair in product(near, far)) for near, far in product(one, other))
            for one, other in combinations(groups, 2)
        )

    def _are_never_both(self, pair: tuple[Mover, Mover]) -> bool:
        pair = min(pair), max(pair)
        if pair not in self._apart:
            both = self.variables.formulas.both(*(self.conducts(coil, pair) for coil in pair))
            self._apart[pair] = self._is_apart(both, Budget(self._questions))
        return self._apart[pair]

    def conducts(self, coil: Mover, of_these: Collection[Mover] | None = None) -> int:
        """When poles of a coil conduct, the moment in which an arc joins them included; a mechanical interlock, with others or
        with some of them, ends that."""
        formulas, of = self.variables.formulas, self.variables.of
        held = formulas.any(of(other) for other in self.partners.get(coil, ()) if of_these is None or other in of_these)
        return formulas.either(of(coil), formulas.both(of(Arc(coil)), held ^ 1))

    def trace(self, bad: int) -> Trace | None:
        """The shortest way to a bad state, None where it is too long to be found."""
        return shortest(self.circuit, self.builder.machine(bad), self._steps)

    def at_rest(self, formula: int, given: dict[Mover, bool]) -> int:
        """A formula as it holds wherever nothing wants to move and some movers stand as `given`: coils then stand as their
        circuits ask, which often answers a question without the solver."""
        formulas, variables = self.variables.formulas, self.variables
        known = {variables.number(mover): on for mover, on in given.items()}
        decided = sorted(mover for mover in self.builder.followed((formula,)) if self.circuit.movements[mover].cause in _SETTLING)
        found = True
        while found:
            found = False
            for mover in decided:
                if variables.number(mover) not in known and formulas.assuming(self.wants.of(mover), known) == FALSE:
                    known[variables.number(mover)] = False
                    found = True
        return formulas.assuming(formula, known)

    def outcome(self, bad: int, notes: tuple[Note, ...]) -> Outcome:
        """What comes of a question that keeps something in mind; asked of states in which everything stands still."""
        made = self.builder.noting(bad, notes)
        budget = Budget(self._questions)
        found = reachable(made, budget)
        if found:
            trace = shortest(self.circuit, made, self._steps)
            return Outcome(Answer.REACHED, trace) if trace else Outcome(Answer.NOT_PROVED, reason="the way there is too long")
        if found is None:
            return Outcome(Answer.NOT_PROVED, reason=_LIMIT)
        read = (bad, *(formula for note in notes for formula in note.reads))
        loose = self._loose(self.builder.followed(read))
        if (
            not loose
            or self._settle(loose)
            or reachable(self.builder.noting(bad, notes, loose), budget) is False
            or self._comes_to_rest(loose, None, budget)
        ):
            return Outcome(Answer.NEVER)
        return Outcome(Answer.NOT_PROVED, reason=_restless_words(loose))

    def _is_apart(self, part: int, budget: Budget) -> bool:
        """Whether a circle round a way to a bad state proves that it is not taken, within a small share of the budget."""
        share = Budget(min(_SHARE, budget.left))
        budget.left -= share.left
        for followed in self.builder.rings(part):
            found = reachable(self.builder.machine(part, followed), share)
            if found is None:
                break
            loose = self._loose(followed) if not found else ()
            if not found and (not loose or self._is_never_anyhow(part, followed, loose, share)):
                budget.left += max(share.left, 0)
                return True
        budget.left += max(share.left, 0)
        return False

    def _loose(self, movers: Iterable[Mover]) -> tuple[Mover, ...]:
        return restless(self.circuit, self.wants, self.variables, movers)

    def _is_never_anyhow(self, bad: int, followed: frozenset[Mover] | None, loose: tuple[Mover, ...], budget: Budget) -> bool:
        """Whether a proof holds that took for granted that each moment ends: it does not need it, or it is proved too."""
        if (followed is None and self._settle(loose)) or reachable(self.builder.machine(bad, followed, loose), budget) is False:
            return True
        return self._comes_to_rest(loose, followed, budget)

    @kept
    def _settle(self, loose: tuple[Mover, ...]) -> bool:
        return settle(self.builder, loose)

    def _comes_to_rest(self, loose: tuple[Mover, ...], followed: frozenset[Mover] | None, budget: Budget) -> bool:
        """Whether each moment in which these movers move is proved to end; asked once, for several questions rest on it."""
        key = (loose, followed)
        if key not in self._rests:
            share = Budget(_SHARE)
            rests = followed is None and settle_apart(self.builder, loose, lambda pair: self._is_never(pair, share))
            self._rests[key] = rests or reachable(self.builder.turning(loose, followed), budget) is False
        return self._rests[key]

    def _is_never(self, pair: tuple[Mover, Mover], budget: Budget) -> bool:
        """Whether two have never both pulled while each moment ends: the first one without end begins in such a state."""
        both = self.variables.formulas.both(*map(self.variables.of, pair))
        return reachable(self.builder.machine(both), budget) is False


def _restless_words(loose: tuple[Mover, ...]) -> str:
    names = ", ".join(dict.fromkeys(f"`{mover.device}`" for mover in loose[:3]))
    return f"{names} may never come to rest: a contact opens its own coil"
