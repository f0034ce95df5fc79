"""Both poles of a consumer: from one source, on two potentials, the right way round; and every exemption."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("return-missing", "load-shorted", "load-open", "polarity-mismatch")

#: two sources of 24 V: a battery, and what the drive has inside
TWO = """
supply -G1 "Battery" system=DC voltage=24V
strip -X1 at=+MCP {
  :1..4 2.5mm2
  :5..9 2.5mm2
  bridge :1..4
  bridge :5..9
}
cable -W1 2x1.5 length=5m {
  BN -G1:+ to -X1:1
  BU -G1:- to -X1:5
}
device -T1 drive at=+MCP
wire -T1:PE to -XE1:3 10mm2 GNYE
"""
PARTS = """
part stack "Stack light" {
  kind = lamp   letter = P   class = II
  terminal :1 :2 load voltage=24V dc common=:0
  terminal :0 supply-common
  load :1,2 to :0,0 voltage=24V dc
}
part plain-relay "Relay without a suppressor" {
  kind = relay   letter = K   class = II
  terminal :A1 :A2 coil
  coil :A1 to :A2 voltage=24V dc
}
"""


def told(found: Found, text: str) -> list[tuple[str, str, str]]:
    return [(finding.rule, finding.severity.value, finding.message) for finding in found(TWO + PARTS + text)]


def test_a_lamp_between_two_sources_is_told_with_both(found: Found) -> None:
    ((rule, _, message),) = told(found, "device -P1 lamp at=+MCP\nwire -T1:24V to -P1:X1 1mm2\nwire -P1:X2 to -X1:6 1mm2\n")
    assert rule == "return-missing"
    assert "`-P1:X1` gets `-T1:24V`, `-P1:X2` gets `-G1:-`" in message


MODULE = """
part module "Inputs" {
  kind = controller   letter = A   class = III
  terminal :1 :2 digital-in common=:M voltage=24V dc
  terminal :M digital-common
}
device -A1 module at=+MCP
wire -X1:2 to -A1:1 1mm2
wire -X1:3 to -A1:2 1mm2
"""


def test_inputs_to_whose_common_nothing_is_connected(found: Found) -> None:
    ((rule, _, message),) = told(found, MODULE)
    assert (rule, message.startswith("nothing is connected to `-A1:M`, the common of `-A1:1`, `-A1:2`")) == (
        "return-missing",
        True,
    )
    assert told(found, MODULE + "wire -X1:6 to -A1:M 1mm2\n") == []
    assert told(found, MODULE.replace("wire -X1:2 to -A1:1 1mm2\nwire -X1:3 to -A1:2 1mm2\n", "")) == []


def test_inputs_of_one_common_are_one_finding_at_the_first(found: Found) -> None:
    wires = "wire -X1:2 to -T1:DI1 1mm2\nwire -X1:3 to -T1:DI2 1mm2\n"
    ((rule, _, message),) = told(found, wires)
    assert rule == "return-missing"
    assert message.startswith("`-T1:DI1`, `-T1:DI2` lie between two sources")
    assert "`-T1:COM`" in message


@each_of(
    "text",
    [
        # the commons are wired together
        "wire -X1:2 to -T1:DI1 1mm2\nwire -X1:6 to -T1:COM 1mm2\n",
        # an input that a switch brings to its own common: some drives turn their inputs round
        "wire -T1:DI1 to -T1:COM 1mm2\n",
        # a controller outside gives what it gives
        "outside -A1 at=+MCP {\n  terminal :1 plain\n}\nwire -A1:1 to -T1:DI1 1mm2\n",
        # two ways to a lamp, by one of which it gets both poles
        "device -P1 lamp at=+MCP\ndevice -S1 selector-3 at=+MCP\nwire -X1:2 to -S1:13 1mm2\nwire -X1:6 to -S1:23 1mm2\n"
        "wire -S1:14 to -S1:24 to -P1:X1 1mm2\nwire -X1:7 to -P1:X2 1mm2\n",
    ],
)
def test_what_may_get_both_poles_of_one_source(found: Found, text: str) -> None:
    assert told(found, text) == []


@each_of(
    ("text", "said"),
    [
        ("wire -X1:6 to -P1:X1 1mm2\nwire -X1:7 to -P1:X2 1mm2\n", "both on `-G1:-`"),
        ("wire -P1:X1 to -P1:X2 1mm2\n", "wired together"),
    ],
)
def test_both_ends_on_one_potential(found: Found, text: str, said: str) -> None:
    ((rule, _, message),) = told(found, "device -P1 lamp at=+MCP\n" + text)
    assert rule == "load-shorted"
    assert said in message


def test_a_supply_between_a_phase_and_itself(found: Found) -> None:
    text = "device -T2 supply-24v at=+MCP\nwire -WB1:L1 to -T2:L 1mm2\nwire -WB1:L1 to -T2:N 1mm2\n"
    ((rule, _, message),) = told(found, text)
    assert (rule, "`-T2` never gets a voltage" in message) == ("load-shorted", True)


def test_a_lamp_at_equipment_outside_is_not_judged(found: Found) -> None:
    outside = "outside -A1 at=+MCP {\n  terminal :1 plain\n}\n"
    assert told(found, outside + "device -P1 lamp at=+MCP\nwire -P1:X1 to -A1:1 1mm2\nwire -P1:X2 to -X1:6 1mm2\n") == []
    both = "device -P1 lamp at=+MCP\nwire -P1:X1 to -P1:X2 to -A1:1 1mm2\n"
    assert [rule for rule, *_ in told(found, outside + both)] == ["load-shorted"]


def test_one_end_open(found: Found) -> None:
    assert [rule for rule, *_ in told(found, "device -P1 lamp at=+MCP\nwire -X1:2 to -P1:X1 1mm2\n")] == ["load-open"]


def test_a_spare_light_of_a_stack_is_no_open_end(found: Found) -> None:
    wired = "device -P1 stack at=+MCP\nwire -X1:2 to -P1:1 1mm2\nwire -X1:6 to -P1:0 1mm2\n"
    assert told(found, wired) == []
    assert {rule for rule, *_ in told(found, wired.replace("wire -X1:2 to -P1:1 1mm2\n", ""))} == {"load-open"}


def test_a_contact_that_nothing_feeds_is_a_warning(found: Found) -> None:
    lamp = "device -P1 lamp at=+MCP\ndevice -S1 selector-2 at=+MCP\nwire -S1:14 to -P1:X1 1mm2\nwire -X1:6 to -P1:X2 1mm2\n"
    ((rule, severity, message),) = told(found, lamp)
    assert (rule, severity) == ("load-open", "warning")
    assert "`-P1:X1`" in message
    # fed, or ending at a strip to which a wire is to come
    assert told(found, lamp + "wire -X1:2 to -S1:13 1mm2\n") == []
    assert told(found, lamp + "strip -X2 at=+MCP {\n  :1 2.5mm2\n}\nwire -X2:1 to -S1:13 1mm2\n") == []


def test_a_required_terminal_is_left_to_another_rule(found: Found) -> None:
    assert told(found, "device -K1 relay-1co at=+MCP\nwire -X1:2 to -K1:A1 1mm2\n") == []


@each_of(
    ("part", "expected"),
    [("relay-1co", [("polarity-mismatch", "warning")]), ("plain-relay", [])],
)
def test_a_suppressor_gives_a_coil_a_polarity(found: Found, part: str, expected: list[tuple[str, str]]) -> None:
    text = f"device -K1 {part} at=+MCP\nwire -X1:6 to -K1:A1 1mm2\nwire -X1:2 to -K1:A2 1mm2\n"
    assert [(rule, severity) for rule, severity, _ in told(found, text)] == expected


def test_poles_that_are_turned_round_on_purpose(found: Found) -> None:
    text = (
        "device -K1 relay-1co at=+MCP\ndevice -S1 selector-3 at=+MCP\nwire -X1:2 to -S1:13 1mm2\nwire -X1:6 to -S1:23 1mm2\n"
        "wire -S1:14 to -S1:24 to -K1:A1 1mm2\nwire -X1:3 to -K1:A2 1mm2\n"
    )
    assert told(found, text) == []


LOOP = """
device -B1 transmitter-4-20ma at=+HALL
wire -T1:AC to -T1:COM 0.75mm2
cable -W2 1x2x0.75 screened length=20m {{
  1a -T1:24V to -B1:{0}
  1b -T1:AI1 to -B1:{1}
  screen -T1:SH clamp to -B1:SH open
}}
"""


@each_of(("ends", "expected"), [("+-", []), ("-+", ["polarity-mismatch"])])
def test_a_loop_that_feeds_its_transmitter(found: Found, ends: str, expected: list[str]) -> None:
    assert [rule for rule, *_ in told(found, LOOP.format(*ends))] == expected


SIGNAL = """
device -B1 transmitter-4-20ma-4wire at=+HALL
cable -W2 2x1.5 length=20m {{
  BN -X1:2 to -B1:+
  BU -X1:6 to -B1:-
}}
cable -W3 1x2x0.75 screened length=20m {{
  1a -T1:AI1 to -B1:{0}
  1b -T1:AC to -B1:{1}
  screen -T1:SH clamp to -B1:SH open
}}
"""


@each_of(("ends", "expected"), [(("I+", "I-"), []), (("I-", "I+"), ["polarity-mismatch"])])
def test_a_signal_with_a_supply_of_its_own(found: Found, ends: tuple[str, str], expected: list[str]) -> None:
    assert [rule for rule, *_ in told(found, SIGNAL.format(*ends))] == expected


def test_phase_and_neutral_of_a_socket(found: Found) -> None:
    text = "device -XS1 socket at=+MCP\nwire -WB1:{l} to -XS1:L 2.5mm2 BK\nwire -WB1:{n} to -XS1:N 2.5mm2 BU\n"
    assert found(text.format(l="L1", n="N")) == ()
    (finding,) = found(text.format(l="N", n="L1"))
    assert finding.message == "phase and neutral of `-XS1` are exchanged, at `-XS1:L` and `-XS1:N`"
    assert found(text.format(l="L2", n="L1")) == ()  # another fault, of another rule
