"""A feed that is missing says nothing of what the circuit behind it carries: no rule on classes speaks up."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.rules_together import SIZING, TOGETHER

Found = Callable[..., tuple[Finding, ...]]
RULES = TOGETHER - SIZING

PLANT = """\
part breaker "Breaker, one pole" {
  kind = breaker   letter = F   class = II
  terminal :1 line-in 0.5..10mm2
  terminal :2 load-out 0.5..10mm2
  pole :1 to :2
}
part float "Float switch" {
  kind = level-switch   letter = B   class = III
  terminal :11 :14 contact 0.5..2.5mm2
}
part probe "Transmitter, four-wire" {
  kind = transmitter   letter = B   class = III
  terminal :+ supply-in 0.2..2.5mm2
  terminal :- supply-common 0.2..2.5mm2
  terminal :I+ :I- analogue-out 0.2..2.5mm2
}
supply -G1 "Battery" system=DC voltage=24V
device -F1 breaker at=+MCP
device -T1 drive at=+MCP
device -B1 float at=+HALL
device -B2 probe at=+HALL
wire -T1:PE to -XE1:3 6mm2 GNYE
route A at=+HALL kind=tray
cable -W1 2x1.5 length=10m {
  BN -G1:+ to -F1:1
}
strip -X1 at=+MCP {
  :1..3 2.5mm2
  :4    2.5mm2
  bridge :1..3
}
wire -F1:2 to -X1:1 1mm2 BU
cable -W2 2x1.5 length=10m along=A {
  BN -X1:2 to -B1:11
  BU -T1:DI1 to -B1:14
}
cable -W3 2x2x0.75 screened length=10m along=A {
  1a -T1:AI1 to -B2:I+
  1b -T1:AC to -B2:I-
  2a -X1:3 to -B2:+
  2b -X1:4 to -B2:-
  screen -T1:SH clamp to -B2 open
}
cable -W4 2x1.5 length=10m {
  BN -G1:- to -X1:4/in
}
"""


def test_a_control_circuit_behind_a_breaker_without_feed_is_no_power_circuit(found: Found) -> None:
    assert found(PLANT) == ()
    assert found(PLANT.replace("  BN -G1:+ to -F1:1\n", "")) == ()


def test_the_supply_cores_of_a_signal_cable_stay_with_it_without_feed(found: Found) -> None:
    assert found(PLANT.replace("  BN -G1:- to -X1:4/in\n", "")) == ()


def test_a_motor_circuit_without_feed_stays_a_power_circuit(found: Found) -> None:
    text = PLANT[: PLANT.index("cable -W4")] + "device -F2 breaker at=+MCP\ndevice -M1 motor at=+HALL\n"
    text += "cable -W5 4G2.5 length=10m along=A {\n  BN -F2:2 to -M1:U1\n  GNYE -XE1:5 to -M1:PE\n}\n"
    assert "bundle-mixed" in {finding.rule for finding in found(text)}
