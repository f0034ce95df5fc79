"""What statements make of wires, cables and screens, potentials, defaults, settings and exceptions; where names are found."""

from __future__ import annotations

from pathlib import Path

from reading import findings_of, plain, sound

from tests.cases import each_of

SITE = """\
place +MCP kind=cabinet
place +HALL
supply -G1 system=DC voltage=24V
route D1 at=+MCP divider=yes
route D2 at=+MCP
shade DBU = BU "dark blue"
part relay {
  kind = relay
  terminal :1..4 contact
  terminal :A1 :A2 coil function=on
  setting mode slow fast
  setting address 1..247
  setting name
}
strip -X1 at=+MCP {
  :1..9
  :10 two-level
}
device -K1 relay at=+MCP
device -K2 relay at=+MCP
device -M1 motor at=+HALL
"""


@each_of("written", ["3..5/out", "3/out..5/out", "3/out,4/out,5/out"])
def test_a_side_behind_a_range_is_that_of_all_its_terminals(written: str, tmp_path: Path) -> None:
    made = sound(tmp_path, SITE + f"wire -K1:1..3 to -X1:{written}\n").conductors
    assert list(made) == ["-K1:1 -- -X1:3/out", "-K1:2 -- -X1:4/out", "-K1:3 -- -X1:5/out"]
    assert [conductor.ends[1].side for conductor in made.values()] == ["out"] * 3


def test_wires_step_together_and_chain(tmp_path: Path) -> None:
    text = """\
wire -K1:1,2 to -X1:1,2 0.75mm2 DBU "signal" along=D1/2,D2 length=1500mm mark=7 insulation=450/750V stranding=fine
wire -X1:3 to -K1:3 to -K2:3 twin BK
wire -X1:3/out to -X1:4/out
wire -X1:4/out to -X1:3/out
wire -X1:3/out to -X1:4/out
wire -X1:10.1 to +MCP:PE 16mm2 material=braid insulation=XLPE
"""
    plant = sound(tmp_path, SITE + text)
    made = plant.conductors
    assert list(made) == [
        "-K1:1 -- -X1:1",
        "-K1:2 -- -X1:2",
        "-X1:3 -- -K1:3",
        "-K1:3 -- -K2:3",
        "-X1:3/out -- -X1:4/out",
        "-X1:4/out -- -X1:3/out",
        "-X1:3/out -- -X1:4/out (2)",
        "-X1:10.1 -- +MCP:PE",
    ]
    first = made["-K1:2 -- -X1:2"]
    assert (first.section_mm2, first.colour, first.text, first.length_m, first.mark) == (0.75, "DBU", "signal", 1.5, "7")
    assert (first.routes, first.cable, first.chain, first.twin_at) == (("D1/2", "D2"), None, "", ())
    assert plain(first.attributes) == {"insulation": "450/750V", "stranding": "fine"}
    assert [end.side for end in first.ends] == ["", "in"]
    chained = made["-K1:3 -- -K2:3"]
    assert (chained.chain, chained.twin_at, chained.colour) == ("-X1:3 -- -K1:3 -- -K2:3", ("-K1:3",), "BK")
    assert (chained.section_mm2, chained.length_m, chained.routes) == (None, None, ())
    assert plain(made["-X1:10.1 -- +MCP:PE"].attributes) == {"material": "braid", "insulation": "XLPE"}


def test_twin_means_something_in_a_chain_alone(tmp_path: Path) -> None:
    plant = sound(tmp_path, SITE + "wire -X1:3 to -K1:3 twin\n")
    assert not plant.conductors["-X1:3 -- -K1:3"].twin_at


def test_cables(tmp_path: Path) -> None:
    text = """\
cable -W1 4G10 screened "motor" length=35m along=D2 method=E parallel=3 spare=earthed insulation=XLPE voltage=1kV correction=0.8 {
  BN -X1:1 to -M1:U1 mark=9 "first"
  GNYE +MCP:PE to -M1:PE
  screen -M1 gland to -X1:2 clamp
}
cable -W2 2x2x0.75 pair-screened screened {
  1a -X1:3/in to -K1:4
  screen pair 2 -X1:4 pigtail 60x12mm bare 80mm
  screen -X1:5 pigtail 50mm to -K1 open
}
cable -W3 5G1.5 cores=numbers {
  1 -X1:6 to -K1:1
}
cable -W4 2x2x0.75 pair-screened {
}
"""
    plant = sound(tmp_path, SITE + text)
    one, two, three, four = plant.cables.values()
    assert (one.title, one.construction, one.screen, one.length_m, one.routes) == ("motor", "4G10", "outer", 35.0, ("D2",))
    assert (one.method, one.parallel, one.spare, one.conductors) == ("E", 3, "earthed", ("-W1 BN", "-W1 GNYE"))
    assert plain(one.attributes) == {"insulation": "XLPE", "voltage": "1kV", "correction": "0.8"}
    core = plant.conductors["-W1 BN"]
    assert (core.cable, core.core, core.section_mm2, core.colour, core.mark, core.text) == ("-W1", "BN", 10.0, "BN", "9", "first")
    assert [end.side for end in core.ends] == ["out", ""]
    (screen,) = one.screens
    assert (screen.pair, [(end.device, end.terminal, end.how) for end in screen.ends]) == (
        0,
        [("-M1", "", "gland"), ("-X1", "2", "clamp")],
    )
    assert (two.screen, two.method, two.parallel, two.spare, two.length_m) == ("both", "", 1, "", None)
    assert [end.side for end in plant.conductors["-W2 1a"].ends] == ["in", ""]
    screens = {screen.pair: [(e.how, e.pigtail_m, e.pigtail_width_m, e.bare_m) for e in screen.ends] for screen in two.screens}
    assert screens == {
        0: [("pigtail", 0.05, None, None), ("open", None, None, None)],
        1: [],
        2: [("pigtail", 0.06, 0.012, 0.08)],
    }
    assert [core.name for core in three.cores] == ["1", "2", "3", "4", "GNYE"]
    assert (four.screen, [screen.pair for screen in four.screens]) == ("pairs", [1, 2])


def test_potentials_defaults_and_exceptions(tmp_path: Path) -> None:
    text = """\
potential P24 of -G1:+ mark=P parallel=yes
potential P0 of -G1:-
earthing of -G1:- at +MCP:PE
defaults within=+MCP class=control section=0.75mm2 colour=DBU along=D1/1,D2 length=200cm
function =A at=+MCP {
  device -K3 relay
  defaults class=earth
  defaults within==A
  allow earth-loop on -K3:1 because "why" until 2027-06-30
}
allow spacing on D1 because "w"
allow loop on =A because "w"
interlock -K1 -K2 electrical
connect -M1 delta
"""
    plant = sound(tmp_path, SITE + text)
    assert [(each.name, each.end.id, each.mark, each.parallel) for each in plant.potentials] == [
        ("P24", "-G1:+", "P", True),
        ("P0", "-G1:-", None, False),
    ]
    assert [(each.of.id, each.at.id) for each in plant.reference_points] == [("-G1:-", "+MCP:PE")]
    chosen = [(each.within, each.klass, each.section_mm2, each.colour, each.routes, each.length_m) for each in plant.defaults]
    assert chosen == [
        ("+MCP", "control", 0.75, "DBU", ("D1/1", "D2"), 2.0),
        ("=A", "earth", None, None, (), None),
        ("=A", "", None, None, (), None),
    ]
    assert [(each.rule, each.subject, each.reason, each.until) for each in plant.exceptions] == [
        ("earth-loop", "=A-K3:1", "why", "2027-06-30"),
        ("spacing", "D1", "w", None),
        ("loop", "=A", "w", None),
    ]
    assert [(each.devices, each.kind) for each in plant.interlocks] == [(("-K1", "-K2"), "electrical")]
    assert plant.devices["-M1"].connection == "delta"
    assert plant.shades == {"DBU": ("BU", "dark blue")}


def test_settings_and_accessories(tmp_path: Path) -> None:
    text = """\
part extra {
  kind = aux-contact
  terminal :7 :8 contact
  contact :7 to :8
  setting mode loud quiet
  setting tone low high
  require :7
}
set -K1 mode=fast address=247 name=any
fit extra on -K2
set -K2 tone=high address=1
"""
    plant = sound(tmp_path, SITE + text)
    one, other = plant.devices["-K1"], plant.devices["-K2"]
    assert (plain(one.settings), one.settings_set) == (
        {"mode": "fast", "address": "247", "name": "any"},
        {"mode", "address", "name"},
    )
    assert one.settings.amount("address") == 247
    assert list(other.terminals) == ["1", "2", "3", "4", "A1", "A2", "7", "8"]
    assert [(path.a, path.b) for path in other.paths] == [("7", "8")]
    assert [need.terminals for need in other.requirements] == [("7",)]
    assert plain(other.settings) == {"mode": "slow", "tone": "high", "address": "1"}
    assert [accessory.part.name for accessory in other.accessories] == ["extra"]


def test_a_name_is_sought_from_the_inside_out(tmp_path: Path) -> None:
    text = """\
function =A at=+MCP {
  device -K1 relay
  function =B {
    device -K2 relay
    wire -K2:1 to -K1:1
    wire =B-K2:2 to =A-K1:2
    wire -X1:1 to -K2:(on)
    wire -K2:(contact 4) to -X1:(2*2-1)
  }
  wire -K1:3 to =B-K2:3
}
"""
    plant = sound(tmp_path, SITE.replace("device -K1", "device -K9").replace("device -K2", "device -K8") + text)
    assert list(plant.conductors) == [
        "=A.B-K2:1 -- =A-K1:1",
        "=A.B-K2:2 -- =A-K1:2",
        "-X1:1 -- =A.B-K2:A1",
        "=A.B-K2:4 -- -X1:3",
        "=A-K1:3 -- =A.B-K2:3",
    ]
    assert {(scope.id, scope.parent, scope.place) for scope in plant.functions.values()} == {
        ("=A", None, "+MCP"),
        ("=A.B", "=A", "+MCP"),
    }


#: a statement, the rule, the characters marked, what is said to do
MISTAKES = [
    ("wire -K1:1 to -K1:1", "duplicate-name", "wire -K1:1 to -K1:1", None),
    ("wire -K1:1..2 to -X1:1..3", "count-mismatch", "-X1:1..3", None),
    ("wire -K1:1 to -X1:10", "unknown-terminal", "10", "name the level: `:10.1` or `:10.2`"),
    ("wire -K1:1 to -X1:1 0mm2", "out-of-range", "0mm2", "give 0.05mm2 to 1000mm2"),
    ("wire -K1:1 to -X1:1 1001mm2", "out-of-range", "1001mm2", None),
    ("wire -K1:1 to -X1:1 0.049mm2", "out-of-range", "0.049mm2", None),
    ("wire -K1:1 to -X1:1 2A", "wrong-unit", "2A", "write the section in mm2"),
    ("wire -K1:1 to -X1:1 1..2mm2", "wrong-unit", "1..2mm2", None),
    ("wire -K1:1 to -X1:1 TWIN", "unknown-word", "TWIN", "did you mean `twin`?"),
    ("wire -K1:1 to -X1:1 along=D1/3", "unknown-name", "D1/3", "a route with `divider=yes` has `/1` and `/2`"),
    ("wire -K1:1 to -X1:1 along=D2/1", "unknown-name", "D2/1", None),
    ("wire -K1:1 to -X1:1 insulation=PCV", "unknown-word", "insulation=PCV", "did you mean `PVC`?"),
    ("wire -K1:1 to +HALL:PE", "unknown-terminal", "PE", "a place has a terminal `:PE` only where it is metal"),
    ("cable -W1 4G10 method=H {\n}", "unknown-word", "method=H", None),
    ("cable -W1 4G10 screend {\n}", "unknown-word", "screend", "did you mean `screened`?"),
    ("cable -W1 4G10 pair-screened {\n}", "unknown-word", "4G10", "write `screened`"),
    ("cable -W1 4G10 parallel=0 {\n}", "out-of-range", "parallel=0", "give a whole number from 1 to 20"),
    ("cable -W1 4G10 parallel=1.5 {\n}", "out-of-range", "parallel=1.5", None),
    ("cable -W1 4G10 parallel=21 {\n}", "out-of-range", "parallel=21", None),
    ("cable -W1 4G10 material=braid {\n}", "unknown-word", "material=braid", None),
    ("cable -W1 4G10 {\n  BN -K1:1,2 to -X1:1\n}", "count-mismatch", "-K1:1,2", "write a line per core"),
    ("cable -W1 4G10 {\n  BN -K1:1 to -X1:1 to -X1:2\n}", "count-mismatch", "BN -K1:1 to -X1:1 to -X1:2", None),
    ("cable -W1 4G10 {\n  screen -K1 clamp\n}", "core-unknown", "screen -K1 clamp", None),
    ("cable -W1 4G10 screened {\n  screen -K1 clam\n}", "unknown-word", "clam", "did you mean `clamp`?"),
    ("cable -W1 4G10 screened {\n  screen -K1 clamp\n  screen -K2 clamp\n}", "core-reused", "screen -K2 clamp", None),
    ("cable -W1 4G10 screened {\n  screen pair x -K1 clamp\n}", "wrong-unit", "x", None),
    ("cable -W1 4G10 screened {\n  screen -K1 pigtail 60A\n}", "wrong-unit", "60A", "write it in mm"),
    ("set -K1 address=0", "out-of-range", "0", None),
    ("set -K1 address=248", "out-of-range", "248", None),
    ("set -K1 address=2m", "wrong-unit", "2m", "write a plain number"),
    ("set -K1 mode=fst", "unknown-word", "fst", "did you mean `fast`?"),
    ("set +MCP mode=fast", "unknown-name", "+MCP", "name a device"),
    ("connect -K1 star", "unknown-word", "-K1", "name a motor"),
    ("connect -M1 stern", "unknown-word", "stern", None),
    ("interlock -K1 -K2 chemical", "unknown-word", "chemical", None),
    ("fit relay on -K1", "duplicate-name", "relay", "fit an accessory with other contact numbers"),
    ("earthing of -K1:1,2 at -X1:1", "count-mismatch", "-K1:1,2", "name one"),
    ("potential P of -K1:1 parallel=si", "unknown-word", "parallel=si", "take one of yes, no"),
    ("relation D1 D2 crossing=181deg", "out-of-range", "crossing=181deg", "give 0deg to 90deg"),
    ("relation D1 D2 spacing=3A", "wrong-unit", "3A", None),
    ("defaults class=contrl", "unknown-word", "class=contrl", "did you mean `control`?"),
    ("defaults within=+MPC", "unknown-name", "+MPC", "did you mean `+MCP`?"),
    ("defaults colour=XX", "unknown-word", "colour=XX", None),
    ("defaults section=1..2mm2", "wrong-unit", "1..2mm2", None),
    ('allow loop on -K1 because "w" until 2027-02-30', "wrong-unit", "2027-02-30", "write it as 2027-06-30 (ISO 8601)"),
    ('project "P" {\n  marks = end\n}', "unknown-word", "marks = end", "did you mean `ends`?"),
    ('project "P" {\n  wiring-table = building1\n}', "unknown-word", "wiring-table = building1", "did you mean `building`?"),
    ('project "P" {\n  revision A 2026-13-01 "x"\n}', "wrong-unit", "2026-13-01", None),
    ("function -K5 {\n}", "syntax", "-K5", None),
    ("function =A relay {\n}", "unknown-word", "relay", 'take it out, or write it in quotes: `"relay"`'),
    ("function =A att=+MCP {\n}", "unknown-word", "att", "did you mean `at`?"),
]


@each_of(("line", "rule", "where", "remedy"), MISTAKES)
def test_a_mistake_gives_one_finding(line: str, rule: str, where: str, remedy: str | None) -> None:
    findings = findings_of(f"netdsl 1\n{SITE}{line}\n")
    assert [(finding.rule, finding.span.text) for finding in findings] == [(rule, where)]
    assert remedy is None or findings[0].remedy == remedy


@each_of(
    ("written", "means"),
    [("1..3", "1 2 3"), ("L1..L3", "L1 L2 L3"), ("L1..3", "L1 L2 L3"), ("1a..3a", "1a 2a 3a"), ("7", "7"), ("(2+3)", "5")],
)
def test_ranges_of_terminals(tmp_path: Path, written: str, means: str) -> None:
    plant = sound(tmp_path, f"part p {{\n  kind = relay\n  terminal :{written} contact\n}}\nplace +A\ndevice -K1 p at=+A\n")
    assert list(plant.devices["-K1"].terminals) == means.split()
