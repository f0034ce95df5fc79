"""Every statement of the language as nodes, and where they say they stand."""

from __future__ import annotations

from pathlib import Path

from netdsl.findings import Source
from netdsl.syntax import parse, tree, written
from tests.cases import each_of

CASES = Path(__file__).with_name("cases")


def read(text: str) -> tree.Tree:
    result, findings = parse(Source("plant.netdsl", text))
    assert not findings, [finding.message for finding in findings]
    return result


def one(text: str) -> object:
    (statement,) = read(text).statements
    return statement


def attrs(node: object) -> dict[str, list[str]]:
    return {attr.key.text: [value.span.text for value in attr.values] for attr in node.attrs}  # type: ignore[attr-defined]


def words(items: object) -> list[str]:
    return [item.span.text for item in items]  # type: ignore[attr-defined]


@each_of(
    ("line", "kind"),
    [
        ("netdsl 1", tree.Version),
        ('include "parts/site.netdsl"', tree.Include),
        ("set -T1 ai2=4..20mA emc-filter=connected", tree.Setting),
        ("fit aux-contacts-2-2 on -K1", tree.Fit),
        ("interlock -K1 -K2 mechanical", tree.Interlock),
        ("connect -M1 delta", tree.Connect),
        ("earthing of -T2:0V at -XE1:9", tree.Earthing),
        ("potential P24 of -T2:+ mark=P24 parallel=yes", tree.PotentialName),
        ("relation TRAY1 TRAY2 spacing=300mm parallel=24m", tree.Relation),
        ('shade DBU = BU "dark blue"', tree.Shade),
        ("defaults within=+MCP class=control section=0.75mm2", tree.Defaults),
        ("use two-wire-start drive=-T1 terminals=-X1 first=3", tree.Use),
        ("let pump-cable=35m hall=TRAY1,DUCT2", tree.Let),
        ("use two-wire-start for pump in 1..4 and first in 1,3,5,7 drive=-T$pump", tree.Use),
        ("wire -A1:1 to -B1:2 to -C1:3 10mm2 BK twin along=DUCT1,DUCT2", tree.Wire),
        ("place +MCP.D kind=door", tree.Declaration),
        ("supply -G0 system=TN-S voltage=400V", tree.Declaration),
        ("busbar -WB1 at=+MCP poles=3", tree.Declaration),
        ("comb -WB1 at=+MCP poles=3", tree.Declaration),
        ("distribution-block -WB1 at=+MCP poles=3", tree.Declaration),
        ('route DUCT1 "left" kind=duct', tree.Declaration),
        ("device -T1 vsd-15kw at=+MCP", tree.Declaration),
    ],
)
def test_one_line_statements_span_their_line(line: str, kind: type) -> None:
    statement = one(f"\n  {line}   # remark\n")
    assert isinstance(statement, kind)
    assert statement.span.text == line  # type: ignore[attr-defined]


def test_declaration() -> None:
    device = one('device -M1 motor "pump" at = +HALL power=15kW')
    assert isinstance(device, tree.Declaration)
    assert (device.keyword, device.name.text) == ("device", "-M1")
    assert isinstance(device.part, written.Word) and device.part.text == "motor"
    assert words(device.items) == ['"pump"']
    assert attrs(device) == {"at": ["+HALL"], "power": ["15kW"]}
    assert [attr.key.span.text for attr in device.attrs] == ["at", "power"]
    assert [attr.span.text for attr in device.attrs] == ["at = +HALL", "power=15kW"]


def test_keywords_are_soft() -> None:
    device = one("device -K1 coil wire=to")
    assert isinstance(device, tree.Declaration) and isinstance(device.part, written.Word)
    assert device.part.text == "coil"
    assert attrs(device) == {"wire": ["to"]}


def test_wire_terminals() -> None:
    wire = one('wire -X0:L1,L2 to =RP1-Q0:1..2,5/in to $drive:(digital-in 2),($first+1*2) "note"')
    assert isinstance(wire, tree.Wire)
    first, second, third = wire.ends
    assert first.base == "-X0" and [t.first for t in first.terminals] == ["L1", "L2"]  # type: ignore[union-attr]
    assert [(t.first, t.last) for t in second.terminals] == [("1", "2"), ("5/in", "5/in")]  # type: ignore[union-attr]
    assert [t.span.text for t in second.terminals] == ["1..2", "5/in"]
    role, sum_ = [t.expression for t in third.terminals]  # type: ignore[union-attr]
    assert third.base == "$drive"
    assert isinstance(role, written.Role) and role.name.text == "digital-in"
    assert isinstance(role.index, written.Number) and role.index.value == 2
    assert isinstance(sum_, written.Arithmetic) and sum_.operator == "+"
    assert isinstance(sum_.right, written.Arithmetic) and sum_.right.operator == "*"
    assert isinstance(sum_.left, written.Param) and sum_.left.name == "first"


def grouped(expression: object) -> str:
    """An expression with a parenthesis around every sum and product."""
    if isinstance(expression, written.Arithmetic):
        return f"({grouped(expression.left)} {expression.operator} {grouped(expression.right)})"
    return expression.span.text  # type: ignore[attr-defined]


@each_of(
    ("text", "meant"),
    [
        ("7", "7"),
        ("$a", "$a"),
        ("$a-1", "($a - 1)"),
        ("9-2-1", "((9 - 2) - 1)"),
        ("9-2+1", "((9 - 2) + 1)"),
        ("9-2*3", "(9 - (2 * 3))"),
        ("9+2*3-1", "((9 + (2 * 3)) - 1)"),
        ("2*3-1", "((2 * 3) - 1)"),
        ("2*3*4", "((2 * 3) * 4)"),
        ("2*($b-1)", "(2 * ($b - 1))"),
        ("($b-1)*(2+3)", "(($b - 1) * (2 + 3))"),
        (" 9 -  $b ", "(9 - $b)"),
    ],
)
def test_arithmetic(text: str, meant: str) -> None:
    wire = one(f"wire -A1:({text}) to -B1:1")
    assert isinstance(wire, tree.Wire)
    (terminal,) = wire.ends[0].terminals
    assert isinstance(terminal, written.ComputedTerminal)
    assert grouped(terminal.expression) == meant
    assert terminal.span.text == f"({text})"


def test_half_a_range_is_a_name() -> None:
    wire = one("wire -A1:1.. to -B1:..2 to -C1:1..2")
    assert isinstance(wire, tree.Wire)
    assert [(end.terminals[0].first, end.terminals[0].last) for end in wire.ends] == [  # type: ignore[union-attr]
        ("1..", "1.."),
        ("..2", "..2"),
        ("1", "2"),
    ]


def test_parameters_and_computed_values() -> None:
    use = one("use row first=($n-1) drive=$drive common=:COM along=TRAY1/1,TRAY2")
    assert isinstance(use, tree.Use)
    kinds = [type(value) for attr in use.attrs for value in attr.values]
    assert kinds == [written.ComputedTerminal, written.Param, written.Reference, written.Word, written.Word]


def test_what_a_use_gives_may_stand_in_lines_of_its_own() -> None:
    use = one("use row for n in 1..2 first=$n {\n  drive = =RP1-T1   along = TRAY1,TRAY2  # a comment\n\n  length=3m\n}")
    assert isinstance(use, tree.Use) and len(use.each) == 1
    assert attrs(use) == {"first": ["$n"], "drive": ["=RP1-T1"], "along": ["TRAY1", "TRAY2"], "length": ["3m"]}
    assert use.span.text.endswith("}")
    assert one("use row {\n}").attrs == ()  # type: ignore[attr-defined]


def test_negative_values_are_words() -> None:
    place = one("place +MCP ambient=-5..40degC least=-10degC")
    assert isinstance(place, tree.Declaration)
    assert [type(attr.values[0]) for attr in place.attrs] == [written.Word, written.Word]


def test_project() -> None:
    text = 'project "Hall" {\n  number = "RH"   owner = "Alder hatchery"\n  revision A 2026-05-04 "first" by="me"\n}\n'
    project = one(text)
    assert isinstance(project, tree.Project)
    assert project.title.value == "Hall"
    assert attrs(project) == {"number": ['"RH"'], "owner": ['"Alder hatchery"']}
    (revision,) = project.revisions
    assert (revision.index.text, revision.date.text) == ("A", "2026-05-04")
    assert revision.text is not None and revision.text.value == "first"
    assert project.span.text == text.strip()


def test_strip() -> None:
    strip = one('strip -X1 "Field" at=+MCP {\n  :1..6 2.5mm2 "level"\n  :L1 :L2 fused fuse=2A\n  bridge :1..2\n}\n')
    assert isinstance(strip, tree.Strip)
    first, second, bridge = strip.rows
    assert isinstance(first, tree.StripRow) and words(first.items) == ["2.5mm2", '"level"']
    assert isinstance(second, tree.StripRow) and words(second.terminals) == [":L1", ":L2"]
    assert attrs(second) == {"fuse": ["2A"]}
    assert isinstance(bridge, tree.Bridge)


@each_of("construction", ["4G10", "2x2x0.75", "3x35+3G6", "4G2.5+2x(2x1)", "7x1.5"])
def test_cable(construction: str) -> None:
    cable = one(f"cable -W1 {construction} screened length=35m {{\n  BN -T1:U to -M1:U1 mark=7\n  1a -T1:V to -M1:V1\n}}\n")
    assert isinstance(cable, tree.Cable) and isinstance(cable.construction, written.Word)
    assert cable.construction.text == construction
    assert [core.core.text for core in cable.cores] == ["BN", "1a"]
    assert words(cable.cores[0].ends) == ["-T1:U", "-M1:U1"]


def test_screens() -> None:
    cable = one(
        "cable -W1 2x2x0.75 pair-screened {\n"
        "  screen -T1:SH pigtail 60x12mm bare 80mm to -M1:SH gland\n"
        "  screen pair 1 -XSH:1 clamp bare 9mm\n"
        "  screen -B1 open\n}\n"
    )
    assert isinstance(cable, tree.Cable)
    whole, pair, single = cable.screens
    first, second = whole.ends
    assert (
        first.how.text == "pigtail" and first.size and first.size.text == "60x12mm" and first.bare and first.bare.text == "80mm"
    )
    assert second.how.text == "gland" and second.size is None and second.bare is None
    assert pair.pair is not None and pair.pair.text == "1" and pair.ends[0].size is None
    assert pair.ends[0].bare is not None and pair.ends[0].span.text == "-XSH:1 clamp bare 9mm"
    assert single.ends[0].end.base == "-B1" and len(single.ends) == 1


def test_functions_nest_and_hold_any_statement() -> None:
    function = one('function =A "x" at=+MCP {\n  function =A.B {\n    device -T1 x\n  }\n  strip -X1 { }\n}\n')
    assert isinstance(function, tree.Function)
    inner, strip = function.body
    assert isinstance(inner, tree.Function) and isinstance(inner.body[0], tree.Declaration)
    assert isinstance(strip, tree.Strip) and strip.rows == ()


@each_of(("head", "names"), [("", []), ("()", []), ("(a, b,len=10m)", ["a", "b", "len"])])
def test_scheme(head: str, names: list[str]) -> None:
    scheme = one(f'scheme two{head} "t" {{\n  wire $a:1 to $b:2\n}}\n')
    assert isinstance(scheme, tree.Scheme) and scheme.text is not None
    assert [param.name.text for param in scheme.params] == names
    assert len(scheme.body) == 1
    if names:
        assert isinstance(scheme.params[2].default, written.Word)


def test_allow() -> None:
    allow = one('allow earth-loop on =RP1-T1 because "agreed \\"so\\"" until 2027-06-30')
    assert isinstance(allow, tree.Allow)
    assert (allow.rule.text, allow.subject.base, allow.reason.value) == ("earth-loop", "=RP1-T1", 'agreed "so"')
    assert allow.until is not None and allow.until.text == "2027-06-30"


@each_of(("line", "base"), [('caution on =RP1-T1 "wait"', "=RP1-T1"), ('remark on $drive "wait"', "$drive")])
def test_caution_and_remark(line: str, base: str) -> None:
    note = one(line)
    assert isinstance(note, tree.Remark)
    assert (note.kind.text, note.subject.base, note.text.value) == (line.split()[0], base, "wait")
    assert note.span.text == line


def test_part_lines() -> None:
    part = read((CASES / "part.out.netdsl").read_text(encoding="utf-8")).statements[0]
    assert isinstance(part, tree.Part)
    lines = {line.keyword: line for line in part.lines}
    assert set(lines) == {
        "rating",
        "terminal",
        "source",
        "changeover",
        "setting",
        "require",
        "pole",
        "link",
        "contact",
        "position",
        "coil",
        "load",
    }
    assert words(lines["changeover"].left) == [":RO1C"] and words(lines["changeover"].right) == [":RO1B", ":RO1A"]
    assert words(lines["position"].items) == ["hand"] and words(lines["position"].right) == [":14"]
    assert words(lines["coil"].items) == ["main", "dc"]
    assert words(lines["require"].items)[0] == "one"
    assert words(lines["setting"].items) == ["address", "1..247"]


def test_outside_has_the_lines_of_a_part() -> None:
    outside = one('outside -A1 "Bus master" at=+CTRL {\n  terminal :A bus line=a\n  earth = own\n}\n')
    assert isinstance(outside, tree.Outside)
    assert [line.keyword for line in outside.lines] == ["terminal", "rating"]


@each_of("end", ["\n", "\r\n", "\r"])
def test_line_ends_tabs_and_byte_order_mark(end: str) -> None:
    text = end.join(["\ufeffdevice\t-T1 x", "", "\t# remark", "device -T2 y", "place +A kind =\tbox".replace(" =\t", "=")])
    assert len(read(text).statements) == 3


def test_the_whole_example_of_the_reference_reads() -> None:
    assert len(read((CASES / "example.in.netdsl").read_text(encoding="utf-8")).statements) == 28


def test_severity() -> None:
    plain, lowered = one("severity earth-loop error\n"), one('severity earth-loop note because "agreed"\n')
    assert isinstance(plain, tree.RuleSeverity) and isinstance(lowered, tree.RuleSeverity)
    assert (plain.rule.text, plain.level.text, plain.reason) == ("earth-loop", "error", None)
    assert lowered.reason is not None and lowered.reason.value == "agreed"
