"""The text of a plant without motors: all that stands before the first function, for a designer who writes the rest."""

from __future__ import annotations

from netdsl.findings import Source
from netdsl.starting.plant_texts import Draft, heading
from netdsl.starting.settling import Settled
from netdsl.syntax import format_text

_ASSUMED = (
    "supply TN-S 400 V 50 Hz, fault current 6kA, earth fault current 3kA, fuse gG 35 A at the origin",
    "incoming cable 20 m; it and the wires to the busbars carry what the fuse lets through",
    "24 V DC of 10 A, its 0 V joined to earth at one point; its breaker for the inrush (common practice, no source)",
    "cabinet 600x1200x400mm against a wall, ambient 25 degC; lengths, sections and colours of wires inside the panel",
)
_DECISIONS = (
    "each value marked `# decide`: title, number and owner, what the supply really is, the places in the field",
    "emergency stop and safe torque off: none is drawn, the risk assessment decides",
    "the functions: one for each motor or task, as the example at the end shows",
)
_TEXT = """netdsl 1

project "Motor control panel" {  # decide
  number = "1" owner = "open" document-language = en sheet-size = A3 status = "draft"
}

# --- Places, and what wires and cables lie in ---
place +MCP "Motor control panel" kind=cabinet size=600x1200x400mm mounting=against-wall ambient=25degC  # decide
place +MCP.D "Panel door" kind=door
place +FIELD "Field" kind=field  # decide
route DUCT1 "power" at=+MCP kind=duct
route DUCT2 "control" at=+MCP kind=duct
route HINGE1 "hinge loop" at=+MCP.D kind=hinge
route TRAY0 "incoming" at=+FIELD kind=perforated-tray length=20m
route TRAY1 "motor cables" at=+FIELD kind=perforated-tray length=20m
route TRAY2 "control and signals" at=+FIELD kind=perforated-tray length=20m
layout DUCT1 DUCT2 crossing=90deg
layout TRAY0,TRAY1 TRAY2 spacing=500mm parallel=20m

# What an ordinary wire inside the panel looks like.
shade DBU = BU "dark blue"
defaults within=+MCP class=mains section=2.5mm2 colour=BK along=DUCT1 length=2m
defaults within=+MCP class=motor section=2.5mm2 colour=BK along=DUCT1 length=2m
defaults within=+MCP class=control section=0.75mm2 colour=DBU along=DUCT2 length=2m
defaults within=+MCP class=safety section=0.75mm2 colour=DBU along=DUCT2 length=2m
defaults within=+MCP class=earth section=2.5mm2 colour=GNYE along=DUCT1 length=1.5m
defaults within=+MCP.D length=0.5m  # from device to device of the door

# --- Supply and distribution ---
supply -G0 "Site distribution" system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA \
upstream=fuse-gG-35A  # decide
strip -X0 "Incoming supply" at=+MCP {
  :L1 :L2 :L3 16mm2
  :N neutral 16mm2
}
cable -W0 5G6 "incoming cable" length=20m method=E along=TRAY0 {  # decide
  BN -G0:L1 to -X0:L1
  BK -G0:L2 to -X0:L2
  GY -G0:L3 to -X0:L3
  BU -G0:N to -X0:N
  GNYE -G0:PE to -XE1:1
}
device -Q0 switch-disconnector-40a "Main isolator" at=+MCP operated-at=+MCP.D
busbar -WB1 "Main busbars" at=+MCP poles=4 current=40A
wire -X0:L1,L2,L3 to -Q0:1,3,5 10mm2
wire -Q0:2,4,6 to -WB1:L1,L2,L3 10mm2
wire -X0:N to -WB1:N 10mm2 BU along=DUCT1

device -XE1 earth-bar "Main earth bar" at=+MCP ways=20
wire -XE1:2 to +MCP:PE 16mm2
wire +MCP:PE to +MCP.D:PE 6mm2 along=HINGE1

# --- 24 V DC ---
device -F8 mcb-1p "24 V supply" at=+MCP current=6A
device -T9 supply-24v-10a "24 V DC" at=+MCP
wire -WB1:L1 to -F8:1 2.5mm2
wire -F8:2 to -T9:L 2.5mm2
wire -WB1:N to -T9:N 2.5mm2 BU
wire -T9:PE to -XE1:3 2.5mm2
device -F21 mcb-1p "24 V, branch 1" at=+MCP current=2A curve=Z instantaneous=6A voltage=60V
strip -X20 "0 V before the branches" at=+MCP {
  :1..3 4mm2 "0 V"
  bridge :1..3
}
strip -X21 "24 V, branch 1" at=+MCP {
  :1..10 2.5mm2 "24 V"
  :101..110 2.5mm2 "0 V"
  bridge :1..10
  bridge :101..110
}
wire -T9:+ to -F21:1 4mm2
wire -F21:2 to -X21:1 1.5mm2
wire -T9:- to -X20:1 4mm2
wire -X20:2 to -X21:101 2.5mm2
wire -X20:3 to -XE1:4 2.5mm2 GNYE  # the one point at which the 24 V is joined to earth
earthing of -T9:- at -XE1:4

# --- Functions: one for each motor or task. Take the signs away and change what stands there. ---
"""
#: a function as it may stand at the end, behind comment signs
EXAMPLE = """function =P1 "Pump 1" at=+MCP {
  device -Q1 motor-breaker-6.3a tripping-current=4.9A
  device -M1 motor at=+FIELD power=2.2kW current=4.9A voltage=400V
  wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2
  cable -W1 4G2.5 "motor cable" length=20m method=E along=TRAY1 {
    BN -Q1:2 to -M1:U1
    BK -Q1:4 to -M1:V1
    GY -Q1:6 to -M1:W1
    GNYE -XE1:5 to -M1:PE
  }
  connect -M1 star
}
"""


def empty_plant(title: str) -> Settled:
    """A plant of places, supply, isolator, busbars, earth bar and 24 V, with what it assumes and what is to be decided."""
    draft = Draft({}, _ASSUMED, _DECISIONS)
    text = format_text(Source("plant.netdsl", heading(title, draft) + _TEXT))
    shown = format_text(Source("plant.netdsl", EXAMPLE))
    assert text is not None and shown is not None
    example = "".join(f"# {line}\n" for line in shown.splitlines())
    return Settled(Draft({"plant.netdsl": text + example}, _ASSUMED, _DECISIONS), ())
