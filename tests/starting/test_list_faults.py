"""What is said of lists of motors that cannot be taken, with place and remedy: kept word by word in `golden/faults.txt`.

`python -m tests.starting.test_list_faults` writes it anew.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from netdsl.findings import Severity, Source
from netdsl.starting import read_io_list, read_motor_list
from netdsl.starting.motor_list import assumptions
from netdsl.starting.table import rows_of

KEPT = Path(__file__).parent / "golden" / "faults.txt"
HEAD = "designation,description,power,voltage,way of running,cable length,place"
SHORT = "designation,power,way of running"
#: lists with one kind of fault each, or that look faulty and are not
LISTS = (
    "",
    "# nothing but words\n",
    HEAD,
    "P1,Pump,4,400,two-wire,20m,Hall",
    "designation,poweer,way\nP1,4,two-wire",
    "designation,weight,power,way,motor no,voltage,power [kW]\nP1,4,4,two-wire,1,,",
    "description\nPump",
    *(
        f"{HEAD}\nP1,Pump,4,{voltage},two-wire,20,Hall"
        for voltage in ("1~ 230 V", "230V", "690 V", "big", "440", "inf", "230/400/690")
    ),
    *(f"{HEAD}\nP1,Pump,4,3/N/PE~ {voltage} 50 Hz Δ,dol,20,Hall" for voltage in ("400", "400/690", "230/400")),
    f"{HEAD}\nP1,Pump,4,230/400V,star-delta,20,Hall",
    *(f"{SHORT}\nP1,{power},two-wire" for power in ("", "1,5 W", "10 hp", "89 W", "90W", "500w", "0.5 KW", "7.5.1", "-4")),
    *(f"{SHORT}\nP1,{power},{way}" for power, way in (("75", "dol"), ("160.5", "two-wire"), ("1.5MW", "two-wire"))),
    *(f"{SHORT},cable length\nP1,4,two-wire,{length}" for length in ("0", "0.1", "500m", "500.1", "28 feet", "-3")),
    *(f"{SHORT}\nP1,4,{way}" for way in ("", "soft-start", "tow wire", "Two / Wire", "star_delta")),
    *(f"{SHORT}\n{name},4,two-wire" for name in ("", "P-1", "1", "=P1", "SL1", "sl22", "SLX", "---")),
    f"{SHORT}\nP1,4,two-wire\n=P1,4,two-wire\np1,4,two-wire\nP2,4,two-wire",
    *(
        f"{SHORT},place\nP1,4,two-wire,{place}\nP2,4,two-wire,Hall"
        for place in ("MCP", "+MCP", "site", "+Hall", "2nd floor", "池")
    ),
    f"{HEAD}\nP1,Pump,7,5,400,two-wire,28,Hall\nP2,Fan,4,400,two-wire,28",
    f"{HEAD}\nP1,Pump,4,400,two-wire,28,Hall,more,,and more",
    f'{HEAD}\nP1,"Pump,4,400,two-wire,28,Hall\nP2,x,4,400,dol,20,Hall',
    f"{HEAD}\nP1,Pu\x07mp,4,400,two-wire,28,Hall",
    f"{SHORT}\nP1,x,two-wire\nP2,y,three-wire\n\n# P3,z,dol\nP4,z,",
    *(
        f"{SHORT}\nP1,{power},{way}"
        for power, way in (("", "valve"), ("0.5", "valve"), ("5", "heater"), ("3", "brake"), ("", "dosing"))
    ),
    *(f"{SHORT},voltage\nP1,2.2,brake,{voltage}" for voltage in ("400", "400/690V", "230/400V", "500V")),
    *(f"{SHORT},qty\nP1,4,{way},{number}" for way, number in (("shared", ""), ("dol", "1"), ("dol", "2"), ("duty standby", "2"))),
    *(f"{SHORT},qty\nP1,15,common drive,{number}" for number in ("", "1", "3 x", "9", "two", "8")),
    f"{SHORT},cable length\nP1,7.5,brake,23\nP2,7.5,brake,24\nP3,45,drive with isolator,24",
    "power;way of running;tag;note, of any kind\n4;two-wire;P1;a, b, c\n5;dol;P2;",
)


def told(text: str) -> Iterator[str]:
    """What comes of a list: its motors, what they leave open, what is wrong."""
    motors, findings = read_motor_list(text, "m.csv")
    for motor in motors:
        yield f"{motor.designation} {motor.description!r} {motor.power_w:g} W {motor.winding} {motor.way}, {motor.length_m:g} m"
        yield f"    at {motor.place} {motor.place_title!r}"
    yield from (f"assumed {words}" for words in assumptions(motors))
    for found in findings:
        (line, start), (end_line, end) = found.span.begin, found.span.finish
        yield f"{line}:{start} to {end_line}:{end} {found.severity} {found.rule}: {found.message}"
        yield f"    {found.remedy}"
        yield from (f"    {near.message} {near.span.begin}" for near in found.related)


def listed() -> Iterator[str]:
    """All lists with what comes of them."""
    for text in LISTS:
        yield f"=== {text!r}"
        yield from told(text)


def test_what_is_said_of_a_list_is_what_it_was() -> None:
    remedy = "look at what moved, then run python -m tests.starting.test_list_faults"
    assert list(listed()) == KEPT.read_text("utf-8").splitlines(), remedy


def test_cells_stand_where_they_stand() -> None:
    text = ' a ;"b;""c"" ";\td e \r\n;;\r\n# no\r\nx;"y\r\nz";\r\n'
    rows = list(rows_of(Source("m.csv", text)))
    assert [[cell.text for cell in row] for row in rows] == [["a", 'b;"c"', "d e"], ["x", "y z", ""]]
    assert [[text[cell.span.start : cell.span.end] for cell in row] for row in rows] == [
        ["a", '"b;""c"" "', "d e"],
        ["x", '"y', ""],
    ]
    assert [[cell.text for cell in row] for row in rows_of(Source("m.csv", "a,b\tc\td\ne,f\tg"))] == [
        ["a,b", "c", "d"],
        ["e,f", "g"],
    ]
    assert [[cell.text for cell in row] for row in rows_of(Source("m.csv", "a;b,c"))] == [["a", "b,c"]]


if __name__ == "__main__":
    KEPT.write_text("".join(f"{line}\n" for line in listed()), "utf-8")


def test_a_list_names_so_many_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("netdsl.starting.motor_list.MAX_MOTORS", 2)
    monkeypatch.setattr("netdsl.starting.io_list.MAX_SIGNALS", 2)
    motors = "designation,power,way of running\n" + "".join(f"RP{n},4kW,direct-on-line\n" for n in (1, 2))
    signals = "tag,type\n" + "".join(f"LS{n},DI\n" for n in (1, 2))
    for read, text, thing in ((read_motor_list, motors, "motor"), (read_io_list, signals, "signal")):
        found, said = read(text, "list.csv")
        assert len(found) == 2 and not any(each.severity is Severity.ERROR for each in said)
        found, (finding,) = read(f"{text}\n# one more\nRP3,wrong\nRP4,wrong,too", "list.csv")
        assert (found, finding.rule, finding.span.begin[0]) == ((), "motor-list", 6)
        assert finding.message == f"the list has more than 2 {thing}s"
