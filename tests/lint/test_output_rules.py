"""Contactors behind a drive that move on one command with it, and inputs by which its torque is taken off."""

from __future__ import annotations

from tests.cases import each_of
from tests.lint.conftest import Check as Found

RULES = ("output-switched",)

#: a drive with a contactor behind it, what switches both, and a motor
DRIVE = """
part own-drive "Frequency converter" {
  kind = drive   letter = T   class = I   voltage = 380..480V   current = 4.1A   input-current = 3.9A
  terminal :L1 :L2 :L3 line-in   0.5..6mm2
  terminal :U :V :W    motor-out 0.5..6mm2
  terminal :24V supply-out     0.2..2.5mm2 clamps=9 common=:COM voltage=24V dc
  terminal :COM digital-common 0.2..2.5mm2 clamps=9
  terminal :DI1 digital-in     0.2..2.5mm2 function=start common=:COM voltage=24V dc
  terminal :STO1 :STO2 safety-in 0.2..2.5mm2 common=:COM voltage=24V dc
  source :24V to :COM voltage=24V dc current=500mA
}
device -F0 mcb-3p at=+MCP current=10A
device -T1 own-drive at=+MCP
device -K1 contactor-9a at=+MCP
device -K4 timer-on-delay at=+MCP
device -S1 selector-2-2 at=+MCP
device -S2 push-button at=+MCP
device -S3 emergency-stop at=+MCP
device -M1 motor at=+HALL
wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
wire -F0:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK
wire -T1:U,V,W to -K1:1,3,5 2.5mm2 BK
wire -K1:2,4,6 to -M1:U1,V1,W1 2.5mm2 BK
wire -T1:COM to -K1:A2 to -K4:A2 0.75mm2 BU
"""
COMMAND = "wire -T1:24V to -S1:13 0.75mm2 BU\nwire -S1:14 to -K1:A1 0.75mm2 BU\n"
BOTH_PULLED = "turn `-S1` to on: `-K1` pulls"


@each_of(
    ("text", "words"),
    [
        (COMMAND + "wire -S1:14 to -T1:DI1 0.75mm2 BU\n", f"1. {BOTH_PULLED}"),
        # another contact of the same selector, and torque inputs that an emergency stop opens
        (
            COMMAND + "wire -T1:24V to -S1:23 0.75mm2 BU\nwire -S1:24 to -T1:DI1 0.75mm2 BU\n"
            "wire -T1:24V to -S3:11 to -S3:21 0.75mm2 BU\nwire -S3:12 to -T1:STO1 0.75mm2 BU\n"
            "wire -S3:22 to -T1:STO2 0.75mm2 BU\n",
            BOTH_PULLED,
        ),
        # one relay gives both
        (
            "device -K3 relay-2co at=+MCP\nwire -T1:24V to -S1:13 to -K3:11 to -K3:21 0.75mm2 BU\n"
            "wire -S1:14 to -K3:A1 0.75mm2 BU\n"
            "wire -T1:COM to -K3:A2 0.75mm2 BU\nwire -K3:14 to -K1:A1 0.75mm2 BU\nwire -K3:24 to -T1:DI1 0.75mm2 BU\n",
            "1. turn `-S1` to on: `-K3` pulls, `-K1` pulls",
        ),
        # torque inputs that nothing says to be such: with them on, the drive is told to run by its start alone
        (
            "wire -T1:24V to -S1:13 to -S2:13 0.75mm2 BU\nwire -S2:14 to -K1:A1 0.75mm2 BU\nwire -S1:14 to -T1:DI1 0.75mm2 BU\n"
            "wire -T1:24V to -T1:STO1 to -T1:STO2 0.75mm2 BU\n",
            "press `-S2`",
        ),
    ],
)
def test_a_contactor_that_closes_behind_a_drive_told_to_run_is_reported(found: Found, text: str, words: str) -> None:
    (finding,) = found(DRIVE + text)
    assert finding.message.startswith("`-K1` in the output of drive `-T1` moves while the drive is told to run: ")
    assert words in finding.message


@each_of(
    "text",
    [
        # the start waits for the contactor
        COMMAND + "wire -S1:14 to -K1:13 0.75mm2 BU\nwire -K1:14 to -T1:DI1 0.75mm2 BU\n",
        # the start waits for a time
        COMMAND + "wire -S1:14 to -K4:A1 0.75mm2 BU\nwire -S1:14 to -K4:15 0.75mm2 BU\nwire -K4:18 to -T1:DI1 0.75mm2 BU\n",
        # a relay beside the contactor gives the start: which of them is first is not known
        COMMAND + "device -K3 relay-1co at=+MCP\nwire -S1:14 to -K3:A1 0.75mm2 BU\nwire -T1:COM to -K3:A2 0.75mm2 BU\n"
        "wire -T1:24V to -K3:11 0.75mm2 BU\nwire -K3:14 to -T1:DI1 0.75mm2 BU\n",
        # the contactor falls and pulls with the torque, by inputs that nothing says to take it off
        "wire -T1:24V to -S3:11 to -S3:21 0.75mm2 BU\nwire -S3:12 to -T1:STO1 to -K1:A1 0.75mm2 BU\n"
        "wire -S3:22 to -T1:STO2 0.75mm2 BU\nwire -T1:24V to -S1:13 0.75mm2 BU\nwire -S1:14 to -T1:DI1 0.75mm2 BU\n",
    ],
)
def test_a_contactor_that_closes_ahead_of_the_start_is_silent(found: Found, text: str) -> None:
    assert found(DRIVE + text) == ()
