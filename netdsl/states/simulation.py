"""A Circuit in motion: operations one after the other, contactors and relays until everything stands still."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from netdsl.states.conduction import Joined, Standing
from netdsl.states.types import GIVEN, Cause, Circuit, Mover

#: rounds in which relays may move before they count as never coming to rest
ROUNDS = 200
#: times that delays are let go by in one `wait`: a flashing relay never ends
WAITS = 20
#: points of circuits in all states that are kept: some megabytes
KEPT_POINTS = 1 << 20


class Moved(NamedTuple):
    """A mover that has moved, to `on`."""

    mover: Mover
    on: bool


class _Met:
    """What the states of a circuit join and what moves in them, for those last met: whoever looks for a sequence comes through
    the same ones again and again."""

    def __init__(self, circuit: Circuit) -> None:
        self._standing = Standing(circuit)
        self._most = max(1, KEPT_POINTS // max(1, circuit.points))
        self._joined: dict[tuple[bool, ...], Joined] = {}
        self.moving = [m for m, movement in circuit.movements.items() if movement.cause not in GIVEN]
        self.pending: dict[tuple[bool, ...], list[Mover]] = {}

    def joined(self, state: dict[Mover, bool]) -> Joined:
        """What a state joins."""
        key = tuple(state.values())
        if key not in self._joined:
            if len(self._joined) >= self._most:
                self._joined.clear()
                self.pending.clear()
            self._joined[key] = Joined(self._standing, dict(state))
        return self._joined[key]


class Simulation:
    """The state of a circuit, from rest on. Only what is not decided by the netlist is set from outside.

    What wants to move moves one after the other, the longest waiting first, as if all took the same time; `restless` holds what
    still wanted to move when the search was broken off.
    """

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.state: dict[Mover, bool] = {mover: movement.rest for mover, movement in circuit.movements.items()}
        self.restless: tuple[Mover, ...] = ()
        self._partners: dict[Mover, list[Mover]] = {}
        for one, other in circuit.interlocked:
            self._partners.setdefault(one, []).append(other)
            self._partners.setdefault(other, []).append(one)
        self._joined: Joined | None = None
        self._met = _Met(circuit)
        self._passed: set[Mover] = set()  # contacts of a star-delta timer whose turn is over

    @property
    def joined(self) -> Joined:
        """What the present state joins."""
        if self._joined is None:
            self._joined = self._met.joined(self.state)
        return self._joined

    def copy(self) -> Simulation:
        """The same circuit in the same state, to go on from by itself."""
        other = object.__new__(Simulation)
        other.__dict__.update(self.__dict__, state=dict(self.state), _passed=set(self._passed))
        return other

    # --- single moves -------------------------------------------------------------------------------------------------
    def assign(self, values: Mapping[Mover, bool]) -> None:
        """Put movers into states, whatever they are; nothing else moves."""
        self.state.update(values)
        self._joined = None

    def wants(self, mover: Mover) -> bool:
        """The state that the circuit asks of a mover now; delayed contacts as if their time had gone by."""
        movement = self.circuit.movements[mover]
        if movement.cause is Cause.COIL:
            return self._energised(mover)
        if movement.cause is Cause.RELEASE:
            return self._released(mover)
        if movement.cause is Cause.DELAY and movement.follows is not None:
            return self._energised(movement.follows)
        return self.state[mover]

    def pending(self) -> list[Mover]:
        """What moves now without a delay, in order of the plant."""
        known, key = self._met.pending, tuple(self.state.values())
        if key not in known:
            known[key] = [mover for mover in self._met.moving if self._is_pending(mover)]
        return known[key]

    def move(self, mover: Mover) -> None:
        """Let one mover do what it wants."""
        self.assign({mover: self.wants(mover)})

    def _is_pending(self, mover: Mover) -> bool:
        movement = self.circuit.movements[mover]
        on = self.wants(mover)
        if on is self.state[mover] or (on and self._is_blocked(mover)):
            return False
        return movement.cause is not Cause.DELAY or not movement.slow[0 if on else 1]

    def _is_blocked(self, mover: Mover) -> bool:
        return any(self.state[other] for other in self._partners.get(mover, ()))

    def _energised(self, coil: Mover) -> bool:
        return any(self.joined.fed(load) for load in self.circuit.coils.get(coil, ()))

    def _released(self, mover: Mover) -> bool:
        """Supplied, its channels closed; released before, or its reset loop closed."""
        supply = [load for load in self.circuit.loads if load.device == mover.device and load.kind == "load"]
        if not all(self.joined.fed(load) for load in supply):
            return False
        channels = self.circuit.releases[mover]
        closed = {channel.nodes: channel.feed in self.joined.roots_at(channel.back) for channel in channels}
        if not all(closed[channel.nodes] for channel in channels if not channel.reset):
            return False
        return self.state[mover] or all(closed[channel.nodes] for channel in channels if channel.reset)

    # --- operations ---------------------------------------------------------------------------------------------------
    def settle(self) -> list[Moved]:
        """Let everything move that does not wait for a time; what moved, in order."""
        moved: list[Moved] = []
        waiting: list[Mover] = []
        for _ in range(ROUNDS):
            pending = self.pending()
            waiting = [mover for mover in waiting if mover in pending]
            waiting += [mover for mover in pending if mover not in waiting]
            if not waiting:
                self.restless = ()
                return moved
            mover = waiting.pop(0)
            self.move(mover)
            moved.append(Moved(mover, self.state[mover]))
        self.restless = tuple(self.pending())
        return moved

    def operate(self, mover: Mover, on: bool) -> list[Moved]:
        """Move something from outside, then settle. A selector leaves its position first; early contacts go off first."""
        early = [contact for contact, handle in self.circuit.early.items() if handle == mover]
        others = [other for other in self.circuit.selectors.get(mover.device, ()) if other != mover and self.state[other]]
        moved = []
        steps: list[dict[Mover, bool]] = [dict.fromkeys(others, False)] if others else []
        steps += [dict.fromkeys(early, False), {mover: False}] if not on else [{mover: True}, dict.fromkeys(early, True)]
        for step in steps:
            if step:
                self.assign(step)
                moved += self.settle()
        return moved

    def leave(self, selector: str) -> list[Moved]:
        """Turn a selector to where no contact of it is closed, then settle."""
        self.assign(dict.fromkeys(self.circuit.selectors[selector], False))
        return self.settle()

    def wait(self) -> list[Moved]:
        """Let the time of everything delayed go by, then settle, until nothing more is due."""
        moved: list[Moved] = []
        for _ in range(WAITS):
            values = self._due()
            if not values:
                break
            self.assign(values)
            moved += [Moved(mover, on) for mover, on in values.items()]
            moved += self.settle()
        return moved

    def _due(self) -> dict[Mover, bool]:
        """Delayed contacts that move next, with their new states. Contacts of one timer that follow each other: one at a time,
        in their order, the last stays."""
        queued = {mover for group in self.circuit.exclusive for mover in group}
        found = {}
        for mover, movement in self.circuit.movements.items():
            if movement.cause is Cause.DELAY and mover not in queued and self.wants(mover) is not self.state[mover]:
                found[mover] = not self.state[mover]
        for group in self.circuit.exclusive:
            held = [mover for mover in group if self.state[mover]]
            if not self.wants(group[0]):
                found.update(dict.fromkeys(held, False))
            elif held and held[0] != group[-1]:
                self._passed = {*self._passed, held[0]}
                found[held[0]] = False
            elif not held:
                ahead = [mover for mover in group if mover not in self._passed]
                found[ahead[0] if ahead else group[-1]] = True
            if not self.wants(group[0]):
                self._passed = self._passed.difference(group)
        return found
