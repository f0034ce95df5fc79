"""Voltages that come to a terminal in some state of the contacts and that it is not made for."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations
from typing import NamedTuple

from lint.facts import Facts
from lint.switching import Switched
from lint.voltages import ZERO, Volts, bears, between, fits, to_earth
from netdsl.model.kinds import PROTECTIVE, SWITCHES, Category, Kind
from netdsl.model.plant import Device, Role, Terminal
from netdsl.quantities import Quantity
from netdsl.states import Answer, Outcome
from netdsl.states.conduction import State, is_closed, way
from netdsl.states.formulas import FALSE
from netdsl.states.machine import Note
from netdsl.states.types import Edge, Pole
from netdsl.states.ways import Noted, Ways

#: kinds with power terminals that are rated as a whole
SWITCHING = PROTECTIVE | SWITCHES
TAKING = frozenset(
    {
        Kind.DRIVE,
        Kind.SUPPLY_24V,
        Kind.TRANSFORMER,
        Kind.FAN,
        Kind.HEATER,
        Kind.SOCKET,
        Kind.SAFETY_RELAY,
        Kind.FILTER,
        Kind.REACTOR,
    }
)


class Place(NamedTuple):
    """Two terminals of a device between which a voltage lies; `other` "" where it is one against earth. `rating`: what they are
    made for; `above`: only more than that is wrong there."""

    device: Device
    terminal: str
    other: str
    rating: Quantity
    kind: str
    above: bool


class Wrong(NamedTuple):
    """A voltage that some terminals, all at one point, get in some state. `way`: from the pole to the first of them;
    `in_a_moment`: only while contacts change over."""

    places: tuple[Place, ...]
    volts: Volts
    outcome: Outcome
    way: tuple[tuple[Edge, int], ...] = ()
    in_a_moment: bool = False


class _Bringing(NamedTuple):
    """A voltage that would be wrong: of pole `live` at a terminal against `back` at the other, None where nothing need come
    there."""

    volts: Volts
    live: Pole
    back: Pole | None


class Arriving:
    """Asked of places where contacts could bring a voltage of another source, or of other poles, only: most plants have none."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._switched = facts.of(Switched)
        self._circuit, self._prover = self._switched.circuit, self._switched.prover
        self._ways = Ways(self._circuit, self._prover.islands, self._prover.variables.formulas, self._closed)
        self._known: dict[int, tuple[Pole, ...]] = {}

    def _closed(self, edge: Edge) -> int:
        return FALSE if edge.path is None else self._prover.wants.closed(edge)

    def wrong(self, left_out: Collection[str]) -> Iterator[Wrong]:
        """What is wrong in some state, or not proved never to come about. `left_out`: devices of which nothing is asked."""
        asked: dict[tuple[int, int | None, tuple[_Bringing, ...]], list[Place]] = {}
        met = self._met()
        for device in self._facts.plant.devices.values():
            for place in places(device) if device.id not in left_out else ():
                ends = self._point(device, place.terminal), self._point(device, place.other)
                for near, far in (ends, ends[::-1]) if place.other else (ends,):
                    if near is not None and (far is not None or not place.other):
                        at = self._prover.islands.at(near)
                        found = self._bringing(place, near, far)
                        bringing = tuple(e for e in found if not any((island, e.live.group) in met for island in at))
                        if bringing:
                            asked.setdefault((near, far, bringing), []).append(place)
        for (near, far, bringing), together in asked.items():
            outcome, moment = self._asked(near, far, bringing)
            if outcome.answer in (Answer.REACHED, Answer.NOT_PROVED):
                yield self._told(near, far, bringing, tuple(together), outcome, moment)

    def _met(self) -> set[tuple[int, str]]:
        """Islands in which a source meets another in some state, with that source: what it brings there is a consequence."""
        met = (verdict.question.pairs for verdict in self._switched.meetings if verdict.answer is Answer.REACHED)
        return {(island, pole.group) for pairs in met for island, one, other in pairs for pole in (one, other)}

    def _point(self, device: Device, terminal: str) -> int | None:
        """The point of a terminal; None where nothing lands there."""
        net = self._facts.network.net(f"{device.id}:{terminal}") if terminal else None
        return self._circuit.point_of[net.id] if net is not None and len(net.nodes) > 1 else None

    # --- what could come ------------------------------------------------------------------------------------------------
    def _poles(self, point: int) -> tuple[Pole, ...]:
        """The poles that contacts could join to a point, whether they ever do or not."""
        if point not in self._known:
            islands = self._prover.islands
            roots = dict.fromkeys((point,) if point in self._circuit.roots else ())
            for island in islands.at(point):
                roots.update(islands.roots_of.get(island, {}))
            self._known[point] = tuple(pole for root in roots for pole in self._circuit.roots[root])
        return self._known[point]

    def _bringing(self, place: Place, near: int, far: int | None) -> Iterator[_Bringing]:
        """Live poles that could come to `near` and give a wrong voltage against what could come to `far`. Against the return of
        another source it is wrong only where it is too high: whether a current flows depends on where the two are earthed."""
        backs = self._poles(far) if far is not None else ()
        for pole in self._poles(near):
            if pole.potential.kind not in ("ac", "dc") or pole.potential.pole in ZERO:
                continue
            high = [volts for volts in to_earth(self._facts, (pole.potential,)) if not bears(place.rating, volts)]
            if not backs:
                yield from (_Bringing(volts, pole, None) for volts in high)
            for back in backs:
                if back.potential.group != pole.potential.group:
                    yield from (_Bringing(volts, pole, back) for volts in high if back.potential.pole in ZERO)
                    continue
                found = between(self._facts, pole.potential, back.potential)
                if found is not None and not _stands(place, found):
                    yield _Bringing(found, pole, back)

    # --- whether it does --------------------------------------------------------------------------------------------------
    def _asked(self, near: int, far: int | None, bringing: tuple[_Bringing, ...]) -> tuple[Outcome, bool]:
        """Whether one of these voltages ever comes about, and whether only in a moment."""
        formulas, variables = self._prover.variables.formulas, self._prover.variables
        bad = FALSE
        for each in bringing:
            lies = [self._ways.roots_of(near).get(each.live.point, FALSE), variables.of(each.live.voltage)]
            if each.back is not None and far is not None:
                lies.append(self._ways.roots_of(far).get(each.back.point, FALSE))
            bad = formulas.either(bad, formulas.all(lies))
        answer, reason = self._prover.answer(bad)
        if answer is not Answer.REACHED:
            return Outcome(answer, reason=reason), False
        lasting = self._prover.outcome(bad, (Note(Noted("nothing"), (), lambda _: FALSE),))
        if lasting.answer is Answer.REACHED:
            return lasting, False
        trace = self._prover.trace(bad)
        if trace is None:
            return Outcome(Answer.NOT_PROVED, reason="a state that brings it was found, the way to it is too long"), True
        return Outcome(Answer.REACHED, trace), True

    def _told(
        self,
        near: int,
        far: int | None,
        bringing: tuple[_Bringing, ...],
        together: tuple[Place, ...],
        outcome: Outcome,
        moment: bool,
    ) -> Wrong:
        """With the way of the voltage that lies there in the end; where that is not known, the first that could."""
        if outcome.trace is not None:
            reached = outcome.trace.state
            state = {mover: reached.get(mover, movement.rest) for mover, movement in self._circuit.movements.items()}
            roots = set(self._circuit.roots)
            for volts, live, back in bringing:
                there = way(self._circuit, live.point, [near], lambda edge: _conducts(edge, state), roots)
                home = (
                    ()
                    if back is None or far is None
                    else way(self._circuit, back.point, [far], lambda edge: _conducts(edge, state), roots)
                )
                if there is not None and home is not None:
                    return Wrong(together, volts, outcome, there, moment)
        return Wrong(together, bringing[0].volts, outcome)


def _conducts(edge: Edge, state: State) -> bool:
    return edge.path is not None and is_closed(edge, state)


def _stands(place: Place, volts: Volts) -> bool:
    return bears(place.rating, volts) if place.above else fits(place.rating, volts, place.kind)


def places(device: Device) -> Iterator[Place]:
    """Where a device takes a voltage that is stated; contacts, which are held to all that could come there, left out."""
    consumed: set[str] = set()
    for consumer in device.consumers:
        if consumer.voltage is not None:
            consumed |= {consumer.a, consumer.b}
            yield Place(device, consumer.a, consumer.b, consumer.voltage, consumer.voltage_kind, False)
    sources = {name for source in device.sources for name in source.poles}
    for terminal in device.terminals.values():
        if terminal.voltage is None or terminal.role is Role.CONTACT or terminal.name in consumed | sources:
            continue
        for other in (terminal.common,) if terminal.common else (*_alike(device, terminal),) or ("",):
            yield Place(device, terminal.name, other, terminal.voltage, terminal.voltage_kind, False)
    rating = device.ratings.quantity("voltage")
    if rating is not None and device.kind in SWITCHING | TAKING and device.category != Category.SUPPLY:
        ways = [t.name for t in device.terminals.values() if t.role in {Role.LINE_IN, Role.NEUTRAL} and t.voltage is None]
        yield from (Place(device, one, other, rating, "", True) for one, other in combinations(ways, 2))


def _alike(device: Device, terminal: Terminal) -> Iterator[str]:
    """Other terminals of the same role and rating: the other pole."""
    for other in device.terminals.values():
        if other is not terminal and other.role is terminal.role and other.voltage == terminal.voltage:
            yield other.name
