"""Random control circuits of up to 12 contacts: the formulas, the proofs and the simulation against trying everything."""

from __future__ import annotations

from itertools import combinations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from netdsl.states import Answer, Circuit, Joins, Mover, Prover, Simulation, Verdict, circuit_of
from netdsl.states.machine import TURNS
from netdsl.states.settling import MOST, settle, settle_apart
from netdsl.states.types import Cause
from netdsl.states.ways import Islands, Variables, Wants
from tests.states.changed_examples import changed
from tests.states.drawn_circuits import (
    BUTTONS,
    POSITIONS,
    REST,
    SELECTOR,
    Contact,
    Drawn,
    State,
    conducts,
    drawings,
    explored,
    moved,
    network_of,
    pending,
    text_of,
)

settled = settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow], derandomize=True)


def circuit(drawn: Drawn) -> Circuit:
    return circuit_of(network_of(text_of(drawn)))


def state_of(made: Circuit, state: State) -> dict[Mover, bool]:
    """A drawn state as that of the movers."""
    found = {}
    for mover, movement in made.movements.items():
        on = movement.rest
        if movement.cause is Cause.COIL:
            on = mover.device in state.pulled
        elif mover.device in (*BUTTONS, SELECTOR):
            on = mover.word.removeprefix("at ") in state.given if mover.device == SELECTOR else mover.device in state.given
        elif movement.cause is Cause.VOLTAGE:
            on = state.live
        found[mover] = on
    return found


@settled
@given(drawings(), st.data())
def test_the_energised_coils_are_those_with_a_path(drawn: Drawn, data: st.DataObject) -> None:
    made = circuit(drawn)
    variables = Variables()
    wants = Wants(made, Islands(made), variables)
    some = st.frozensets(st.sampled_from(drawn.relays))
    for given_ in drawn.given():
        pulled = data.draw(some)
        state = State(pulled, given_, True, frozenset())
        values = state_of(made, state)
        expected = drawn.energised(pulled | given_)
        for relay in drawn.relays:
            formula = wants.of(Mover(relay, "coil"))
            assert variables.formulas.value(formula, lambda n, v=values: v[variables.named[n]]) is (relay in expected)
        simulation = Simulation(made)
        simulation.assign(values)
        assert {m.device for m in simulation.pending()} == set(pending(drawn, state))


@settled
@given(drawings())
def test_a_verdict_is_that_of_trying_every_state(drawn: Drawn) -> None:
    joins = Joins(Prover(circuit(drawn)))
    (question,) = joins.questions()
    verdict = joins.verdict(question)
    seen, endless = explored(drawn)
    bad = [state for state in seen if conducts(state, "-K1") and conducts(state, "-K2")]
    if verdict.answer is Answer.NOT_PROVED:
        assert endless
    else:
        assert (verdict.answer is Answer.REACHED) is bool(bad)
    if verdict.answer is Answer.REACHED:
        both = [state for state in bad if {"-K1", "-K2"} <= state.pulled]
        assert verdict.in_a_moment is not bool(both)
        replay(drawn, verdict)


def replay(drawn: Drawn, verdict: Verdict) -> None:
    """Play the sequence that a verdict tells: each step must be one that the drawing allows, the last one joins."""
    state = REST
    for stage in verdict.stages:
        if stage.given:
            assert not pending(drawn, state, drawn.relevant())
            given_, live = set(state.given), state.live
            for mover, on in stage.given:
                word = mover.word.removeprefix("at ") if mover.device == SELECTOR else mover.device
                if mover.word == "voltage":
                    live = on
                elif on:
                    given_.add(word)
                else:
                    given_.discard(word)
            assert len(given_ & set(POSITIONS)) <= 1
            state = State(state.pulled, frozenset(given_), live, frozenset())
        for mover, on in stage.moved:
            assert mover.device in pending(drawn, state)
            assert on is (mover.device not in state.pulled)
            state = moved(drawn, state, mover.device)
    assert conducts(state, "-K1") and conducts(state, "-K2")


operations = st.lists(
    st.one_of(
        st.tuples(st.sampled_from(BUTTONS), st.booleans()),
        st.tuples(st.just(SELECTOR), st.sampled_from((*POSITIONS, None))),
    ),
    max_size=6,
)


@settled
@given(drawings(), operations)
def test_sequences_end_where_the_simulation_ends(drawn: Drawn, listed: list[tuple[str, bool | str | None]]) -> None:
    """Played by hand, one relay after the other in every order: the simulation ends in one of the states found."""
    made = circuit(drawn)
    simulation = Simulation(made)
    simulation.settle()
    ends = rested(drawn, {REST})
    for name, value in listed:
        if simulation.restless or not ends:
            return
        if name == SELECTOR:
            for end in ((), (value,)) if value else ((),):
                ends = rested(drawn, {s._replace(given=s.given - set(POSITIONS) | set(end), arcs=frozenset()) for s in ends})
        else:
            change = {name}
            given_ = [(s, s.given | change if value else s.given - change) for s in ends]
            ends = rested(drawn, {s._replace(given=own, arcs=frozenset()) for s, own in given_})
        operate(made, simulation, name, value)
    pulled = frozenset(m.device for m, on in simulation.state.items() if on and m.word == "coil")
    assert simulation.restless or pulled in {state.pulled for state in ends}


def operate(made: Circuit, simulation: Simulation, name: str, value: bool | str | None) -> None:
    movers = [mover for mover in made.movements if mover.device == name]
    if name != SELECTOR:
        for mover in movers:
            simulation.operate(mover, bool(value))
    elif movers:
        wanted = Mover(SELECTOR, f"at {value}")
        if wanted in movers:
            simulation.operate(wanted, True)
        else:
            simulation.leave(SELECTOR)


@settled
@given(drawings())
def test_coils_settle_where_no_chain_of_turns_is_longer_than_each_may_take(drawn: Drawn) -> None:
    builder = Prover(circuit(drawn)).builder
    longest = (TURNS - 1) * len(drawn.relays) + 1
    stand = [frozenset(pulled) for n in range(len(drawn.relays) + 1) for pulled in combinations(drawn.relays, n)]

    def turn_longer(pulled: frozenset[str]) -> bool:
        states = {State(pulled, given_, live, frozenset()) for given_ in drawn.given() for live in (True, False)}
        for _ in range(longest):
            after = (moved(drawn, state, relay) for state in states for relay in pending(drawn, state))
            states = {state._replace(arcs=frozenset()) for state in after}
        return bool(states)

    begun = [pulled for pulled in stand if not (drawn.interlocked and {"-K1", "-K2"} <= pulled) and turn_longer(pulled)]
    coils = [Mover(relay, "coil") for relay in drawn.relays]
    assert settle(builder, coils) is not bool(begun)
    for apart in combinations(coils, 2):
        never = {mover.device for mover in apart}
        assert settle_apart(builder, coils, lambda pair, apart=apart: pair == apart) is all(never <= pulled for pulled in begun)


def test_many_coils_are_left_to_the_proof_over_what_rest_leads_to() -> None:
    builder = Prover(circuit(Drawn((Contact("-S1", False, 0, 1),), (1, 1), False))).builder
    assert settle(builder, [Mover("-K1", "coil")]) is True
    assert settle(builder, [Mover("-K1", "coil")] * (MOST + 1)) is False


def test_pumps_settle_where_their_contactors_to_one_drive_are_never_both_pulled() -> None:
    """Not where those of one pump are not."""
    interlock = ("  interlock $contactor $mains mechanical\n", "")
    builder = Prover(circuit_of(changed("alternating-pumps", interlock))).builder
    coils = [Mover(f"=BP{pump}-K{number}", "coil") for pump in (1, 2) for number in (1, 2, 4)]
    assert not settle(builder, coils)
    for far in ("=BP1-K2", "=BP2-K1"):
        never = Mover("=BP1-K1", "coil"), Mover(far, "coil")
        assert settle_apart(builder, coils, lambda pair, never=never: pair == never) is (far == "=BP2-K1")


def rested(drawn: Drawn, states: set[State]) -> set[State]:
    """The states of rest that relays come to from `states`, in whatever order they move."""
    seen, open_, found = set(states), list(states), set()
    while open_:
        state = open_.pop()
        movers = pending(drawn, state)
        if not movers:
            found.add(state)
        for relay in movers:
            after = moved(drawn, state, relay)
            if after not in seen:
                seen.add(after)
                open_.append(after)
    return found
