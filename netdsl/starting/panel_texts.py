"""The text of a panel's common part: supply and busbars, 24 V and its branches, cooling, serial line."""

from __future__ import annotations

from msgspec import Struct

from netdsl.starting.choosing import electronic_fuse_for, infeed_for, supply_for
from netdsl.starting.feeders import rail_watts, taken_current
from netdsl.starting.motor_list import Motor
from netdsl.starting.practice import Infeed, bars_a, practice
from netdsl.sums import sum_of

HEAD = """netdsl 1

project "Motor control panel" {
  number = "1" document-language = en sheet-size = A3 status = "draft"
}

include "site.netdsl"  # places, ducts and trays
include "circuits.netdsl"  # one function per motor

# What an ordinary wire inside the panel looks like; lengths are assumed.
shade DBU = BU "dark blue"
"""
_COMMON = """\
defaults within=+MCP class=mains section=2.5mm2 colour=BK along=DUCT10 length=2m
defaults within=+MCP class=motor section=2.5mm2 colour=BK
defaults within=+MCP class=control section=0.75mm2 colour=DBU along=DUCT2 length=2m
defaults within=+MCP class=safety section=0.75mm2 colour=DBU along=DUCT2 length=2m
defaults within=+MCP class=earth section=2.5mm2 colour=GNYE along=DUCT10 length=1.5m
defaults within=+MCP.D length=0.5m  # from device to device of the door

# --- Supply and distribution ---
# Assumed: system, fault currents, the fuse at the origin and the length of the cable. The cable's protective core goes straight
# to the earth bar."""


#: drives of which the touch currents together, 5 mA each, are no more than 10 mA; section of the earth core for more, mm2
_DRIVES, REINFORCED_MM2 = 2, 10


class Branch(Struct, frozen=True):
    """A branch of 24 V: terminals in use, and whether it serves one motor alone: whose field contact is far away, or that takes
    more than a small breaker gives, `heavy` W; `motors`: False for inputs and outputs; `watts`: what its first motor takes."""

    used: int
    far: bool
    heavy: float = 0.0
    motors: bool = True
    watts: float = 0.0


def panel_text(motors: tuple[Motor, ...], upstream: int, branches: list[Branch], earths: int, airflow: float) -> str:
    """The common part; `upstream`: fuse at the origin, A; `earths`: the first free way of the earth bar; `airflow`: m3/h."""
    infeed = infeed_for(upstream)
    fans = max(1, -(-int(airflow) // practice()["fans"]["most"])) if airflow else 0
    io_w = sum_of(branch.heavy for branch in branches if not branch.motors)
    stations = sum(motor.way == "serial-bus" for motor in motors)
    leaking = sum_of(motor.running.driven for motor in motors) > _DRIVES
    lines = [_COMMON, *_supply(infeed, leaking), *_distribution(infeed, earths + fans + 4)]
    lines += _rail(branches, supply_for(rail_watts(motors) + io_w) or "supply-24v-20a") if branches else []
    lines += _cooling(airflow, fans, earths) if fans else []
    lines += _line(stations) if stations else []
    return "\n".join(lines) + "\n"


def cabinet_size(motors: tuple[Motor, ...]) -> str:
    """Width, height and depth of the cabinet assumed for so many motors, large ones counted as three."""
    cabinet = practice()["cabinet"]
    number = len(motors) + sum(taken_current(motor) > cabinet["large_a"] for motor in motors) * 2
    width = next((width for most, width in cabinet["widths"] if number <= most), cabinet["widest"])
    height = cabinet["heights"][number > cabinet["low_up_to"]]
    return f"{width}x{height}x{cabinet['depth']}mm"


def _supply(infeed: Infeed, leaking: bool) -> list[str]:
    """Supply, incoming strip and cable; `leaking`: the touch currents of the drives together ask for a reinforced earth core."""
    section = max(infeed.cable, REINFORCED_MM2) if leaking else infeed.cable
    cable = f"4x{infeed.cable} insulation=XLPE parallel=2" if infeed.doubled else f"5G{section}"
    earth_core = "  GNYE -G0:PE to -XE1:1"
    double = " clamps=2" if infeed.doubled else ""
    upstream = f"upstream=fuse-gG-{infeed.fuse}A"
    lines = [
        f"""\
supply -G0 "Site mains" system=TN-S voltage=400V frequency=50Hz \
fault-current={infeed.fault_current} earth-fault-current={infeed.earth_fault_current} {upstream}
strip -X0 "Incoming supply" at=+MCP {{
  :L1 :L2 :L3 {infeed.clamp}mm2{double}
  :N neutral {infeed.clamp}mm2{double}
}}
# Cable and wires carry what the fuse lets through; the neutral carries as much as a phase."""
    ]
    if section > infeed.cable and not infeed.doubled:
        lines.append("# Its earth core carries the touch currents of all drives together, more than 10 mA.")
    if infeed.doubled:
        lines.append("# Two cables side by side.")
    if infeed.bars:
        lines.append(
            f"# From the incoming terminals to the busbars laminated copper bars, {bars_a()} A: common practice, no source."
        )
    lines.append(f"""\
cable -W0 {cable} "incoming cable" length=20m method=E along=TRAY0 {{
  BN -G0:L1 to -X0:L1
  BK -G0:L2 to -X0:L2
  GY -G0:L3 to -X0:L3
  BU -G0:N to -X0:N""")
    if not infeed.doubled:
        return [*lines, earth_core, "}"]
    apart = f'cable -W00 1G{infeed.bonding} "protective conductor" length=20m method=E along=TRAY0 {{'
    return [*lines, "}", apart, earth_core, "}"]


def _distribution(infeed: Infeed, ways: int) -> list[str]:
    """Main isolator, busbars and an earth bar of so many ways."""
    bars = f"{infeed.panel}mm2 ampacity={bars_a()}A" if infeed.bars else f"{infeed.panel}mm2"
    return [
        f"""\
device -Q0 switch-disconnector-{infeed.isolator}a "Main isolator" at=+MCP operated-at=+MCP.D
busbar -WB1 "Main busbars" at=+MCP poles=4 current={infeed.isolator}A
wire -X0:L1,L2,L3 to -Q0:1,3,5 {bars} along=DUCT0
wire -Q0:2,4,6 to -WB1:L1,L2,L3 {bars} along=DUCT0
wire -X0:N to -WB1:N {bars} BU along=DUCT0

device -XE1 earth-bar "Main earth bar" at=+MCP ways={ways} section=1.5..{max(35, infeed.clamp)}mm2
wire -XE1:2 to +MCP:PE {infeed.bonding}mm2
wire +MCP:PE to +MCP.D:PE 6mm2 along=HINGE1
"""
    ]


def _rail(branches: list[Branch], supply: str) -> list[str]:
    """24 V supply and its branches."""
    number = len(branches)
    return [
        f"""\
# --- 24 V DC: one small quick breaker per branch, an electronic supply gives little more than its rating to trip it ---
device -F8 mcb-1p "24 V supply" at=+MCP current=6A  # not less, for the inrush of the supply
device -T9 {supply} "24 V DC" at=+MCP
wire -WB1:L1 to -F8:1 2.5mm2
wire -F8:2 to -T9:L 2.5mm2
wire -WB1:N to -T9:N 2.5mm2 BU
wire -T9:PE to -XE1:3 2.5mm2
strip -X20 "24 V before the breakers" at=+MCP {{
  :1..{number + 1} 4mm2 "24 V"
  :101..{number + 102} 4mm2 "0 V"
  bridge :1..{number + 1}
  bridge :101..{number + 102}
}}
wire -T9:+ to -X20:1 4mm2
wire -T9:- to -X20:101 4mm2
wire -X20:{number + 102} to -XE1:4 2.5mm2 GNYE  # the one point at which the 24 V is joined to earth
earthing of -T9:- at -XE1:4""",
        *(_branch(branch, kept) for branch, kept in enumerate(branches, 1)),
        "",
    ]


def _branch(branch: int, kept: Branch) -> str:
    """Breaker and strip of a branch of 24 V."""
    top = kept.used + 1
    title = f'"24 V, branch {branch}" at=+MCP'
    fuse = f"mcb-1p {title} current=2A curve=Z instantaneous=6A voltage=60V"
    if kept.far:
        fuse = f"{electronic_fuse_for(kept.watts)} {title}  # the short circuit behind a long cable is small"
    if kept.heavy:
        what = "a holding brake takes" if kept.motors else "inputs and outputs take"
        fuse = f"{electronic_fuse_for(kept.heavy)} {title}  # {what} more than a small breaker gives"
    common = f"\nwire -F2{branch}:0V to -X2{branch}:102" if kept.far or kept.heavy else ""
    section = "2.5mm2" if kept.heavy else "1.5mm2"
    return f"""\
device -F2{branch} {fuse}
strip -X2{branch} "24 V, branch {branch}" at=+MCP {{
  :1..{top} 2.5mm2 "24 V"
  :101..{100 + top} 2.5mm2 "0 V"
  bridge :1..{top}
  bridge :101..{100 + top}
}}
wire -X20:{branch + 1} to -F2{branch}:1 4mm2
wire -F2{branch}:2 to -X2{branch}:1 {section}
wire -X20:{101 + branch} to -X2{branch}:101 2.5mm2{common}"""


def _cooling(airflow: float, fans: int, earths: int) -> list[str]:
    """Thermostat and fans; several on a strip of their own."""
    each = -(-int(airflow / fans) // 10) * 10
    lines = [
        """\
# --- Cabinet cooling: airflow from the heat balance at the assumed ambient ---
device -F9 mcb-1p "Cabinet cooling" at=+MCP current=2A
device -B9 thermostat at=+MCP
wire -WB1:L2 to -F9:1 2.5mm2
wire -F9:2 to -B9:1 2.5mm2"""
    ]
    if fans > 1:
        lines.append(f"""\
strip -X9 "Cabinet fans" at=+MCP {{
  :1..{fans + 1} 2.5mm2 "L"
  :101..{fans + 101} 2.5mm2 "N"
  bridge :1..{fans + 1}
  bridge :101..{fans + 101}
}}
wire -B9:2 to -X9:1 2.5mm2 BK along=DUCT10
wire -WB1:N to -X9:101 2.5mm2 BU""")
    for number in range(1, fans + 1):
        live, back = (f"-X9:{number + 1}", f"-X9:{number + 101}") if fans > 1 else ("-B9:2", "-WB1:N")
        lines.append(f"""\
device -E9{number} cabinet-fan at=+MCP airflow={each}m3/h
wire {live} to -E9{number}:L 2.5mm2 BK along=DUCT10
wire {back} to -E9{number}:N 2.5mm2 BU
wire -E9{number}:PE to -XE1:{earths + number}""")
    return [*lines, ""]


def _line(stations: int) -> list[str]:
    """Serial line of so many stations, to a controller outside."""
    return [
        f"""\
# --- Serial line to the controller, and the release of its stations ---
function =SL1 "Serial line" at=+MCP {{
  outside -A1 "Controller" at=+CTRL {{
    terminal :A bus function=bus-a line=a
    terminal :B bus function=bus-b line=b
    terminal :G bus function=bus-common line=common
    terminal :SH screen function=screen-control
    terminal :PE earth
    setting termination off on
  }}
  set -A1 termination=on
  cable -W9 1G16 "equipotential bonding" length=40m along=RISER1 {{
    GNYE -XE1:5 to -A1:PE
  }}
  device -B1 level-switch "Release" at=+ROOM
  strip -X1 "Release" at=+MCP {{
    :1..2 2.5mm2 "release"
  }}
  strip -X3 "24 V while released" at=+MCP {{
    :1..{stations + 1} 2.5mm2 "24 V released"
    bridge :1..{stations + 1}
  }}
  cable -W2 2x1.5 "release" length=20m along=TRAY1,DUCT2 {{
    BN -X1:1 to -B1:11
    BU -X1:2 to -B1:14
  }}
  wire -X21:2 to -X1:1 1.5mm2
  wire -X1:2 to -X3:1 1.5mm2
}}"""
    ]
