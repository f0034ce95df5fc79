"""Slips that would be easy to pass over in silence: what is given twice, stands where it means nothing, or cannot be."""

from __future__ import annotations

from pathlib import Path

from reading import findings_of

from netdsl.findings import Finding
from netdsl.model import read_plant
from tests.cases import each_of

#: two halves of a plug connection
HALVES = "device -XJ1 plug-6p-sockets at=+BOX\ndevice -XP1 plug-6p-pins at=+BOX\n"
HEAD = """\
netdsl 1
place +BOX "Box" kind=box material=plastic
supply -G1 "Battery" system=DC voltage=24V
strip -X1 "Terminals" at=+BOX {
  :1..6 2.5mm2
}
route D1 at=+BOX
route D2 at=+BOX
device -P1 lamp at=+BOX
scheme feed(lamp, from) {
  wire -X1:($from) to $lamp:X1 1mm2 BU
}
scheme feeds(lamp) {
  use feed lamp=$lamp from=2
}
"""


def found(folder: Path, text: str) -> tuple[Finding, ...]:
    (folder / "plant.netdsl").write_text(HEAD + text, encoding="utf-8")
    return read_plant(folder)[1]


#: what is written, the rule, the characters marked
SLIPS = [
    ("device -P2 lamp at=+BOX at=+BOX\n", "duplicate-name", "at"),
    ("part p {\n  kind = lamp\n}\npart p {\n  kind = fan\n}\n", "duplicate-name", "p"),
    ("scheme s(a) {\n}\nscheme s(b) {\n}\n", "duplicate-name", "s"),
    ('project "P" {\n  number = "1"\n}\nproject "Q" {\n  number = "2"\n}\n', "duplicate-name", '"Q"'),
    ("use feed lamp=-P1 lamp=-P1 from=1\n", "duplicate-name", "lamp"),
    ("scheme unused(a) {\n  wire $a:1 to $a:2 1mm2 BU mark=1 mark=2\n}\n", "duplicate-name", "mark"),
    ('part p "P" {\n  kind = lamp\n  kind = fan\n}\n', "duplicate-name", "kind"),
    ('strip -X2 at=+BOX {\n  :1 2.5mm2 "one" "two"\n}\n', "duplicate-name", '"two"'),
    ('project "P" {\n  number = "1"\n  number = "2"\n}\n', "duplicate-name", "number"),
    ('project "P" {\n  revision A 2026-05-04\n  revision A 2026-06-04\n}\n', "duplicate-name", "A"),
    ("wire -X1:1 to -X1:2 1mm2 BU RD\n", "duplicate-name", "RD"),
    ("wire -X1:1 to -X1:2 1mm2 2.5mm2 BU\n", "duplicate-name", "2.5mm2"),
    ("shade DBU = BU\nshade DBU = RD\n", "duplicate-name", "DBU"),
    ("shade BU = RD\n", "duplicate-name", "BU"),
    ("shade DBU = BU\nshade LBU = DBU\n", "unknown-word", "DBU"),
    ("scheme s(a, b, a=1) {\n}\n", "duplicate-name", "a"),
    ("supply -G2 system=IT voltage=400A\n", "wrong-unit", "400A"),
    ("supply -G2 system=IT voltage=400V phases=2\n", "out-of-range", "phases=2"),
    ("busbar -WB1 at=+BOX poles=2.5\n", "out-of-range", "2.5"),
    ("device -XE1 earth-bar at=+BOX ways=3m\n", "wrong-unit", "3m"),
    ("device -T1 vsd-15kw at=+BOX\nset -T1 ai2=4..20mA\nset -T1 ai2=0..20mA\n", "duplicate-name", "ai2=0..20mA"),
    ("device -M1 motor at=+BOX\nconnect -M1 star\nconnect -M1 delta\n", "duplicate-name", "delta"),
    ("let run=2m run=3m\n", "duplicate-name", "run"),
    ("let run=2m\nlet run=3m\n", "duplicate-name", "run"),
    ("let a=$b\nlet b=$c c=$a\nroute D3 length=$a\n", "out-of-range", "a=$b"),
    ("let a=$a\nroute D3 length=$a\n", "out-of-range", "a=$a"),
    ("let run=2m\nroute D3 at=+BOX length=$rum\n", "unknown-parameter", "$rum"),
    ("let run=2V\nroute D3 at=+BOX length=$run\n", "wrong-unit", "$run"),
    ("device -P$n lamp at=+BOX\n", "unknown-parameter", "-P$n"),
    ('let n="lamp 1"\ndevice -P$n lamp at=+BOX\n', "unknown-name", "-P$n"),
    ("scheme s() {\n  let a=1\n}\n", "syntax", "let"),
    ("use feed for lamp in -P1,-P2 and from in 1..3\n", "count-mismatch", "and from in 1..3"),
    ("use feed for lamp in -P1 and lamp in -P2 from=1\n", "duplicate-name", "lamp"),
    ("use feed for from in 3..1 lamp=-P1\n", "out-of-range", "3..1"),
    ("use feed for from in 1..2000 lamp=-P1\n", "out-of-range", "1..2000"),
    ("use feed for from in A..D lamp=-P1\n", "out-of-range", "A..D"),
    ("use feed for n in 1..2 lamp=-P1 from=$m\n", "unknown-parameter", "$m"),
    ("use feed for from 1..2 lamp=-P1\n", "syntax", "1..2"),
    ("use feed for from in 1..2 and lamp=-P1\n", "syntax", "lamp="),
    ("use feed from in 1..2 lamp=-P1\n", "syntax", "from"),
    ("use feed for from in lamp=-P1\n", "syntax", "lamp="),
    ("use feed for from on 1..2 lamp=-P1\n", "syntax", "on"),
    ("relation D1 D1 spacing=3mm\n", "duplicate-name", "D1"),
    ("relation D1 D2\n", "missing-value", "relation D1 D2"),
    ("layout D1 spacing=3mm\n", "missing-value", "layout D1 spacing=3mm"),
    ("layout D1,D2 spacing=3mm\n", "missing-value", "layout D1,D2 spacing=3mm"),
    ("layout D1 D2\n", "missing-value", "layout D1 D2"),
    ("layout D1 D3 spacing=3mm\n", "unknown-name", "D3"),
    ("layout D1..3 spacing=3mm\n", "unknown-name", "D1..3"),
    ("layout D1 D2 D1 spacing=3mm\n", "duplicate-name", "D1"),
    ("layout D1 D2 spacing=3mm,4mm\n", "count-mismatch", "spacing=3mm,4mm"),
    ("layout D1 D2 spacing=3V\n", "wrong-unit", "3V"),
    ("layout D1 D2 spacing=3..4mm\n", "wrong-unit", "3..4mm"),
    ("layout D1 D2 crossing=200deg\n", "out-of-range", "crossing=200deg"),
    ("layout D1 D2 spacing=3mm\nlayout D2 D1 spacing=3mm\n", "duplicate-name", "layout D2 D1 spacing=3mm"),
    ("wire -X1:1 to -X1:2 1mm2 BU\ntwin -X1:1\n", "count-mismatch", "1"),
    ("twin -X1:1..2\n", "count-mismatch", "1..2"),
    ("twin -X1:7\n", "unknown-terminal", "7"),
    ("twin -X1\n", "unknown-terminal", "-X1"),
    ("twin -X7:1\n", "unknown-name", "-X7"),
    ("comb -WC1 at=+BOX poles=3\nteeth of -WC1 on -X1:1,2\n", "count-mismatch", "-X1:1,2"),
    ("teeth of -WC1 on -X1:1,2\n", "unknown-name", "-WC1"),
    ("teeth of -P1 on -X1:1,2\n", "unknown-name", "-P1"),
    ('channel -P1:X1 "lamp"\n', "unknown-word", "-P1:X1"),
    ('device -K1 card-16di at=+BOX\nchannel -K1:1,2 "two"\n', "count-mismatch", "-K1:1,2"),
    ('device -K1 card-16di at=+BOX\nchannel -K1:1 address=I0\nchannel -K1:1 "a"\n', "duplicate-name", 'channel -K1:1 "a"'),
    (
        "device -K1 card-16di at=+BOX\nchannel -K1:1 address=I0\nchannel -K1:2 address=I0\n",
        "duplicate-name",
        "channel -K1:2 address=I0",
    ),
    ('device -K1 card-16di at=+BOX\nchannel -K1:17 "none"\n', "unknown-terminal", "17"),
    ("couple -P1 -X1\n", "unknown-name", "-P1"),
    (f"{HALVES}couple -XJ1 -XJ1\n", "duplicate-name", "couple -XJ1 -XJ1"),
    (f"{HALVES}couple -XJ1 -XP1\ncouple -XP1 -XJ1\n", "duplicate-name", "couple -XP1 -XJ1"),
    (f"{HALVES}device -XP2 plug-10p-pins at=+BOX\ncouple -XJ1 -XP2\n", "count-mismatch", "couple -XJ1 -XP2"),
    (f"{HALVES}couple -XJ1\n", "syntax", ""),
    ("comb -WC1 at=+BOX poles=3\nteeth of -WC1:L4 on -X1:1\n", "unknown-terminal", "L4"),
    ("comb -WC1 at=+BOX poles=3\nteeth -WC1 on -X1:1,2,3\n", "syntax", "-WC1"),
    ("cable -W1..2 2x1.5 {\n  BN -X1:1..3 to -P1:X1\n}\n", "count-mismatch", "-X1:1..3"),
    ("cable -W1..3 2x1.5 length=1m,2m {\n  BN -X1:1..3 to -X1:4..6\n}\n", "count-mismatch", "length=1m,2m"),
    ("cable -W1..2 2x1.5 {\n  BN -X1:1..2 to -P1..3:X1\n}\n", "count-mismatch", "-P1..3:X1"),
    ("cable -W1..2 2x1.5 {\n  BN -X1:1..2 to -P1..2:X1\n}\n", "unknown-name", "-P1..2"),
    ("cable -W2..1 2x1.5 {\n}\n", "out-of-range", "-W2..1"),
    ("device -P2..4 lamp at=+BOX\n", "syntax", "-P2..4"),
    ("cable -W1 -W1..2 2x1.5 {\n}\n", "duplicate-name", "-W1..2"),
    ("cable -W1 -W2 {\n  BN -X1:1 to -X1:2\n}\n", "syntax", "{"),
    ("layuot D1 D2 spacing=3mm\n", "unknown-word", "layuot"),
    ('allow earth-loop on -P1 because " "\n', "missing-value", '" "'),
    ("potential P24 of -G1:+ parallel=maybe\n", "unknown-word", "parallel=maybe"),
    ('function =A {\n  include "more.netdsl"\n}\n', "syntax", "include"),
    ('function =A {\n  project "P" {\n  }\n}\n', "syntax", "project"),
    ('scheme s(a) {\n  part p "P" {\n    kind = lamp\n  }\n}\n', "syntax", "part"),
    ("device -M1 motor at=+BOX power-factor=1.2\n", "out-of-range", "1.2"),
    ("supply -G2 system=IT voltage=0V\n", "out-of-range", "0V"),
    ("place +CAB kind=cabinet ambient=-150..40degC\n", "out-of-range", "-150..40degC"),
    ("place +CAB kind=cabinet size=0x600x200mm\n", "out-of-range", "0x600x200mm"),
    ("device -F1 mcb-1p at=+BOX current=6A instantaneous=0A\n", "out-of-range", "0A"),
    ('project "P" {\n  drive-power-factor = 0\n}\n', "out-of-range", "0"),
    ('project "P" {\n  stock-ratings = 0A,6A\n}\n', "out-of-range", "0A"),
    ("device -M1 motor at=+BOX efficiency=110%\n", "out-of-range", "110%"),
    ("cable -W1 2x1.5 insulation=PVD {\n  BN -G1:+ to -X1:1\n}\n", "unknown-word", "insulation=PVD"),
    ("cable -W1 2x1.5 method=Z {\n  BN -G1:+ to -X1:1\n}\n", "unknown-word", "method=Z"),
    ("cable -W1 2x1.5 material=Fe {\n  BN -G1:+ to -X1:1\n}\n", "unknown-word", "material=Fe"),
    ("wire -X1:1 to -X1:2 1mm2 BU insulation=XPLE\n", "unknown-word", "insulation=XPLE"),
    ("wire -X1:1 to -X1:2 1mm2 BU material=Fe\n", "unknown-word", "material=Fe"),
    ("route T1 at=+BOX kind=tray laying=loose\n", "unknown-word", "laying=loose"),
    ("route T1 at=+BOX kind=conduit material=tin\n", "unknown-word", "material=tin"),
    ("route T1 at=+BOX kind=tray bonded=never\n", "unknown-word", "bonded=never"),
    ("route T1 at=+BOX kind=tray fill=40%\n", "unknown-word", "fill"),
    ("place +BOX.P kind=plate bonded=never\n", "unknown-word", "bonded=never"),
    ("device -T1 vsd-4kw at=+BOX choke=4% choke-side=left\n", "unknown-word", "choke-side=left"),
    ("device -T1 vsd-4kw at=+BOX emission=C5\n", "unknown-word", "emission=C5"),
    ("device -F1 rcd-4p-a at=+BOX residual-type=X\n", "unknown-word", "residual-type=X"),
    ("device -K1 relay-1co at=+BOX minimum-load=5mA\n", "unknown-word", "minimum-load"),
    ("cable -W1 2x1.5 outer-diameter=9mm {\n  BN -G1:+ to -X1:1\n}\n", "unknown-word", "outer-diameter"),
    ("cable -W1 2x1.5 parallel=1.5 {\n  BN -G1:+ to -X1:1\n}\n", "out-of-range", "parallel=1.5"),
    ("wire -X1:1 to -X1:2 1mm2 BU length=2..3m\n", "wrong-unit", "2..3m"),
    ("wire -X1:1 to -X1:2 1 mm2 BU\n", "syntax", "1 mm2"),
    ("wire -X1:1,2 to -X1:4,5 1mm2 BN,BK,GY\n", "count-mismatch", "BN,BK,GY"),
    ("wire -X1:1,2 to -X1:4,5 1mm2 BU length=1m,2m,3m\n", "count-mismatch", "length=1m,2m,3m"),
    ("wire -X1:1,2 to -X1:4,5 1mm2 BN,BL\n", "unknown-word", "BL"),
    ("wire -X1:1,2 to -X1:4,5 1mm2 BU BN,BK\n", "duplicate-name", "BN,BK"),
    ("wire -X1:1,2 to -X1:4,5 1mm2 BN,\n", "syntax", ","),
    ("wire -X1:1,2 to -X1:4,5 1mm2 BU length=1m,2V\n", "wrong-unit", "2V"),
    ("device -P2 lamp BN,BK at=+BOX\n", "unknown-word", "BN,BK"),
]


def test_one_slip_is_one_finding() -> None:
    found = {text: findings_of(HEAD + text) for text, *_ in SLIPS}
    told = [(text, each.rule, each.span.text) for text, findings in found.items() for each in findings]
    assert told == SLIPS
    assert [text for text, findings in found.items() if not findings[0].remedy] == []


@each_of("use", ["use feed lamp=-P7 from=1", "use feeds lamp=-P7"])
def test_an_unknown_name_is_reported_where_it_is_written(use: str, tmp_path: Path) -> None:
    (finding,) = found(tmp_path, use + "\n")
    assert (finding.rule, finding.span.text) == ("unknown-name", "-P7")
    assert finding.span.begin == (HEAD.count("\n") + 1, use.index("-P7") + 1)


@each_of(
    ("line", "rule", "marked"),
    [
        ("wire -X1:($n) to $lamp:X1 1V BU", "wrong-unit", "1V"),
        ("wire -X1:($n) to $lamp:X1 1mm2 BLUE", "unknown-word", "BLUE"),
        ("device -L$n lampe at=+BOX", "unknown-part", "lampe"),
        ("use fead lamp=$lamp from=$n", "unknown-scheme", "fead"),
    ],
)
def test_what_is_wrong_in_a_scheme_itself_is_told_once_at_its_line(line: str, rule: str, marked: str, tmp_path: Path) -> None:
    text = f"scheme s(lamp, n) {{\n  {line}\n}}\nuse s lamp=-P1 n=1\nuse s lamp=-P1 n=2\nuse s for n in 3..4 lamp=-P1\n"
    (finding,) = found(tmp_path, text)
    assert (finding.rule, finding.span.text, finding.span.begin[0]) == (rule, marked, HEAD.count("\n") + 2)
    assert [(each.message, each.span.text) for each in finding.related][:1] == [("used here", "use s lamp=-P1 n=1")]


@each_of(
    ("line", "rule", "remedy"),
    [
        ("device -Q1 motor-breaker-6.3a at=+BOX tripping-current=3,6A", "wrong-unit", "write `3.6A`"),
        ("device -Q1 mcb-3p at=+BOX current=3,6A", "wrong-unit", "write `3.6A`"),
        ("route R1 length=3,5m", "wrong-unit", "write `3.5m`"),
        ("wire -X1:3 to -X1:4 0,75mm2 BU", "wrong-unit", "write `0.75mm2`"),
        ("wire -X1:3 to -X1:4 1mm2 BU length=1,5m", "wrong-unit", "write `1.5m`"),
        ("wire -X1:3 to -X1:4 1mm2 DBU", "unknown-word", 'declare it: `shade DBU = BU "dark ..."`'),
        ("wire -X1:3 to -X1:4 1mm2 BX", "unknown-word", "did you mean `BK`?"),
        ("device -T1 vsd-14kw at=+BOX", "unknown-part", "did you mean `vsd-15kw`?"),
        ("device -M1 motor-7kw-4p at=+BOX", "unknown-part", "did you mean `motor-7.5kw-4p`?"),
        ("device -K1 contactor-10a at=+BOX", "unknown-part", "did you mean `contactor-9a`?"),
        (
            "cable -W1 4x1.5 {\n  1 -X1:5 to -X1:6\n}",
            "core-unknown",
            "its cores are BU, BN, BK, GY; say `cores=numbers` where numbers are printed on them",
        ),
        (
            "cable -W1 7x1.5 {\n  BN -X1:5 to -X1:6\n}",
            "core-unknown",
            "its cores are numbered, 1 to 7; say `cores=colours` where they have colours",
        ),
    ],
)
def test_the_remedy_is_what_was_meant(line: str, rule: str, remedy: str, tmp_path: Path) -> None:
    (finding,) = found(tmp_path, line + "\n")
    assert (finding.rule, finding.remedy) == (rule, remedy)


def test_a_single_figure_is_like_no_other(tmp_path: Path) -> None:
    (finding,) = found(tmp_path, "wire -X1:9 to -X1:1 1mm2 BU\n")
    assert finding.remedy == "it has 1, 2, 3, 4, 5, 6"


def test_the_same_name_may_be_given_in_two_lines(tmp_path: Path) -> None:
    text = 'outside -A1 "Contact" at=+BOX {\n  terminal :1 plain clamps=1\n  terminal :2 plain clamps=1\n}\n'
    text += 'function =A "a" at=+BOX {\n}\n'
    assert found(tmp_path, text) == ()


@each_of(
    "block",
    [
        "strip -X2 at=+BOX {\n  :1..9\n  :3..12\n}\n",
        "part p {\n  kind = lamp\n  terminal :1..9 plain\n  terminal :3..12 plain\n}\n",
    ],
)
def test_a_range_over_another_is_one_finding(block: str, tmp_path: Path) -> None:
    (finding,) = found(tmp_path, block)
    assert (finding.rule, finding.span.text) == ("duplicate-name", "3..12")


def test_ranges_without_measure_are_refused(tmp_path: Path) -> None:
    rows = "".join(f"  :{n}000..{n}999 2.5mm2\n" for n in range(1, 301))
    assert [finding.rule for finding in found(tmp_path, f"strip -X2 at=+BOX {{\n{rows}}}\n")] == ["out-of-range"]


@each_of(
    ("name", "line"),
    [
        ("TRAY9", "cable -W{} 2x1.5 along=TRAY9 {{\n}}\n"),
        ("+NOWHERE", "strip -X9{} at=+NOWHERE {{\n  :1\n}}\n"),
        ("-K9", "wire -K9:{0} to -X1:{0} 1mm2 BU\n"),
    ],
)
def test_a_name_that_is_nothing_is_told_once(name: str, line: str, tmp_path: Path) -> None:
    (finding,) = found(tmp_path, "".join(line.format(n) for n in (1, 2, 3)))
    assert finding.rule == "unknown-name" and f"`{name}`" in finding.message


def test_schemes_that_use_each_other_are_told_where_the_first_is_used(tmp_path: Path) -> None:
    text = "scheme one(a) {\n  use two a=$a\n}\nscheme two(a) {\n  use one a=$a\n  use one a=$a\n}\nuse one a=1\n"
    messages = [(each.rule, each.message, each.span.text) for each in found(tmp_path, text)]
    assert set(messages) == {("scheme-recursive", "scheme `one` uses itself", "use one a=1")}


def test_the_severity_of_a_rule_is_chosen_once(tmp_path: Path) -> None:
    said = 'severity mark-missing note because "as agreed"\n'
    other = 'severity core-spare error because "ours"\n'
    assert found(tmp_path, said + other) == ()
    (finding,) = found(tmp_path, said + other + said)
    assert (finding.rule, finding.message) == ("duplicate-name", "the severity of `mark-missing` is chosen twice")
    (finding,) = found(tmp_path, 'severity mark-missing grave because "ours"\n')
    assert (finding.rule, finding.span.text) == ("unknown-name", "grave")


def test_the_nearest_name_is_offered_as_long_as_slips_are_few(tmp_path: Path) -> None:
    """Thousands of unknown names are a lost text; going through all names for each of them would take minutes."""
    lost = found(tmp_path, "".join(f"wire -X1:1 to -P{number}:X1 1mm2 BU\n" for number in range(1000, 1300)))
    assert len(lost) == 300
    slips = found(tmp_path, "".join(f"device -Q{n} lamp at=+BOX\nwire -X1:1 to -Q{n}0:X1 1mm2 BU\n" for n in range(10, 15)))
    assert ["did you mean `-Q1" in finding.remedy for finding in slips] == [True] * 5
    many = found(tmp_path, "".join(f"device -Q{n} lamp at=+BOX\nwire -X1:1 to -Q{n}0:X1 1mm2 BU\n" for n in range(100, 350)))
    assert ["did you mean" in finding.remedy for finding in many] == [True] * 200 + [False] * 50
