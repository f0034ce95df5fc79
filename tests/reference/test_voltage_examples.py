"""Voltages with their angle, and currents of cables side by side, against published worked examples.

Sources: V. K. Mehta, Principles of Power System, performance of transmission lines, examples of short lines (memory);
IEC 60364-4-43:2008, annex A, the share of conductors in parallel that differ (memory).
"""

from __future__ import annotations

from cmath import phase
from math import degrees, sqrt

import pytest
from plants import calculated

from netdsl.calc.conductors import LoadVoltages
from netdsl.calc.loads import LoadCurrents
from tests.cases import each_of

PLACES = """
place +A "Board" kind=cabinet
place +HALL "Hall" kind=field
"""


def test_a_short_line_of_one_phase() -> None:
    """Mehta: 1100 kW at 33 kV and 0.8 over 10 + j 15 ohm: 41.67 A, sending end 33709 V. Held here is the sending end; the printed
    power factors of both ends, 0.8 and 0.7956, tell the angle between them, 0.42 degrees."""
    found = calculated(f"""{PLACES}
supply -G0 system=TN-S phases=1 voltage=33709V frequency=50Hz fault-current=5kA
part load-1ph "Load" {{
  kind = heater   letter = E   class = II
  terminal :1 line-in
  terminal :2 neutral
}}
device -E1 load-1ph at=+HALL current=41.67A power-factor=0.8
wire -G0:L to -E1:1 70mm2 resistance=5ohm reactance=7.5ohm
wire -G0:N to -E1:2 70mm2 BU resistance=5ohm reactance=7.5ohm
""")
    volts = found.of(LoadVoltages).phasor("-E1")
    assert volts is not None and abs(volts) == pytest.approx(33000, rel=1e-4)
    assert degrees(phase(volts)) == pytest.approx(-0.42, abs=0.01)
    result = found.by_key["load-voltage -E1"]
    assert result.value == pytest.approx(33000, rel=1e-4) and "against the voltage of -G0" in result.note
    delta = next(given for given in result.givens if given.symbol == "delta")
    assert delta.value == pytest.approx(-0.42, abs=0.01)


def test_a_short_line_of_three_phases_held_at_its_sending_end() -> None:
    """Mehta: 3600 kW at 0.8, 33 kV at the sending end, 5.31 + j 5.54 ohm a conductor: 81.36 A, receiving end 31.93 kV between
    lines, 18435 V to neutral."""
    found = calculated(f"""{PLACES}
supply -G0 system=TN-S voltage=33kV frequency=50Hz fault-current=5kA
part load-3ph "Load" {{
  kind = heater   letter = E   class = II
  terminal :1 :2 :3 line-in
}}
device -E1 load-3ph at=+HALL current=81.36A power-factor=0.8
wire -G0:L1,L2,L3 to -E1:1,2,3 70mm2 resistance=5.31ohm reactance=5.54ohm
""")
    assert found.by_key["load-voltage -E1"].value == pytest.approx(sqrt(3) * 18435, rel=1e-3)


@each_of(
    ("ohms", "total"),
    [((0.030, 0.030, 0.030), 300), ((0.020, 0.030, 0.060), 330), ((0.0124, 0.0154, 0.0193), 450)],
)
def test_the_share_of_each_of_several_cables(ohms: tuple[float, ...], total: float) -> None:
    """IEC 60364-4-43, annex A: I_Bk = I_B / (Z_k / Z_1 + Z_k / Z_2 + ... + Z_k / Z_m)."""
    ways = "".join(
        f"""
device -F{n} fuse-nh1-gg at=+A current=250A
wire -WB1:L1,L2,L3 to -F{n}:1,3,5 120mm2 resistance=0ohm
cable -W{n} 3x120 resistance={z}ohm method=C {{
  BN -F{n}:2 to -WB2:L1
  BK -F{n}:4 to -WB2:L2
  GY -F{n}:6 to -WB2:L3
}}"""
        for n, z in enumerate(ohms, 1)
    )
    found = calculated(f"""{PLACES}
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=30kA
busbar -WB1 at=+A poles=3 current=630A
busbar -WB2 at=+A poles=3 current=630A
wire -G0:L1,L2,L3 to -WB1:L1,L2,L3 240mm2 resistance=0ohm
{ways}
part load-3ph "Load" {{
  kind = heater   letter = E   class = II
  terminal :1 :2 :3 line-in
}}
device -E1 load-3ph at=+HALL current={total}A
wire -WB2:L1,L2,L3 to -E1:1,2,3 240mm2 resistance=0ohm
""")
    loads = found.of(LoadCurrents)
    for n, z in enumerate(ohms, 1):
        assert loads.device(f"-F{n}") == pytest.approx(total / sum(z / other for other in ohms))
