"""Slips of a panel designer, each graded: where the finding stands, what its message and remedy say, and what they must not say.

A slip is a line of a sound plant written wrongly, or a line too many. `«»` marks the characters at which it must be found.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from tests.cases import each_of
from tests.readings import judged_text

SOUND = """\
netdsl 1

project "Weir pump" {
  number = "WP-1"
  ambient = 25degC
}
place +MCP "Panel" kind=cabinet size=600x800x250mm
place +WEIR "Weir" kind=field
defaults within=+MCP length=1m
route TRAY1 "power" at=+WEIR kind=perforated-tray length=12m
route TRAY2 "control" at=+WEIR kind=perforated-tray length=12m
relation TRAY1 TRAY2 spacing=300mm parallel=12m

supply -G0 "Site" system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA upstream=fuse-gG-25A
busbar -WB1 at=+MCP poles=3 current=63A
device -XE1 earth-bar at=+MCP ways=8
cable -W0 4G6 "incoming cable" length=18m method=C {
  BN    -G0:L1 to -WB1:L1
  BK    -G0:L2 to -WB1:L2
  GY    -G0:L3 to -WB1:L3
  GNYE  -G0:PE to -XE1:1
}
wire -XE1:2 to +MCP:PE 6mm2 GNYE

supply -G1 "24 V" system=DC voltage=24V at=+MCP
strip -X1 "Field terminals" at=+MCP {
  :1     fused fuse=2A clamps=2 2.5mm2 "24 V"
  :2     2.5mm2 "0 V"
  :3..6  2.5mm2 "level and lamp"
  bridge :2 :6
}
wire -G1:+ to -X1:1 1.5mm2 RD
wire -G1:- to -X1:2 1.5mm2 BU
device -B1 level-switch at=+WEIR
device -H1 lamp at=+MCP

scheme level-lamp(lamp, sensor, first) {
  wire -X1:1 to -X1:($first) 1mm2 BU
  cable -W2 3x1.5 "level" length=12m along=TRAY2 {
    BN  -X1:($first)    to $sensor:11
    BK  -X1:($first+1)  to $sensor:14
  }
  wire -X1:($first+1) to $lamp:X1 1mm2 BU
  wire -X1:6 to $lamp:X2 1mm2 BU
}
use level-lamp lamp=-H1 sensor=-B1 first=3

function =WP1 "Weir pump" at=+MCP {
  device -Q1 motor-breaker-6.3a tripping-current=4.9A
  device -M1 motor at=+WEIR power=2.2kW current=4.9A voltage=400V
  wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK
  cable -W1 4G2.5 "motor cable" length=12m method=C along=TRAY1 {
    BN    -Q1:2   to -M1:U1
    BK    -Q1:4   to -M1:V1
    GY    -Q1:6   to -M1:W1
    GNYE  -XE1:3  to -M1:PE
  }
  connect -M1 star
}
"""


class Slip(NamedTuple):
    """`was`: what stands in the sound plant, "" where a line is added at its end; `new`: what stands there instead, the place
    of the finding marked; `says`: words of message or remedy; `never`: words that neither has; `kept`: what was there stays."""

    was: str
    new: str
    says: tuple[str, ...] = ()
    never: tuple[str, ...] = ()


SLIPS = {
    # numbers and their units
    "decimal comma in a setting": Slip("tripping-current=4.9A", "tripping-current=«4,9A»", ("`4.9A`",)),
    "decimal comma in a section": Slip("2.5mm2 BK", "«2,5mm2» BK", ("`2.5mm2`",)),
    "decimal comma in a construction": Slip("-W1 4G2.5", "-W1 «4G2,5»", ("`4G2.5`",)),
    "decimal comma in a power": Slip("power=2.2kW", "power=«2,2kW»", ("`2.2kW`",)),
    "blank before the unit of a section": Slip("2.5mm2 BK", "«2.5 mm2» BK", ("`2.5mm2`",)),
    "blank before the unit of a value": Slip("current=63A", "current=«63 A»", ("`63A`",)),
    "qmm": Slip("2.5mm2 BK", "«2.5qmm» BK", ("`2.5mm2`",)),
    "mm²": Slip("2.5mm2 BK", "«2.5mm²» BK", ("`2.5mm2`",)),
    "°C": Slip("25degC", "«25°C»", ("`25degC`",)),
    "sqmm": Slip("2.5mm2 BK", "«2.5sqmm» BK", ("`2.5mm2`",)),
    "length in place of a section": Slip("2.5mm2 BK", "«2.5mm» BK", ("section", "`2.5mm2`")),
    "section without unit": Slip("2.5mm2 BK", "«2.5» BK", ("`2.5mm2`",)),
    "length without unit": Slip("length=18m", "length=«18»", ("`18m`",)),
    "voltage without unit": Slip("voltage=24V", "voltage=«24»", ("`24V`",)),
    "volts with their kind": Slip("voltage=24V", "voltage=«24VDC»", ("`24V`",)),
    "small h of hertz": Slip("=50Hz", "=«50hz»", ("`50Hz`",)),
    "capital K of kilo": Slip("=2.2kW", "=«2.2KW»", ("`2.2kW`",)),
    "temperature in C": Slip("25degC", "«25C»", ("`25degC`",)),
    "wrong kind of unit": Slip("length=18m", "length=«18V»", ("length", "voltage")),
    "unit in a construction": Slip("-W1 4G2.5", "-W1 «4G2.5mm2»", ("`4G2.5`",)),
    "construction with blanks": Slip("-W1 4G2.5", "-W1 «4» G 2.5", ("`4G2.5`",)),
    "setting out of range": Slip("tripping-current=4.9A", "tripping-current=«10A»", ("4..6.3A",)),
    "fuse without unit": Slip("fuse=2A", "fuse=«2»", ("`2A`",)),
    # colours
    "undeclared shade": Slip("2.5mm2 BK", "2.5mm2 «DBU»", ("`shade DBU = BU",), ("did you mean",)),
    "misspelt colour": Slip("2.5mm2 BK", "2.5mm2 «BLK»", ("`BK`",)),
    "colour in words": Slip("1.5mm2 BU", "1.5mm2 «blue»", ("`BU`",)),
    "green-yellow with a stroke": Slip("6mm2 GNYE", "6mm2 «GN/YE»", ("`GNYE`",)),
    "yellow-green": Slip("wire -XE1:2 to +MCP:PE 6mm2 GNYE", "«wire -XE1:2 to +MCP:PE 6mm2 YEGN»", ("GNYE",)),
    "missing core": Slip("GY    -Q1:6", "«BU»    -Q1:6", ("BN, BK, GY, GNYE",)),
    "core twice": Slip("GY    -Q1:6", "«BK»    -Q1:6", ("`BK`", "GY")),
    # names
    "misspelt keyword": Slip("device -H1", "«devise» -H1", ("`device`",)),
    "capital keyword": Slip("wire -XE1:2", "«Wire» -XE1:2", ("`wire`",)),
    "misspelt part": Slip("level-switch", "«levle-switch»", ("`level-switch`",)),
    "part of a near rating": Slip("motor-breaker-6.3a", "«motor-breaker-6a»", ("`motor-breaker-6.3a`",), ("-16a",)),
    "misspelt place": Slip("lamp at=+MCP", "lamp at=«+MPC»", ("`+MCP`",)),
    "misspelt setting": Slip("tripping-current", "«triping-current»", ("`tripping-current`",)),
    "misspelt word": Slip("kind=cabinet", "«kind=cabinett»", ("`cabinet`",)),
    "misspelt system": Slip("system=TN-S", "«system=TNS»", ("`TN-S`",)),
    "misspelt scheme": Slip("use level-lamp", "use «level-lmap»", ("`level-lamp`",)),
    "misspelt function": Slip("", "wire «=WPI-Q1»:13 to -X1:5 1mm2 BU", ("`=WP1-Q1`",)),
    "misspelt link": Slip("star", "«strar»", ("`star`",)),
    "link by its letter": Slip("star", "«Y»", ("star", "delta")),
    "unknown route": Slip("along=TRAY1", "along=«TRAY3»", ("route",)),
    "O for 0": Slip("-G0:L1", "«-GO»:L1", ("`-G0`",)),
    "l for 1": Slip("-XE1:2 to", "«-XEl»:2 to", ("`-XE1`",)),
    "device twice": Slip("", "device «-H1» lamp at=+MCP", ("`-H1`",)),
    # terminals
    "wrong terminal": Slip("-Q1:6", "-Q1:«7»", ("-Q1`", "6")),
    "way that the bar lacks": Slip("-XE1:3", "-XE1:«9»", ("8",)),
    "pole that the supply lacks": Slip("-G1:+", "-G1:«V+»", ("`-G1`",)),
    "terminal without colon": Slip("-XE1:2", "«-XE1 2»", ("`-XE1:2`",)),
    "terminal with a dot": Slip("-XE1:2", "«-XE1.2»", ("`-XE1:2`",)),
    "terminal forgotten": Slip("wire -XE1:2", "wire «-XE1»", ("terminal",)),
    "terminal of a strip twice": Slip(":3..6", ":3..6 2.5mm2\n  :«5»", ("`5`",)),
    "range the wrong way": Slip(":3..6", ":«6..3»", ("`3..6`",)),
    "bridge to no terminal": Slip("bridge :2 :6", "bridge :2 :«9»", ("`9`",)),
    "unequal lists": Slip("-WB1:L1,L2,L3 to -Q1:1,3,5", "-WB1:L1,L2 to «-Q1:1,3,5»", ("2", "3")),
    # form
    "missing to": Slip("-XE1:2 to +MCP:PE", "-XE1:2 «+MCP:PE»", ("`to`",)),
    "missing opening brace": Slip("along=TRAY1 {", "along=TRAY1«»", ("`{`",)),
    "missing closing brace": Slip("  }\n  connect -M1", "  connect -M1", ("`}`",)),
    "dash of a word processor": Slip("-XE1:2", "«–»XE1:2", ("`-`",)),
    "quotes of a word processor": Slip('"motor cable"', "«“motor cable”»", ('`"motor cable"`',)),
    "text without quotes": Slip('"Weir pump" at', "«Weir pump» at", ('`"Weir pump"`',)),
    "text of a device without quotes": Slip("device -H1 lamp", "device -H1 lamp «Level low»", ('`"Level low"`',)),
    "text of a place without quotes": Slip('+WEIR "Weir"', "+WEIR «Weir»", ('`"Weir"`',)),
    "text that does not end": Slip(
        '"motor cable" length=12m method=C along=TRAY1', '«"motor cable length=12m method=C along=TRAY1»', ('`"`',)
    ),
    "designation without dash": Slip("wire -XE1:2", "wire «XE1:2»", ("`-XE1:2`",)),
    "function without sign": Slip("function =WP1", "function «WP1»", ("`=WP1`",)),
    "place without at": Slip("lamp at=+MCP", "lamp «+MCP»", ("`at=+MCP`",)),
    "blank before the sign": Slip("length=18m", "«length =18m»", ("`length=18m`",)),
    "value without sign": Slip("length=18m", "«length 18m»", ("`length=18m`",)),
    "semicolon in a list": Slip("-WB1:L1,L2,L3", "-WB1:«L1;L2;L3»", ("`,`",)),
    "comment with strokes": Slip("", "«//» to be checked on site", ("`#`",)),
    "exception without a reason": Slip("", "allow earth-loop on -H1«»", ("because",)),
    "day in another order": Slip("  ambient", "  revision A «4.5.2026»\n  ambient", ("2026-05-04",)),
    # schemes and files
    "misspelt parameter": Slip("sensor=-B1", "«sensro»=-B1", ("`sensor`",)),
    "misspelt parameter in a block": Slip(
        "use level-lamp lamp=-H1 sensor=-B1 first=3",
        "use level-lamp lamp=-H1 {\n  «sensr» = -B1   first = 3\n}",
        ("`sensor`",),
    ),
    "device that is not there, given to a scheme": Slip("lamp=-H1 sensor", "lamp=«-H» sensor", ("`-H1`",), ("`-B1`",)),
    "needed parameter forgotten": Slip("use level-lamp lamp=-H1 sensor=-B1", "use «level-lamp» lamp=-H1", ("`sensor`",)),
    "wrong value in a scheme": Slip("$lamp:X1 1mm2 BU", "$lamp:X1 «1V» BU", ("section",)),
    "wrong colour in a scheme": Slip("$lamp:X1 1mm2 BU", "$lamp:X1 1mm2 «BLU»", ("`BU`",)),
    "file that is not there": Slip("", 'include «"motors.netdsl"»', ("motors.netdsl",)),
    # what is wired
    "wire twice": Slip(
        "  wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK\n",
        "  wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK\n  «wire -WB1:L1,L2,L3 to -Q1:1,3,5 2.5mm2 BK»\n",
        ("already", "`-WB1:L1` and `=WP1-Q1:1`"),
    ),
    "wire twice, the other way round": Slip(
        "wire -XE1:2 to +MCP:PE 6mm2 GNYE\n",
        "wire -XE1:2 to +MCP:PE 6mm2 GNYE\n«wire +MCP:PE to -XE1:2 6mm2 GNYE»\n",
        ("`-XE1:2` holds 2 protective conductors", "`+MCP:PE`, `+MCP:PE`"),
    ),
}

#: ways of writing in which there is nothing wrong
WELL = {
    "as it is": Slip("", ""),
    "tabs": Slip("    BN    -Q1:2   to -M1:U1", "\tBN\t-Q1:2\tto\t-M1:U1"),
    "version not stated": Slip("netdsl 1\n", "\n"),
    "blanks around the sign": Slip("length=18m", "length = 18m"),
}


def written(slip: Slip) -> tuple[str, int, int]:
    """The plant with a slip in it, and where the marked characters begin and end."""
    assert not slip.was or slip.was in SOUND
    text = SOUND.replace(slip.was, slip.new, 1) if slip.was else SOUND + slip.new + "\n"
    return re.sub("[«»]", "", text), text.find("«"), text.find("»") - 1


@each_of("name", SLIPS)
def test_a_slip_is_found_where_it_is_with_cause_and_remedy(name: str) -> None:
    slip = SLIPS[name]
    text, start, end = written(slip)
    findings = judged_text(text).findings
    assert len(findings) == 1, [(each.rule, each.message) for each in findings]
    (finding,) = findings
    said = f"{finding.message}; {finding.remedy}"
    if start >= 0:
        assert (finding.span.start, finding.span.end) == (start, end), (finding.span.text, said)
    assert [word for word in slip.says if word not in said] == [], said
    assert [word for word in slip.never if word in said] == [], said


@each_of("name", WELL)
def test_what_is_well_written_has_no_finding(name: str) -> None:
    assert [(each.rule, each.message) for each in judged_text(written(WELL[name])[0]).findings] == []
