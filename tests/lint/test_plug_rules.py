"""Which half of a plug connection stays live when it is pulled."""

from __future__ import annotations

from tests.cases import each_of
from tests.lint.conftest import Check

RULES = ("pins-live",)

PLANT = """part pins {
  kind = plug   class = II   contacts = pins
  terminal :1 :2 plain 0.5..4mm2
}
part sockets {
  kind = plug   class = II   contacts = sockets
  terminal :1 :2 plain 0.5..4mm2
}
device -F1 mcb-1p at=+MCP current=10A
device -E1 heater at=+HALL
wire -WB1:L1 to -F1:1 2.5mm2 BK
wire -F1:2 to -XJ1:1 2.5mm2 BK
wire -WB1:N to -XJ1:2 2.5mm2 BU
cable -W1 3G2.5 length=5m method=C {
  BN -XP1:1 to -E1:L
  BU -XP1:2 to -E1:N
  GNYE -XE1:3 to -E1:PE
}
"""


def halves(near: str, far: str, couple: str = "couple -XJ1 -XP1") -> str:
    return PLANT.replace("device -F1", f"device -XJ1 {near} at=+MCP\ndevice -XP1 {far} at=+HALL\n{couple}\ndevice -F1", 1)


@each_of("couple", ["couple -XJ1 -XP1", "couple -XP1 -XJ1"])
def test_the_half_on_the_side_of_the_supply_has_sockets(couple: str, found: Check) -> None:
    (finding,) = found(halves("pins", "sockets", couple))
    assert finding.message == "`-XJ1` has pins, and they stay live when it is pulled from `-XP1`"
    assert finding.subjects == ("-XJ1",)
    assert found(halves("sockets", "pins", couple)) == ()


def test_at_extra_low_voltage_pins_are_no_danger(found: Check) -> None:
    text = """part pins {
  kind = plug   class = III   contacts = pins
  terminal :1 :2 plain 0.5..4mm2
}
supply -G9 system=DC voltage=24V
device -XJ1 pins at=+MCP
device -XP1 pins at=+HALL
couple -XJ1 -XP1
device -P1 lamp at=+HALL
cable -W8 2x1.5 length=5m {
  BN -G9:+ to -XJ1:1
  BU -G9:- to -XJ1:2
}
cable -W9 2x1.5 length=5m {
  BN -XP1:1 to -P1:X1
  BU -XP1:2 to -P1:X2
}
"""
    assert found(text) == ()
