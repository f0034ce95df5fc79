"""Plants of N drive feeders, written as a designer would: cabinets of ten drives each behind a main distribution.

A feeder has a breaker, a drive, a motor, a screened motor cable with its earth core, the drive's own earth, a strip and
twelve control cores to a control station beside the motor.
"""

from __future__ import annotations

from collections.abc import Iterator

PER_CABINET = 10
#: power kW, motor current A, breaker A, section of line wires and motor cable mm2
SIZES = (
    (4, 8.8, 16, "4mm2", "4G4"),
    (5.5, 11.5, 20, "4mm2", "4G4"),
    (7.5, 15.5, 25, "6mm2", "4G6"),
    (11, 22, 32, "10mm2", "4G10"),
)
#: what the drive's terminals mean, in the order of the strip
CONTROLS = ("24V", "COM", "DI1", "DI2", "DI3", "DI4", "DI5", "DI6", "RO1C", "RO1A", "RO2C", "RO2A")


def plant_text(feeders: int) -> str:
    """The whole text of a plant with `feeders` drives."""
    cabinets = -(-feeders // PER_CABINET)
    lines = [*_head()]
    for cabinet in range(1, cabinets + 1):
        lines += _cabinet(cabinet)
    for feeder in range(1, feeders + 1):
        lines += _feeder(feeder, (feeder - 1) // PER_CABINET + 1, (feeder - 1) % PER_CABINET)
    return "\n".join(lines) + "\n"


def _head() -> Iterator[str]:
    yield """netdsl 1

project "Hall of many drives" {
  number = "HD-E-001"   owner = "Alder hatchery"   document-language = en
  revision A 2026-05-04 "first issue"
}

place +HALL "Hall" kind=field

supply -G0 "Transformer station" system=TN-S voltage=400V frequency=50Hz fault-current=25kA earth-fault-current=20kA \
upstream=mccb-175A

route TRAY1 "motor cables" kind=perforated-tray length=60m
route TRAY2 "control cables" kind=perforated-tray length=60m
route TRAY3 "distribution" kind=ladder length=80m
relation TRAY1 TRAY2 spacing=1200mm parallel=60m
relation TRAY1 TRAY3 spacing=800mm parallel=60m
relation TRAY2 TRAY3 spacing=800mm parallel=60m
"""


def _cabinet(number: int) -> Iterator[str]:
    name = f"{number:02}"
    yield f"""
# --- cabinet {number}
place +MCP{name} "Drive cabinet {number}" kind=cabinet size=1600x2000x500mm ambient=25degC airflow=500m3/h
place +MCP{name}.D "Door of cabinet {number}" kind=door
route DP{name} "power duct" at=+MCP{name} kind=duct
route DC{name} "control duct" at=+MCP{name} kind=duct
relation DP{name} DC{name} crossing=90deg
defaults within=+MCP{name} class=mains length=2m
defaults within=+MCP{name} class=control length=3m
defaults within=+MCP{name} class=earth length=2m

device -Q{name} mccb "Cabinet {number}" at=+MCP{name} current=175A
strip -X{name} "Incoming, cabinet {number}" at=+MCP{name} rail=bonded {{
  :L1 :L2 :L3  95mm2
  :PE          earth 50mm2
}}
device -XE{name} earth-bar at=+MCP{name} ways={PER_CABINET + 4}
busbar -WB{name} at=+MCP{name} poles=3 current=250A

cable -W{name} 3x95+1G50 "feeder of cabinet {number}" length=25m insulation=XLPE along=TRAY3 {{
  BN    -G0:L1 to -X{name}:L1
  BK    -G0:L2 to -X{name}:L2
  GY    -G0:L3 to -X{name}:L3
  GNYE  -G0:PE to -X{name}:PE
}}
wire -X{name}:L1,L2,L3 to -Q{name}:1,3,5        95mm2 BK method=C
wire -Q{name}:2,4,6 to -WB{name}:L1,L2,L3       95mm2 BK method=C
wire -X{name}:PE to -XE{name}:1                 35mm2 GNYE
wire -XE{name}:2 to +MCP{name}:PE               16mm2 GNYE
wire +MCP{name}:PE to +MCP{name}.D:PE           6mm2 GNYE
"""


def _feeder(number: int, cabinet: int, position: int) -> Iterator[str]:
    power, current, breaker, section, construction = SIZES[number % len(SIZES)]
    name = f"{cabinet:02}"
    length = 20 + number % 30
    controls = "\n".join(
        f"  wire -X1:{terminal} to -T1:{control}  0.75mm2 BU along=DC{name}" for terminal, control in enumerate(CONTROLS, 1)
    )
    cores = "\n".join(f"    {core}  -X1:{core} to -A1:{core}" for core in range(1, len(CONTROLS) + 1))
    yield f"""
function =D{number:03} "Drive {number}" at=+MCP{name} {{
  device -Q1 mccb current={breaker}A let-through=150kA2s
  device -T1 vsd-{power}kw choke=4%
  device -M1 motor "Conveyor {number}" at=+HALL power={power}kW current={current}A power-factor=0.84 winding=400/690V
  connect -M1 delta
  outside -A1 "Control station {number}" at=+HALL {{
    terminal :1..{len(CONTROLS)} plain
    link :1 to :9
    link :1 to :11
    contact :1 to :3 make
    contact :1 to :4 break
    contact :1 to :5 make
    contact :1 to :6 make
    load :10 to :2 voltage=24V dc power=1W
    load :12 to :2 voltage=24V dc power=1W
  }}
  strip -X1 "Control" {{
    :1..{len(CONTROLS)}  2.5mm2
  }}

  wire -WB{name}:L1,L2,L3 to -Q1:1,3,5  {section} BK along=DP{name} circuits=2
  wire -Q1:2,4,6 to -T1:L1,L2,L3        {section} BK along=DP{name} circuits=2
  wire -T1:PE to -XE{name}:{position + 3}              10mm2 GNYE

  cable -W1 {construction} screened "motor cable" length={length}m along=TRAY1 {{
    BN      -T1:U   to -M1:U1
    BK      -T1:V   to -M1:V1
    GY      -T1:W   to -M1:W1
    GNYE    -T1:PE2 to -M1:PE
    screen  -T1:SH clamp to -M1:SH gland
  }}

{controls}

  cable -W2 12x1 "control" length={length}m along=TRAY2 {{
{cores}
  }}
}}
"""
