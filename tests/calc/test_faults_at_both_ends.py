"""Which end of a conductor is named where a fault at either demands the same section."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.reference.plants import calculated

PLANT = (Path(__file__).parents[2] / "examples/closed-loop-two-wire/plant.netdsl").read_text("utf-8")


@pytest.mark.parametrize("amps", range(5000, 7000, 150))
def test_a_fuse_lets_the_same_through_at_both_ends_and_the_beginning_is_named(amps: int) -> None:
    """However the operating time times the square of the current is rounded."""
    found = calculated(PLANT.replace("fault-current=6kA", f"fault-current={amps}A")).by_key
    phases, earth = found["fault-withstand -W0 BN"], found["protective-conductor.adiabatic -W0 GNYE"]
    assert phases.note.startswith("fault at its beginning"), phases.inserted
    assert next(given.words for given in earth.givens if given.symbol == "I_k").startswith("largest current to earth at -G0")
