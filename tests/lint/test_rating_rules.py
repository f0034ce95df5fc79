"""What is rated for less than flows through it, and what the rule leaves to others."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Check = Callable[..., tuple[Finding, ...]]
RULES = ("rating-exceeded",)

HEATER = """
part demo-heater "Heater, 9 kW" {{
  kind = heater   letter = E   class = I   voltage = 400V   power = 9kW   power-factor = 1
  terminal :1 :2 :3 line-in 1.5..6mm2
  terminal :PE earth 1.5..6mm2
}}
part demo-contactor "Contactor" {{
  kind = contactor   letter = K   class = II
  terminal :1 :3 :5 line-in 1..6mm2
  terminal :2 :4 :6 load-out 1..6mm2
  pole :1,3,5 to :2,4,6 switched by=coil
}}
device -Q5 mcb-3p-b at=+MCP current=25A
device -Q6 {part} at=+MCP {ratings}
device -E1 demo-heater at=+HALL
wire -WB1:L1,L2,L3 to -Q5:1,3,5 6mm2 BK
wire -Q5:2,4,6 to -Q6:1,3,5 6mm2 BK
cable -W5 4G4 length=10m method=C {{
  BN -Q6:2 to -E1:1
  BK -Q6:4 to -E1:2
  GY -Q6:6 to -E1:3
  GNYE -XE1:4 to -E1:PE
}}
"""
MOTOR = """
device -Q1 motor-breaker at=+MCP current=10A setting-range=6.3..10A
device -K1 contactor-9a at=+MCP current=9A thermal-current=9A
device -M1 motor at=+HALL current=9.5A power-factor=0.8 power=4kW
wire -WB1:L1,L2,L3 to -Q1:1,3,5 4mm2 BK
wire -Q1:2,4,6 to -K1:1,3,5 4mm2 BK
cable -W1 4G2.5 length=5m method=C {
  BN -K1:2 to -M1:U1
  BK -K1:4 to -M1:V1
  GY -K1:6 to -M1:W1
  GNYE -XE1:3 to -M1:PE
}
"""


def told(found: Check, text: str) -> list[str]:
    return [finding.message for finding in found(text)]


@each_of(
    ("part", "ratings", "message"),
    [
        ("switch-disconnector", "current=10A", "`-Q6` is rated 10 A and carries 13 A"),
        ("switch-disconnector", "current=16A", ""),
        ("switch-disconnector", "", ""),
        ("rcd-4p-a", "current=10A", "`-Q6` is rated 10 A and carries 13 A"),
        ("demo-contactor", "current=9A utilisation=AC-3", "`-Q6` is rated 9 A and carries 13 A"),
        ("demo-contactor", "current=9A utilisation=AC-3 thermal-current=22A", ""),
    ],
)
def test_a_heater_behind(found: Check, part: str, ratings: str, message: str) -> None:
    assert told(found, HEATER.format(part=part, ratings=ratings)) == ([message] if message else [])


def test_two_of_one_current_in_series_are_one_finding(found: Check) -> None:
    text = HEATER.format(part="switch-disconnector", ratings="current=10A").replace(
        "wire -Q5:2,4,6 to -Q6:1,3,5 6mm2 BK",
        "device -Q7 switch-disconnector at=+MCP current=10A\nwire -Q5:2,4,6 to -Q7:1,3,5 6mm2 BK\n"
        "wire -Q7:2,4,6 to -Q6:1,3,5 6mm2 BK",
    )
    assert told(found, text) == ["`-Q7`, `-Q6` are rated 10 A and carry 13 A"]


def test_contactors_of_motors_have_their_own_rule(found: Check) -> None:
    assert told(found, MOTOR) == []
    assert "contactor-undersized" in [finding.rule for finding in found(MOTOR, only="contactor-undersized")]


def test_a_breaker_of_too_small_a_rating_tells_for_the_switch_behind_it(found: Check) -> None:
    text = HEATER.format(part="switch-disconnector", ratings="current=10A").replace(
        "mcb-3p-b at=+MCP current=25A", "mcb-3p-b at=+MCP current=10A"
    )
    rules = [finding.rule for finding in found(text, only=("overload", "rating-exceeded"))]
    assert rules == ["overload"]


def test_loads_that_never_run_together_say_so(found: Check) -> None:
    second = """
    device -E2 demo-heater at=+HALL
    device -Q8 mcb-3p-b at=+MCP current=25A
    busbar -WB2 at=+MCP poles=3 current=16A {more}
    device -Q9 mcb-3p-b at=+MCP current=32A
    wire -WB1:L1,L2,L3 to -Q9:1,3,5 10mm2 BK
    wire -Q9:2,4,6 to -WB2:L1,L2,L3 10mm2 BK
    wire -WB2:L1,L2,L3 to -Q8:1,3,5 6mm2 BK
    cable -W6 4G4 length=10m method=C {{
      BN -Q8:2 to -E2:1
      BK -Q8:4 to -E2:2
      GY -Q8:6 to -E2:3
      GNYE -XE1:5 to -E2:PE
    }}
    """
    first = HEATER.format(part="switch-disconnector", ratings="current=25A").replace(
        "wire -WB1:L1,L2,L3 to -Q5", "wire -WB2:L1,L2,L3 to -Q5"
    )
    assert told(found, first + second.format(more="")) == ["`-WB2` is rated 16 A and carries 26 A"]
    assert told(found, first + second.format(more="simultaneity=0.5")) == []
