"""Circuits ahead of the main isolator, and brake resistors: what is reported, and every case that is not."""

from __future__ import annotations

from collections.abc import Callable

from lint.frame import FRAME
from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = (
    "isolation-missing",
    "brake-unprotected",
)

PARTS = """\
part main-switch "Isolator" {
  kind = isolator   letter = Q   class = II
  terminal :1 :3 :5 line-in 0.5..16mm2
  terminal :2 :4 :6 load-out 0.5..16mm2
  pole :1,3,5 to :2,4,6 by=handle
}
part single "Breaker" {
  kind = breaker   letter = F   class = II   breaking = 10kA
  terminal :1 line-in 0.5..10mm2
  terminal :2 load-out 0.5..10mm2
  pole :1 to :2
}
part triple "Breaker, 3 poles" {
  kind = breaker   letter = Q   class = II   breaking = 10kA
  terminal :1 :3 :5 line-in 0.5..16mm2
  terminal :2 :4 :6 load-out 0.5..16mm2
  pole :1,3,5 to :2,4,6
}
part arrester "Surge protection" {
  kind = surge-protection   letter = F   class = II
  terminal :L1 :L2 :L3 line-in 0.5..10mm2
}
part button "Push-button" {
  kind = push-button   letter = S   class = II
  terminal :13 :14 contact 0.5..2.5mm2
  contact :13 to :14 make by=hand
}
part light "Cabinet light" {
  kind = lamp   letter = E   class = II
  terminal :L :N load 0.5..2.5mm2
  load :L to :N voltage=230V ac
}
"""
#: a second set of bars, from which the isolator takes its own
BARS = "busbar -WB2 at=+MCP poles=4 current=63A\nwire -WB1:L1,L2,L3 to -WB2:L1,L2,L3 4mm2 BK\nwire -WB1:N to -WB2:N 4mm2 BU\n"
PANEL = (
    PARTS
    + BARS
    + (
        "device -Q0 main-switch at=+MCP\nbusbar -WB3 at=+MCP poles=3 current=63A\n"
        "wire -WB2:L1,L2,L3 to -Q0:1,3,5 4mm2 BK\nwire -Q0:2,4,6 to -WB3:L1,L2,L3 4mm2 BK\n"
        "device -F1 single at=+MCP\nwire -WB3:L1 to -F1:1 2.5mm2 BK\n"
    )
)
AHEAD = "device -F9 single at=+MCP\nwire -WB2:L1 to -F9:1 2.5mm2 {}\n"


def of(findings: tuple[Finding, ...], rule: str = "isolation-missing") -> list[Finding]:
    return [finding for finding in findings if finding.rule == rule]


def test_what_lies_behind_the_isolator_is_silent(found: Found) -> None:
    assert of(found(PANEL)) == []


def test_a_circuit_ahead_of_the_isolator_is_reported_once(found: Found) -> None:
    text = PANEL + AHEAD.format("BK") + "device -E1 light at=+MCP\nwire -F9:2 to -E1:L 1mm2 BK\nwire -WB2:N to -E1:N 1mm2 BU\n"
    (finding,) = of(found(text))
    assert finding.message == "`-F9` stays live with `-Q0` off: its circuit begins at `-WB2:L1`, ahead of the isolator"
    assert finding.subjects[0] == "-F9"


def test_a_control_circuit_ahead_of_the_isolator_is_one_too(found: Found) -> None:
    (finding,) = of(found(PANEL + "device -S9 button at=+MCP\nwire -WB2:L2 to -S9:13 1mm2 RD\n"))
    assert finding.subjects[0] == "-S9"


@each_of(
    "text",
    [
        AHEAD.format("OG"),
        AHEAD.format("BK") + 'caution on -F9 "live with the isolator off"\n',
        AHEAD.format("BK") + "device -E1 light at=+MCP\nwire -F9:2 to -E1:L 1mm2 BK\nwire -WB2:N to -E1:N 1mm2 BU\n"
        'caution on -F9 "live with the isolator off"\n',
    ],
)
def test_a_circuit_marked_as_excepted_is_silent(found: Found, text: str) -> None:
    assert of(found(PANEL + text)) == []


def test_surge_protection_belongs_to_the_supply(found: Found) -> None:
    assert of(found(PANEL + "device -F8 arrester at=+MCP\nwire -WB2:L1,L2,L3 to -F8:L1,L2,L3 6mm2 BK\n")) == []


def test_protection_and_strips_on_the_way_to_the_isolator_are_exempt(found: Found) -> None:
    text = PANEL.replace("wire -WB2:L1,L2,L3 to -Q0:1,3,5 4mm2 BK\n", "")
    text += "device -Q9 triple at=+MCP\nstrip -X0 at=+MCP {\n  :1..3 16mm2\n}\n"
    text += "wire -WB2:L1,L2,L3 to -Q9:1,3,5 10mm2 BK\nwire -Q9:2,4,6 to -X0:1..3 10mm2 BK\nwire -X0:1..3 to -Q0:1,3,5 10mm2 BK\n"
    assert of(found(text)) == []
    assert [f.subjects[0] for f in of(found(text + "device -F9 single at=+MCP\nwire -Q9:2 to -F9:1 2.5mm2 BK\n"))] == ["-F9"]


def test_neutral_and_earth_are_not_switched(found: Found) -> None:
    assert of(found(PANEL + "strip -XN at=+MCP {\n  :N neutral 10mm2\n}\nwire -WB2:N to -XN:N 6mm2 BU\n")) == []


def test_a_second_supply_without_isolator_is_reported(found: Found) -> None:
    second = (
        'supply -G1 "Standby" system=TN-S phases=1 voltage=230V frequency=50Hz fault-current=1kA\ndevice -F9 single at=+MCP\n'
        "cable -W9 2x2.5 length=5m method=C {\n  BN -G1:L to -F9:1\n}\n"
    )
    (finding,) = of(found(PANEL + second))
    assert finding.subjects[0] == "-G1"
    assert "`-Q0`" in finding.message
    assert of(found(PANEL + second + 'caution on -F9 "second supply"\n')) == []
    own = second.replace("device -F9 single", "device -Q9 main-switch").replace("-F9:1", "-Q9:1")
    own += "device -F9 single at=+MCP\nwire -Q9:2 to -F9:1 2.5mm2 BK\n"
    assert of(found(PANEL + own)) == []


def test_an_extra_low_voltage_supply_needs_no_isolator(found: Found) -> None:
    battery = (
        'supply -G1 "Battery" system=DC voltage=24V\ndevice -F9 single at=+MCP\ncable -W9 2x2.5 length=5m {\n'
        "  BN -G1:+ to -F9:1\n}\n"
    )
    assert of(found(PANEL + battery)) == []


def test_the_isolator_of_one_feeder_is_no_main_isolator(found: Found) -> None:
    text = PARTS + BARS + "device -Q0 main-switch at=+MCP\ndevice -Q1 triple at=+MCP\nwire -WB2:L1,L2,L3 to -Q0:1,3,5 6mm2 BK\n"
    text += "wire -Q0:2,4,6 to -Q1:1,3,5 6mm2 BK\n"
    for n in range(2, 5):
        text += f"device -F{n} single at=+MCP\nwire -WB2:L1 to -F{n}:1 2.5mm2 BK\n"
    assert of(found(text)) == []


MOTOR = """\
device -M1 motor at=+HALL power=0.37kW current=1A power-factor=0.7
cable -W1 4G2.5 length=5m method=C {
  BN -Q1:2 to -M1:U1
  BK -Q1:4 to -M1:V1
  GY -Q1:6 to -M1:W1
  GNYE -XE1:3 to -M1:PE
}
"""


BARE = "\n".join(line.split(" upstream=")[0] for line in FRAME.split("\n"))


def test_without_any_isolator_the_supply_says_what_is_ahead(found: Found) -> None:
    text = MOTOR.replace("-Q1:2", "-WB1:L1").replace("-Q1:4", "-WB1:L2").replace("-Q1:6", "-WB1:L3")
    (finding,) = of(found(text, frame=BARE))
    assert finding.message == "supply `-G0` feeds `-M1` and has no disconnecting device"
    assert of(found(text, frame=BARE.replace("system=TN-S", "system=TN-S upstream=fuse-gG-50A"))) == []


def test_a_breaker_may_disconnect_a_small_plant(found: Found) -> None:
    text = PARTS + BARS + "device -Q1 triple at=+MCP\nwire -WB2:L1,L2,L3 to -Q1:1,3,5 6mm2 BK\n" + MOTOR
    assert of(found(text, frame=BARE)) == []


def test_an_isolator_beside_the_motor_is_no_main_isolator(found: Found) -> None:
    text = (
        PARTS + BARS + "device -Q1 main-switch at=+HALL\nwire -WB2:L1,L2,L3 to -Q1:1,3,5 6mm2 BK\n" + MOTOR + AHEAD.format("BK")
    )
    assert of(found(text)) == []


# --- brake-unprotected ------------------------------------------------------------------------------------------------

BRAKE = """\
part braking-drive "Drive with brake terminals" {
  kind = drive   letter = T   class = I   input-current = 9A
  terminal :L1 :L2 :L3 line-in 0.5..6mm2
  terminal :BR1 :BR2 load-out 0.5..6mm2
  terminal :PE earth 1.5..10mm2
  terminal :24V supply-out 0.2..2.5mm2 common=:COM voltage=24V dc
  terminal :COM digital-common 0.2..2.5mm2
  terminal :DI1 digital-in 0.2..2.5mm2 common=:COM voltage=24V dc
  source :24V to :COM voltage=24V dc current=200mA
}
part brake-resistor "Brake resistor" {
  kind = resistor   letter = R   class = II
  terminal :1 :2 load 0.5..6mm2
  terminal :T1 :T2 contact 0.5..2.5mm2
  contact :T1 to :T2 break by=temperature
}
part plain-resistor "Brake resistor without switch" {
  kind = resistor   letter = R   class = II
  terminal :1 :2 load 0.5..6mm2
}
part power-contactor "Contactor" {
  kind = contactor   letter = K   class = II
  terminal :1 :3 :5 line-in 0.5..6mm2
  terminal :2 :4 :6 load-out 0.5..6mm2
  terminal :A1 :A2 coil 0.5..2.5mm2
  pole :1,3,5 to :2,4,6 switched by=coil
  coil :A1 to :A2 voltage=230V ac
}
part small-relay "Relay" {
  kind = relay   letter = K   class = II
  terminal :A1 :A2 coil 0.5..2.5mm2
  terminal :11 :14 contact 0.5..2.5mm2
  contact :11 to :14 make by=coil
  coil :A1 to :A2 voltage=230V ac
}
part bimetal "Overload relay" {
  kind = overload   letter = B   class = II
  terminal :1 :3 line-in 0.5..6mm2
  terminal :2 :4 load-out 0.5..6mm2
  terminal :95 :96 contact 0.5..2.5mm2
  pole :1,3 to :2,4
  contact :95 to :96 break by=overload
}
device -K1 power-contactor at=+MCP
device -T1 braking-drive at=+MCP
wire -WB1:L1,L2,L3 to -K1:1,3,5 2.5mm2 BK
wire -K1:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK
wire -T1:PE to -XE1:3 10mm2 GNYE
"""
COIL = "wire -K1:A2 to -WB1:N 1mm2 BU\n"
RESISTOR = "device -R1 brake-resistor at=+MCP\nwire -T1:BR1,BR2 to -R1:1,2 2.5mm2 BK\n"


def brake(found: Found, text: str) -> list[str]:
    return [finding.message.partition("overheats: ")[2] for finding in of(found(BRAKE + text), "brake-unprotected")]


def test_a_thermal_switch_in_the_contactor_coil_disconnects(found: Found) -> None:
    assert brake(found, RESISTOR + COIL + "wire -WB1:L1 to -R1:T1 1mm2 RD\nwire -R1:T2 to -K1:A1 1mm2 RD\n") == []


def test_a_thermal_switch_that_is_not_wired_or_missing_is_reported(found: Found) -> None:
    assert brake(found, RESISTOR) == ["no contact of `-R1` is wired"]
    assert brake(found, RESISTOR.replace("brake-resistor", "plain-resistor")) == ["it has no thermal switch"]


def test_an_input_of_the_drive_disconnects_nothing(found: Found) -> None:
    assert brake(found, RESISTOR + "wire -T1:24V to -R1:T1 1mm2 BU\nwire -R1:T2 to -T1:DI1 1mm2 BU\n") == [
        "its contact `-R1:T1`, `-R1:T2` leads to no coil"
    ]


def test_a_relay_between_is_followed(found: Found) -> None:
    relay = (
        "device -K2 small-relay at=+MCP\nwire -WB1:L1 to -R1:T1 1mm2 RD\nwire -R1:T2 to -K2:A1 1mm2 RD\n"
        "wire -K2:A2 to -WB1:N 1mm2 BU\n"
    )
    acts = "wire -WB1:L2 to -K2:11 1mm2 RD\nwire -K2:14 to -K1:A1 1mm2 RD\n"
    assert brake(found, RESISTOR + COIL + relay + acts) == []
    assert brake(found, RESISTOR + COIL + relay) == ["its contact acts on `-K2`, which cannot take the mains from the drive"]


def test_an_overload_relay_may_serve_as_the_switch(found: Found) -> None:
    text = "device -R1 plain-resistor at=+MCP\ndevice -B1 bimetal at=+MCP\nwire -T1:BR1,BR2 to -B1:1,3 2.5mm2 BK\n"
    text += "wire -B1:2,4 to -R1:1,2 2.5mm2 BK\nwire -WB1:L1 to -B1:95 1mm2 RD\nwire -B1:96 to -K1:A1 1mm2 RD\n" + COIL
    assert brake(found, text) == []


def test_a_resistor_that_no_drive_feeds_brakes_nothing(found: Found) -> None:
    assert (
        brake(found, "device -R1 plain-resistor at=+MCP\nwire -WB1:L1 to -R1:1 2.5mm2 BK\nwire -WB1:N to -R1:2 2.5mm2 BU\n") == []
    )
