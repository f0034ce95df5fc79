"""What a rule leaves alone by one of its exemptions, or cannot judge, is told as such and never stands among what was judged."""

from __future__ import annotations

from collections.abc import Callable

import lint
from lint import explanation
from lint.frame import FRAME
from lint.rules import rules
from lint.verdict import Verdict
from netdsl.network import Network
from tests.cases import each_of
from tests.rules_together import with_a_say

DRIVE = "device -T1 drive at=+MCP\nwire -T1:PE to -XE1:3 10mm2 GNYE\n"
REAL = DRIVE.replace("-T1 drive", "-T1 vsd-0.75kw")
MOTOR = (
    DRIVE
    + """\
device -M1 motor at=+HALL
cable -W1 4G2.5 length=10m {
  BN -T1:U to -M1:U1
  BK -T1:V to -M1:V1
  GY -T1:W to -M1:W1
  GNYE -T1:PE2 to -M1:PE
}
"""
)
SIGNAL = (
    DRIVE
    + """\
device -B1 transmitter at=+HALL
cable -W2 2x0.75 screened length=10m {
  BN -T1:AI1 to -B1:+
  BU -T1:AC to -B1:-
  screen -T1:SH clamp to -B1 open
}
"""
)
TRAYS = """\
device -F0 mcb-3p at=+MCP current=13A
wire -WB1:L1,L2,L3 to -F0:1,3,5 4mm2 BK
route TRAY1 "mains" at=+HALL kind=tray
route TRAY2 "signals" at=+HALL kind=tray
cable -W1 5G2.5 length=10m along=TRAY1 {
  BN -F0:2 to -T1:L1
}
""" + SIGNAL.replace("length=10m {", "length=10m along=TRAY2 {")
LINE = """\
device -T1 drive at=+MCP
device -T2 drive at=+MCP
wire -T1:PE to -XE1:3 10mm2 GNYE
wire -T2:PE to -XE1:4 10mm2 GNYE
cable -W1 1x2x0.5 screened length=5m {
  1a -T1:A to -T2:A
  1b -T1:B to -T2:B
  screen -T1:SH clamp to -T2:SH clamp
}
"""
CONDUIT = 'route TRAY2 "signals" at=+HALL kind=conduit material=steel'
UNFED = """\
device -B1 transmitter at=+HALL
device -P1 panel-meter at=+HALL
cable -W9 2x0.75 screened length=5m along=TRAY1 {
  BN -B7:1 to -B8:1
  screen -B7 open to -B8 open
}
route TRAY1 "somewhere" at=+HALL kind=tray
part plain-box "Box" {
  kind = relay   letter = B   class = II
  terminal :1 plain 0.5..2.5mm2
}
device -B7 plain-box at=+HALL
device -B8 plain-box at=+HALL
"""
BRAKE = """\
part braker "Brake resistor" {
  kind = resistor   letter = R   class = II
  terminal :1 :2 load 0.5..6mm2
}
device -R1 braker at=+MCP
"""
SUPPLY = """\
device -F1 mcb-1p at=+MCP current=6A
device -T9 supply-24v at=+MCP
wire -WB1:L1 to -F1:1 1.5mm2 BK
wire -F1:2 to -T9:L 1.5mm2 BK
wire -WB1:N to -T9:N 1.5mm2 BU
wire -T9:PE to -XE1:5 2.5mm2 GNYE
"""
LAMP = "device -P1 lamp at=+MCP\n"
VALVE = """\
part demo-valve "Valve" {
  kind = valve   letter = Y   class = III
  terminal :1 :2 load 0.5..2.5mm2
  load :1 to :2 voltage=24V dc power=4W
}
device -Y1 demo-valve at=+MCP
"""
RAIL = """\
strip -X5 at=+MCP {
  :1 2.5mm2
}
wire -P1:X2 to -X5:1 0.75mm2 RD
"""
SHUNT = """\
device -T2 vsd-1.5kw at=+MCP
set -T2 ai2=voltage
wire -T2:PE to -XE1:4 10mm2 GNYE
device -R1 braker at=+MCP
device -B1 transmitter-4-20ma-4wire at=+HALL
cable -W2 1x2x0.75 screened length=10m {
  1a -T2:AI2 to -B1:I+
  1b -T2:AGND to -B1:I-
  screen -T2:SHC clamp to -B1:SH open
}
wire -R1:1 to -T2:AI2 0.75mm2 WH length=0.1m
wire -R1:2 to -T2:AGND 0.75mm2 WH length=0.1m
""" + BRAKE.partition("device")[0]
SWITCH = """\
part demo-switch "Switch" {
  kind = selector   letter = S   class = II
  terminal :1 :2 contact 0.5..2.5mm2
  contact :1 to :2 make by=hand
}
device -S1 demo-switch at=+MCP
"""
RELAY = """\
part demo-relay "Safety relay" {
  kind = safety-relay   letter = K   class = II
  terminal :1 :2 contact 0.5..2.5mm2
}
device -K1 demo-relay at=+MCP
"""
WATCH = """\
part watch "Insulation watch" {
  kind = meter   letter = P   class = II   quantity = insulation
  terminal :1 :2 plain 0.5..2.5mm2
}
device -P2 watch at=+MCP
wire -T9:- to -P2:1 1mm2 RD
"""
ISOLATED = """\
device -Q0 switch-disconnector at=+MCP current=40A
busbar -WB2 at=+MCP poles=4 current=63A
device -F1 mcb-1p at=+MCP current=4A
wire -WB1:L1,L2,L3 to -Q0:1,3,5 16mm2 BK
wire -Q0:2,4,6 to -WB2:L1,L2,L3 16mm2 BK
wire -WB1:L1 to -F1:1 2.5mm2 OG
"""

EXCHANGED = """\
part station "Station" {
  kind = controller   letter = A   class = III
  terminal :A bus line=a
  terminal :B bus line=b
  terminal :C bus line=common
}
device -A1 station at=+MCP
device -A2 station at=+MCP
cable -W1 2x2x0.5 screened length=5m spare=insulated {
  1a -A1:A to -A2:B
  1b -A1:B to -A2:A
  2a -A1:C to -A2:C
  screen -A1 clamp to -A2 clamp
}
"""
BUTTON = DRIVE + "device -S1 push-button at=+MCP\nwire -T1:24V to -S1:13 1mm2 RD\n"
STRIP = "strip -X1 at=+MCP {\n  :1..3 4mm2\n}\n"
RETURN = (
    SUPPLY
    + SWITCH
    + "device -K1 relay-1co at=+MCP\nwire -T9:+ to -K1:A1 0.75mm2 RD\nwire -K1:A2 to -S1:1 0.75mm2 RD\n"
    + "wire -S1:2 to -T9:- 0.75mm2 RD\n"
)
BARE = (
    DRIVE
    + 'part bare "Relay" {\n  kind = relay   letter = K   class = II\n  terminal :A1 :A2 coil voltage=24V dc\n'
    + "  coil :A1 to :A2 voltage=24V dc power=1W\n}\ndevice -K1 bare at=+MCP\nwire -K1:A2 to -T1:COM 0.75mm2 RD\n"
    + 'part small "Controller" {\n  kind = controller   letter = K   class = II\n  terminal :1 :2 contact\n'
    + "  contact :1 to :2 make by=program\n}\ndevice -K2 small at=+MCP\n"
    + "wire -T1:24V to -K2:1 0.75mm2 RD\nwire -K2:2 to -K1:A1 0.75mm2 RD\n"
)

#: rule, text, what is left alone, words of the reason
SPARED = (
    (
        "coil-unsuppressed",
        BARE.replace("bare-relay at=+MCP", "bare-relay at=+MCP suppressor=none") + "device -V1 suppressor-varistor-24v at=+MCP\n"
        "wire -K1:A1 to -V1:1 1mm2 RD\nwire -K1:A2 to -V1:2 1mm2 RD\n",
        "-K1",
        "a suppressor is wired across its coil",
    ),
    (
        "pole-open",
        "device -Q1 mcb-3p at=+MCP current=13A\nwire -WB1:L1,L2,L3 to -Q1:1,3,5 4mm2 BK\n",
        "-Q1",
        "in reserve",
    ),
    ("contact-without-effect", BUTTON + STRIP + "wire -S1:14 to -X1:1 1mm2 RD\n", "-S1", "may be led on"),
    (
        "contact-without-effect",
        BUTTON + "device -K1 relay-1co at=+MCP\nwire -S1:14 to -K1:A1 1mm2 RD\n",
        "-S1",
        "no current in any state",
    ),
    (
        "strip-end-open",
        STRIP + "device -B1 level-switch at=+HALL\nroute A at=+HALL kind=tray\ncable -W1 2x1.5 length=5m along=A {\n"
        "  BN -X1:1 to -B1:11\n  BU -X1:2 to -B1:14\n}\n",
        "-X1:1",
        "not in use",
    ),
    ("bus-line-open", EXCHANGED, "-A2", "exchanged"),
    ("motor-data", "device -M1 motor at=+HALL power=90W current=0.9A power-factor=0.7 winding=230/400V\n", "-M1", "small motor"),
    ("never-fed", STRIP + DRIVE + "wire -X1:1..3 to -T1:L1,L2,L3 4mm2 BK\n", "-T1", "may be led on"),
    (
        "leaves-unprotected",
        "device -E1 heater at=+HALL\nwire -XE1:3 to -E1:PE 4mm2 GNYE\n",
        "-XE1:3 -- -E1:PE",
        "protective conductor",
    ),
    (
        "coil-return-switched",
        RETURN.replace("-S1:1", "-F5:95").replace("-S1:2", "-F5:96")
        + "device -F5 overload-relay-10a at=+MCP\nwire -T9:- to -XE1:6 2.5mm2 GNYE\nearthing of -T9:- at -XE1:6\n",
        "-K1",
        "an overload contact in its enclosure",
    ),
    ("coil-return-switched", RETURN, "-K1", "its source is not joined to earth"),
    ("screen-unterminated", SIGNAL, "-W2", "its screen at `-B1` is open on purpose"),
    ("screen-unterminated", SIGNAL.replace("-B1 open", "-B1 capacitor"), "-W2", "is joined over a capacitor"),
    ("screen-missing", MOTOR.replace("length=10m {", "length=10m along=TRAY2 {") + CONDUIT, "-W1", "in metal conduit"),
    ("screen-missing", MOTOR.replace("at=+HALL", "at=+MCP").replace("length=10m", "length=0.2m"), "-W1", "no longer than 200 mm"),
    (
        "screen-missing",
        MOTOR.replace("-T1:U to -M1:U1", "-L1:2 to -M1:U1").replace("-T1:V to", "-L1:4 to").replace("-T1:W to", "-L1:6 to")
        + "device -L1 sine-filter at=+MCP\nwire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK\n"
        "wire -T1:U,V,W to -L1:1,3,5 2.5mm2 BK length=0.1m\n",
        "-W1",
        "behind a sine filter",
    ),
    ("screen-missing", DRIVE + "wire -T1:AC to -T1:AI1 0.75mm2 WH length=0.1m\n", "-T1:AC -- -T1:AI1", "no longer than 200 mm"),
    ("spacing-short", TRAYS + "relation TRAY1 TRAY2 crossing=90deg\n", "TRAY1", "only crosses `TRAY2`"),
    (
        "spacing-short",
        TRAYS.replace('route TRAY2 "signals" at=+HALL kind=tray', CONDUIT) + "relation TRAY1 TRAY2 spacing=10mm parallel=5m\n",
        "TRAY1",
        "`TRAY2` is bonded conduit",
    ),
    (
        "spacing-short",
        TRAYS.replace("-W1 5G2.5", "-W1 5G2.5 ").replace("along=TRAY2", "along=TRAY1")
        + "relation TRAY1 TRAY2 spacing=10mm parallel=5m\n",
        "TRAY1",
        "may lie together",
    ),
    (
        "crossing-angle",
        TRAYS.replace('route TRAY2 "signals" at=+HALL kind=tray', CONDUIT) + "relation TRAY1 TRAY2 crossing=45deg\n",
        "TRAY1",
        "is bonded conduit",
    ),
    (
        "crossing-angle",
        TRAYS.replace("along=TRAY2", "along=TRAY1") + "relation TRAY1 TRAY2 crossing=45deg\n",
        "TRAY1",
        "content of one kind",
    ),
    ("relation-unknown", TRAYS.replace('route TRAY2 "signals" at=+HALL kind=tray', CONDUIT), "TRAY2", "bonded conduit of metal"),
    (
        "bundle-mixed",
        'route DUCT1 "out" at=+MCP kind=duct\ndevice -K1 contactor-9a at=+MCP\n'
        + DRIVE
        + "wire -T1:U,V,W to -K1:1,3,5 2.5mm2 BK length=1m along=DUCT1\n",
        "-T1:U -- -K1:1",
        "other wires of the same drive `-T1`",
    ),
    ("return-missing", LAMP + "wire -P1:X1 to -P1:X2 0.75mm2 RD\n", "-P1", "nothing feeds it"),
    ("return-missing", LAMP, "-P1", "it is not wired"),
    ("return-missing", DRIVE + LAMP + "wire -T1:24V to -P1:X1 0.75mm2 RD\n", "-P1", "nothing is connected to `-P1:X2`"),
    ("polarity-mismatch", DRIVE + VALVE, "-Y1", "it has no polarity"),
    ("bonding-missing", LINE.replace("-T2:SH clamp", "-T2:SH open"), "-W1", "not earthed at both ends"),
    ("screen-both-ends", SIGNAL, "-W2", "not earthed at both ends"),
    ("voltage-segregation", TRAYS.replace("along=TRAY2", "along=TRAY1"), "TRAY1", "must not, `bundle-mixed` speaks"),
    ("brake-unprotected", BRAKE, "-R1", "no drive feeds it"),
    ("bus-address-double", LINE, "-T1", "it has no address"),
    (
        "bus-star",
        LINE + "device -T3 drive at=+MCP\ndevice -T4 drive at=+MCP\nwire -T3:PE to -XE1:5 10mm2 GNYE\n"
        "wire -T4:PE to -XE1:6 10mm2 GNYE\n"
        "cable -W2 1x2x0.5 length=9m {\n  1a -T2:A to -T3:A\n  1b -T2:B to -T3:B\n}\n"
        "wire -T2:A to -T4:A 0.5mm2 length=0.2m\nwire -T2:B to -T4:B 0.5mm2 length=0.2m\n",
        "-T2",
        "branches off at `-T2` is 200 mm long",
    ),
    ("control-earthing", DRIVE + "wire -T1:24V to -T1:DI1 0.75mm2 RD\n", "-T1", "its source is inside a drive"),
    ("control-earthing", SUPPLY, "-T9", "nothing is connected to its source"),
    ("control-earthing", SUPPLY + WATCH, "-T9", "`-P2` watches its insulation"),
    ("earth-missing", LAMP, "-P1", "it is of class II"),
    (
        "earth-loop",
        DRIVE.replace("-T1", "-T1").replace("10mm2", "6mm2")
        + "place +MESH kind=cabinet bonding=meshed\nwire +MESH:PE to -XE1:8 6mm2 GNYE\n"
        + "device -T2 drive at=+MESH\nwire -T2:PE to -XE1:4 6mm2 GNYE\nwire -T1:PE2 to -T2:PE2 6mm2 GNYE\n",
        "-T2",
        "bonding is meshed",
    ),
    ("earth-colour", "wire -XE1:8 to -XE1:9 6mm2 BK material=braid\n", "-XE1:8 -- -XE1:9", "a braid"),
    (
        "earth-not-at-drive",
        MOTOR.replace("-T1:U to", "-K1:2 to").replace("-T1:V to", "-K1:4 to").replace("-T1:W to", "-K1:6 to")
        + "device -K1 contactor-9a at=+MCP\ndevice -K2 contactor-9a at=+MCP\nwire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK\n"
        "wire -WB1:L1,L2,L3 to -K2:1,3,5 2.5mm2 BK\nwire -T1:U,V,W to -K1:1,3,5 2.5mm2 BK length=0.2m\n"
        "wire -K1:2,4,6 to -K2:2,4,6 2.5mm2 BK length=0.2m\n",
        "-W1",
        "something else than `-T1` can feed its motor",
    ),
    (
        "wire-doubled",
        "wire -XE1:8 to +MCP:PE 6mm2 GNYE\nwire -XE1:8 to +MCP:PE 6mm2 GNYE\n",
        "-XE1:8 -- +MCP:PE (2)",
        "protective",
    ),
    (
        "clamp-overfilled",
        DRIVE + "wire -WB1:L1 to -T1:L1 2.5mm2 BK\nwire -WB1:L1 to -T1:L2 2.5mm2 BK\n",
        "-WB1",
        "tapped at will",
    ),
    ("earth-in-series", MOTOR, "-M1", "its earth comes from `-T1`, which feeds it"),
    (
        "protection-missing",
        'supply -G5 "Other" system=TN-S voltage=230V phases=1 fault-current=1kA earth-fault-current=1kA at=+MCP\n'
        "device -F5 mcb-1p at=+MCP current=6A\nwire -G5:L to -F5:1 2.5mm2 BK length=1m\nwire -G5:PE to -XE1:8 2.5mm2 GNYE\n",
        "-G5",
        "a short tap leads to `-F5`",
    ),
    ("load-shorted", DRIVE + LAMP + "wire -T1:24V to -P1:X1 0.75mm2 RD\n", "-P1", "not both of `-P1:X1` and `-P1:X2` are wired"),
    ("load-open", "device -E1 heater at=+MCP\nwire -WB1:L1 to -E1:L 1.5mm2 BK\n", "-E1", "its part requires `-E1:N`"),
    ("load-open", DRIVE + LAMP + "wire -T1:COM to -P1:X1 0.75mm2 RD\n" + RAIL, "-P1", "`-P1:X2` leads to may be led on"),
    ("signal-mismatch", SHUNT, "-T2", "a resistor hangs at `-T2:AI2`"),
    ("residual-device", "device -F9 rcd-4p-a at=+MCP current=25A\n", "-F9", "no drive is behind it"),
    ("filter-on-unearthed-supply", DRIVE, "-T1", "no such filter"),
    (
        "return-shared",
        REAL + "device -B1 transmitter-level at=+HALL\ndevice -B2 transmitter-level at=+HALL\n"
        "cable -W2 2x2x0.75 screened length=10m {\n  1a -T1:24V to -B1:+\n  1b -T1:AI2 to -B1:-\n  2b -T1:AI1 to -B2:-\n}\n"
        "wire -B1:+ to -B2:+ 0.75mm2\n",
        "-W2",
        "fed by their loops: a plus is no return",
    ),
    (
        "pair-untwisted",
        REAL + "device -R1 potentiometer at=+HALL\ncable -W2 3x0.75 screened length=10m {\n  BN -T1:AI1 to -R1:2\n}\n",
        "-W2",
        "leads to `-R1`, whose current is small",
    ),
    ("isolation-missing", "", "-G0", "disconnected ahead of the plant"),
    ("isolation-missing", ISOLATED, "-F1", "marked as one that stays live"),
    ("isolation-missing", 'supply -G5 "24 V" system=DC voltage=24V\n', "-G5", "extra-low"),
)
#: rule, text, what could not be judged, words of the reason
NOT_JUDGED = (
    ("screen-unterminated", UNFED, "-W9", "what its screen is there for is not known"),
    (
        "screen-missing",
        UNFED.replace("2x0.75 screened", "2x0.75").replace("  screen -B7 open to -B8 open\n", ""),
        "-W9",
        "no source",
    ),
    ("bundle-mixed", UNFED, "-W9", "what it carries is not known"),
    ("spacing-short", TRAYS + "relation TRAY1 TRAY2 spacing=300mm\n", "TRAY1", "how far it runs beside `TRAY2` is not stated"),
    (
        "reference-missing",
        SIGNAL.replace("  BU -T1:AC to -B1:-\n", "").replace("-B1:+", "-B1:-"),
        "-T1",
        "against what `-B1:-` is given is not stated",
    ),
    (
        "circuit-split",
        "device -E1 heater at=+HALL\nwire -WB1:L1 to -E1:L 1.5mm2 BK\nwire -WB1:N to -E1:N 1.5mm2 BU\n",
        "-E1",
        "is not stated",
    ),
    (
        "steel-between-phases",
        "device -E1 heater at=+HALL\nroute IN1 at=+MCP kind=entry\nwire -WB1:L1 to -E1:L 1.5mm2 BK entry=IN1\n"
        "wire -WB1:N to -E1:N 1.5mm2 BU\n",
        "-E1",
        "through which entry `-WB1:N -- -E1:N` passes is not stated",
    ),
    (
        "capacitor-charged",
        "part bank {\n  kind = capacitor   class = II\n  terminal :L1 :L2 :L3 line-in\n}\ndevice -C1 bank at=+MCP\n",
        "-C1",
        "in which time it discharges is not stated",
    ),
    ("coil-unsuppressed", BARE, "-K1", "whether its coil has a suppressor is not stated"),
    ("return-shared", SIGNAL, "-W2", "against what `-B1:+` is given is not stated"),
    ("pair-split", SIGNAL, "-W2", "with what core `BN`, `-B1:+`, belongs is not stated"),
    (
        "phase-missing",
        DRIVE + "wire -WB1:L1,L2 to -T1:L1,L2 2.5mm2 BK\noutside -A1 at=+HALL {\n  terminal :1 plain\n}\n"
        "cable -W9 1x2.5 length=5m {\n  1 -A1:1 to -T1:L3\n}\n",
        "-T1",
        "which phase comes to `-T1:L3` is not shown",
    ),
    ("motor-cable-long", MOTOR, "-T1", "how long a motor cable it allows"),
    (
        "contact-overloaded",
        DRIVE
        + VALVE
        + SWITCH
        + "wire -T1:24V to -S1:1 0.75mm2 RD\nwire -S1:2 to -Y1:1 0.75mm2 RD\nwire -Y1:2 to -T1:COM 0.75mm2 RD\n",
        "-S1",
        "what its contacts may switch is not stated",
    ),
    ("safety-single-channel", RELAY, "-K1", "which its channels are"),
    ("feedback-missing", RELAY, "-K1", "which its reset loop is"),
    (
        "pins-live",
        "part half {\n  kind = plug   class = II\n  terminal :1 plain 0.5..4mm2\n}\n"
        "device -XJ1 half at=+MCP\ndevice -XP1 half at=+HALL\n"
        "couple -XJ1 -XP1\nwire -WB1:L1 to -XJ1:1 2.5mm2 BK\n",
        "-XJ1",
        "which of its halves power comes to is not shown",
    ),
    (
        "clearance-short",
        "device -F1 mcb-1p-c at=+MCP position=50x50mm\ndevice -F2 mcb-1p-c at=+MCP\n",
        "-F2",
        "its position is not stated",
    ),
    (
        "voltage-segregation",
        DRIVE + "route DUCT1 at=+MCP kind=duct\ndevice -F1 mcb-1p at=+MCP current=4A\n"
        "wire -WB1:L1 to -F1:1 1.5mm2 BK along=DUCT1\nwire -T1:24V to -T1:DI1 0.75mm2 RD along=DUCT1\n",
        "DUCT1",
        "`-T1:24V -- -T1:DI1` beside 400 V is insulated is not stated",
    ),
    (
        "distortion-exceeded",
        'project "Plant" {\n  distortion-limit = 30%\n}\n' + DRIVE + "supply -G9 system=TN-S voltage=400V frequency=50Hz\n"
        "wire -G9:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK\n",
        "-G9",
        "its distortion",
    ),
    ("bus-polarity", LINE, "-T1", "which conductor of its serial line each terminal takes"),
    ("bus-unterminated", LINE, "-T1", "how it is terminated is not stated"),
    (
        "equipment-withstand",
        'part switch "Switch" {\n  kind = isolator   class = II\n  terminal :1 line-in 1..6mm2\n  terminal :2 load-out 1..6mm2\n'
        "  pole :1 to :2 by=handle\n}\ndevice -Q9 switch at=+MCP\nwire -WB1:L1 to -Q9:1 4mm2 BK\n",
        "-Q9",
        "it states no conditional rating",
    ),
    (
        "return-missing",
        DRIVE + LAMP + "outside -A1 at=+HALL {\n  terminal :1 plain\n}\nwire -T1:24V to -P1:X1 0.75mm2 RD\n"
        "cable -W9 2x0.75 length=5m {\n  BN -P1:X2 to -A1:1\n}\n",
        "-P1",
        "leads its current back is not shown",
    ),
)

_FIGURES = "it looks at the figures that could be computed, and of each that could not be the gap is told for all rules"
_PROVED = "what it leaves alone is what the proof over the switching states excludes, or names as not proved or not judged"
_IN_ORDER = "what it leaves alone is in order, and judged as such"
_ELSEWHERE = "what it leaves alone is told by the rule that judges it"
_STATED = "what it lacks is told as not judged where it asks for it, and the rest of what it leaves alone is in order"
#: rules that name exemptions and tell none of them thing by thing here, and why
UNTOLD = {
    **dict.fromkeys(
        "breaking-capacity bus-too-long control-drop neutral-undersized overload source-overloaded supply-cannot-trip "
        "selectivity-missing start-trips voltage-drop data-missing enclosure-hot contact-underloaded".split(),
        _FIGURES,
    ),
    **dict.fromkeys(
        "coil-unsteady guard-unlocked interlock-claimed interlock-missing line-used-as-start output-backfed "
        "output-switched potentials-joined restart-unexpected stop-circuit switching-short".split(),
        _PROVED,
    ),
    **dict.fromkeys(
        "colour-missing colour-reserved earth-clamp-shared found-outside phase-order residual-bypassed screen-pigtail "
        "output-loaded mark-duplicate neutral-earth-joined contact-bridged contact-half-wired".split(),
        _IN_ORDER,
    ),
    "terminal-open": _ELSEWHERE,
    **dict.fromkeys(
        "arrester-protection clamp-range contactor-undersized drive-protection drive-undersized earth-undersized loop-burden "
        "overload-setting rating-exceeded reactor-missing voltage-mismatch winding-connection".split(),
        _STATED,
    ),
}
#: told, as the tests of the rule itself hold
ELSEWHERE = {"cable-mixed", "fault-loop", "fault-withstand", "motor-unprotected"}


def test_each_rule_with_exemptions_tells_them_or_has_a_reason() -> None:
    exempting = {name for name, rule in rules().items() if rule.check is not None and "Silent" in explanation.sections(rule)}
    told = {case[0] for case in (*SPARED, *NOT_JUDGED)} | ELSEWHERE
    assert sorted(exempting - told - UNTOLD.keys()) == []
    assert sorted(told & UNTOLD.keys()) == []
    assert sorted((told | UNTOLD.keys()) - rules().keys()) == []


def told_by(rule: str, network: Network) -> Verdict:
    """What `check` makes of a plant, as far as it is told of one rule: of those alone that have a say in that."""
    return lint.verdict(network, only=with_a_say(frozenset({rule})))


@each_of(("rule", "text", "subject", "words"), SPARED)
def test_what_an_exemption_leaves_alone_is_told(
    rule: str, text: str, subject: str, words: str, connect: Callable[..., Network]
) -> None:
    coverage = {each.rule: each for each in told_by(rule, connect(text + "\n", FRAME)).coverage()}[rule]
    told = [(each.subject, each.reason) for each in coverage.spared]
    assert any(name == subject and words in reason for name, reason in told), told
    assert subject not in (*coverage.judged, *coverage.reported)


@each_of(("rule", "text", "subject", "words"), NOT_JUDGED)
def test_what_cannot_be_judged_is_told(rule: str, text: str, subject: str, words: str, connect: Callable[..., Network]) -> None:
    verdict = told_by(rule, connect(text + "\n", FRAME))
    coverage = {each.rule: each for each in verdict.coverage()}[rule]
    told = [(each.subject, each.reason) for each in coverage.not_judged]
    assert any(name == subject and words in reason for name, reason in told), told
    assert subject not in (*coverage.judged, *coverage.reported)
    assert subject in verdict.left


def test_a_neutral_is_no_circuit_of_extra_low_voltage(connect: Callable[..., Network]) -> None:
    """It belongs to the phases whose current it brings back: nothing is left unjudged of it where it lies beside them."""
    lamp = "device -F1 mcb-1p at=+MCP current=6A\ndevice -E1 heater at=+MCP\nroute DUCT1 at=+MCP kind=duct\n"
    lamp += "wire -WB1:L1 to -F1:1 2.5mm2 BK along=DUCT1\nwire -F1:2 to -E1:L 1.5mm2 BK along=DUCT1\n"
    lamp += "wire -WB1:N to -E1:N 1.5mm2 BU along=DUCT1\n"
    told = [
        each for each in told_by("voltage-segregation", connect(lamp, FRAME)).not_judged if each.rule == "voltage-segregation"
    ]
    assert told == []
