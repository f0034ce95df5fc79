"""What a text means, and what bad input gets: one mistake, one finding, at its place, with a remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading import findings_of

from netdsl.findings import Finding, Source
from netdsl.model import Plant, read_plant
from netdsl.syntax import parse
from netdsl.syntax.tree import Tree
from tests.cases import each_of

HEAD = """\
netdsl 1
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Mains" system=TN-S voltage=400V frequency=50Hz
part box2 "Box" {
  kind = relay   class = II
  terminal :1 :2 contact
  terminal :A1 :A2 coil voltage=24V dc
  contact :1 to :2 make by=coil
  coil :A1 to :A2 voltage=24V dc power=1W
  setting mode slow fast
  setting address 1..247
  setting termination off on
}
part engine "Motor" {
  kind = motor   class = I   voltage = 400V
  terminal :U1 :V1 :W1 winding
  terminal :PE earth
}
"""


def read(tmp_path: Path, text: str, **files: str) -> tuple[Plant, tuple[Finding, ...]]:
    (tmp_path / "plant.netdsl").write_text(text, encoding="utf-8")
    for name, content in files.items():
        (tmp_path / name.replace("__", ".")).write_text(content, encoding="utf-8")
    plant, findings = read_plant(tmp_path)
    assert plant is not None
    return plant, findings


def test_names_are_looked_up_outwards(tmp_path: Path) -> None:
    plant, findings = read(
        tmp_path,
        HEAD
        + """\
device -K1 box2 at=+MCP
function =A at=+MCP {
  device -K2 box2
  function =B {
    device -K3 box2
    wire -K1:1 to -K2:1 to -K3:1 0.75mm2 BU
  }
}
wire =A-K2:2 to =A.B-K3:2 0.75mm2 BU
""",
    )
    assert findings == ()
    assert list(plant.devices) == ["-G0", "-K1", "=A-K2", "=A.B-K3"]
    assert list(plant.conductors) == ["-K1:1 -- =A-K2:1", "=A-K2:1 -- =A.B-K3:1", "=A-K2:2 -- =A.B-K3:2"]
    chain = [conductor.chain for conductor in plant.conductors.values()]
    assert chain == ["-K1:1 -- =A-K2:1 -- =A.B-K3:1"] * 2 + [""]


def test_a_scheme_is_unfolded_with_arithmetic_and_defaults(tmp_path: Path) -> None:
    plant, findings = read(
        tmp_path,
        HEAD
        + """\
scheme pair(relay, strip, first, size=0.75mm2) "Two terminals" {
  wire $relay:1 to $strip:($first)   $size BU
  wire $relay:2 to $strip:($first+1) $size BU
  wire $relay:(coil) to $strip:($first+2) $size BU
}
strip -X1 at=+MCP {
  :1..9 2.5mm2
}
device -K1 box2 at=+MCP
device -K2 box2 at=+MCP
use pair relay=-K1 strip=-X1 first=1
use pair relay=-K2 strip=-X1 first=4 size=1mm2
""",
    )
    assert findings == ()
    ends = [(a.id, b.id, conductor.section_mm2) for conductor in plant.conductors.values() for a, b in [conductor.ends]]
    assert ends == [
        ("-K1:1", "-X1:1", 0.75),
        ("-K1:2", "-X1:2", 0.75),
        ("-K1:A1", "-X1:3", 0.75),
        ("-K2:1", "-X1:4", 1.0),
        ("-K2:2", "-X1:5", 1.0),
        ("-K2:A1", "-X1:6", 1.0),
    ]
    first = next(iter(plant.conductors.values()))
    assert first.span.text.startswith("use pair relay=-K1")
    assert first.use is not None
    assert first.use.text.startswith("wire $relay:1")


def test_strips_know_their_sides_levels_and_bridges(tmp_path: Path) -> None:
    plant, findings = read(
        tmp_path,
        HEAD
        + """\
device -K1 box2 at=+MCP
strip -X1 at=+MCP rail=bonded {
  :1..3 2.5mm2 "level"
  :4 two-level 2.5mm2
  :5 fused fuse=2A 4mm2
  :6 earth 4mm2
  bridge :1..3
}
wire -K1:1 to -X1:1
wire -K1:2 to -X1:4.2
cable -W1 2x1.5 length=3m {
  BN -X1:2 to -X1:5/in
}
""",
    )
    assert findings == ()
    strip = plant.devices["-X1"]
    assert list(strip.terminals) == ["1", "2", "3", "4.1", "4.2", "5", "6"]
    assert strip.bridges == (("1", "2", "3"),)
    assert strip.rail_bonded
    assert strip.terminals["5"].split
    wire, _, core = plant.conductors.values()
    assert [end.side for end in wire.ends] == ["", "in"]
    assert [end.side for end in core.ends] == ["out", "in"]


MISTAKES = [
    ("device -K1 box3 at=+MCP", "unknown-part", "box3"),
    ("device -K1 box2 at=+MPC", "unknown-name", "+MPC"),
    ("device -K1 box2", "missing-value", "-K1"),
    ("device -K1 box2 at=+MCP curent=3A", "unknown-word", "curent"),
    ("device -K1 box2 at=+MCP current=3V", "wrong-unit", "3V"),
    ("device -K1 box2 at=+MCP current=-3A", "out-of-range", "-3A"),
    ("device -K1 box2 at=+MCP\ndevice -K1 box2 at=+MCP", "duplicate-name", "-K1"),
    ("device -K1 box2 at=+MCP\nwire -K1:1 to -K1:7", "unknown-terminal", "7"),
    ("device -K1 box2 at=+MCP\nwire -K1:1,2 to -K1:A1", "count-mismatch", "-K1:A1"),
    ("device -K1 box2 at=+MCP\nwire -K1:1 to -KK1:2\nwire -K1:2 to -KK1:2", "unknown-name", "-KK1"),
    ("device -K1 box2 at=+MCP\nset -K1 mode=quick", "unknown-word", "quick"),
    ("device -K1 box2 at=+MCP termination=maybe", "unknown-word", "maybe"),
    ("device -K1 box2 at=+MCP termination=on\nset -K1 termination=off", "duplicate-name", "termination=off"),
    ("device -K1 box2 at=+MCP\nset -K1 mood=slow", "unknown-setting", "mood"),
    ("device -K1 box2 at=+MCP\nset -K1 address=300", "out-of-range", "300"),
    ("device -K1 box2 at=+MCP\ncable -W1 2x1.5 {\n  GY -K1:1 to -K1:2\n}", "core-unknown", "GY"),
    ("device -K1 box2 at=+MCP\ncable -W1 2x1.5 {\n  BN -K1:1 to -K1:2\n  BN -K1:A1 to -K1:A2\n}", "core-reused", "BN"),
    ("device -K1 box2 at=+MCP\nwire -K1:1 to -K1:2 2.5mm2 BX", "unknown-word", "BX"),
    ("device -K1 box2 at=+MCP\nwire -K1:1 to -K1:2 2.5mm", "wrong-unit", "2.5mm"),
    ("device -K1 box2 at=+MCP\nwire -K1:1 to -K1:2 along=DUCT9", "unknown-name", "DUCT9"),
    ("use nothing", "unknown-scheme", "nothing"),
    ("scheme a(x) {\n  use a x=$x\n}\nuse a x=1", "scheme-recursive", None),
    ("scheme a(x) {\n}\nuse a", "missing-value", "a"),
    ("scheme a(x) {\n}\nuse a x=1 y=2", "unknown-parameter", "y"),
    ('include "nowhere.netdsl"', "include-missing", '"nowhere.netdsl"'),
    ('include "../outside.netdsl"', "include-outside", '"../outside.netdsl"'),
    ('include "plant.netdsl"', "include-circular", '"plant.netdsl"'),
    ("netdsl 9", "version-unsupported", "9"),
    ("relation R1 R2 spacing=3mm", "unknown-name", "R1"),
    ('allow earth-loop on -Q9 because "x"', "unknown-name", "-Q9"),
    ("supply -G1 system=TNS voltage=400V", "unknown-word", "system=TNS"),
    ("supply -G1 system=TT voltage=400V upstream=fuse-gG63A", "unknown-word", "fuse-gG63A"),
    ("supply -G1 system=TT voltage=400V upstream=fuse-gC-63A", "unknown-word", "fuse-gC-63A"),
    ("supply -G1 system=TT voltage=400V upstream=mcb-C-0A", "unknown-word", "mcb-C-0A"),
    ("supply -G1 system=TT voltage=400V upstream=mcb-C-0.00A", "unknown-word", "mcb-C-0.00A"),
    ("supply -G1 system=TT voltage=400V upstream=fuse-gG-999999A", "unknown-word", "fuse-gG-999999A"),
    ("supply -G1 system=TT voltage=400V upstream=mcb-gG-63A", "unknown-word", "mcb-gG-63A"),
    ("device -F3 mcb-1p at=+MCP current=6A curve=Q", "unknown-word", "curve=Q"),
    ("device -F3 overload-relay-0.16a at=+MCP trip-class=99", "unknown-word", "trip-class=99"),
    ("device -K3 contactor-9a at=+MCP utilisation=AC3", "unknown-word", "AC3"),
    ("device -K3 contactor-9a at=+MCP upstream-kind=fuse-gC", "unknown-word", "fuse-gC"),
    ("device -B3 level-switch at=+MCP quantity=insulaton", "unknown-word", "insulaton"),
    ("device -K3 contactor-9a at=+MCP suppressor=diod", "unknown-word", "diod"),
    ("route R9 kind=tray divider=nein", "unknown-word", "divider=nein"),
    ("supply -G1 system=TT voltage=400V fault-current=3..6kA", "wrong-unit", "3..6kA"),
    ("device -Z3 sine-filter-10a at=+MCP filter=sinus", "unknown-word", "filter=sinus"),
    ("strip -X1 at=+MCP {\n  :1..3 2.5mm2\n  :2 4mm2\n}", "duplicate-name", "2"),
    ("strip -X1 at=+MCP {\n  :9..3 2.5mm2\n}", "out-of-range", "9..3"),
    (
        "function =A at=+MCP {\n  device -K1 box2\n  function =B {\n    device -K1 box2\n    wire =A-K1:1 to -K1:2\n  }\n}",
        "hidden-name",
        "-K1",
    ),
]


@each_of(("text", "rule", "where"), MISTAKES)
def test_one_mistake_gives_one_finding(text: str, rule: str, where: str | None) -> None:
    findings = findings_of(f"netdsl 1\n{HEAD}{text}\n")
    assert [finding.rule for finding in findings] == [rule], findings
    assert findings[0].remedy
    assert where is None or findings[0].span.text == where


def test_includes_are_read_once_and_relative(tmp_path: Path) -> None:
    plant, findings = read(
        tmp_path,
        HEAD + 'include "a.netdsl"\ninclude "b.netdsl"\n',
        a__netdsl='include "b.netdsl"\ndevice -K1 box2 at=+MCP\n',
        b__netdsl="device -K2 box2 at=+MCP\n",
    )
    assert findings == ()
    assert {"-K1", "-K2"} <= set(plant.devices)
    assert plant.devices["-K1"].span.source.path == "a.netdsl"


def test_a_missing_file_gives_no_plant(tmp_path: Path) -> None:
    plant, findings = read_plant(tmp_path / "nothing.netdsl")
    assert plant is None
    assert len(findings) == 1


def test_a_finding_in_a_scheme_points_at_the_use(tmp_path: Path) -> None:
    _, findings = read(tmp_path, HEAD + "device -K1 box2 at=+MCP\nscheme a(k) {\n  wire $k:1 to $k:9\n}\nuse a k=-K1\n")
    assert [finding.span.text for finding in findings] == ["use a k=-K1"]
    assert [related.span.text for related in findings[0].related] == ["9", "-K1"]  # and what is not judged for it


CASCADES = [
    "strip -X1 at=+MCP {\n  :1..0 2.5mm2\n}\ndevice -K1 box2 at=+MCP\nwire -K1:1 to -X1:1\nwire -K1:2 to -X1:2",
    "strip -X1 at=+MCP {\n  :1..9 2.5mm2 ] \n}\ndevice -K1 box2 at=+MCP\nwire -K1:1 to -X1:1\nwire -K1:2 to -X1:2",
    "part p {\n  kind = relay\n  terminal :1 :2 contakt\n}\ndevice -K1 p at=+MCP\nwire -K1:1 to -K1:2",
    "part p {\n  kind = relay\n  terminal :1 : contact ]\n}\ndevice -K1 p at=+MCP\nwire -K1:1 to -K1:2",
    "device -K1 box2 at+MCP\ndevice -K2 box2 at=+MCP\nwire -K1:1 to -K2:2",
    "device -K1 boks at=+MCP\ndevice -K2 box2 at=+MCP\nwire -K1:1 to -K2:2\nset -K1 mode=slow\nfit box2 on -K1",
    "function =A at=+NO {\n  device -K1 box2\n  device -K2 box2\n  wire -K1:1 to -K2:1\n}",
    'cable -W1 4Q10 {\n  BN -G0:L1 to -G0:L2\n}\nallow earth-loop on -W1 because "x"',
    *(
        f"scheme box(part, k=-K1) {{\n  device $k $part at=+MCP\n}}\nuse {used}\nset -K1 mode=slow"
        for used in ("box part=boks", "box prat=box2", "box", "bos part=box2", "box {\n  part = boks\n}")
    ),
]


@each_of("text", CASCADES)
def test_a_faulty_declaration_speaks_alone(text: str) -> None:
    findings = findings_of(f"netdsl 1\n{HEAD}{text}\n")
    assert len(findings) == 1, findings


def test_notes_of_a_device_stand_in_order_also_from_a_scheme(tmp_path: Path) -> None:
    plant, findings = read(
        tmp_path,
        HEAD
        + """\
scheme told(relay) "Says so" {
  caution on $relay "closes by itself"
}
device -K1 box2 at=+MCP
function =A at=+MCP {
  device -K2 box2
  use told relay=-K2
  remark on -K1 "spare"
}
""",
    )
    assert findings == ()
    assert [(note.kind, note.subject, note.text) for note in plant.notes] == [
        ("caution", "=A-K2", "closes by itself"),
        ("remark", "-K1", "spare"),
    ]
    made, written = plant.notes
    assert made.span.text == "use told relay=-K2" and made.use is not None and made.use.text.startswith("caution on $relay")
    assert written.use is None


@each_of(
    ("line", "rule", "at"),
    [
        ('caution on -K9 "x"', "unknown-name", "-K9"),
        ('remark on -K1:1 "x"', "syntax", "-K1:1"),
        ('remark on +MCP "x"', "unknown-name", "+MCP"),
        ("caution on -K1", "syntax", ""),
    ],
)
def test_a_note_on_nothing_is_one_finding(tmp_path: Path, line: str, rule: str, at: str) -> None:
    plant, findings = read(tmp_path, HEAD + f"device -K1 box2 at=+MCP\n{line}\n")
    assert [finding.rule for finding in findings] == [rule]
    assert findings[0].span.text.strip() == at and findings[0].remedy
    assert plant.notes == ()


def test_schemes_take_defaults_lists_and_hand_their_parameters_on(tmp_path: Path) -> None:
    (tmp_path / "plant.netdsl").write_text(
        "netdsl 1\nplace +A kind=cabinet\nroute D1 at=+A\nroute D2 at=+A\n"
        "strip -X1 at=+A {\n  :1..4\n}\n"
        "scheme inner(feed, way, first=3, second=4) {\n  wire $feed to -X1:($first) along=$way\n"
        "  wire $feed to -X1:($second)\n}\n"
        "scheme outer(strip, way, n=1) {\n  use inner feed=$strip:($n) way=$way\n}\n"
        "use outer strip=-X1 way=D1,D2\n",
        "utf-8",
    )
    plant, findings = read_plant(tmp_path)
    assert findings == [] or findings == ()
    assert plant is not None
    assert {conductor.id: conductor.routes for conductor in plant.conductors.values()} == {
        "-X1:1 -- -X1:3": ("D1", "D2"),
        "-X1:1 -- -X1:4": (),
    }


def test_a_screen_ends_on_the_terminal_that_a_parameter_stands_for(tmp_path: Path) -> None:
    plant, findings = read(
        tmp_path,
        HEAD
        + """\
scheme run(from, clamp) "A screened pair" {
  cable -W1 2x1.5 screened length=3m {
    BN $from:1 to -K2:1
    BU $from:2 to -K2:2
    screen $clamp clamp to $from open
  }
}
scheme outer(from) "Hands it on" {
  use run from=$from clamp=$from:(contact 2)
}
device -K1 box2 at=+MCP
device -K2 box2 at=+MCP
use outer from=-K1
""",
    )
    assert findings == ()
    (screen,) = plant.cables["-W1"].screens
    assert [(end.device, end.terminal) for end in screen.ends] == [("-K1", "2"), ("-K1", "")]


def test_of_a_device_whose_part_has_a_fault_nothing_more_is_said(tmp_path: Path) -> None:
    part = 'part odd "Odd" {\n  kind = relay   letter = K   class = II   current = 5V\n  terminal :1 :2 plain\n}\n'
    text = f"netdsl 1\nplace +A kind=box material=plastic\n{part}device -K1 odd at=+A\nwire -K1:9 to -K1:1 1mm2 BK\n"
    plant, findings = read(tmp_path, text)
    assert [finding.rule for finding in findings] == ["wrong-unit"]
    assert "-K1" in plant.doubtful


def test_a_text_that_did_not_change_is_parsed_once_and_one_that_did_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    parsed: list[str] = []

    def told(source: Source) -> tuple[Tree, tuple[Finding, ...]]:
        parsed.append(source.path)
        return parse(source)

    monkeypatch.setattr("netdsl.model.files.parse", told)
    (tmp_path / "more.netdsl").write_text(f'place +A "Hall {id(tmp_path)}" kind=field\nplace +B\nplace +B\n')
    main = tmp_path / "plant.netdsl"
    main.write_text(f'netdsl 1\ninclude "more.netdsl"\nplace +M "Panel {id(tmp_path)}" kind=cabinet\n')
    first, again = read_plant(main), read_plant(main)
    assert parsed == ["plant.netdsl", "more.netdsl"]
    assert first[0] is not None and again[0] is not None and first[0].places == again[0].places
    assert [one.message for one in first[1]] == [one.message for one in again[1]] != []
    main.write_text(main.read_text().replace("Panel", "Box"))
    changed, _ = read_plant(main)
    assert parsed == ["plant.netdsl", "more.netdsl", "plant.netdsl"]
    assert changed is not None and changed.places["+M"].title.startswith("Box")
