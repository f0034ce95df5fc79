"""One mistake gives one finding, at the right place, and the rest is still read."""

from __future__ import annotations

from netdsl.findings import Finding, Source
from netdsl.syntax import parse, tree
from tests.cases import each_of


def read(text: str) -> tuple[tree.Tree, tuple[Finding, ...]]:
    return parse(Source("plant.netdsl", text))


CABLE = "  BN -A1:1 to -B1:1\n  BK -A1:2 to -B1:2\n"

#: text, rule, characters marked, word in message or remedy; a `device -Z9 x` stands behind each
MISTAKES = [
    ("device -M1 motor at =+MCP power=3kW\n", "syntax", "at =+MCP", "attach the `=`: `at=+MCP`"),
    ("use foo drive =-T1\n", "syntax", "drive =-T1", "attach the `=`"),
    ("use foo {\n  drive =-T1\n}\n", "syntax", "drive =-T1", "attach the `=`"),
    ("use foo {\n  drive = -T1\n  motor -M1\n}\n", "unknown-word", "motor", "`drive = -T1   first = 3`"),
    ("use foo {\n  drive = -T1\n  wire -A1:1 to -B1:1\n}\n", "syntax", "wire", "cannot stand in a `use`"),
    ("use foo {\n  drive = -T1\n", "unclosed-block", "device", "use foo"),
    ("use foo first=1\n  drive = -T1\n}\n", "syntax", "", "`{`"),
    ('place +MCP "t" kind =cabinet\n', "syntax", "kind =cabinet", "kind=cabinet"),
    ("device -M1 motor power =3kW\n", "syntax", "power =3kW", "power=3kW"),
    ('project "x" {\n  number ="7"\n}\n', "syntax", "number =", "attach the `=`"),
    ("wire -A1:1 to -B1:2 1.5 mm2 BK\n", "syntax", "1.5 mm2", "`1.5mm2`"),
    ("device -M1 x power=4..20 mA\n", "syntax", "4..20 mA", "`4..20mA`"),
    ("wire -A1:1\u00a0to -B1:2\n", "syntax", "\u00a0", "U+00A0"),
    ("wier -A1:1 to -B1:2\n", "unknown-word", "wier", "`wire`"),
    ("Device -T1 x\n", "unknown-word", "Device", "`device`"),
    ("gibberish -A1:1\n", "unknown-word", "gibberish", "begins no statement"),
    ("wire -A1:1 too -B1:1\n", "unknown-word", "too", "`to`"),
    ('functoin =RP1 "x" {\n  device -T1 x\n}\n', "unknown-word", "functoin", "`function`"),
    ("zzz =RP1 {\n  device -T1 x\n}\n", "unknown-word", "zzz", "begins no statement"),
    (f"zzz -W1 4G10 {{\n{CABLE}}}\n", "unknown-word", "zzz", "begins no statement"),
    ("zzz -X1 {\n  :1 2.5mm2\n}\n", "unknown-word", "zzz", "begins no statement"),
    ("zzz foo {\n  kind = drive\n}\n", "unknown-word", "zzz", "begins no statement"),
    ("part foo {\n  terminl :1 line-in\n  kind = drive\n}\n", "unknown-word", "terminl", "`terminal`"),
    ("part foo {\n  terminal line-in\n  kind = drive\n}\n", "syntax", "line-in", "terminal"),
    ('function "x" at=+MCP {\n  device -T1 x\n}\n', "syntax", '"x"', "=RP1"),
    (f"cable -W1 {{\n{CABLE}}}\n", "syntax", "{", "construction"),
    (f"cable 4G10 length=3m {{\n{CABLE}}}\n", "syntax", "4G10", "designation"),
    (f"cable -W1 4G10 ) length=3m {{\n{CABLE}}}\n", "syntax", ")", "key=value"),
    (f"cable -W1 4G10 length=3m\n{CABLE}}}\n", "syntax", "", "`{`"),
    ("cable -W1 4G10 length=3m\n", "syntax", "", "`{`"),
    (f"cable -W1 4G10 length=3m\n{{\n{CABLE}}}\n", "syntax", "{", "line before"),
    (f"cable -W1 4G10 {{\n{CABLE}", "unclosed-block", "device", "cable -W1"),
    ("strip -X1 {\n  :1 2.5mm2\n", "unclosed-block", "device", "strip -X1"),
    ("part foo {\n  kind = drive\n", "unclosed-block", "device", "part foo"),
    (f"function =A {{\n  cable -W1 4G10 {{\n{CABLE}}}\n", "unclosed-block", "}", "cable -W1"),
    ("function =A {\n  device -T1 x\n", "unclosed-block", "device", "function =A"),
    ("function =A {\n  device -T1 x\nfunction =B {\n  device -T1 x\n}\n", "unclosed-block", "function", "function =A"),
    ("}\n", "stray-brace", "}", "no open block"),
    ("function =A {\n  device -T1 y\n  }\n  device -T2 y\n}\n", "stray-brace", "}", "no open block"),
    ("device -T1 x {\n", "stray-brace", "{", "opens no block"),
    ("device -T1 x {\n  device -T2 x\n}\n", "stray-brace", "{", "opens no block"),
    ('device -T1 x "abc at=+MCP\n', "unclosed-string", '"abc at=+MCP', "not closed"),
    ('function =A "abc at=+MCP {\n  device -T1 x\n}\n', "unclosed-string", '"abc at=+MCP', "not closed"),
    ("wire -A1:1 -B1:1\n", "syntax", "-B1:1", "`to`"),
    ("wire -A1:1\n", "syntax", "", "`to`"),
    ("strip -X1 { :1 2.5mm2 }\n", "syntax", ":1", "next one"),
    (f"cable -W1 4G10 {{\n{CABLE[:-1]} }}\n", "syntax", "}", "alone"),
    (f"cable -W1 4G10 {{\n{CABLE}}} device -T8 x\n", "syntax", "}", "alone"),
    ("wire -A1:($x+) to -B1:1\n", "syntax", "$x+", "computed"),
    ("wire -A1:() to -B1:1\n", "syntax", "()", "computed"),
    ("wire -A1:(1 2) to -B1:1\n", "syntax", " 2", "computed"),
    ("wire -A1:(*2) to -B1:1\n", "syntax", "*2", "computed"),
    ("wire -A1:(2*(3) to -B1:1\n", "syntax", ":", "character"),
    ("device -T1 x ;\n", "syntax", ";", "character"),
    ("device -T1 x at=\n", "syntax", "at=", "no value"),
    ("device -T1 x along=A,\n", "syntax", ",", "nothing behind"),
    ("cable -W1 4G10 {\n  BN -A1:1 -B1:1\n  BK -A1:2 to -B1:2\n}\n", "syntax", "-B1:1", "`to`"),
    ('scheme foo(a b) "x" {\n  wire $a:1 to $b:1\n}\n', "syntax", "b", "`,`"),
    ("include parts/x.netdsl\n", "syntax", "parts/x.netdsl", "text in quotes"),
    ("device motor at=+MCP\n", "syntax", "motor", "designation"),
    ("  = x\n", "syntax", "=", "expects a line"),
    (f"{CABLE}}}\n", "syntax", "BN", "without the line that opens it"),
    ("  :1 2.5mm2\n  bridge :1..2\n}\n", "syntax", ":1", "without the line that opens it"),
    ("strip -X1 {{\n  :1 2.5mm2\n}\n", "stray-brace", "{", "twice"),
    ('device -T1 x abc"\n', "unclosed-string", '"', "not closed"),
    (f"-W1 4G10 at=+MCP {{\n{CABLE}}}\n", "syntax", "-W1", "expects a line"),
    ("allow earth-loop on -T1\n", "syntax", "", "`because`"),
]


@each_of(("text", "rule", "marked", "said"), MISTAKES)
def test_one_mistake_one_finding(text: str, rule: str, marked: str, said: str) -> None:
    result, findings = read(f"device -A9 x\n{text}device -Z9 x\n")
    assert [finding.rule for finding in findings] == [rule], [finding.message for finding in findings]
    (finding,) = findings
    assert finding.span.text == marked
    assert said in f"{finding.message} {finding.remedy}"
    assert finding.remedy and "\n" not in finding.message and not finding.message.endswith(".")
    names = [statement.name.text for statement in result.statements if isinstance(statement, tree.Declaration)]
    assert names[0] == "-A9" and names[-1] == "-Z9"


def test_a_declaration_is_kept_and_a_connection_is_not_when_something_in_it_is_dropped() -> None:
    result, findings = read("device -T1 x :5 at=+MCP\nwire -A1:1 to -B1:1 :5 BK\nwire -A1:1 to -B1:2 ; BK\n")
    assert len(findings) == 3
    device, wire, other = result.statements
    assert isinstance(device, tree.Declaration) and [attr.key.text for attr in device.attrs] == ["at"]
    assert isinstance(wire, tree.Bad) and wire.span.text == "wire -A1:1 to -B1:1 :5 BK"
    assert isinstance(other, tree.Wire) and other.span.text == "wire -A1:1 to -B1:2 ; BK"


def test_what_was_mended_stands_where_it_was_written() -> None:
    text = "device -M1 motor at =+MCP power=3kW\nwire -A1:1 to -B1:1 length =($a+1) BK\n"
    result, findings = read(text)
    assert len(findings) == 2
    device, wire = result.statements
    assert isinstance(device, tree.Declaration) and isinstance(wire, tree.Wire)
    assert [attr.span.text for attr in device.attrs] == ["at =+MCP", "power=3kW"]
    assert [attr.values[0].span.text for attr in (*device.attrs, *wire.attrs)] == ["+MCP", "3kW", "($a+1)"]


@each_of("text", [text for text, *_ in MISTAKES])
def test_mistakes_inside_a_function(text: str) -> None:
    inner = "".join(f"  {line}\n" for line in text.splitlines())
    _, findings = read(f"function =OUTER {{\n{inner}  device -Z9 x\n}}\ndevice -Z8 x\n")
    assert len(findings) == 1, [finding.message for finding in findings]


@each_of(
    ("text", "count"),
    [
        (f"cable -W1 {{\n{CABLE}}}\n", 2),
        (f"cable 4G10 length=3m {{\n{CABLE}}}\n", 2),
        (f"zzz -W1 4G10 {{\n{CABLE}}}\n", 2),
        (f"cabel -W1 4G10 {{\n{CABLE}}}\n", 2),
        (f"cable -W1 4G10 at =+MCP {{\n{CABLE}}}\n", 2),
        ("cable -W1 4G10 {\n  BN -A1:1 -B1:1\n  BK -A1:2 to -B1:2\n}\n", 1),
    ],
)
def test_a_faulty_header_keeps_its_body(text: str, count: int) -> None:
    result, _ = read(text)
    (cable,) = result.statements
    assert isinstance(cable, tree.Cable) and len(cable.cores) == count


@each_of(
    "text",
    [
        "scheme \n { } } }",  # a body given up takes a brace with it: the text ends inside a block
        "{ scheme } { ) } }",  # one token that five mends in turn cannot place is dropped
    ],
)
def test_what_cannot_be_mended_does_not_stop_the_rest(text: str) -> None:
    result, findings = read(f"device -A9 x\n{text}\n")
    assert findings
    assert isinstance(result.statements[0], tree.Declaration)


def test_functions_behind_an_unclosed_one_stand_beside_it() -> None:
    result, findings = read("function =A {\n  device -T1 x\nfunction =B {\n  device -T1 x\n}\n")
    assert [type(statement) for statement in result.statements] == [tree.Function, tree.Function]
    assert findings[0].related[0].span.text == "function =A"


def test_independent_mistakes_are_all_found() -> None:
    _, findings = read("wier -A1:1 to -B1:1\nwire -A1:1\ndevice -T1\n\nroute\n")
    assert len(findings) == 4


def test_findings_are_capped() -> None:
    _, findings = read("wire\n" * 300)
    assert len(findings) == 50


def test_deep_nesting_is_reported_once() -> None:
    result, findings = read("".join(f"function =A{n} {{\n" for n in range(3000)) + "}\n" * 3000)
    assert len(findings) == 1 and "deep" in findings[0].message
    assert len(result.statements) == 1


def test_a_hundred_levels_are_fine() -> None:
    _, findings = read("".join(f"function =A{n} {{\n" for n in range(100)) + "}\n" * 100)
    assert findings == ()


def test_a_hundred_levels_of_which_one_is_not_closed() -> None:
    _, findings = read("".join(f"function =A{n} {{\n" for n in range(100)) + "}\n" * 99)
    assert [finding.rule for finding in findings] == ["unclosed-block"]


def test_a_line_no_deeper_is_not_taken_into_a_block_without_its_brace() -> None:
    result, findings = read("strip -X1 at=+A\ndevice -T1 x\n}\n")
    assert [finding.rule for finding in findings] == ["syntax", "stray-brace"]
    assert isinstance(result.statements[1], tree.Declaration)


def test_what_stands_behind_a_key_is_not_taken_for_what_the_head_lacks() -> None:
    result, findings = read(f"cable along=DUCT1,DUCT2 length=3m {{\n{CABLE}}}\n")
    (cable,) = (statement for statement in result.statements if isinstance(statement, tree.Cable))
    assert len(findings) == 1
    assert [len(attr.values) for attr in cable.attrs] == [2, 1]
