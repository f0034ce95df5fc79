"""`let` and `for`: what their names stand for, where they hold, and what is said where they cannot."""

from __future__ import annotations

from pathlib import Path

from reading import findings_of, read, sound

from netdsl.model import Plant
from tests.cases import each_of

HEAD = """\
place +BOX "Box" kind=box material=plastic
place +HALL "Hall" kind=field
supply -G1 "Battery" system=DC voltage=24V
strip -X1 "Terminals" at=+BOX {
  :1..9 2.5mm2 clamps=2
}
scheme feed(lamp, from, size=1mm2) {
  wire -X1:($from) to $lamp:X1 $size BU
}
scheme lamps(room, title="Lamp of room $room") {
  function =R$room "Room $room" at=+BOX {
    device -H$room lamp $title
    use feed lamp=-H$room from=$room
  }
}
"""


def wires(plant: Plant) -> list[str]:
    return list(plant.conductors)


def test_a_scheme_is_taken_once_for_each_value(tmp_path: Path) -> None:
    plant = sound(tmp_path, HEAD + "use lamps for room in 2..4\n")
    assert [(each.id, each.title) for each in plant.devices.values() if each.kind == "lamp"] == [
        ("=R2-H2", "Lamp of room 2"),
        ("=R3-H3", "Lamp of room 3"),
        ("=R4-H4", "Lamp of room 4"),
    ]
    assert [function.title for function in plant.functions.values()] == ["Room 2", "Room 3", "Room 4"]
    assert wires(plant) == ["-X1:2 -- =R2-H2:X1", "-X1:3 -- =R3-H3:X1", "-X1:4 -- =R4-H4:X1"]


@each_of(
    "use",
    [
        "use feed for lamp in -H1..3 and from in 4,6,8",
        "use feed for lamp in -H1..-H3 and from in 4,6,8",
        "use feed for n in 1..3 lamp=-H$n from=($n*2+2)",
        "use feed for n in 1,2,3 lamp=$hall-H$n from=($n*2+2)",
        "use feed for lamp in -H1,-H2,-H3 and from in 4,6,8 size=$thin",
        "use feed for lamp in =A-H1..3 and from in 4,6,8",
        "use over for end in -X1:4,6,8 and lamp in -H1..3",
    ],
)
def test_names_step_together(use: str, tmp_path: Path) -> None:
    text = 'let hall==A thin=1mm2\nscheme over(end, lamp) {\n  wire $end to $lamp:X1 1mm2 BU\n}\nfunction =A "A" at=+BOX {\n'
    text += "".join(f"  device -H{n} lamp\n" for n in (1, 2, 3)) + f"  {use}\n}}\n"
    plant = sound(tmp_path, HEAD + text.replace("hall==A", "hall= =A"))
    assert wires(plant) == ["-X1:4 -- =A-H1:X1", "-X1:6 -- =A-H2:X1", "-X1:8 -- =A-H3:X1"]
    assert {each.section_mm2 for each in plant.conductors.values()} == {1.0}


def test_values_stand_wherever_one_may(tmp_path: Path) -> None:
    text = """let number="HL-7" warm=35degC kind=lamp long=3m way=TRAY1,TRAY2 first=TRAY1
let where=+HALL says="Hall, $number" core=2x1.5
project "$number, lamps" {
  number = $number   ambient = $warm
}
route $first kind=tray length=$long
route TRAY2 kind=tray
part own-lamp "Lamp" {
  kind = $kind   ambient = $warm
  terminal :1 :2 plain
}
device -H1 own-lamp $says at=$where
cable -W1 $core $says along=$way length=$long {
  BN -X1:1 to -H1:1
}
remark on -H1 $says
caution on -H1 "see $number"
"""
    plant = sound(tmp_path, HEAD + text)
    assert (plant.project.title, plant.project.attributes["number"]) == ("HL-7, lamps", "HL-7")
    assert plant.project.choices["ambient"].values == (35.0,)
    lamp, cable = plant.devices["-H1"], plant.cables["-W1"]
    assert (lamp.kind, lamp.title, lamp.place, lamp.amount("ambient")) == ("lamp", "Hall, HL-7", "+HALL", 35.0)
    assert (cable.construction, cable.title, cable.routes, cable.length_m) == ("2x1.5", "Hall, HL-7", ("TRAY1", "TRAY2"), 3.0)
    assert plant.routes["TRAY1"].length_m == 3.0
    assert [note.text for note in plant.notes] == ["Hall, HL-7", "see HL-7"]


def test_the_innermost_value_holds(tmp_path: Path) -> None:
    text = """function =A "A" at=+BOX {
  device -H1 lamp "$run"
  function =B "B" {
    let run="of B"
    device -H1 lamp "$run"
  }
}
let run="of all"
scheme one(run) {
  device -H2 lamp "$run"
  device -H3 lamp "$other"
}
function =C "C" at=+BOX {
  let other="of C"
  use one run="of the scheme"
}
let other="$run too"
"""
    plant = sound(tmp_path, HEAD + text)
    titles = {each.id: each.title for each in plant.devices.values() if each.kind == "lamp"}
    assert titles == {"=A-H1": "of all", "=A.B-H1": "of B", "=C-H2": "of the scheme", "=C-H3": "of all too"}


def test_a_dollar_before_anything_else_is_one(tmp_path: Path) -> None:
    plant = sound(tmp_path, HEAD + 'let run=2m\ndevice -H1 lamp "5 $, $rum and $run.5 or $run-way, $run." at=+BOX\n')
    assert plant.devices["-H1"].title == "5 $, $rum and 2m.5 or 2m-way, 2m."


def test_the_longest_name_is_meant(tmp_path: Path) -> None:
    plant = sound(tmp_path, HEAD + 'let run=2m run-way=3m\ndevice -H1 lamp "$run-way $run-ways" at=+BOX\n')
    assert plant.devices["-H1"].title == "3m 2m-ways"


def test_a_fault_in_a_scheme_is_told_once_with_the_value_it_had(tmp_path: Path) -> None:
    text = "device -H1 lamp at=+BOX\nuse feed for size in 1mm2,2V,3mm2 lamp=-H1 from=1\n"
    _, (finding,) = read(tmp_path, HEAD + text)
    assert (finding.rule, finding.span.text) == ("wrong-unit", "2V")
    assert finding.related[0].message == "in this line of the scheme, with size=2V"
    text = "device -H1 lamp at=+BOX\nuse feed for from in 1..3 lamp=-H1 size=2V\n"
    _, (finding,) = read(tmp_path, HEAD + text)
    assert finding.rule == "wrong-unit"


def test_a_value_that_fits_nowhere_is_told_once_with_where_it_is_given(tmp_path: Path) -> None:
    text = "let run=2V\n" + "".join(f"route T{n} length=$run\n" for n in range(1, 5)) + "place +Q size=$run\n"
    _, findings = read(tmp_path, HEAD + text)
    assert [(each.rule, each.span.text, each.message) for each in findings] == [
        ("wrong-unit", "$run", "`2V` is a voltage, `length` takes a length"),
        ("wrong-unit", "$run", "`2V` is a voltage, `size` takes a length"),
    ]
    assert {(related.message, related.span.text) for each in findings for related in each.related} == {
        ("the value is given here", "2V")
    }


def test_a_long_chain_of_values_is_read_and_what_grows_is_told_once(tmp_path: Path) -> None:
    chain = "let v0=2m\n" + "".join(f"let v{n}=$v{n - 1}\n" for n in range(1, 3000))
    plant = sound(tmp_path, HEAD + chain + "route TRAY1 length=$v2999\n")
    assert plant.routes["TRAY1"].length_m == 2.0
    doubled = 'let v0="ab"\n' + "".join(f'let v{n}="$v{n - 1}$v{n - 1}"\n' for n in range(1, 14))
    _, found = read(tmp_path, HEAD + doubled + 'device -H1 lamp "$v13" at=+BOX\n')
    assert [each.message for each in found] == ["this text has more than 1000 characters with all that is put into it"]
    assert found[0].span.text == '"$v8$v8"'


@each_of(
    ("first", "next_one", "used"),
    [
        ('"ab"', '"$v{0}$v{0}"', 'device -H1 lamp "$v60" at=+BOX'),
        ("-H1:X1", "$v{0},$v{0}", "wire $v60 to -X1:1 1mm2"),
        ("9", "($v{0}*$v{0})", 'device -H1 lamp "$v60 and $v30" at=+BOX'),
    ],
)
def test_what_doubles_is_told_where_it_gets_too_much_and_nothing_made_of_it_is(first: str, next_one: str, used: str) -> None:
    chain = f"let v0={first}\n" + "".join(f"let v{n + 1}={next_one.format(n)}\n" for n in range(60))
    lamp = "" if used.startswith("device") else "device -H1 lamp at=+BOX\n"
    (finding,) = findings_of(f"netdsl 1\n{HEAD}{lamp}{chain}{used}\n")
    assert finding.rule == "out-of-range"
    assert finding.span.source.line(finding.span.begin[0]).startswith("let ")


def test_sums_of_sums_are_worked_out_once(tmp_path: Path) -> None:
    lets = "let s0=1\n" + "".join(f"let s{n}=($s{n - 1}+$s{n - 1})\n" for n in range(1, 27))
    plant = sound(tmp_path, HEAD + lets + 'device -H$s2 lamp "lamp $s3" at=+BOX\nwire -X1:($s2) to -H4:X1 1mm2 BU\n')
    assert plant.devices["-H4"].title == "lamp 8" and wires(plant) == ["-X1:4 -- -H4:X1"]
    deep = "".join(f"scheme s{n}(a) {{\n  use s{n + 1} a=($a*$a)\n}}\n" for n in range(50))
    deep += "scheme s50(a) {\n  wire -X1:($a) to -X1:1 1mm2 BU\n}\nuse s0 a=9\n"
    _, (finding,) = read(tmp_path, HEAD + deep)
    assert (finding.rule, finding.message) == ("out-of-range", "this number is too large for a terminal")


def test_a_sum_that_is_too_large_is_told_where_it_is_made(tmp_path: Path) -> None:
    lets = "let s0=1\n" + "".join(f"let s{n}=($s{n - 1}+$s{n - 1})\n" for n in range(1, 2000))
    _, (finding,) = read(tmp_path, HEAD + lets + 'device -H4 lamp "$s1999" at=+BOX\nwire -X1:($s1999) to -H4:X1 1mm2 BU\n')
    assert (finding.rule, finding.message) == ("out-of-range", "this number is too large for a terminal")
    assert finding.span.text.count("$s") == 2


def test_repetition_is_bounded() -> None:
    text = "scheme none(n) {\n}\nscheme many(a) {\n  use none for n in 1..1000\n}\nuse many for a in 1..1000\n"
    (finding,) = findings_of(f"netdsl 1\n{HEAD}{text}")
    assert (finding.rule, finding.message) == ("out-of-range", "the schemes are used more than 20000 times")


def test_lists_that_double_with_each_scheme_end_with_a_finding(tmp_path: Path) -> None:
    schemes = "".join(f"scheme s{n}(a) {{\n  use s{n - 1} a=$a,$a\n}}\n" for n in range(1, 40))
    text = f"{HEAD}scheme s0(a) {{\n  device -H1 lamp at=+BOX\n}}\n{schemes}use s39 a=1\n"
    [finding] = read(tmp_path, text)[1]
    assert (finding.rule, finding.remedy) == ("out-of-range", "give at most 10000")


def test_what_is_put_together_gets_no_longer_than_what_is_written(tmp_path: Path) -> None:
    for more, wanted in (("", []), ("x", ["this text has more than 1000 characters with all that is put into it"])):
        text = f'let t="{"x" * 500}"\ndevice -H1 lamp "{more}$t$t" at=+BOX\n'
        assert [finding.message for finding in read(tmp_path, HEAD + text)[1]] == wanted
    for count, wanted in ((199, []), (200, ["this designation has more than 200 characters with all that is put into it"])):
        text = f"let n={'H' * (count - 60)}\ndevice -{'H' * 60}$n lamp at=+BOX\n"
        assert [finding.message for finding in read(tmp_path, HEAD + text)[1]] == wanted
