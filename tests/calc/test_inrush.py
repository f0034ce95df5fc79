"""Peaks of what is switched on, and coils that pull in, against the device ahead. Numbers worked out by hand."""

from __future__ import annotations

from collections.abc import Iterable
from math import sqrt

import pytest

from netdsl.calc.basis import Result
from netdsl.calc.control import Inrushes
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
project "Inrush" {{
  number = "1"   {choices}
}}
place +A "Board" kind=cabinet
part trafo "Transformer" {{
  kind = transformer   letter = T   class = II   voltage = 230V   apparent-power = 230VA   {inrush}
  terminal :1 :3 line-in
  terminal :2 supply-out
  terminal :4 supply-common
  source :2 to :4 voltage=230V ac current=1A
}}
part charger "Supply" {{
  kind = supply-24v   letter = T   class = II   voltage = 230V   input-current = 1A   {inrush}
  terminal :L line-in
  terminal :N neutral
  terminal :+ supply-out
  terminal :- supply-common
  source :+ to :- voltage=24V dc current=5A
}}
part pull "Contactor" {{
  kind = contactor   letter = K   class = II   suppressor = built-in
  terminal :A1 :A2 coil
  coil :A1 to :A2 voltage=230V ac power=10W pull-in=230VA
}}
defaults within=+A class=mains section=1.5mm2 length=1m
supply -G0 system=TN-S phases=1 voltage=230V frequency=50Hz fault-current=1kA earth-fault-current=1kA
device -F1 {guard} at=+A
wire -G0:L to -F1:1
{more}
"""
TRAFO = "device -T1 trafo at=+A\nwire -F1:2 to -T1:1\nwire -G0:N to -T1:3"
CHARGER = "device -T{n} charger at=+A\nwire -F1:2 to -T{n}:L\nwire -G0:N to -T{n}:N"
COIL = "device -K{n} pull at=+A\nwire -F1:2 to -K{n}:A1\nwire -G0:N to -K{n}:A2"


def question(guard: str, *more: str, inrush: str = "", choices: str = "") -> Inrushes:
    text = PLANT.format(guard=guard, more="\n".join(more), inrush=inrush, choices=choices)
    return calculated(text).of(Inrushes)


def of(results: Iterable[Result]) -> Result:
    (found,) = results
    return found


@each_of(("curve", "amps", "holds"), [("C", 2, False), ("C", 4, True), ("B", 6, True), ("B", 4, False)])
def test_a_transformer_against_the_lower_end_of_a_breaker(curve: str, amps: int, holds: bool) -> None:
    """20 times 1 A, as stated for all by the project, against the peak of 5 (C) or 3 (B) times the rated current."""
    found = of(question(f"mcb-1p current={amps}A curve={curve}", TRAFO, choices="transformer-inrush = 20").results())
    lower = {"B": 3, "C": 5}[curve] * amps
    assert (found.value, found.limit) == (pytest.approx(20), pytest.approx(sqrt(2) * lower))
    assert found.holds is holds


def test_what_is_only_usual_is_kept_or_not_judged() -> None:
    kept = question("mcb-1p current=4A curve=C", TRAFO)
    assert (of(kept.results()).value, kept.not_judged()) == (pytest.approx(20), ())
    doubtful = question("mcb-1p current=2A curve=C", TRAFO)
    assert list(doubtful.results()) == []
    (name, why), *others = doubtful.not_judged()
    assert (name, others) == ("-F1", [])
    assert "-T1 states no `inrush-current`" in why
    assert "20 A" in why
    assert "14.14 A" in why


def test_peaks_of_what_comes_on_together_are_added() -> None:
    """12 A of each of two supplies against 14.14 A of a breaker C2."""
    found = of(
        question("mcb-1p current=2A curve=C", CHARGER.format(n=1), CHARGER.format(n=2), inrush="inrush-current = 12A").results()
    )
    assert (found.value, found.limit, found.holds) == (pytest.approx(24), pytest.approx(10 * sqrt(2)), False)


def test_a_fuse_bears_the_energy_of_a_supply() -> None:
    """40 A for half a wave of 2 ms: 40^2 / 2 * 0.002 = 1.6 A2s, against 1 A2s that melts a fuse of 2 A and 6.25 of one of 4 A."""
    small = of(question("fuse-1p current=2A curve=gG", CHARGER.format(n=1), inrush="inrush-current = 40A").results())
    assert (small.value, small.limit, small.holds) == (pytest.approx(1.6), pytest.approx(1.0), False)
    assert of(question("fuse-1p current=4A curve=gG", CHARGER.format(n=1), inrush="inrush-current = 40A").results()).holds


def test_a_fuse_ahead_of_a_transformer_bears_its_current_for_a_tenth_of_a_second() -> None:
    """20 A against the peak of 14 A that melts a fuse of 4 A in 0.1 s."""
    found = of(question("fuse-1p current=4A curve=gG", TRAFO, inrush="inrush-current = 20A").results())
    assert (found.value, found.limit, found.holds) == (pytest.approx(20), pytest.approx(14 * sqrt(2)), False)


def test_the_coil_that_takes_most_pulls_in_while_the_others_are_held() -> None:
    """230 VA at 230 V are 1 A, and 10 W hold each of the eleven others."""
    coils = [COIL.format(n=n) for n in range(1, 13)]
    found = of(question("mcb-1p current=2A curve=C", *coils).results())
    assert (found.value, found.limit, found.holds) == (pytest.approx(1 + 11 * 10 / 230), pytest.approx(10), True)
    small = of(question("mcb-1p current=0.3A curve=B", coils[0]).results())
    assert (small.value, small.limit, small.holds) == (pytest.approx(1), pytest.approx(0.9), False)


def test_a_release_that_is_not_set_is_not_judged() -> None:
    assert question("mcb-1p current=2A curve=K", TRAFO).not_judged()[0][0] == "-F1"
