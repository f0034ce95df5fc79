"""Wrong words and absurd figures in every place that takes a value, found by the tables of what each statement takes.

A new row of a table is tried by itself; a new statement with values needs its line here.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from netdsl.model import read_plant
from netdsl.model.language import LINES, STATEMENTS
from netdsl.model.measures import Measure
from netdsl.model.table import Stands, Take
from netdsl.model.value_kinds import Free, Several
from netdsl.quantities import BASE_UNIT

SITE = """\
netdsl 1
place +A kind=cabinet
route R1 kind=tray
route R2 kind=tray
strip -X9 at=+A {
  :1..4 2.5mm2
}
device -A9 bus-coupler-network at=+A
device -H9 lamp at=+A
"""
#: behind a line with a value that must not be taken
MARK = "  # wrong"
PART = "part p{n} {{\n  kind = lamp   letter = P   class = II\n  "
#: a line of each statement that takes values by name, by the block in which it stands and its keyword
LINE = {
    ("", "project"): 'project "P" {{\n  {value}\n}}',
    ("", "place"): "place +Z{n} kind=cabinet {value}",
    ("", "supply"): "supply -G{n} {value}",
    ("", "busbar"): "busbar -W{n} at=+A {value}",
    ("", "comb"): "comb -W{n} at=+A {value}",
    ("", "distribution-block"): "distribution-block -W{n} at=+A {value}",
    ("", "route"): "route Q{n} {value}",
    ("", "relation"): "relation R1 R2 {value}",
    ("", "layout"): "layout R1 R2 {value}",
    ("", "device"): "device -D{n} lamp at=+A {value}",
    ("", "outside"): "outside -D{n} at=+A {value} {{\n  terminal :1 contact\n}}",
    ("", "strip"): "strip -S{n} at=+A {value} {{\n  :1\n}}",
    ("strip", ""): "strip -S{n} at=+A {{\n  :1 {value}\n}}",
    ("", "wire"): "wire -X9:1 to -X9:2 {value}",
    ("", "channel"): "channel -A9:1 {value}",
    ("", "cable"): "cable -C{n} 2x1.5 {value} {{\n}}",
    ("cable", ""): "cable -C{n} 2x1.5 {{\n  BN -X9:1 to -H9:X1 {value}\n}}",
    ("", "defaults"): "defaults {value}",
    ("", "function"): "function =F{n} {value} {{\n}}",
    ("", "potential"): "potential P{n} of -X9:1 {value}",
    ("", "separation"): 'separation mains control {value} because "x"',
    ("", "least-section"): 'least-section {value} because "x"',
    ("", "part"): PART + "{value}\n}}",
    ("part", "terminal"): PART + "terminal :1 load {value}\n}}",
    ("part", "pole"): PART + "terminal :1 :2 load\n  pole :1 to :2 {value}\n}}",
    ("part", "contact"): PART + "terminal :1 :2 contact\n  contact :1 to :2 make {value}\n}}",
    ("part", "changeover"): PART + "terminal :1 :2 :3 contact\n  changeover :1 to :2 :3 {value}\n}}",
    ("part", "coil"): PART + "terminal :1 :2 coil\n  coil :1 to :2 {value}\n}}",
    ("part", "load"): PART + "terminal :1 :2 load\n  load :1 to :2 {value}\n}}",
    ("part", "source"): PART + "terminal :1 :2 load\n  source :1 to :2 {value}\n}}",
    ("part", "selective"): PART + "selective ahead=fuse-gG {value}\n}}",
}
#: what takes each rating or value for the calculation in the same way, by the same record: tried once
ALIKE = {("", "outside"), ("", "strip"), ("strip", ""), ("part", "terminal"), ("", "comb"), ("", "distribution-block")}
#: figures of which nothing at all is as good as any: distances and drops that are not there, leakages, losses, the first address
MAY_BE_NOTHING = set(
    "address airflow alarm-current altitude burden choke clearance-above clearance-below clearance-beside clearing-time"
    " control-wire-length current-distortion delay derating-altitude derating-from-altitude derating-per-kelvin heat-transfer"
    " inrush-current inside length load-torque losses max-cable-length max-cable-length-c1 max-cable-length-c2"
    " max-cable-length-c3 max-cable-length-unscreened min-current motor-infeed-r-over-x opening-time outside parallel partitions"
    " position power-factor r-over-x reactance reactance-per-length reflection-length resistance resistance-per-length"
    " selectivity-limit simultaneity smooth-direct-current source-earth-resistance source-r-over-x spacing standing-current"
    " standing-share start-delay starting-power-factor starting-torque starts-per-hour supply-inrush temperature-coefficient"
    " temperature-coefficient-aluminium third-harmonic touch-current transformer-losses unit-load voltage-unbalance"
    " loop-input-resistance crossing".split()
)


def _measure(kind: Any) -> Measure | None:
    """The measure in a kind of value, None where it takes no figure."""
    while not isinstance(kind, Measure):
        kind = getattr(kind, "of", None)
        if kind is None:
            return None
    return kind


def _tried(take: Take) -> Iterator[str]:
    """What must not be taken: of figures those that are none, too large, too small, too many; else a word that is none."""
    measure = _measure(take.kind)
    if measure is None:
        if not isinstance(take.kind, (Free, Several)):
            yield f"zz-{take.name}"
        return
    unit = "mm2" if measure.kind == "section" else BASE_UNIT[measure.kind]
    yield from (f"zz-{take.name}", "inf", "nan", f"1e400{unit}", f"1{'kg' if unit != 'kg' else 'Hz'}", '"a text"')
    yield from (f"{'9' * 160}{unit}", f"0.{'0' * 150}1{unit}", f"5..2{unit}", f"1x2x3x4x5x6x7{unit}"[: None if unit else -2])
    yield f"-1e5{unit}" if measure.kind == "temperature" else f"-1{unit}"
    yield from (f"1..2{unit}",) * ("range" not in measure.forms) + (f"1/2{unit}",) * ("alternatives" not in measure.forms)
    yield from (f"0{unit}",) * (take.name not in MAY_BE_NOTHING and measure.kind != "temperature")


def _cases() -> Iterator[tuple[tuple[str, str], Take]]:
    lines = [(("", keyword), statement) for keyword, statement in STATEMENTS.items()]
    lines += [((block, line.keyword), line) for block, each in LINES.items() if block != "outside" for line in each]
    for place, statement in lines:
        for take in statement.takes:
            if take.stands is Stands.KEY and (place not in ALIKE or take.name not in STATEMENTS["device"].keys):
                yield place, take


def _texts() -> Iterator[str]:
    """Texts with all that must not be taken: each value of a project in one, for a name stands there once."""
    projects: dict[int, list[str]] = {}
    tried: dict[str, int] = {}
    lines = []
    for n, (place, name, value) in enumerate((place, take.name, value) for place, take in _cases() for value in _tried(take)):
        written = f"{name} = " if place in (("", "project"), ("", "part")) else f"{name}="
        written += value.replace("zz-", f"zz{n}-")
        if place == ("", "project"):
            tried[name] = tried.get(name, -1) + 1
            projects.setdefault(tried[name], []).append(f"  {written}{MARK}")
        else:
            line = LINE[place].format(n=n, value=written)
            lines.append("\n".join(f"{each}{MARK}" if written in each else each for each in line.split("\n")))
    yield SITE + "\n".join(lines)
    yield from (f'{SITE}project "P" {{\n' + "\n".join(each) + "\n}" for each in projects.values())


def test_nothing_wrong_is_taken(tmp_path: Path) -> None:
    untold = []
    for text in _texts():
        (tmp_path / "plant.netdsl").write_text(text, encoding="utf-8")
        told = {finding.span.begin[0] for finding in read_plant(tmp_path)[1]}
        untold += [line for number, line in enumerate(text.split("\n"), 1) if line.endswith(MARK) and number not in told]
    assert untold == []
