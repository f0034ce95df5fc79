"""The lines of a function with two pumps of which a drive runs one: alternating, or with a fixed lead and one that assists."""

from __future__ import annotations

from netdsl.quantities import number_text
from netdsl.starting.choosing import contactor_for
from netdsl.starting.drive_circuits import fed_drive
from netdsl.starting.feeders import (
    DOOR,
    ZERO_FROM,
    Ways,
    cable_words,
    length,
    line_current,
    links,
    motor_words,
    power,
    rating,
)
from netdsl.starting.mains_circuits import CURVE_D_WORDS
from netdsl.starting.motor_list import Motor
from netdsl.starting.using import use_lines

#: terminals of the strip of the pumps from which its kinds begin
_RELEASE, _ZERO, _FIELD = 11, 21, 31


def alternating(motor: Motor, ways: Ways) -> list[str]:
    """Two pumps that take turns on the drive; the first is handed to the mains when the second is called."""
    lines = [
        *fed_drive(motor, ways),
        *_strip(ways, 4, "release of the drive", 3, ("isolator of pump 1", "isolator of pump 2")),
        'device -X2 screen-bar "Screens" at=+MCP ways=5',
        f'distribution-block -WB2 "Output of the drive" at=+MCP poles=3 current={_block(line_current(motor))}A',
        *use_lines(
            motor.running.scheme,
            f"drive=-T1 output=-WB2 rail=-X1 feed=2 zero={_ZERO + 1} release={_RELEASE}",
            f"screens=-X2 screen=1 panel-way={ways.output} construction=3xauto",
            f"{DOOR} field=+{motor.place} signal-way={motor.place}-CONTROL/2,DUCT3 length={length(motor)}",
        ),
        f"# {motor_words(motor)}; {CURVE_D_WORDS}{cable_words(motor, '; ')}",
    ]
    for pump, other in ((1, 2), (2, 1)):
        lines += use_lines(
            "alternating-pump",
            f"output=-WB2 call-from=-T1:(relay-{pump}-common) call-to=-T1:(relay-{pump}-make) interlock=-T1:(preset-{pump})",
            f"release=-X1:{_RELEASE + pump} other-contactor=-K1{other} other-call=-K3{other} other-handover=-K4{other}",
            f"bus=-WB1 rail=-X1 feed={pump + 2} zero={_ZERO + 1 + pump} bar=-XE1 earth={ways.earth + pump}",
            f"screens=-X2 screen={pump + 1} strip=-X1 first={_FIELD + 2 * (pump - 1)}",
            f"{DOOR} field=+{motor.place} way={motor.place}-DRIVES control-way={motor.place}-CONTROL/1,DUCT2",
            *_motor(motor),
            f"motor=-M{pump} breaker=-Q1{pump} isolator=-Q2{pump} contactor=-K1{pump} mains=-K2{pump} call=-K3{pump}",
            f"handover=-K4{pump} timer=-K5{pump} overload=-B1{pump} lamp=-H1{pump}",
            f"cable=-W1{pump} motor-cable=-W2{pump} isolator-cable=-W3{pump}",
        )
    return [*lines, *links(motor)]


def assisted(motor: Motor, ways: Ways) -> list[str]:
    """A pump on the drive that always leads, and one on the mains that it calls."""
    return [
        *fed_drive(motor, ways),
        *_strip(ways, 2, "24 V while there is water", 4, ("water", "isolator of pump 2")),
        f"# {motor_words(motor)}; {CURVE_D_WORDS}{cable_words(motor, '; ')}",
        *use_lines(
            motor.running.scheme,
            f"drive=-T1 rail=-X1 feed=2 zero={_ZERO + 1} wet={_RELEASE} strip=-X1 first={_FIELD}",
            f"{DOOR} field=+{motor.place} way={motor.place}-DRIVES",
            f"signal-way={motor.place}-CONTROL/2,DUCT3 control-way={motor.place}-CONTROL/1,DUCT2",
            f"power={power(motor)} current={number_text(line_current(motor))}A construction=4Gauto length={length(motor)}",
        ),
        *use_lines(
            "fixed-lead-assist",
            "call-from=-T1:(relay-1-common) call-to=-T1:(relay-1-make) interlock=-T1:(preset-1)",
            f"bus=-WB1 bar=-XE1 earth={ways.earth + 1}",
            f"rail=-X1 feed={_RELEASE + 3} zero={_ZERO + 2} strip=-X1 first={_FIELD + 2}",
            f"{DOOR} field=+{motor.place} way={motor.place}-MAINS control-way={motor.place}-CONTROL/1,DUCT2",
            *_motor(motor),
            "motor=-M2 breaker=-Q2 isolator=-Q3 contactor=-K1 call=-K2 overload=-B3 selector=-S2 lamp=-H1",
            "cable=-W4 motor-cable=-W5 isolator-cable=-W6",
        ),
        *links(motor),
    ]


def _motor(motor: Motor) -> tuple[str, ...]:
    amps = line_current(motor)
    return (
        f"power={power(motor)} current={number_text(amps)}A rating={rating(motor)}",
        f"contactor-part={contactor_for(motor.power_w, amps)}",
        f"section=auto construction=4Gauto length={length(motor)}",
    )


def _strip(ways: Ways, feeds: int, released: str, releases: int, field: tuple[str, str]) -> list[str]:
    """The strip of the pumps: 24 V of the panel, what is released, 0 V, two pairs to the field."""
    return [
        'strip -X1 "Pumps" at=+MCP {',
        f'  :1..{feeds} 2.5mm2 "24 V"',
        f'  :{_RELEASE}..{_RELEASE + releases - 1} 2.5mm2 "{released}"',
        f'  :{_ZERO}..{_ZERO + 3} 2.5mm2 "0 V"',
        *(f'  :{_FIELD + 2 * n}..{_FIELD + 2 * n + 1} 2.5mm2 "{words}"' for n, words in enumerate(field)),
        f"  bridge :1..{feeds}",
        f"  bridge :{_RELEASE}..{_RELEASE + releases - 1}",
        f"  bridge :{_ZERO}..{_ZERO + 3}",
        "}",
        f"wire {ways.rail}:{ways.feed} to -X1:1",
        f"wire {ways.rail}:{ways.feed + ZERO_FROM} to -X1:{_ZERO}",
    ]


def _block(amps: float) -> int:
    """Rated current of the block behind the drive, in steps of 25 A."""
    return max(25, -(-int(amps + 1) // 25) * 25)
