"""`netdsl unfold`: a plant's text without schemes says the same plant."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from reading import plain

from netdsl.model import Plant, read_plant
from netdsl.model.files import read_texts
from netdsl.model.unfolded import functions_in, unfolded
from tests.readings import network_of

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = sorted(path.parent.name for path in EXAMPLES.glob("*/plant.netdsl"))
HEAD = """\
netdsl 1
place +BOX "Box" kind=box material=plastic
supply -G1 "Battery" system=DC voltage=24V
strip -X1 "Terminals" at=+BOX {
  :1..9 2.5mm2 clamps=2
}
"""


def said(plant: Plant | None) -> object:
    """All that a plant says, without where it says so."""
    whole = plain(plant)
    for device in whole.get("devices", {}).values():
        device.pop("settings_at", None)
    return whole


def written_out(folder: Path) -> str:
    text = unfolded(read_texts(folder)).text
    assert text is not None
    return text


def plant_in(folder: Path, text: str) -> Plant:
    folder.mkdir(exist_ok=True)
    (folder / "plant.netdsl").write_text(text, encoding="utf-8")
    plant, findings = read_plant(folder)
    assert plant is not None and {finding.rule for finding in findings} <= {"hidden-name"}
    return plant


@pytest.mark.parametrize("name", NAMES)
def test_the_text_written_out_says_the_same_plant(name: str, tmp_path: Path) -> None:
    text = written_out(EXAMPLES / name)
    first = {line.split()[0] for line in text.splitlines() if line.strip()}
    assert not {"use", "scheme", "include"} & first and ("$" not in text or "let" in first)  # values of `let` keep their names
    assert said(plant_in(tmp_path, text)) == said(network_of(EXAMPLES / name / "plant.netdsl").plant)


def test_each_line_says_where_it_comes_from(tmp_path: Path) -> None:
    text = """\
let thin=1mm2
# what a lamp is fed by
scheme feed(lamp, from=1, text="lamp") {
  wire -X1:($from) to $lamp:X1  $thin BU "$text \\"$from\\""  # one end
}
scheme room(number, above) {
  function =R$number "Room $number" at=+BOX {
    device -H1 lamp "hides the one above"
    # both are fed

    use feed lamp=-H1 from=($number+4)
    use feed lamp=$above text="over $number"
  }
}
function =H "Hall" at=+BOX {
  device -H1 lamp
  use room for number in 2..3 above=-H1  # two rooms
}
"""
    plant_in(tmp_path, HEAD + text)
    written = written_out(tmp_path)
    assert (
        written[written.index("let") :]
        == """\
let thin=1mm2

function =H "Hall" at=+BOX {
  device -H1 lamp
  # use room for number in 2..3 above=-H1
  # with number=2
  function =R2 "Room 2" at=+BOX {  # plant.netdsl:13
    device -H1 lamp "hides the one above"  # plant.netdsl:14
    wire -X1:6 to -H1:X1    1mm2 BU "lamp \\"6\\""  # plant.netdsl:10
    wire -X1:1 to =H-H1:X1  1mm2 BU "over 2 \\"1\\""  # plant.netdsl:10
  }
  # with number=3
  function =R3 "Room 3" at=+BOX {  # plant.netdsl:13
    device -H1 lamp "hides the one above"  # plant.netdsl:14
    wire -X1:7 to -H1:X1    1mm2 BU "lamp \\"7\\""  # plant.netdsl:10
    wire -X1:1 to =H-H1:X1  1mm2 BU "over 3 \\"1\\""  # plant.netdsl:10
  }  # two rooms
}
"""
    )
    again = tmp_path / "again"
    assert said(plant_in(again, written)) == said(read_plant(tmp_path)[0])
    assert list(functions_in(written)) == ["=H", "=H.R2", "=H.R3"]
    assert functions_in(written)["=H.R3"][0].splitlines()[0] == 'function =R3 "Room 3" at=+BOX {  # plant.netdsl:13'


def test_a_terminal_by_what_it_does_is_written_by_its_name() -> None:
    text = functions_in(written_out(EXAMPLES / "two-wire-start"))
    (function,) = (each for each in text.values())
    assert "-T1:DI1" in function[0] and "(start)" not in function[0]


def test_a_text_with_errors_is_not_written_out(tmp_path: Path) -> None:
    (tmp_path / "plant.netdsl").write_text(HEAD + "use feed lamp=-H1\n", encoding="utf-8")
    result = unfolded(read_texts(tmp_path))
    assert result.text is None and [finding.rule for finding in result.findings] == ["unknown-scheme"]


def test_quotes_in_what_a_scheme_is_given_stay_quotes(tmp_path: Path) -> None:
    text = """\
scheme lamp(text, terminal=-X1:3) {
  device -H1 lamp "says $text \\\\ at $terminal" at=+BOX
  remark on -H1 $text
}
use lamp text="own \\"one\\""
"""
    plant = plant_in(tmp_path, HEAD + text)
    assert plant.devices["-H1"].title == 'says own "one" \\ at -X1:3'
    assert said(plant_in(tmp_path / "again", written_out(tmp_path))) == said(plant)


SCHEMES = """\
let a=1 b=2m c=-B1 room="Hall $a"
place +BOX kind=box
strip -X1 at=+BOX {
  :1..60  2.5mm2
}
device -B1 level-switch at=+BOX
device -B2 level-switch at=+BOX
device -B3 level-switch at=+BOX
device -B4 level-switch at=+BOX
scheme room(n, q, text="of $n in $room") {
  function =R$n "r $n" at=+BOX {
    device -H$n lamp "$text"
    use end x=$q at=($n*2+1)
  }
}
scheme end(x, at, size=1mm2) {
  wire $x:11 to -X1:($at)  $size BU mark=$at
}
scheme pair(x, y=$x, t=-X1:7, long=$b) {
  cable -W$a 2x1.5 "$t" length=$long {
    BN $x:11 to $t
    BU $y:14 to -X1:9
  }
  cable -W4..5 2x1.5 {
    BN -B1..2:12 to -X1:55..56
  }
  remark on $x "see $x and $y at $t"
}
"""
USES = (
    "use room for n in 1..3 q=-B1\n",
    'use room n=8 q=$c text="own \\"one\\""\n',
    "use end for x in -B1..4 and at in 20..23\n",
    "use end x=-B2 at=30 size=2.5mm2\n",
    'function =A "A" at=+BOX {\n  device -B1 level-switch\n  let a=5\n  use pair x=-B1\n  use end x=-B2 at=($a+40)\n}\n',
    "function =C at=+BOX {\n  use pair x=-B3 y=-B4 t=-X1:12\n  function =D {\n    use room for n in 11..12 q=-B4\n  }\n}\n",
    "use end for at in 50,52,54 x=-B4\n",
    "function =C at=+BOX {\n  device -B9 level-switch\n  use end for n in 1..2 x=-B9 at=($n+55)\n}\n",
)


@pytest.mark.parametrize("seed", range(12))
def test_whatever_is_used_where_is_written_out(seed: int, tmp_path: Path) -> None:
    choice = Random(seed)
    uses = [use for use in USES if choice.random() < 0.6]
    choice.shuffle(uses)
    plant = plant_in(tmp_path, "netdsl 1\n" + SCHEMES + "".join(uses))
    assert said(plant_in(tmp_path / "again", written_out(tmp_path))) == said(plant)
