"""Single wires of a stop circuit that break: the stop keeps its effect, or the wire is named."""

from __future__ import annotations

from functools import partial

import pytest

from netdsl.findings import Severity
from netdsl.states import Prover, wires
from tests.cases import each_of
from tests.lint.conftest import Check as Found

RULES = ("stop-circuit", "restart-unexpected")

#: a contactor for a motor, a stop, a start, a selector, a relay, and 24 V for all of them
PANEL = """
part psu "24 V supply" {
  kind = supply-24v   letter = T   class = II   current = 5A
  terminal :+ supply-out 0.5..2.5mm2 clamps=4 common=:-
  terminal :- supply-common 0.5..2.5mm2 clamps=4
  source :+ to :- voltage=24V dc current=5A
}
part contactor "Contactor" {
  kind = contactor   letter = K   class = II   current = 9A
  terminal :1 :3 :5 line-in 0.5..6mm2
  terminal :2 :4 :6 load-out 0.5..6mm2
  terminal :13 :14 contact 0.5..2.5mm2 clamps=4
  terminal :A1 :A2 coil 0.5..2.5mm2 clamps=4
  pole :1,3,5 to :2,4,6 switched by=coil
  contact :13 to :14 make by=coil
  coil :A1 to :A2 voltage=24V dc power=3W
}
device -T1 psu at=+MCP
device -K1 contactor at=+MCP
device -K5 relay-2co at=+MCP
device -K6 relay-2co at=+MCP
device -S1 push-button-stop at=+MCP
device -S2 push-button-start at=+MCP
device -S3 selector-2 at=+MCP
device -M1 motor at=+HALL
strip -X1 at=+MCP {
  :1..6 2.5mm2
  bridge :1..6
}
wire -WB1:L1,L2,L3 to -K1:1,3,5 2.5mm2 BK
wire -K1:2,4,6 to -M1:U1,V1,W1 2.5mm2 BK
wire -T1:+ to -X1:1 1mm2 BU
wire -T1:- to -K1:A2 to -K5:A2 to -K6:A2 1mm2 BU
wire -X1:2 to -S1:21 1mm2 BU
wire -S1:22 to -S2:13 to -K1:13 1mm2 BU
wire -S2:14 to -K1:14 to -K1:A1 1mm2 BU
"""
#: a second way to the coil, past the stop, that a relay keeps open which stands pulled as long as there is voltage
PAST = "wire -X1:4 to -S3:13 1mm2 BU\nwire -S3:14 to -K5:11 1mm2 BU\nwire -K5:12 to -K1:A1 1mm2 BU\n"


RELAY = "wire -X1:3 to -K5:A1 1mm2 BU\n"


#: each of two contactors keeps the other open, and both hang on a relay that an emergency stop drops
REVERSED = """
device -K2 contactor-9a at=+MCP
device -K3 contactor-9a at=+MCP
device -S4 emergency-stop at=+MCP
wire -X1:5 to -S4:11 1mm2 BU
wire -S4:12 to -K5:A1 1mm2 BU
wire -X1:4 to -K5:11 1mm2 BU
wire -K5:14 to -K2:21 to -K3:21 1mm2 BU
wire -K2:22 to -K3:A1 1mm2 BU
wire -K3:22 to -K2:A1 1mm2 BU
wire -K6:A2 to -K2:A2 to -K3:A2 1mm2 BU
wire -WB1:L1,L2,L3 to -K2:1,3,5 to -K3:1,3,5 2.5mm2 BK
wire -K2:2,4,6 to -K3:6,4,2 2.5mm2 BK
"""


def test_a_wire_behind_whose_break_the_stop_does_nothing_is_named(found: Found) -> None:
    (finding,) = found(PANEL + PAST + RELAY)
    assert finding.severity is Severity.ERROR
    assert finding.message == (
        "`-K1` runs on while `-S1` is actuated if wire `-X1:3 -- -K5:A1` is broken: "
        "1. `-K5` pulls; 2. press `-S1` and turn `-S3` to on and wire `-X1:3 -- -K5:A1` breaks: `-K5` drops, `-K1` pulls"
    )
    assert finding.span.text == "wire -X1:3 to -K5:A1 1mm2 BU"
    assert [related.message for related in finding.related] == [
        "`-S1` is declared here",
        "a break of this wire does the same",
    ]
    assert finding.related[1].span.text == "wire -T1:- to -K1:A2 to -K5:A2 to -K6:A2 1mm2 BU"


def test_the_wire_of_a_relay_that_has_to_pull_is_named_beside(found: Found) -> None:
    both = PANEL.replace("-S1 push-button-stop", "-S1 push-button-1-1")
    (finding,) = found(both + PAST + "wire -X1:5 to -S1:13 1mm2 BU\nwire -S1:14 to -K5:A1 1mm2 BU\n")
    assert finding.message == "a relay has to pull for `-S1` to stop `-K1`: behind a broken wire it stops nothing"
    named = [related for related in finding.related if "break of wire" in related.message]
    assert [related.message for related in named] == ["behind a break of wire `-X1:5 -- -S1:13`, for one"]


@each_of(
    "text",
    [
        # the second way comes from behind the stop
        PAST.replace("-X1:4", "-S1:22") + RELAY,
        # the contactor of the other direction keeps this one open, and both hang on the stop
        "wire -S1:22 to -S3:13 1mm2 BU\nwire -S3:14 to -K5:A1 1mm2 BU\n"
        "wire -S1:22 to -K5:11 1mm2 BU\nwire -K5:12 to -K1:A1 1mm2 BU\n",
        REVERSED,
    ],
)
def test_a_stop_that_no_broken_wire_takes_the_effect_from_is_silent(found: Found, text: str) -> None:
    assert found(PANEL + text) == ()


def test_a_motor_that_runs_on_through_an_emergency_stop_beside_it_does_not_run_again(found: Found) -> None:
    switch = "device -Q9 switch-disconnector at=+MCP operated-at=+MCP current=40A\nbusbar -WB2 at=+MCP poles=3 current=40A\n"
    fed = "wire -WB1:L1,L2,L3 to -Q9:1,3,5 6mm2 BK\nwire -Q9:2,4,6 to -WB2:L1,L2,L3 6mm2 BK\n"
    assert found((PANEL + REVERSED).replace("-WB1", "-WB2") + switch + fed) == ()


def test_what_is_not_proved_of_a_broken_wire_is_a_warning(found: Found, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wires, "Prover", partial(Prover, questions=0))
    (finding,) = found(PANEL + PAST + RELAY)
    assert finding.severity is Severity.WARNING
    assert finding.message.startswith("`-K1` may run on, as the opposite is not proved, while `-S1` is actuated if wire")
