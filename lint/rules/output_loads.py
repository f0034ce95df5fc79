"""What must not hang at the output of a drive."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from lint.subjects import of_kind
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.model.plant import Device

_WRONG = {
    Kind.CAPACITOR: ("charges and discharges with every pulse", "take it out: a drive needs no compensation at its output"),
    Kind.RESIDUAL_DEVICE: (
        "sees currents of all frequencies through the screen and trips, or heats up and does not trip any more",
        "take it out, or put one of type B ahead of the drive",
    ),
}


@rule("output-loaded", Severity.ERROR, source="drive installation instructions; IEC 61800-5-1", judges=of_kind(*_WRONG))
def output_loaded(facts: Facts, this: Rule) -> Iterator[Report]:
    """A capacitor or a residual-current device hangs at the output of a drive.

    Reports:
      A device of kind `capacitor` or `residual-device` that a drive feeds, however many terminals, chokes or contactors lie
      between.
    Silent:
      Those ahead of the drive, and in the way past it of a bypass; sine filters, whose capacitors lie behind a choke.
    Why:
      A capacitor at the output is a short circuit for each pulse: it destroys the drive, or itself. A residual-current device is
      made for the mains' frequency, and protects nobody behind a drive.
    Failing:
      device -F0 mcb-3p at=+MCP current=10A
      device -T1 drive at=+MCP
      device -F5 rcd-4p-b at=+MCP current=40A
      device -M1 motor at=+HALL power=1.5kW current=3.6A
      wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
      wire -F0:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK
      wire -T1:PE to -XE1:5 10mm2 GNYE
      wire -T1:U,V,W to -F5:1,3,5 2.5mm2 BK length=0.2m
      device -XSH screen-bar at=+MCP ways=1
      cable -W1 4G1.5 screened length=5m method=C {
        BN -F5:2 to -M1:U1
        BK -F5:4 to -M1:V1
        GY -F5:6 to -M1:W1
        GNYE -T1:PE2 to -M1:PE
        screen -XSH:1 clamp to -M1:SH gland
      }
    Passing:
      - device -F5 rcd-4p-b at=+MCP current=40A
      - wire -T1:U,V,W to -F5:1,3,5 2.5mm2 BK length=0.2m
      -   BN -F5:2 to -M1:U1
      -   BK -F5:4 to -M1:V1
      -   GY -F5:6 to -M1:W1
      +   BN -T1:U to -M1:U1
      +   BK -T1:V to -M1:V1
      +   GY -T1:W to -M1:W1
    Remedy:
      Take it out; a residual-current device of type B stands ahead of the drive.
    """
    wrong = [device for device in facts.plant.devices.values() if device.kind in _WRONG]
    for drive in facts.plant.devices.values():
        for device in wrong if drive.kind == Kind.DRIVE else ():
            name = device.id
            if name in facts.fed(drive.id) or _gets(facts, device, drive):
                why, remedy = _WRONG[Kind(device.kind)]
                yield this.report(
                    f"`{name}` hangs at the output of `{drive.id}`: it {why}",
                    remedy,
                    device.span,
                    (name, drive.id),
                    about=(name,),
                    related=[Related(f"`{drive.id}` is declared here", drive.span)],
                )


def _gets(facts: Facts, device: Device, drive: Device) -> bool:
    """Whether the output of a drive comes to a terminal of a device without a contactor between."""
    nets = (facts.network.net(f"{device.id}:{name}") for name in device.terminals)
    return any(p.kind == "pwm" and p.device == drive.id for net in nets if net is not None for p in net.certain)
