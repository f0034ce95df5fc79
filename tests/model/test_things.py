"""What statements make of places, routes, supplies, bars, strips, devices and equipment outside."""

from __future__ import annotations

from pathlib import Path

from reading import findings_of, plain, sound

from tests.cases import each_of

SITE = """\
place +MCP "Panel" kind=cabinet size=800x2000x400mm mounting=against-wall ambient=35degC bonding=meshed
place +MCP.D "Door" kind=door
place +MCP.P kind=plate bonded=no bonding=star
place +BOX kind=box material=plastic
place +POST kind=panel metal=no
place +TRAP kind=field metal=yes
place +HALL "Hall"
place +HALL.PIT kind=cabinet
"""


def test_places(tmp_path: Path) -> None:
    places = sound(tmp_path, SITE).places
    assert {name: (place.kind, place.metal, place.parent, place.enclosure) for name, place in places.items()} == {
        "+MCP": ("cabinet", True, None, "+MCP"),
        "+MCP.D": ("door", True, "+MCP", "+MCP"),
        "+MCP.P": ("plate", True, "+MCP", "+MCP"),
        "+BOX": ("box", False, None, "+BOX"),
        "+POST": ("panel", False, None, "+POST"),
        "+TRAP": ("field", True, None, ""),
        "+HALL": ("field", False, None, ""),
        "+HALL.PIT": ("cabinet", True, "+HALL", "+HALL.PIT"),
    }
    assert (places["+MCP"].title, places["+MCP"].bonding, places["+MCP.P"].bonding) == ("Panel", "meshed", "")
    assert plain(places["+MCP"].attributes) == {"size": "800x2000x400mm", "mounting": "against-wall", "ambient": "35degC"}
    assert places["+MCP"].attributes.quantity("size").values == (0.8, 2.0, 0.4)  # type: ignore[union-attr]


def test_an_enclosure_is_the_outermost(tmp_path: Path) -> None:
    places = sound(tmp_path, "place +A kind=cabinet\nplace +A.B kind=box\nplace +A.B.C kind=door\n").places
    assert [place.enclosure for place in places.values()] == ["+A", "+A", "+A"]


def test_routes(tmp_path: Path) -> None:
    text = """\
route D1 "Duct" at=+MCP
route T1 kind=ladder length=1200cm divider=yes laying=bunched layers=2 ambient=30degC bonded=no material=steel
route T2 kind=tray divider=no
function =A at=+BOX {
  route D2 length=2m
}
relation T1/2 D1 spacing=300mm parallel=4m
relation D1 T2 crossing=90deg
"""
    plant = sound(tmp_path, SITE + text)
    routes = {name: (way.kind, way.place, way.length_m, way.divider) for name, way in plant.routes.items()}
    assert routes == {
        "D1": ("duct", "+MCP", None, False),
        "T1": ("ladder", "", 12.0, True),
        "T2": ("tray", "", None, False),
        "D2": ("duct", "+BOX", 2.0, False),
    }
    assert plain(plant.routes["T1"].attributes) == {
        "laying": "bunched",
        "layers": "2",
        "ambient": "30degC",
        "bonded": "no",
        "material": "steel",
    }
    relations = [(each.routes, each.spacing_m, each.parallel_m, each.crossing_deg) for each in plant.relations]
    assert relations == [(("T1/2", "D1"), 0.3, 4.0, None), (("D1", "T2"), None, None, 90.0)]


SUPPLIES = [
    ("system=TN-S", "L1 L2 L3 N PE"),
    ("system=TN-C-S", "L1 L2 L3 N PE"),
    ("system=TT", "L1 L2 L3 N PE"),
    ("system=TN-C", "L1 L2 L3 PEN"),
    ("system=IT", "L1 L2 L3 PE"),
    ("system=DC", "+ - PE"),
    ("system=TN-S phases=1", "L N PE"),
    ("system=IT phases=1", "L PE"),
    ("system=TN-S phases=3", "L1 L2 L3 N PE"),
]


@each_of(("said", "terminals"), SUPPLIES)
def test_supplies(tmp_path: Path, said: str, terminals: str) -> None:
    supply = sound(tmp_path, f"supply -G0 {said} voltage=400V\n").devices["-G0"]
    roles = {"N": "neutral", "PE": "earth", "PEN": "earth", "+": "supply-out", "-": "supply-common"}
    assert {name: terminal.role for name, terminal in supply.terminals.items()} == {
        name: roles.get(name, "load-out") for name in terminals.split()
    }
    assert {terminal.clamp.conductors for terminal in supply.terminals.values()} == {99}
    assert (supply.category, supply.kind, supply.place, supply.ratings.amount("voltage")) == ("supply", "supply", "", 400)


BARS = {1: "L1", 2: "L1 N", 3: "L1 L2 L3", 4: "L1 L2 L3 N", 5: "L1 L2 L3 N PE"}


@each_of("keyword", ["busbar", "comb", "distribution-block"])
@each_of("poles", BARS)
def test_bars(tmp_path: Path, keyword: str, poles: int) -> None:
    plant = sound(tmp_path, f"place +A kind=box\n{keyword} -WB1 at=+A poles={poles} current=100A\n{keyword} -WB2 at=+A\n")
    bar = plant.devices["-WB1"]
    assert list(bar.terminals) == BARS[poles].split()
    assert {name for name, terminal in bar.terminals.items() if terminal.role == "earth"} == {"PE"} & set(bar.terminals)
    assert (bar.category, bar.kind, bar.place, bar.ratings.amount("current")) == ("busbar", keyword, "+A", 100)
    assert {terminal.clamp.conductors for terminal in bar.terminals.values()} == {999}
    assert list(plant.devices["-WB2"].terminals) == ["L1", "L2", "L3"]


def test_strips(tmp_path: Path) -> None:
    text = """\
strip -X1 "Field" at=+MCP rail=bonded field=left clamps=2 torque=0.5Nm strip=8mm current=20A {
  :1..2  2.5mm2 "level"
  :3     fused fuse=2A 1.5..4mm2 clamps=1
  :4     two-level
  :5     earth 4mm2 torque=0.6..0.8Nm
  :6     disconnect colour=BU
  :7     screened strip=10mm
  :N     neutral
  :8     diode
  :9     initiator-earth 1.5mm2
  :10    three-level
  bridge :1..2
  bridge :9.2 :10.2
  bridge :6 :7 :6
}
strip -X2 at=+MCP rail=insulated {
  :1
}
"""
    plant = sound(tmp_path, SITE + text)
    strip = plant.devices["-X1"]
    assert (strip.category, strip.rail_bonded, strip.field_side, strip.ratings.amount("current")) == ("strip", True, "left", 20)
    kinds = [(name, each.kind, each.role, each.split, each.level) for name, each in strip.terminals.items()]
    assert kinds == [
        ("1", "feed-through", "plain", False, 0),
        ("2", "feed-through", "plain", False, 0),
        ("3", "fused", "plain", True, 0),
        ("4.1", "two-level", "plain", False, 1),
        ("4.2", "two-level", "plain", False, 2),
        ("5", "earth", "earth", False, 0),
        ("6", "disconnect", "plain", True, 0),
        ("7", "screened", "plain", False, 0),
        ("N", "neutral", "plain", False, 0),
        ("8", "diode", "plain", True, 0),
        ("9.1", "initiator-earth", "plain", False, 1),
        ("9.2", "initiator-earth", "plain", False, 2),
        ("9.3", "initiator-earth", "plain", False, 3),
        ("9.PE", "earth", "earth", False, 4),
        ("10.1", "three-level", "plain", False, 1),
        ("10.2", "three-level", "plain", False, 2),
        ("10.3", "three-level", "plain", False, 3),
    ]
    clamps = {name: plain(each.clamp) for name, each in strip.terminals.items()}
    assert clamps["1"] == {"conductors": 2, "section": [0.0, 2.5], "torque_nm": [0.5, 0.5], "strip_m": 0.008}
    assert clamps["3"] == {"conductors": 1, "section": [1.5, 4.0], "torque_nm": [0.5, 0.5], "strip_m": 0.008}
    assert clamps["5"] == {"conductors": 2, "section": [0.0, 4.0], "torque_nm": [0.6, 0.8], "strip_m": 0.008}
    assert clamps["7"] == {"conductors": 2, "torque_nm": [0.5, 0.5], "strip_m": 0.01}
    assert plain(strip.terminals["3"].attributes) == {"size": "1.5..4mm2", "fuse": "2A"}
    assert plain(strip.terminals["6"].attributes) == {"colour": "BU"}
    assert strip.terminals["1"].text == "level"
    assert strip.bridges == (("1", "2"), ("9.2", "10.2"), ("6", "7"))
    other = plant.devices["-X2"]
    assert (other.rail_bonded, other.field_side, other.terminals["1"].clamp.conductors) == (False, "right", 1)


def test_devices_overlay_their_part_and_stand_where_they_say(tmp_path: Path) -> None:
    text = """\
part p "Part" {
  kind = relay   current = 6A   voltage = 24V
  setting termination off on
}
device -K1 p "Own" at=+MCP operated-at=+MCP.D current=4A power=5W termination=on
function =A at=+BOX {
  device -K2 p
}
device -XE1 earth-bar at=+MCP ways=3 section=2.5..16mm2
device -XS1 screen-bar at=+MCP ways=2
outside -A1 "Master" at=+HALL power=5W {
  terminal :A bus line=a
  kind = drive
  current = 1A
  power = 9W
}
"""
    plant = sound(tmp_path, SITE + text)
    one, other = plant.devices["-K1"], plant.devices["=A-K2"]
    assert (one.title, one.place, one.operated_at, one.function) == ("Own", "+MCP", "+MCP.D", "")
    assert plain(one.ratings) == {"current": "4A", "voltage": "24V", "power": "5W", "termination": "on"}
    assert (plain(one.settings), one.settings_set) == ({"termination": "on"}, {"termination"})
    assert (other.title, other.place, other.operated_at, other.function) == ("Part", "+BOX", "", "=A")
    assert (plain(other.settings), other.settings_set) == ({"termination": "off"}, frozenset())
    bar = plant.devices["-XE1"].terminals
    assert (list(bar), {each.role for each in bar.values()}) == (["1", "2", "3"], {"earth"})
    assert bar["1"].clamp.section == (2.5, 16.0)
    assert [each.role for each in plant.devices["-XS1"].terminals.values()] == ["screen", "screen"]
    master = plant.devices["-A1"]
    assert (master.category, master.kind, master.place) == ("outside", "outside", "+HALL")
    assert plain(master.ratings) == {"power": "5W", "current": "1A"}


def test_a_setting_or_rating_is_left_open_with_auto(tmp_path: Path) -> None:
    text = """\
part p {
  kind = motor-breaker
  setting tripping-current 0.1..65A
}
device -Q1 p at=+MCP current=auto
set -Q1 tripping-current=auto
defaults section=auto
device -K1 relay-1co at=+MCP
strip -X1 at=+MCP {
  :1..2
}
wire -K1:A1 to -X1:1 auto BU
cable -W1 4Gauto {
  BN -K1:A2 to -X1:2
}
"""
    plant = sound(tmp_path, SITE + text)
    opened = [(value.kind, value.subjects, value.span.text) for value in plant.open_values]
    assert opened == [
        ("current", ("-Q1",), "auto"),
        ("tripping-current", ("-Q1",), "auto"),
        ("defaults", (), "auto"),
        ("section", ("-K1:A1 -- -X1:1",), "auto"),
        ("construction", ("-W1",), "4Gauto"),
    ]
    breaker = plant.devices["-Q1"]
    assert (breaker.ratings.text("current"), breaker.ratings.amount("current")) == ("auto", None)
    assert "tripping-current" not in breaker.settings
    assert plant.conductors["-K1:A1 -- -X1:1"].section_mm2 is None
    assert plant.conductors["-W1 BN"].section_mm2 is None and plant.cables["-W1"].cores[0].section_mm2 == 0
    assert plant.defaults[0].section_open and plant.defaults[0].section_mm2 is None


#: a declaration, the rule, the characters marked, what is said to do
MISTAKES = [
    ("place MCP", "syntax", "MCP", None),
    ("place +A kind=cabinett", "unknown-word", "kind=cabinett", "did you mean `cabinet`?"),
    ("place +A metol=yes", "unknown-word", "metol", "did you mean `metal`?"),
    ("place +A size=3A", "wrong-unit", "3A", "write it in m or mm or cm"),
    ("place +A.B kind=door", "unknown-name", "+A.B", None),
    ("place +MCP kind=box", "duplicate-name", "+MCP", None),
    ("route D1 kind=dukt", "unknown-word", "kind=dukt", "did you mean `duct`?"),
    ("route D1 lenght=3m", "unknown-word", "lenght", "did you mean `length`?"),
    ("route D1 length=1..2m", "wrong-unit", "1..2m", "give `length` one value"),
    ("supply -G1 voltage=400V", "missing-value", "-G1", None),
    ("supply -G1 system=TN-S", "missing-value", "-G1", "add `voltage=400V`"),
    ("supply -G1 system=TN-S voltage=400V curent=3A", "unknown-word", "curent", "did you mean `current`?"),
    ("busbar -WB1 poles=6 at=+MCP", "out-of-range", "6", "give 1 to 5"),
    ("busbar -WB1 poles=0 at=+MCP", "out-of-range", "0", "give 1 to 5"),
    ("busbar -WB1", "missing-value", "-WB1", None),
    (
        "part bar {\n  kind = earth-bar\n}\ndevice -XE1 bar at=+MCP",
        "missing-value",
        "-XE1",
        "add `ways=` and a number from 1 to 500",
    ),
    ("device -XE1 earth-bar at=+MCP ways=501", "out-of-range", "-XE1", None),
    ("device -K1 relay-1co at=+MCP operated-at=+DOR", "unknown-name", "+DOR", None),
    ("strip -X1 at=+MCP rail=bondet {\n}", "unknown-word", "rail=bondet", "did you mean `bonded`?"),
    ("strip -X1 at=+MCP {\n  :1 4A\n}", "wrong-unit", "4A", "write it in mm2"),
    ("strip -X1 at=+MCP {\n  :1 fuzed\n}", "unknown-word", "fuzed", "did you mean `fused`?"),
    ("strip -X1 at=+MCP {\n  :1 fuze=2A\n}", "unknown-word", "fuze", "did you mean `fuse`?"),
    ("strip -X1 at=+MCP {\n  :1..2\n  bridge :1\n}", "count-mismatch", "bridge :1", None),
    ("strip -X1 at=+MCP {\n  :1..2\n  bridge :1 :3\n}", "unknown-terminal", "3", None),
    ("shade DBU = BL", "unknown-word", "BL", None),
]


@each_of(("line", "rule", "where", "remedy"), MISTAKES)
def test_a_mistake_in_a_declaration(line: str, rule: str, where: str, remedy: str | None) -> None:
    findings = findings_of(f"netdsl 1\n{SITE}{line}\n")
    assert [(finding.rule, finding.span.text) for finding in findings] == [(rule, where)]
    assert remedy is None or findings[0].remedy == remedy


def test_a_bar_may_have_from_one_to_five_hundred_ways(tmp_path: Path) -> None:
    for ways in (1, 500):
        plant = sound(tmp_path, f"{SITE}device -XE1 earth-bar at=+MCP ways={ways}\n")
        assert list(plant.devices["-XE1"].terminals) == [str(n) for n in range(1, ways + 1)]
