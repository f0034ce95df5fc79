"""Voltage left at digital inputs, and how long a battery lasts."""

from __future__ import annotations

import pytest

from netdsl.calc.basis import Result
from tests.cases import each_of
from tests.reference.plants import calculated

PLANT = """
project "Far ends" {{
}}
place +A "Board" kind=cabinet
place +F "Field" kind=field
part card "Input card" {{
  kind = controller   letter = A   class = III
  terminal :I1 digital-in common=:M voltage=24V dc current={amps}
  terminal :M digital-common
}}
part button "Contact" {{
  kind = push-button   letter = S   class = II
  terminal :13 :14 contact
  contact :13 to :14 make by=hand
}}
part pack "Buffer" {{
  kind = supply-24v   letter = T   class = III
  terminal :+ supply-out
  terminal :- supply-common
  source :+ to :- voltage=24V dc current=5A
}}
{source}
device -A1 card at=+A {card}
device -S1 button at=+F
wire -G1:- to -A1:M resistance=0ohm
cable -W1 2x0.75 resistance={ohms}ohm {{
  BN -G1:+ to -S1:13
  BU -S1:14 to -A1:I1
}}
"""


def results(*, amps: str = "8mA", ohms: str = "10", battery: str = "", card: str = "") -> dict[str, Result]:
    return calculated(PLANT.format(amps=amps, ohms=ohms, source=battery or BATTERY, card=card)).by_key


BATTERY = "supply -G1 system=DC voltage=24V"


def test_an_input_gets_what_the_way_to_it_leaves() -> None:
    """8 mA over 10 ohm there and 10 back."""
    found = results()["input-voltage -A1:I1 from -G1:+"]
    assert (found.value, found.limit, found.holds) == (pytest.approx(24 - 0.008 * 20), 15, True)


@each_of(("card", "limit", "holds"), [("", 15, False), ("input-on-voltage=11V", 11, True)])
def test_an_input_that_gets_too_little_is_not_on(card: str, limit: float, holds: bool) -> None:
    """8 mA over 1250 ohm are 10 V: 14 V are left."""
    found = results(ohms="625", card=card)["input-voltage -A1:I1 from -G1:+"]
    assert (found.value, found.limit, found.holds) == (pytest.approx(14), limit, holds)


def test_a_battery_lasts_for_its_charge_over_the_current() -> None:
    """0.08 Ah over 8 mA are 10 h."""
    found = results(battery=f"{BATTERY} battery-capacity=0.08 needed-buffer-time=8h")["buffer-time -G1:+"]
    assert (found.value, found.unit, found.limit, found.holds) == (pytest.approx(10), "h", 8, True)
    assert not results(battery=f"{BATTERY} battery-capacity=0.06 needed-buffer-time=8h")["buffer-time -G1:+"].holds
    buffered = results(battery="device -G1 pack at=+A buffer-energy=6912")["buffer-time -G1:+"]
    assert buffered.value == pytest.approx(6912 / 24 / 0.008 / 3600)


def test_a_time_that_is_needed_of_a_battery_without_capacity_is_missing() -> None:
    calculation = calculated(PLANT.format(amps="8mA", ohms="1", source=f"{BATTERY} needed-buffer-time=1h", card=""))
    assert "buffer-time -G1:+" not in calculation.by_key
    assert [(gap.kind, gap.things) for gap in calculation.missing if gap.kind == "capacity"] == [("capacity", ("-G1",))]
