"""Serial lines that branch, close to a ring or exchange their data lines, and what is left alone."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("bus-star", "bus-polarity", "clamp-overfilled")

STATION = """
part station "Station" {
  kind = controller   letter = A   class = III
  terminal :A bus line=a clamps=3
  terminal :B bus line=b clamps=3
  terminal :G bus line=common clamps=3
}
"""
FAST = 'project "Fast" {\n  bit-rate = 500kbit/s\n}\n'


def stations(count: int) -> str:
    return STATION + "".join(f"device -A{number} station at=+MCP\n" for number in range(1, count + 1))


def piece(name: str, one: str, other: str, length: str = "length=20m", ends: str = "AB") -> str:
    """A cable between two stations, the second one's terminals in the order of `ends`."""
    return (
        f"cable -W{name} 1x2x0.5 {length} {{\n  1a -A{one}:A to -A{other}:{ends[0]}\n  1b -A{one}:B to -A{other}:{ends[1]}\n}}\n"
    )


def told(found: Found, text: str) -> list[tuple[str, str, str]]:
    return [(finding.rule, finding.severity.value, finding.subjects[0]) for finding in found(text)]


ROW = stations(4) + piece("1", "1", "2") + piece("2", "2", "3")
STAR = [("bus-star", "error", "-A2")]
MILD = [("bus-star", "warning", "-A2")]


@each_of(
    ("text", "expected"),
    [
        (ROW + piece("3", "3", "4"), []),
        (ROW + piece("3", "2", "4"), STAR),
        (ROW + piece("3", "2", "4", "length=5.1m"), STAR),
        (ROW + piece("3", "2", "4", "length=5m"), MILD),
        (FAST + ROW + piece("3", "2", "4", "length=5m"), STAR),
        (FAST + ROW + piece("3", "2", "4", "length=0.24m"), STAR),
        (FAST + ROW + piece("3", "2", "4", "length=0.23m"), []),
        (ROW + piece("3", "2", "4", ""), STAR),
        (ROW.replace("length=20m", "") + piece("3", "2", "4", ""), MILD),
        (stations(5) + "".join(piece(n, "2", n) for n in "1345"), STAR),
        (stations(4) + piece("1", "1", "2") + piece("2", "2", "3", "length=3m") + piece("3", "3", "4", "length=3m"), []),
        (
            STATION.replace("clamps=3", "") + ROW.removeprefix(STATION) + piece("3", "2", "4"),
            STAR,
        ),
    ],
)
def test_pieces_that_meet(found: Found, text: str, expected: list[tuple[str, str, str]]) -> None:
    assert sorted(told(found, text)) == sorted(expected)


def test_the_whole_of_a_branch_counts(found: Found) -> None:
    text = stations(5) + "".join(piece(*of) for of in (("1", "1", "2"), ("2", "2", "3"), ("3", "2", "4", "length=3m")))
    assert told(found, text) == MILD
    assert told(found, text + piece("4", "4", "5", "length=3m")) == STAR


def test_the_last_piece_in_the_text_is_the_place(found: Found) -> None:
    (finding,) = found(ROW + piece("3", "2", "4"))
    assert finding.span.text == "1a -A2:A to -A4:A"
    assert "3 pieces lead on from there, to `-A1`, `-A3`, `-A4`, the shortest 20 m long" in finding.message


@each_of(("last", "expected"), [(":2", STAR), (":3", STAR), (":4", [])])
def test_a_strip(found: Found, last: str, expected: list[tuple[str, str, str]]) -> None:
    strip = "strip -X1 at=+MCP clamps=2 {\n  :1..4 2.5mm2\n  bridge :1 :2 :3\n}\n"
    ends = zip("1234", (":1", ":2", last), strict=False)
    wires = "".join(f"cable -W{n} 2x0.5 length=20m {{\n  BN -A{n}:A to -X1{at}\n}}\n" for n, at in ends)
    assert [(rule, level, "-A2") for rule, level, _ in told(found, stations(4) + strip + wires)] == expected


def test_a_box_that_a_line_passes_twice(found: Found) -> None:
    box = "part box {\n  kind = terminal-box   letter = X   class = II\n  terminal :1..4 plain clamps=2\n}\n"
    box += "device -X9 box at=+HALL\n"
    row = (("-A1:A", "-X9:1"), ("-X9:1", "-A2:A"), ("-A2:A", "-X9:2"), ("-X9:2", "-A3:A"))
    cables = "".join(f"cable -W{n} 2x0.5 length=9m {{\n  BN {one} to {other}\n}}\n" for n, (one, other) in enumerate(row, 1))
    assert told(found, stations(3) + box + cables) == []


def test_a_line_that_ends_on_an_enclosure_is_read_all_the_same(found: Found) -> None:
    assert told(found, ROW + "wire -A2:A to +MCP:PE 0.5mm2 GNYE\n") == []


def test_a_ring(found: Found) -> None:
    (finding,) = found(ROW + piece("3", "3", "1"))
    assert finding.rule == "bus-star" and "closes to a ring over `-A1`, `-A2`, `-A3`" in finding.message
    assert finding.span.text == "1a -A3:A to -A1:A"


def test_a_resistor_is_no_piece(found: Found) -> None:
    resistor = "part r {\n  kind = resistor   letter = R   class = II\n  terminal :1 :2 load\n}\ndevice -R1 r at=+MCP\n"
    wires = "wire -A2:A to -R1:1 0.5mm2 length=1m\nwire -A2:B to -R1:2 0.5mm2 length=1m\n"
    assert told(found, ROW + resistor + wires) == []


def test_a_repeater_has_terminals_for_each_line(found: Found) -> None:
    repeater = "part repeater {\n  kind = controller   letter = A   class = III\n"
    repeater += "".join(f"  terminal :A{n} bus line=a\n  terminal :B{n} bus line=b\n" for n in (1, 2, 3)) + "}\n"
    cables = "".join(
        f"cable -W{n} 1x2x0.5 length=20m {{\n  1a -A{n}:A to -A9:A{n}\n  1b -A{n}:B to -A9:B{n}\n}}\n" for n in (1, 2, 3)
    )
    assert told(found, stations(3) + repeater + "device -A9 repeater at=+MCP\n" + cables) == []


CROSSED = ("bus-polarity", "error", "-A3")


@each_of(
    ("text", "expected"),
    [
        (stations(3) + piece("1", "1", "2") + piece("2", "2", "3", ends="BA"), [CROSSED]),
        # what is turned round twice, at one station, is one fault
        (stations(3) + piece("1", "1", "3", ends="BA") + piece("2", "3", "2", ends="BA"), [CROSSED]),
        (stations(3) + piece("1", "1", "2") + piece("2", "2", "3", ends="AG"), [CROSSED]),
        (stations(3) + piece("1", "1", "2") + piece("2", "2", "3", ends="AA"), []),
    ],
)
def test_data_lines_exchanged(found: Found, text: str, expected: list[tuple[str, str, str]]) -> None:
    assert told(found, text) == expected


def test_exchanged_behind_a_strip(found: Found) -> None:
    strip = "strip -X1 at=+MCP {\n  :1..2 2.5mm2\n}\nwire -A1:A to -X1:1 0.5mm2\nwire -A1:B to -X1:2 0.5mm2\n"
    cable = "cable -W1 1x2x0.5 length=20m {\n  1a -X1:1 to -A2:B\n  1b -X1:2 to -A2:A\n}\n"
    (finding,) = found(stations(2) + strip + cable)
    assert finding.span.text == "1a -X1:1 to -A2:B"
    assert finding.message == "`-A2:B`, data line b of its line, is joined to `-A1:A`, data line a of its line"
