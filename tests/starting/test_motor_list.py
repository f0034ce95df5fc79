"""What a motor list may look like, and what is said where it cannot be taken."""

from __future__ import annotations

from netdsl.findings import Severity
from netdsl.starting import Motor, read_motor_list
from netdsl.starting.practice import ways
from tests.cases import each_of

HEAD = "designation,description,power,voltage,way of running,cable length,place\n"


def motors_of(text: str) -> tuple[Motor, ...]:
    motors, findings = read_motor_list(text, "m.csv")
    assert findings == ()
    return motors


def faults_of(text: str) -> list[str]:
    _, findings = read_motor_list(text, "m.csv")
    assert all(finding.remedy and finding.severity is Severity.ERROR for finding in findings)
    return [f"{finding.span.begin[0]}:{finding.span.begin[1]} {finding.rule} {finding.message}" for finding in findings]


def one(**cells: str) -> str:
    values = {"designation": "P1", "power": "4", "voltage": "400", "way": "two-wire", "length": "20", "place": "Hall"} | cells
    row = ",".join(f'"{values[name]}"' for name in ("designation", "power", "voltage", "way", "length", "place"))
    return f"designation,power,voltage,way of running,cable length,place\n{row}\n"


def test_semicolons_decimal_commas_byte_order_mark_and_comments_are_read() -> None:
    text = "\ufeffTag;Power [kW];Running;Length (m)\r\n# note\r\n\r\nP1;7,5;dol;28m\r\nP2;7.5 kW;Two-Wire;12,5\r\n;;;\r\n"
    motors = motors_of(text)
    assert [(motor.power_w, motor.way, motor.length_m) for motor in motors] == [
        (7500.0, "direct-on-line", 28.0),
        (7500.0, "two-wire", 12.5),
    ]


@each_of("end", ["\n", "\r\n", "\r"])
def test_quoted_cells_hold_separators_marks_and_line_ends(end: str) -> None:
    rows = [f'P1,"Pump, big{end}and ""old""",4,400,two-wire,20m,Hall', "P2,Fan,4,400,two-wire,20m,Hall"]
    motors = motors_of(end.join([HEAD.strip(), *rows, ""]))
    assert [motor.description for motor in motors] == ["Pump, big and 'old'", "Fan"]


def test_columns_in_another_order_and_empty_ones() -> None:
    motor = motors_of("place;;way of running;power;designation;\nWell;;dol;0,75;P1;\n")[0]
    assert (motor.place_title, motor.way, motor.power_w, motor.description) == ("Well", "direct-on-line", 750.0, "P1")
    assert motor.leaves_open("cable length") and motor.leaves_open("voltage") and not motor.leaves_open("place")


@each_of(
    ("voltage", "winding"),
    [
        ("400", "400/690V"),
        ("3~ 400 V 50 Hz", "400/690V"),
        ("3AC 400V", "400/690V"),
        ("3x400", "400/690V"),
        ("230/400 V", "230/400V"),
        ("400V/230V", "230/400V"),
        ("690/400", "400/690V"),
        ("", "400/690V"),
    ],
)
def test_voltages(voltage: str, winding: str) -> None:
    assert motors_of(one(voltage=voltage))[0].winding == winding


@each_of(
    ("cells", "expected"),
    [
        ({"voltage": "1~ 230 V"}, "2:10 voltage-mismatch `1~ 230 V` is a single-phase motor"),
        ({"voltage": "230V"}, "2:10 voltage-mismatch `230V` alone does not run on three phases of 400 V"),
        ({"voltage": "690 V"}, "2:10 voltage-mismatch `690 V` alone does not run on three phases of 400 V"),
        ({"voltage": "big"}, "2:10 voltage-mismatch `big` is no voltage"),
        (
            {"voltage": "230/400V", "way": "star-delta"},
            "2:10 winding-connection a winding for `230/400V` cannot run by `star-delta`",
        ),
        ({"power": "1,500 W"}, "2:6 out-of-range `1,500 W` is 0.0015 kW"),
        ({"power": "10 hp"}, "2:6 wrong-unit `10 hp` is no power"),
        ({"power": ""}, "2:1 wrong-unit the power is missing"),
        ({"power": "75", "way": "dol"}, "2:6 out-of-range 75 kW is more than the library reaches by `direct-on-line`"),
        ({"length": "0"}, "2:27 out-of-range a motor cable of 0 m is not planned here"),
        ({"length": "900 m"}, "2:27 out-of-range a motor cable of 900 m is not planned here"),
        ({"length": "28 feet"}, "2:27 wrong-unit `28 feet` is no length"),
        ({"way": "slow-start"}, "2:16 unknown-word `slow-start` is no way of running"),
        ({"way": ""}, "2:1 unknown-word the way of running is missing"),
        ({"designation": "P-1"}, "2:1 unknown-word `P-1` is no designation"),
        ({"designation": ""}, "2:1 unknown-word the designation is missing"),
        ({"designation": "SL1"}, "2:1 duplicate-name designation `SL1` is kept for a serial line"),
        ({"place": "MCP"}, "2:32 duplicate-name place `MCP` is the panel"),
        ({"place": "Ha\x07ll"}, "2:32 encoding the cell holds a control character"),
    ],
)
def test_one_fault_gives_one_finding_at_its_cell(cells: dict[str, str], expected: str) -> None:
    faults = faults_of(one(**cells))
    assert len(faults) == 1
    assert faults[0].startswith(expected)


@each_of(
    ("text", "expected"),
    [
        ("", "1:1 motor-list the list holds no heading and no motor"),
        ("\n \n", "1:1 motor-list the list holds no heading and no motor"),
        (HEAD, "1:1 motor-list the list holds a heading and no motor"),
        ("P1,Pump,4,400,two-wire,20m,Hall\n", "1:1 motor-list the first line is no heading of a motor list"),
        ("designation,poweer,way\nP1,4,two-wire\n", "1:13 unknown-word `poweer` is no column"),
        ("designation,way\nP1,two-wire\n", "1:1 missing-value column `power` is missing"),
        (HEAD + "P1,Pump,7,5,400,two-wire,28,Hall\n", "2:29 count-mismatch 8 cells for 7 columns"),
        (HEAD + 'P1,"Pump,4,400,two-wire,28,Hall\nP2,x,4,400,dol,20,Hall\n', "2:4 unclosed-string"),
        (
            HEAD + "P1,x,4,400,dol,20,Hall\nP1,x,4,400,dol,20,Hall\n",
            "3:1 duplicate-name designation `P1` stands in line 2 already",
        ),
        (
            HEAD + "P1,x,4,400,dol,20,Hall\np1,x,4,400,dol,20,Hall\n",
            "3:1 duplicate-name designation `p1` differs from that of line 2",
        ),
    ],
)
def test_one_fault_of_the_list_gives_one_finding(text: str, expected: str) -> None:
    faults = faults_of(text)
    assert len(faults) == 1
    assert faults[0].startswith(expected)


def test_places_get_designations_of_their_own() -> None:
    rows = "".join(
        f"P{n},x,4,400,dol,20,{place}\n" for n, place in enumerate(["Hall", "hall", "Ha ll", "2nd floor", "\u6c60", "Room"])
    )
    assert [motor.place for motor in motors_of(HEAD + rows)] == ["HALL", "HALL", "HALL2", "PLACE2NDFLOOR", "PLACE4", "ROOM2"]


@each_of("cells", [{"power": "0.09"}, {"power": "90 W"}, {"length": "500 m"}, {"length": "0.1"}])
def test_what_lies_on_a_limit_is_taken(cells: dict[str, str]) -> None:
    motors_of(one(**cells))


def test_what_lies_beyond_a_limit_says_what_is_taken() -> None:
    for cells, remedy in (
        ({"power": "0.089"}, "give the rated power of the shaft in kW, for example `7.5kW`"),
        ({"length": "500.1"}, "give more than 0 m and at most 500 m; leave the cell empty where it is not known"),
    ):
        _, (finding,) = read_motor_list(one(**cells), "m.csv")
        assert (finding.rule, finding.remedy) == ("out-of-range", remedy)


def test_a_power_too_large_for_a_way_is_sent_to_those_that_reach_it() -> None:
    largest = max(way.largest_kw for way in ways().values())
    _, (finding,) = read_motor_list(one(power=f"{largest:g}", way="dol"), "m.csv")
    reaching = [way.name for way in ways().values() if way.largest_kw == largest]
    assert reaching and finding.remedy == f"run it by one of {', '.join(reaching)}"
    _, (finding,) = read_motor_list(one(power=f"{largest + 1:g}", way="dol"), "m.csv")
    assert finding.remedy.startswith("plan this motor by hand")


@each_of(("written", "meant"), [("revers", "reverse"), ("hand-auot", "hand-auto"), ("tow-wire", "two-wire")])
def test_a_misspelt_way_is_likened_to_every_word_for_one(written: str, meant: str) -> None:
    _, (finding,) = read_motor_list(one(way=written), "m.csv")
    assert finding.remedy.startswith(f"did you mean `{meant}`? one of drive, two-wire")
