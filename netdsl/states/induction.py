"""Whether a machine can ever come into a bad state: a proof by induction, found clause by clause.

Property-directed reachability (IC3; A. R. Bradley, "SAT-based model checking without unrolling", 2011): frames of clauses that
hold for all states up to so many steps from rest are strengthened against each state that leads to a bad one, until a frame
proves itself. Plain induction over k steps was tried beside it: it needs as many steps as the longest way through states that
rest never leads to, and circuits with selectors have long ones.
"""

from __future__ import annotations

from heapq import heappop, heappush
from itertools import chain
from typing import NamedTuple

from msgspec import Struct, field

from netdsl.states.clauses import Clauses, Step
from netdsl.states.machine import Machine

#: questions to the solver after which a proof is given up, some ten seconds
QUESTIONS = 25_000

#: bits with their values, as literals of the step's `now`
Cube = tuple[int, ...]


class _Frames(Struct):
    """`cubes`: by frame, states it excludes, each with its bits as a set; a frame excludes as well what those behind it exclude.
    `acts`: literals that switch its clauses on."""

    cubes: list[dict[Cube, frozenset[int]]] = field(default_factory=list)
    acts: list[int] = field(default_factory=list)


class Budget(Struct):
    """Questions that may still be asked."""

    left: int = QUESTIONS


def reachable(made: Machine, budget: Budget) -> bool | None:
    """Whether a bad state can be reached from rest; None where the budget does not reach so far. Machines that are alike but for
    the names of their movers have one proof: feeders of one kind, and plants that differ elsewhere."""
    key = made.fingerprint()
    known = _PROVED.get(key)
    if known is None or (known.answer is None and budget.left > known.asked):
        start = Budget(budget.left)
        answer = _Search(made, start).run()
        if len(_PROVED) >= _KEPT:
            del _PROVED[next(iter(_PROVED))]
        known = _PROVED[key] = _Proved(answer, budget.left - start.left)
    answer = known.answer if known.asked <= budget.left else None
    budget.left = max(budget.left - known.asked, -1)
    return answer


class _Proved(NamedTuple):
    """An answer, and with how many questions it was found or given up."""

    answer: bool | None
    asked: int


#: proofs that a process keeps, each some 150 bytes; the oldest goes first
_KEPT = 20_000
_PROVED: dict[bytes, _Proved] = {}


class _Search:
    def __init__(self, made: Machine, budget: Budget) -> None:
        self.clauses = Clauses()
        now = [self.clauses.fresh() for _ in made.bits]
        self.step = Step(self.clauses, made, now)
        self.rest = frozenset(bit if on else -bit for bit, on in zip(now, made.rest, strict=True))
        self.index = {bit: number for number, bit in enumerate(now)}
        self.frames = _Frames()
        self.budget = budget

    def run(self) -> bool | None:
        """The answer."""
        try:
            return self._run()
        except _GivenUp:
            return None
        finally:
            self.clauses.close()

    def _run(self) -> bool:
        self._add_frame()
        for literal in self.rest:
            self.clauses.add([-self.frames.acts[0], literal])
        if self._ask([self.frames.acts[0], self.step.bad]):
            return True
        self._add_frame()
        while True:
            last = len(self.frames.acts) - 1
            while self._ask([*self._acts(last), self.step.bad]):
                if not self._block(self._bad_cube(), last):
                    return True
            self._add_frame()
            if self._pushed():
                return False

    # --- questions ----------------------------------------------------------------------------------------------------
    def _ask(self, assumed: list[int]) -> bool:
        self.budget.left -= 1
        if self.budget.left < 0:
            raise _GivenUp
        return self.clauses.solve(assumed)

    def _acts(self, frame: int) -> list[int]:
        return self.frames.acts[frame:]

    def _add_frame(self) -> None:
        self.frames.acts.append(self.clauses.fresh())
        self.frames.cubes.append({})

    def _after(self, cube: Cube) -> list[int]:
        return [self.step.after[self.index[abs(bit)]] * (1 if bit > 0 else -1) for bit in cube]

    def _before(self, cube: Cube, frame: int) -> bool:
        """Whether a step leads from a state of `frame` outside `cube` into it."""
        switch = self.clauses.fresh()
        self.clauses.add([-switch, *(-bit for bit in cube)])
        found = self._ask([switch, *self._acts(frame), *self._after(cube)])
        self._switch = switch
        return found

    # --- states as cubes, cut down to what matters -------------------------------------------------------------------------
    def _state(self) -> tuple[Cube, list[bool]]:
        now = self.step.now
        values = self.clauses.holds((*now, *self.step.choices))
        return tuple(bit if on else -bit for bit, on in zip(now, values, strict=False)), values[len(now) :]

    def _bad_cube(self) -> Cube:
        cube, _ = self._state()
        return self._lifted(cube, [], [-self.step.bad])

    def _cube_before(self, after: Cube) -> Cube:
        cube, choices = self._state()
        chosen = [c if on else -c for c, on in zip(self.step.choices, choices, strict=True)]
        return self._lifted(cube, chosen, [-target for target in self._after(after)])

    def _lifted(self, cube: Cube, chosen: list[int], clause: list[int]) -> Cube:
        """The bits of a state that are enough, with these choices, to contradict `clause`: no frame is switched on."""
        switch = self.clauses.fresh()
        self.clauses.add([-switch, *clause])
        self.clauses.solve([switch, *chosen, *cube])
        core = self.clauses.core()
        self.clauses.add([-switch])
        return tuple(bit for bit in cube if bit in core)

    # --- blocking -------------------------------------------------------------------------------------------------------
    def _block(self, cube: Cube, frame: int) -> bool:
        """Exclude a cube from a frame, and first whatever leads to it; False where rest does."""
        count = 0
        queue: list[tuple[int, int, Cube]] = [(frame, count, cube)]
        while queue:
            level, _, cube = queue[0]
            if level == 0 or self._holds_rest(cube):
                return False
            if any(map(set(cube).issuperset, chain.from_iterable(self.frames.cubes[level:]))):
                heappop(queue)
                continue
            if self._before(cube, level - 1):
                count += 1
                heappush(queue, (level - 1, count, self._cube_before(cube)))
                self.clauses.add([-self._switch])
                continue
            heappop(queue)
            smaller = self._reduced(cube, level)
            self._exclude(smaller, level)
            if level < len(self.frames.acts) - 1:
                count += 1
                heappush(queue, (level + 1, count, cube))
        return True

    def _holds_rest(self, cube: Cube) -> bool:
        return self.rest.issuperset(cube)

    def _reduced(self, cube: Cube, level: int) -> Cube:
        """A part of `cube` that nothing of the frame before leads to, and that rest is not in."""
        cube = self._by_core(cube)
        for bit in cube:
            smaller = tuple(other for other in cube if other != bit)
            if bit not in cube or not smaller or self._holds_rest(smaller):
                continue
            if not self._before(smaller, level - 1):
                cube = self._by_core(smaller)
            else:
                self.clauses.add([-self._switch])
        return cube

    def _by_core(self, cube: Cube) -> Cube:
        """What of `cube` the last "no" rested on, with a bit by which rest differs."""
        core = self.clauses.core()
        self.clauses.add([-self._switch])
        kept = tuple(bit for bit, after in zip(cube, self._after(cube), strict=True) if after in core)
        if not kept or self._holds_rest(kept):
            differs = next(bit for bit in cube if bit not in self.rest)
            kept = tuple(bit for bit in cube if bit in kept or bit == differs)
        return kept

    def _exclude(self, cube: Cube, level: int) -> None:
        bits = frozenset(cube)
        for cubes in self.frames.cubes[: level + 1]:
            for known in [known for known, others in cubes.items() if bits <= others]:
                del cubes[known]
        self.frames.cubes[level][cube] = bits
        self.clauses.add([-self.frames.acts[level], *(-bit for bit in cube)])

    def _pushed(self) -> bool:
        """Carry clauses on to the frames behind; whether two frames are alike then, which proves it."""
        for level in range(1, len(self.frames.acts) - 1):
            for cube in sorted(self.frames.cubes[level]):
                if cube in self.frames.cubes[level] and not self._before(cube, level):
                    self._exclude(cube, level + 1)
                self.clauses.add([-self._switch])
            if not self.frames.cubes[level]:
                return True
        return False


class _GivenUp(Exception):
    """The limit of questions is reached."""
