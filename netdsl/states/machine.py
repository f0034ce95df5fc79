"""A circuit as a machine of bits: which states follow which, as formulas.

Time runs in two paces. In the *moment* what is not delayed moves, one mover after the other in any order; a coil that has
let go may leave an arc between its poles until the moment is over. When nothing more wants to move, *time passes*: arcs are out,
the delayed contacts of one device may follow, or whatever the netlist does not decide may change, several of them at once. So a
delay between two contactors keeps them apart, a person is slower than a relay, and two times never end in the same moment.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from typing import NamedTuple

from msgspec import Struct

from netdsl.kept import kept
from netdsl.states.formulas import FALSE, Formulas
from netdsl.states.types import GIVEN, Cause, Circuit, Movement, Mover
from netdsl.states.ways import Arc, Noted, Turns, Variable, Variables, Wants

#: turns in one moment after which a mover counts as one that does not come to rest: pulled, dropped and pulled is a race won
TURNS = 3


class Machine(Struct, frozen=True):
    """State bits with their value at rest and the formula of their next value, over state bits and choices (any values of
    which are a step, perhaps one in which nothing moves). `always`: formulas that hold in every state. `bad`: what is asked.
    `still`: nothing wants to move now."""

    formulas: Formulas
    bits: tuple[Variable, ...]
    numbers: tuple[int, ...]
    rest: tuple[bool, ...]
    following: tuple[int, ...]
    choices: tuple[int, ...]
    always: tuple[int, ...]
    bad: int
    still: int

    def fingerprint(self) -> bytes:
        """Alike for machines that differ in nothing but names and in what else their formulas were asked for: these have the
        same clauses in the same order, so that a solver goes the same way with them."""
        from hashlib import blake2b  # loads a library of ciphers: for plants in which something is asked

        wanted = (*self.following, *self.always, self.bad, self.still)
        shape = self.formulas.shape(wanted, (*self.numbers, *self.choices))
        counts = (len(self.numbers), len(self.choices), len(self.always))
        return blake2b(repr((counts, self.rest, shape)).encode(), digest_size=20).digest()


class Moment(NamedTuple):
    """What a note is made of: when time passes, and given a mover, when it changes in this step."""

    passes: int
    changes: Callable[[Mover], int]


class Note(NamedTuple):
    """Something to keep in mind: off at rest; `after` gives its next value, which depends on `reads` besides."""

    noted: Noted
    reads: tuple[int, ...]
    after: Callable[[Moment], int]


class Builder:
    """Makes machines of a circuit."""

    def __init__(self, circuit: Circuit, wants: Wants, variables: Variables) -> None:
        self.circuit, self.wants, self.variables = circuit, wants, variables
        self.partners: dict[Mover, list[Mover]] = {}
        for one, other in circuit.interlocked:
            self.partners.setdefault(one, []).append(other)
            self.partners.setdefault(other, []).append(one)

    def cone(self, formulas: Iterable[int], followed: frozenset[Mover] | None = None) -> tuple[Mover, ...]:
        """Movers on which formulas depend, at first and further hand, in order of the plant. With `followed`, what decides any
        other mover is left out of account, and mechanical interlocks with it, which only keep more apart."""
        circuit = self.circuit
        found: set[Mover] = set()
        open_ = self.read_by(formulas)
        while open_:
            mover = open_.pop()
            if mover in found:
                continue
            found.add(mover)
            cause = circuit.movements[mover].cause
            if cause not in GIVEN and (followed is None or mover in followed):
                open_ += self.deciding(mover)
                open_ += [other for other in self.partners.get(mover, ()) if followed is None or other in followed]
            open_ += self._beside(mover)
        return tuple(mover for mover in circuit.movements if mover in found)

    @kept
    def _beside(self, mover: Mover) -> tuple[Mover, ...]:
        """Movers that one never moves without regard to: of its timer, selector or handle."""
        circuit = self.circuit
        found = [other for group in circuit.exclusive if mover in group for other in group]
        found += circuit.selectors.get(mover.device, ()) if circuit.movements[mover].cause is Cause.POSITION else ()
        found += [handle for early, handle in circuit.early.items() if early == mover]
        found += [early for early, handle in circuit.early.items() if handle == mover]
        return tuple(found)

    def read_by(self, formulas: Iterable[int]) -> list[Mover]:
        """Movers in formulas, in a fixed order."""
        found = (_mover(variable) for variable in self.variables.within(formulas))
        return sorted({mover for mover in found if mover is not None})

    @kept
    def deciding(self, mover: Mover) -> tuple[Mover, ...]:
        """Movers on which what the circuit asks of one depends."""
        return tuple(self.read_by((self.wants.of(mover),)))

    def pending(self, mover: Mover, partners: Iterable[Mover]) -> int:
        """When a mover moves without waiting for a time; `partners`: those whose mechanical interlock with it counts."""
        movement, own, wanted = self.circuit.movements[mover], self.variables.of(mover), self.wants.of(mover)
        formulas = self.variables.formulas
        held = formulas.any(self.variables.of(other) for other in partners)
        up = formulas.all((own ^ 1, wanted, held ^ 1))
        down = formulas.both(own, wanted ^ 1)
        if movement.cause is Cause.DELAY:
            up, down = (FALSE if slow else way for slow, way in zip(movement.slow, (up, down), strict=True))
        return formulas.either(up, down)

    def followed(self, formulas: Iterable[int]) -> frozenset[Mover]:
        """Movers that the netlist decides, of those on which formulas depend."""
        return frozenset(m for m in self.cone(formulas) if self.circuit.movements[m].cause not in GIVEN)

    def rings(self, bad: int) -> Iterator[frozenset[Mover]]:
        """Wider and wider circles of movers to follow round what is asked, delayed contacts before others; the last is all that
        it depends on."""
        whole = self.followed((bad,))
        ring = whole.intersection(self.read_by((bad,)))
        read = whole.intersection(chain.from_iterable(map(self.deciding, ring))) - ring
        delayed = {mover for mover in read if self.circuit.movements[mover].cause is Cause.DELAY}
        if delayed and delayed != read:
            yield ring
            ring |= delayed
        while ring != whole:
            yield ring
            ring |= whole.intersection(chain.from_iterable(map(self.deciding, ring)))
            ring |= whole.intersection(other for mover in ring for other in self.partners.get(mover, ()))
        yield whole

    def machine(self, bad: int, followed: frozenset[Mover] | None = None, restless: Iterable[Mover] = ()) -> Machine:
        """The machine of everything that `bad` depends on. Movers that are not `followed` move at any time, however they
        like: what then is never reached is not reached in the circuit either. Time does not wait for what is `restless`."""
        return _Maker(self, bad, followed, frozenset(restless)).made()

    def noting(self, bad: int, notes: tuple[Note, ...], restless: Iterable[Mover] = ()) -> Machine:
        """The machine of everything that `bad` and notes depend on; bad only where nothing wants to move."""
        return _Maker(self, bad, None, frozenset(restless), notes).made()

    def turning(self, movers: Iterable[Mover], followed: frozenset[Mover] | None = None) -> Machine:
        """The machine whose bad states are those in which one of `movers` turns again and again in one moment."""
        last = [self.variables.of(Turns(mover, TURNS)) for mover in movers]
        return self.machine(self.variables.formulas.any(last), followed)


def _mover(variable: Variable) -> Mover | None:
    if isinstance(variable, Arc):
        return variable.coil
    if isinstance(variable, Turns):
        return variable.mover
    return variable if isinstance(variable, Mover) else None


class _Maker:
    """Writes down the next value of each bit."""

    def __init__(
        self,
        builder: Builder,
        bad: int,
        followed: frozenset[Mover] | None,
        restless: frozenset[Mover],
        notes: tuple[Note, ...] = (),
    ) -> None:
        self.builder = builder
        self.circuit, self.wants, self.variables = builder.circuit, builder.wants, builder.variables
        self.bad, self.restless, self.notes = bad, restless, notes
        self.formulas = self.variables.formulas
        self.movers = builder.cone((bad, *(formula for note in notes for formula in note.reads)), followed)
        self.moving = [self.circuit.movements[mover] for mover in self.movers]
        decided = [movement.mover for movement in self.moving if movement.cause not in GIVEN]
        self.followed = frozenset(decided) if followed is None else followed.intersection(decided)
        here = set(self.movers)
        self.partners = {m: [other for other in builder.partners.get(m, ()) if other in here] for m in self.movers}
        self.choices: list[int] = []

    def made(self) -> Machine:
        """The machine."""
        asked = self.variables.within((self.bad,))
        arcs = [variable for variable in asked if isinstance(variable, Arc)]
        turned = [variable.mover for variable in asked if isinstance(variable, Turns)]
        pending = {m: self.builder.pending(m, self.partners[m]) for m in self.movers if m in self.followed}
        still = self.formulas.all(formula ^ 1 for mover, formula in pending.items() if mover not in self.restless)
        passes = self.formulas.both(self._choice(), still)
        turn = self._turns(pending, passes)
        elapses = self._elapses(passes)
        bits: list[Variable] = []
        following: list[int] = []
        for movement in self.moving:
            time = elapses[movement.mover.device if movement.cause is Cause.DELAY else ""]
            bits.append(movement.mover)
            following.append(self._next(movement, turn.get(movement.mover, FALSE), time))
        for arc in sorted(arcs):
            drops = self.formulas.both(self._bit(arc.coil), following[bits.index(arc.coil)] ^ 1)
            # A mechanical interlock lets the other pull only when this one's armature, and its arc, have gone.
            partners = self.formulas.any(following[bits.index(other)] for other in self.partners.get(arc.coil, ()))
            bits.append(arc)
            burns = self.formulas.either(self._bit(arc), drops)
            following.append(self.formulas.all((passes ^ 1, partners ^ 1, burns)))
        for mover in sorted(turned):
            more = turn.get(mover, FALSE)
            for count in range(1, TURNS + 1):
                counted = self._bit(Turns(mover, count))
                bits.append(Turns(mover, count))
                following.append(self.formulas.both(passes ^ 1, self.formulas.either(counted, more)))
                more = self.formulas.both(counted, more)
        for note in self.notes:
            moment = Moment(passes, lambda mover: self._changes(mover, following[bits.index(mover)]))
            bits.append(note.noted)
            following.append(note.after(moment))
        rest = [self.circuit.movements[bit].rest if isinstance(bit, Mover) else False for bit in bits]
        return Machine(
            self.formulas,
            tuple(bits),
            tuple(self.variables.number(bit) for bit in bits),
            tuple(rest),
            tuple(following),
            tuple(self.choices),
            tuple(self._always()),
            self.formulas.both(self.bad, still) if self.notes else self.bad,
            still,
        )

    def _changes(self, mover: Mover, after: int) -> int:
        own = self._bit(mover)
        return self.formulas.either(self.formulas.both(own, after ^ 1), self.formulas.both(own ^ 1, after))

    def _bit(self, variable: Variable) -> int:
        return self.variables.of(variable)

    def _choice(self) -> int:
        name = Mover("", f"choice {len(self.choices)}")
        self.choices.append(self.variables.number(name))
        return self.variables.of(name)

    def _turns(self, pending: dict[Mover, int], passes: int) -> dict[Mover, int]:
        """Who moves in a moment: the first that is chosen, so that any choice is one mover or none."""
        found, free = {}, passes ^ 1
        for mover, formula in pending.items():
            if formula == FALSE:
                continue
            chosen = self._choice()
            found[mover] = self.formulas.all((free, chosen, formula))
            free = self.formulas.both(free, chosen ^ 1)
        return found

    def _elapses(self, passes: int) -> dict[str, int]:
        """What the passing of time is for: the times of one device, or ("") what is given."""
        found, free = {}, passes
        for device in dict.fromkeys(m.mover.device for m in self.moving if m.cause is Cause.DELAY):
            chosen = self._choice()
            found[device] = self.formulas.both(free, chosen)
            free = self.formulas.both(free, chosen ^ 1)
        return {**found, "": free}

    def _next(self, movement: Movement, turn: int, passes: int) -> int:
        if movement.cause not in GIVEN and movement.mover not in self.followed:
            return self._choice()
        own = self._bit(movement.mover)
        moved = self.formulas.choose(turn, own ^ 1, own)
        if movement.cause in (Cause.COIL, Cause.RELEASE):
            return moved
        later = self._delayed(movement) if movement.cause is Cause.DELAY else self._given(movement)
        return self.formulas.choose(passes, later, moved)

    def _delayed(self, movement: Movement) -> int:
        """Where delayed contacts may stand after a time: where they want to, or where they were; without a word about
        their delay, anywhere. Contacts of one timer that follow each other never change over in one moment."""
        own, wanted = self._bit(movement.mover), self.wants.of(movement.mover)
        if movement.slow == (True, True):
            after = self._choice()
        else:
            after = self.formulas.choose(self._choice(), wanted, own)
        for group in self.circuit.exclusive:
            if movement.mover in group:
                others = self.formulas.any(self._bit(other) for other in group if other != movement.mover)
                return self.formulas.all((after, others ^ 1, self._first_of(group, movement.mover)))
        return after

    def _given(self, movement: Movement) -> int:
        mover = movement.mover
        if movement.cause is Cause.POSITION:
            return self._first_of(self.circuit.selectors[mover.device], mover)
        handle = self.circuit.early.get(mover)
        if handle is not None:  # closed only while the handle is, and stays, on
            return self.formulas.all((self._choice(), self._bit(handle), self._after(handle)))
        return self._after(mover)

    def _after(self, handle: Mover) -> int:
        """Where something given stands after a time; a handle stays on while its early contacts are closed."""
        early = [contact for contact, held in self.circuit.early.items() if held == handle and contact in self.movers]
        chosen = self._named_choice(handle)
        return self.formulas.either(chosen, self.formulas.any(self._bit(contact) for contact in early))

    def _named_choice(self, mover: Mover) -> int:
        """The choice that a mover shares between several formulas."""
        name = Mover(mover.device, f"choice of {mover.word}")
        number = self.variables.number(name)
        if number not in self.choices:
            self.choices.append(number)
        return self.variables.of(name)

    def _first_of(self, group: tuple[Mover, ...], mover: Mover) -> int:
        """Chosen, and none before it in its group: so that one at most is."""
        before = self.formulas.any(self._named_choice(other) for other in group[: group.index(mover)])
        return self.formulas.both(self._named_choice(mover), before ^ 1)

    def _always(self) -> Iterable[int]:
        """What holds in every state by the steps themselves; told, because a proof by induction begins anywhere."""
        pairs = ((mover, other) for mover, found in self.partners.items() for other in found if mover < other)
        groups: list[tuple[Mover, ...]] = [*pairs, *self.circuit.exclusive, *self.circuit.selectors.values()]
        for group in groups:
            if group[0] in self.movers:
                for n, one in enumerate(group):
                    for other in group[n + 1 :]:
                        yield self.formulas.both(self._bit(one), self._bit(other)) ^ 1
        for early, handle in self.circuit.early.items():
            if early in self.movers:
                yield self.formulas.either(self._bit(early) ^ 1, self._bit(handle))
