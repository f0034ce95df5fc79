"""Random control circuits: drawn as contacts between points, written as plants, and worked out by trying everything.

Nothing here uses `netdsl.states`: paths are followed one by one and states enumerated, which is right and slow.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from itertools import combinations, product
from typing import NamedTuple

from hypothesis import strategies as st

from netdsl.network import Network, build_network
from tests.readings import read_text

PLUS = 0  # the point of the live pole; the coils return to the other pole by themselves
RELAYS = ("-K1", "-K2", "-K3")
BUTTONS = ("-S1", "-S2")
SELECTOR = "-S9"
POSITIONS = ("hand", "auto")


class Contact(NamedTuple):
    """A contact between two points, closed while `by` is on, or off where it `breaks`. `by`: a relay, a button, a position."""

    by: str
    breaks: bool
    a: int
    b: int


@dataclass(frozen=True)
class Drawn:
    """Contacts, the point of each relay's coil, and whether -K1 and -K2 keep each other open mechanically."""

    contacts: tuple[Contact, ...]
    coils: tuple[int, ...]
    interlocked: bool

    @property
    def relays(self) -> tuple[str, ...]:
        return RELAYS[: len(self.coils)]

    def energised(self, on: frozenset[str]) -> frozenset[str]:
        """The relays with a path of closed contacts to the live pole; asked of each state again and again."""
        if on not in self._energised:
            self._energised[on] = self._tried(on)
        return self._energised[on]

    @cached_property
    def _energised(self) -> dict[frozenset[str], frozenset[str]]:
        return {}

    def _tried(self, on: frozenset[str]) -> frozenset[str]:
        """The same, every simple path tried."""
        closed = [c for c in self.contacts if (c.by in on) is not c.breaks]

        def reaches(point: int, passed: frozenset[int]) -> bool:
            if point == PLUS:
                return True
            nexts = [c.b if c.a == point else c.a for c in closed if point in (c.a, c.b)]
            return any(reaches(other, passed | {point}) for other in nexts if other not in passed)

        return frozenset(relay for relay, point in zip(self.relays, self.coils, strict=True) if reaches(point, frozenset()))

    def relevant(self) -> tuple[str, ...]:
        """-K1 and -K2, and every relay whose state can matter to one of them: time does not wait for others."""
        states = [frozenset(pulled) | g for n in range(4) for pulled in combinations(self.relays, n) for g in self.given()]
        acts = {relay: {o for s in states for o in self.energised(s ^ {relay}) ^ self.energised(s)} for relay in self.relays}
        found = {"-K1", "-K2"}
        while more := {relay for relay in self.relays if acts[relay] & found} - found:
            found |= more
        return tuple(relay for relay in self.relays if relay in found)

    def given(self) -> Iterator[frozenset[str]]:
        """Every way in which buttons and selector can stand, with and without voltage."""
        for pressed in product((False, True), repeat=len(BUTTONS)):
            for position in (None, *POSITIONS):
                own = {b for b, on in zip(BUTTONS, pressed, strict=True) if on}
                yield frozenset(own | ({position} if position else set()))


class State(NamedTuple):
    """What is pulled, what is given, whether there is voltage, and the relays between whose poles an arc burns."""

    pulled: frozenset[str]
    given: frozenset[str]
    live: bool
    arcs: frozenset[str]


REST = State(frozenset(), frozenset(), True, frozenset())


def pending(drawn: Drawn, state: State, relays: tuple[str, ...] = ()) -> list[str]:
    """Relays that move now, of some of them or of all."""
    wanted = drawn.energised(state.pulled | state.given) if state.live else frozenset()
    found = []
    for relay in relays or drawn.relays:
        pulls, is_on = relay in wanted, relay in state.pulled
        other = {"-K1": "-K2", "-K2": "-K1"}.get(relay) if drawn.interlocked else None
        if pulls is not is_on and not (pulls and other in state.pulled):
            found.append(relay)
    return found


def moved(drawn: Drawn, state: State, relay: str) -> State:
    """The state after a relay has moved: dropped, it leaves an arc, which a mechanical interlock ends before the other pulls."""
    if relay in state.pulled:
        return state._replace(pulled=state.pulled - {relay}, arcs=state.arcs | {relay})
    ended = {"-K1", "-K2"} if drawn.interlocked and relay in ("-K1", "-K2") else set()
    return state._replace(pulled=state.pulled | {relay}, arcs=state.arcs - (ended - {relay}))


def explored(drawn: Drawn) -> tuple[set[State], bool]:
    """All states of the relevant relays that rest leads to, and whether some moment may last without end."""
    seen, open_ = {REST}, [REST]
    relevant = drawn.relevant()
    while open_:
        state = open_.pop()
        movers = pending(drawn, state, relevant)
        follow = [moved(drawn, state, relay) for relay in movers]
        if not movers:
            follow = [State(state.pulled, given, live, frozenset()) for given in drawn.given() for live in (True, False)]
        for after in follow:
            if after not in seen:
                seen.add(after)
                open_.append(after)
    return seen, any(_turns(drawn, state, drawn.relays) for state in seen)


def _turns(drawn: Drawn, start: State, relays: tuple[str, ...]) -> bool:
    """Whether relays can move from `start` on without end, arcs aside."""
    seen: set[frozenset[str]] = set()
    open_ = [(start, frozenset[frozenset[str]]())]
    while open_:
        state, passed = open_.pop()
        if state.pulled in passed:
            return True
        if state.pulled in seen:
            continue
        seen.add(state.pulled)
        open_ += [(moved(drawn, state, relay), passed | {state.pulled}) for relay in pending(drawn, state, relays)]
    return False


def conducts(state: State, relay: str) -> bool:
    """Whether the poles of a relay conduct, an arc counted."""
    return relay in state.pulled or relay in state.arcs


@cache
def _contacts(relays: int, points: int, most: int) -> st.SearchStrategy[list[tuple[str, bool, tuple[int, int]]]]:
    """Contacts of so many relays between so many points; made once, which takes longer than to draw from it."""
    by = st.sampled_from((*RELAYS[:relays], *BUTTONS, *POSITIONS))
    ends = st.tuples(st.integers(0, points - 1), st.integers(0, points - 1)).filter(lambda pair: pair[0] != pair[1])
    return st.lists(st.tuples(by, st.booleans(), ends), min_size=1, max_size=most)


@st.composite
def drawings(draw: st.DrawFn, contacts: int = 12) -> Drawn:
    """A circuit of two or three relays and up to so many contacts."""
    relays = draw(st.integers(2, 3))
    points = draw(st.integers(relays + 1, relays + 3))
    found = draw(_contacts(relays, points, contacts))
    listed = tuple(Contact(name, breaks and name not in POSITIONS, *pair) for name, breaks, pair in found)
    return Drawn(listed, tuple(range(1, relays + 1)), draw(st.booleans()))


def text_of(drawn: Drawn) -> str:
    """The circuit as a plant: two supplies that the poles of -K1 and -K2 in series would join."""
    points = max(max(c.a, c.b, *drawn.coils) for c in drawn.contacts) + 1
    lines = [
        "netdsl 1",
        'project "Drawn" {',
        '  number = "D-1"',
        "}",
        "place +BOX kind=box material=plastic",
        "supply -G1 system=DC voltage=24V",
        "supply -G2 system=IT voltage=400V",
        "supply -G3 system=IT voltage=400V",
    ]
    for relay in drawn.relays:
        own = [(n, c) for n, c in enumerate(drawn.contacts) if c.by == relay]
        lines += [f"part part{relay} {{", "  kind = contactor   letter = K", "  terminal :1 line-in", "  terminal :2 load-out"]
        lines += ["  terminal :A1 :A2 coil", "  pole :1 to :2 switched by=coil", "  coil :A1 to :A2 voltage=24V dc"]
        lines += [f"  terminal :{n}a :{n}b contact clamps=9" for n, _ in own]
        lines += [f"  contact :{n}a to :{n}b {'break' if c.breaks else 'make'} by=coil" for n, c in own]
        lines += ["}", f"device {relay} part{relay} at=+BOX"]
    for name in (*BUTTONS, SELECTOR):
        wanted = POSITIONS if name == SELECTOR else (name,)
        own = [(n, c) for n, c in enumerate(drawn.contacts) if c.by in wanted]
        lines += [f"part part{name} {{", f"  kind = {'selector' if name == SELECTOR else 'push-button'}   letter = S"]
        lines += [f"  terminal :{n}a :{n}b contact clamps=9" for n, _ in own]
        for n, c in own:
            how = "break" if c.breaks else "make"
            line = f"position {c.by} :{n}a to :{n}b" if name == SELECTOR else f"contact :{n}a to :{n}b {how} by=hand"
            lines.append(f"  {line}")
        lines += ["}", f"device {name} part{name} at=+BOX"]
    lines += ["strip -X1 at=+BOX {", f"  :0..{points} 2.5mm2 clamps=20", "}", "wire -G1:+ to -X1:0"]
    for n, c in enumerate(drawn.contacts):
        device = SELECTOR if c.by in POSITIONS else c.by
        lines += [f"wire -X1:{c.a} to {device}:{n}a", f"wire {device}:{n}b to -X1:{c.b}"]
    for relay, point in zip(drawn.relays, drawn.coils, strict=True):
        lines += [f"wire -X1:{point} to {relay}:A1", f"wire {relay}:A2 to -G1:-"]
    lines += ["wire -G2:L1 to -K1:1", "wire -K1:2 to -K2:1", "wire -K2:2 to -G3:L1"]
    lines += ["interlock -K1 -K2 mechanical"] if drawn.interlocked else []
    return "\n".join(lines) + "\n"


@lru_cache(maxsize=8)
def network_of(text: str) -> Network:
    """The network of a plant's text, which is read without an error; the last ones are kept, for tests that look at the same."""
    plant, findings = read_text(text)
    assert plant is not None
    assert not [finding for finding in findings if finding.severity.value == "error"], findings
    return build_network(plant)[0]
