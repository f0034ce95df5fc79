"""What conductors bear: alone, on several stretches of their way, pole by pole, in parallel."""

from __future__ import annotations

from math import sqrt

import pytest

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.calc.conductors import Ampacities, Capacities, Overloads
from tests.cases import each_of
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


@each_of("ways", ["COOL,WARM", "WARM,COOL"])
def test_of_several_stretches_the_warmest_counts(ways: str) -> None:
    cable = "cable -W1 3x2.5 length=9m along={} {{\n  BN -Q1:2 to -M1:U1\n  BK -Q1:4 to -M1:V1\n  GY -Q1:6 to -M1:W1\n}}\n"
    both, warm = (results(calculated(HEAD + cable.format(way))) for way in (ways, "WARM"))
    assert both["current-carrying-capacity -W1"].value == warm["current-carrying-capacity -W1"].value


@each_of("thin", [0, 1, 2])
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


@each_of(("count", "formula"), [(1, ""), (2, " / 2")])
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


@each_of(
    ("stated", "more", "amps", "words"),
    [
        ("", "", 12.0, "rated input current of -T1, no lower limit stated"),
        ("", "set -T1 motor-current=5A\n", 12.0, "rated input current of -T1, no lower limit stated"),
        ("limited-current=7A", "", 7.0, "current to which it is limited, of -T1"),
    ],
)
def test_a_drive_takes_what_it_is_rated_for_whatever_motor_it_is_set_to(stated: str, more: str, amps: float, words: str) -> None:
    found = overload(
        calculated(f"""{HEAD.split("device -M1")[0]}
device -Q1 mcb-3p at=+A current=32A curve=C
wire -G0:L1,L2,L3 to -Q1:1,3,5 6mm2 length=2m method=C
device -T1 vsd-4kw at=+A current=10A input-current=12A {stated}
device -M1 motor at=+A power=2.2kW current=5A power-factor=0.8 winding=230/400V
connect -M1 star
wire -Q1:2,4,6 to -T1:L1,L2,L3 6mm2 length=2m method=C
wire -T1:U,V,W to -M1:U1,V1,W1 2.5mm2 length=9m method=C
{more}""")
    )
    limited = found["-Q1:2 -- -T1:L1"]
    assert limited.value == pytest.approx(amps, rel=0.01)  # by power and efficiency
    assert limited.givens[0].words == words


NEUTRAL = """
supply -G0 system=TN-S voltage=400V fault-current=6kA
place +A kind=field
part load "Load of three phases" {
  kind = heater   letter = E   class = II
  terminal :L1 :L2 :L3 line-in
  terminal :N neutral
}
device -F1 rcd-4p-a at=+A current=40A
device -E1 load at=+A current=20A third-harmonic=30%
wire -G0:L1,L2,L3,N to -F1:1,3,5,N1 10mm2 length=1m method=C
"""


@each_of(("beside", "factor"), [(True, 0.86), (False, 1.0)])
def test_harmonics_in_the_neutral_warm_the_cable_that_it_lies_in(beside: bool, factor: float) -> None:
    """0.86 for 15 to 33 % in a cable of four or five cores (IEC 60364-5-52, table E.52.1)."""
    cores = "  BN -F1:2 to -E1:L1\n  BK -F1:4 to -E1:L2\n  GY -F1:6 to -E1:L3\n" + ("  BU -F1:N2 to -E1:N\n" if beside else "")
    text = f"cable -W1 {'4x' if beside else '3x'}6 length=9m method=C circuits=1 {{\n{cores}}}\n"
    text += "" if beside else "wire -F1:N2 to -E1:N 6mm2 length=9m method=C circuits=1\n"
    assert results(calculated(NEUTRAL + text))["current-carrying-capacity -W1"].value == pytest.approx(41 * factor)


@each_of(("layers", "factor"), [("", 0.82), ("layers=1", 0.82), ("layers=2", 0.7)])
def test_cables_in_more_than_one_layer_count_as_bunched(layers: str, factor: float) -> None:
    """Three circuits: 0.82 side by side on a perforated tray, 0.7 bunched (IEC 60364-5-52, table B.52.17)."""
    route = f"route WAY at=+A kind=perforated-tray {layers}\n"
    found = results(calculated(HEAD + route + CABLE.format(n=0).replace("method=C circuits=3", "along=WAY circuits=3")))
    assert found["current-carrying-capacity -W0"].value == pytest.approx(25 * factor, rel=0.01), layers


@each_of(("parallel", "count"), [(1, 2), (2, 3)])
def test_each_cable_in_a_way_counts_its_own_and_those_beside_it(parallel: int, count: int) -> None:
    route = "route WAY at=+A kind=tray laying=bunched\n"
    one = CABLE.format(n=0).replace("method=C circuits=3", f"along=WAY parallel={parallel}")
    other = one.replace("-W0", "-W1").replace("-Q1", "-Q2").replace("-M1", "-M2").replace(f"parallel={parallel}", "")
    text = HEAD.replace(
        "device -Q1", "device -M2 motor at=+A power=4kW current=10A winding=400/690V\nconnect -M2 delta\ndevice -Q1"
    )
    text += "device -Q2 mcb-3p at=+A current=16A curve=C\nwire -G0:L1,L2,L3 to -Q2:1,3,5 6mm2 length=2m method=C\n"
    found = results(calculated(text + route + one + other))
    for name in ("-W0", "-W1"):
        given = next(given for given in found[f"current-carrying-capacity {name}"].givens if given.symbol == "n_c")
        assert given.value == count, name


@each_of(("kind", "limited"), [("meter", True), ("lamp", False)])
def test_what_draws_nothing_is_no_branch_without_a_limit(kind: str, limited: bool) -> None:
    """Conductors to a bar are protected by what limits all its branches: a meter needs none."""
    found = overload(
        calculated(f"""{HEAD.split("device -Q1")[0].replace("fault-current=6kA", "")}
part other "Beside the motor" {{
  kind = {kind}   letter = P   class = II
  terminal :L1 :L2 :L3 line-in
}}
busbar -WB1 at=+A current=100A
device -P1 other at=+A
device -Q1 mcb-3p at=+A current=16A curve=C
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 6mm2 length=2m method=C
wire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 length=2m method=C
wire -WB1:L1,L2,L3 to -P1:L1,L2,L3 6mm2 length=2m method=C
wire -Q1:2,4,6 to -M1:U1,V1,W1 6mm2 length=2m method=C
""")
    )
    assert ("-G0:L1 -- -WB1:L1" in found) == limited


def test_behind_a_drive_its_setting_for_the_motor_limits_the_current() -> None:
    found = overload(
        calculated(f"""{HEAD.split("device -M1")[0]}
device -T1 vsd-4kw at=+A current=10A
set -T1 motor-current=5A
device -M1 motor at=+A power=2.2kW current=5A power-factor=0.8 winding=230/400V
connect -M1 star
wire -G0:L1,L2,L3 to -T1:L1,L2,L3 6mm2 length=2m method=C
wire -T1:U,V,W to -M1:U1,V1,W1 2.5mm2 length=9m method=C
""")
    )
    assert found["-T1:U -- -M1:U1"].value == 5


@each_of(
    ("device", "rule", "judged"),
    [
        ("fuse-10x38-gg at=+A current=16A", "tripping-current", True),
        ("fuse-10x38-gg at=+A current=16A", "rated-current", False),
        ("mcb-3p at=+A current=16A curve=C", "rated-current", True),
    ],
)
def test_the_tripping_current_is_left_out_for_fuses_alone(device: str, rule: str, judged: bool) -> None:
    text = f'project "P" {{\n  fuse-overload-rule = {rule}\n}}\n{HEAD.split("device -Q1")[0]}device -Q1 {device}\n'
    text += "wire -G0:L1,L2,L3 to -Q1:1,3,5 6mm2 length=2m method=C\nwire -Q1:2,4,6 to -M1:U1,V1,W1 6mm2 length=2m method=C\n"
    found = {result.key for result in calculated(text).of(Overloads).results()}
    assert ("overload.tripping -Q1:2 -- -M1:U1" in found) == judged
