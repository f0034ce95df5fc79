"""What conductors bear: alone, on several stretches of their way, pole by pole, in parallel."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.calc.conductors import Ampacities, Capacities, Overloads
from tests.readings import EXAMPLES, calculation_of
from tests.reference.plants import calculated

HEAD = """
supply -G0 "Mains" system=TN-S voltage=400V fault-current=6kA
place +A kind=field
route COOL at=+A kind=tray ambient=20degC
route WARM at=+A kind=tray ambient=50degC
device -M1 motor at=+A power=4kW current=10A power-factor=0.8 winding=400/690V
connect -M1 delta
device -Q1 mcb-3p at=+A current=16A curve=C
wire -G0:L1,L2,L3 to -Q1:1,3,5 6mm2 length=2m method=C
"""


def results(calculation: Calculation) -> dict[str, Result]:
    return {result.key: result for result in calculation.of(Capacities).results()}


def alone(calculation: Calculation, name: str) -> float:
    """What a conductor bears without the factor of what lies beside it, over what it bears with it."""
    single = calculation.of(Ampacities)
    beside, by_itself = single.of(name), single.of(name, alone=True)
    assert beside is not None and by_itself is not None
    return by_itself.amps / beside.amps


def test_alone_the_circuits_beside_a_conductor_do_not_count() -> None:
    found = calculated(HEAD + "wire -Q1:2,4,6 to -M1:U1,V1,W1 2.5mm2 length=9m method=B1 circuits=4\n")
    assert alone(found, "-Q1:2 -- -M1:U1") == pytest.approx(1 / 0.65)  # table B.52.17, four circuits bunched


@pytest.mark.parametrize("ways", ["COOL,WARM", "WARM,COOL"])
def test_of_several_stretches_the_warmest_counts(ways: str) -> None:
    cable = "cable -W1 3x2.5 length=9m along={} {{\n  BN -Q1:2 to -M1:U1\n  BK -Q1:4 to -M1:V1\n  GY -Q1:6 to -M1:W1\n}}\n"
    both, warm = (results(calculated(HEAD + cable.format(way))) for way in (ways, "WARM"))
    assert both["current-carrying-capacity -W1"].value == warm["current-carrying-capacity -W1"].value


@pytest.mark.parametrize("thin", [0, 1, 2])
def test_of_unequal_poles_the_thinnest_counts(thin: int) -> None:
    ends = ("-Q1:2 to -M1:U1", "-Q1:4 to -M1:V1", "-Q1:6 to -M1:W1")
    wires = (f"wire {end} {'1.5mm2' if n == thin else '6mm2'} length=9m method=B1\n" for n, end in enumerate(ends))
    found = results(calculated(HEAD + "".join(wires)))
    (result,) = (result for key, result in found.items() if key.startswith("current-carrying") and "-M1" in key)
    assert result.value == 15.5  # table B.52.4, method B1, 1.5 mm²


CABLE = """cable -W{n} 3x2.5 length=9m method=C circuits=3 {{
  BN -Q1:2 to -M1:U1
  BK -Q1:4 to -M1:V1
  GY -Q1:6 to -M1:W1
}}
"""


@pytest.mark.parametrize(("count", "formula"), [(1, ""), (2, " / 2")])
def test_each_of_several_in_parallel_needs_its_share(count: int, formula: str) -> None:
    found = results(calculated(HEAD + "".join(CABLE.format(n=n) for n in range(count))))
    (result,) = (result for key, result in found.items() if key.startswith("required-capacity") and "-W0" in key)
    assert result.value == pytest.approx(10 / 0.79 / count)  # table B.52.17, three circuits in a single layer
    assert result.formula_text == f"I_b / (k_ambient · k_group){formula}"


def overload(calculation: Calculation) -> dict[str, Result]:
    """What the rated current of conductors is held against, by their first."""
    return {
        result.conductors[0]: result for result in calculation.of(Overloads).results() if result.question == "overload.capacity"
    }


def test_a_relay_in_the_delta_guards_line_and_star_point_by_their_share() -> None:
    """A relay set to 9 A in the windings: 9 A times the square root of 3 in the line, 9 A over it in the star point."""
    found = overload(calculation_of(EXAMPLES / "star-delta" / "plant.netdsl"))
    assert found["=WP1-W1 1"].value == 9
    assert found["=WP1-Q1:2 -- =WP1-K1:1"].value == pytest.approx(9 * sqrt(3))
    assert found["=WP1-K2:2 -- =WP1-K3:1"].value == pytest.approx(9 / sqrt(3))


@pytest.mark.parametrize(
    ("more", "amps", "words"),
    [
        ("", 12.0, "rated input current of -T1, which no setting `motor-current` limits"),
        ("set -T1 motor-current=5A\n", 5 * 12 / 10, "input current of -T1 at the output it limits itself to"),
    ],
)
def test_a_drive_that_nothing_sets_to_its_motor_takes_what_it_is_rated_for(more: str, amps: float, words: str) -> None:
    found = overload(
        calculated(f"""{HEAD.split("device -M1")[0]}
device -Q1 mcb-3p at=+A current=32A curve=C
wire -G0:L1,L2,L3 to -Q1:1,3,5 6mm2 length=2m method=C
device -T1 vsd-4kw at=+A current=10A input-current=12A
device -M1 motor at=+A power=2.2kW current=5A power-factor=0.8 winding=230/400V
connect -M1 star
wire -Q1:2,4,6 to -T1:L1,L2,L3 6mm2 length=2m method=C
wire -T1:U,V,W to -M1:U1,V1,W1 2.5mm2 length=9m method=C
{more}""")
    )
    limited = found["-Q1:2 -- -T1:L1"]
    assert limited.value == pytest.approx(amps, rel=0.01)  # by power and efficiency
    assert limited.givens[0].words == words
