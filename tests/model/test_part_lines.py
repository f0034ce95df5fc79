"""The lines of a part: terminals, what conducts inside and how it is moved, consumers, sources, settings, requirements."""

from __future__ import annotations

from pathlib import Path

import pytest
from reading import findings_of, plain, read, sound

from netdsl.model.plant import Device
from tests.cases import each_of

ALL = """\
place +MCP kind=cabinet
part all "All lines" {
  kind = relay   symbol = box   letter = K   class = II   current = 6A   curve = C
  terminal :1..2 contact 0.5..2.5mm2 torque=0.5..0.6Nm strip=8mm clamps=2 section-pair=0.5..1.5mm2 \
function=start,enable common=:A2 "go"
  terminal :11 :12 :14 4mm2 contact voltage=230V ac current=6A utilisation=AC-15 clamps=1
  terminal :A1 :A2 coil dc required
  terminal :B bus line=a torque=0.5Nm
  terminal :X
  pole :1 to :2 by=handle
  pole :11 to :12 switched by=coil
  link :X to :B
  contact :1 to :2
  contact :11 to :14 break late guided by=coil
  changeover :11 to :12 :14 delayed by=relay1
  position hand :1 to :2
  position auto :1 to :2
  coil :A1 to :A2 voltage=24V power=3W
  coil :A1 to :A2 main dc
  load :11 to :12 voltage=230V ac power=10W
  source :1 to :2 voltage=24V current=1A
  source :11 :12 to :14 ac
  source :X to :B signal
  setting mode slow fast
  setting range 0.5..2A
  setting name
  require :1 :2 when mode=fast
  require one :11 :12
}
device -K1 all at=+MCP
"""


@pytest.fixture
def made(tmp_path: Path) -> Device:
    return sound(tmp_path, ALL).devices["-K1"]


def test_what_a_part_is(made: Device) -> None:
    assert made.part is not None
    assert (made.kind, made.symbol, made.protection_class, made.title) == ("relay", "box", "II", "All lines")
    assert (made.part.letter, plain(made.ratings)) == ("K", {"current": "6A", "curve": "C"})


def test_terminals(made: Device) -> None:
    assert list(made.terminals) == ["1", "2", "11", "12", "14", "A1", "A2", "B", "X"]
    clamp = {"conductors": 2, "section": [0.5, 2.5], "section_pair": [0.5, 1.5], "torque_nm": [0.5, 0.6], "strip_m": 0.008}
    said = {"role": "contact", "text": "go", "functions": ["start", "enable"], "common": "A2", "level": 0}
    assert plain(made.terminals["2"]) == {"name": "2", "clamp": clamp, **said}
    assert plain(made.terminals["12"]) == {
        "name": "12",
        "role": "contact",
        "clamp": {"conductors": 1, "section": [0.0, 4.0]},  # one at least; a section alone is the largest
        "voltage": "230V",
        "voltage_kind": "ac",
        "current": "6A",
        "attributes": {"utilisation": "AC-15"},
        "level": 0,
    }
    assert (made.terminals["A1"].role, made.terminals["A1"].voltage_kind) == ("coil", "dc")
    assert made.terminals["B"].attributes == {"line": "a"} and made.terminals["B"].clamp.torque_nm == (0.5, 0.5)
    assert plain(made.terminals["X"]) == {"name": "X", "role": "plain", "clamp": {"conductors": 1}, "level": 0}


def test_what_conducts(made: Device) -> None:
    paths = [(path.a, path.b, path.kind, path.certain, path.by, sorted(path.marks), path.positions) for path in made.paths]
    assert paths == [
        ("1", "2", "pole", True, "handle", [], ()),
        ("11", "12", "pole", False, "coil", [], ()),
        ("X", "B", "link", True, "", [], ()),
        ("1", "2", "make", False, "", [], ()),
        ("11", "14", "break", False, "coil", ["guided", "late"], ()),
        ("11", "12", "break", False, "relay1", ["delayed"], ()),
        ("11", "14", "make", False, "relay1", ["delayed"], ()),
        ("1", "2", "make", False, "handle", [], ("hand", "auto")),
    ]


def test_consumers_and_sources(made: Device) -> None:
    consumers = [(each.kind, each.name, plain(each.voltage), each.voltage_kind, plain(each.power)) for each in made.consumers]
    assert consumers == [
        ("coil", "coil", "24V", "", "3W"),
        ("coil", "main", None, "dc", None),
        ("load", "load", "230V", "ac", "10W"),
    ]
    assert {(each.a, each.b) for each in made.consumers} == {("A1", "A2"), ("11", "12")}
    sources = [(each.poles, plain(each.voltage), each.voltage_kind, plain(each.current)) for each in made.sources]
    assert sources == [
        (("1", "2"), "24V", "dc", "1A"),
        (("11", "12", "14"), None, "ac", None),
        (("X", "B"), None, "signal", None),
    ]


def test_settings_and_requirements(made: Device) -> None:
    assert made.part is not None
    settings = {name: (kind.words, plain(kind.range)) for name, kind in made.part.settings.items()}
    assert settings == {"mode": (("slow", "fast"), None), "range": ((), "0.5..2A"), "name": ((), None)}
    assert (plain(made.settings), made.settings_set) == ({"mode": "slow"}, frozenset())
    requirements = [(each.terminals, each.alternative, each.setting, each.value) for each in made.requirements]
    assert requirements == [
        (("A1",), False, None, None),
        (("A2",), False, None, None),
        (("1",), False, "mode", "fast"),
        (("2",), False, "mode", "fast"),
        (("11", "12"), True, None, None),
    ]


def test_a_part_is_drawn_as_its_kind_where_it_names_no_symbol(tmp_path: Path) -> None:
    plant = sound(tmp_path, "part p {\n  kind = lamp\n}\nplace +A kind=box\ndevice -H1 p at=+A\n")
    assert (plant.devices["-H1"].symbol, plant.devices["-H1"].protection_class) == ("lamp", "")


#: a line of a part, the rule, the characters marked, what is said to do
LINES = [
    ("kind = relais", "unknown-word", "relais", "did you mean `relay`?"),
    ("class = 4", "unknown-word", "4", "take one of I, II, III"),
    ("choke-side = cd", "unknown-word", "choke-side = cd", "did you mean `dc`?"),
    ("terminal :5 contakt", "unknown-word", "contakt", "did you mean `contact`?"),
    ("terminal :5 5A", "unknown-word", "5A", "take one of"),
    ("terminal :5 torque=5N", "wrong-unit", "5N", "write it in Nm"),
    ("terminal :1 contact", "duplicate-name", "1", "name it once"),
    ("pole :1 to :2 open", "unknown-word", "open", "take one of switched, closed"),
    ("contact :1 to :2 slow", "unknown-word", "slow", "take one of make, break, delayed, early, guided, late, positive"),
    ("contact :1 to :2 bye=coil", "unknown-word", "bye", "did you mean `by`?"),
    ("changeover :1 to :2", "count-mismatch", "changeover :1 to :2", "write `changeover :11 to :12 :14`"),
    ("changeover :1 to :2 :3 make", "unknown-word", "make", "take one of delayed"),
    ("coil :1 to :2 voltage=24W", "wrong-unit", "24W", "write it in V"),
    ("coil :1 to :2 current=2A", "unknown-word", "current", "take it out"),
    ("source :1 to :2 df", "unknown-word", "df", "did you mean `dc`?"),
    ("link :1 to :9", "unknown-terminal", "9", "add a `terminal` line for it"),
    ("link :1 to :2 :3", "count-mismatch", "link :1 to :2 :3", "name as many on both sides"),
    ("require two :1 :2", "unknown-word", "two", "take one of one, when"),
    ("selective up-to=3kA", "missing-value", "selective up-to=3kA", "give one of them, `behind=` or `ahead=`"),
    ("selective behind=p ahead=p up-to=3kA", "missing-value", "selective behind=p ahead=p up-to=3kA", "give one of them"),
    (
        "selective behind=p current=5A",
        "missing-value",
        "selective behind=p current=5A",
        "give `up-to=`, a current, `total` or `none`",
    ),
    ("selective behind=p up-to=all", "wrong-unit", "all", "write it in A"),
    ("selective behind=p up-to=1..3kA", "wrong-unit", "1..3kA", "give `up-to` one value"),
    ("selective behind=p rated=3V up-to=3kA", "wrong-unit", "3V", "write it in A"),
    ("selective with=p up-to=3kA", "unknown-word", "with", "take it out"),
    ("setting", "missing-value", "setting", "write `setting NAME WORD WORD`"),
    ("powr = 5W", "unknown-word", "powr", "did you mean `power`?"),
]


def part(line: str) -> str:
    """A part with that line; where the line does not say it, of a kind."""
    kind = "" if line.startswith("kind") else "  kind = relay\n"
    return f"netdsl 1\npart p {{\n{kind}  terminal :1 :2 :3 contact\n  {line}\n}}\n"


@each_of(("line", "rule", "where", "remedy"), LINES)
def test_a_mistake_in_a_line(line: str, rule: str, where: str, remedy: str) -> None:
    findings = findings_of(part(line))
    assert [(finding.rule, finding.span.text) for finding in findings] == [(rule, where)]
    assert findings[0].remedy.startswith(remedy)


def test_a_part_must_say_its_kind(tmp_path: Path) -> None:
    _, findings = read(tmp_path, "part p {\n  class = I\n}\n")
    assert [(finding.rule, finding.span.text) for finding in findings] == [("missing-value", "p")]


@each_of(
    ("line", "marked"),
    [
        ("device -Q1 motor-breaker-6.3a at=+BOX setting-range=6.3..10A tripping-current=8A", None),
        ("device -Q1 motor-breaker-6.3a at=+BOX setting-range=6.3..10A\nset -Q1 tripping-current=8A", None),
        ("device -Q1 motor-breaker-6.3a at=+BOX setting-range=6.3..10A tripping-current=5A", "5A"),
        ("device -Q1 motor-breaker-6.3a at=+BOX current=10A tripping-current=8A", "8A"),
        ("device -Q1 motor-breaker-6.3a at=+BOX setting-range=6.3..10V tripping-current=8A", "6.3..10V"),
    ],
)
def test_a_range_that_a_device_states_moves_what_can_be_set(line: str, marked: str | None) -> None:
    found = findings_of(f'netdsl 1\nplace +BOX "Box" kind=box\n{line}\n')
    assert [finding.span.text for finding in found][:1] == ([] if marked is None else [marked])
