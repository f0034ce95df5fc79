"""Coils that interlock, hold or open themselves, and the wiring of safety relays; what each rule leaves alone."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("interlock-claimed", "interlock-missing", "coil-unsteady", "stop-circuit", "safety-single-channel")

SOURCE = """
supply -G1 "Battery" system=DC voltage=24V
strip -X1 at=+MCP {
  :1..9 2.5mm2
  :11..19 2.5mm2
  bridge :1..9
  bridge :11..19
}
cable -W1 2x1.5 length=5m {
  BN -G1:+ to -X1:1
  BU -G1:- to -X1:11
}
"""
PAIR = """
device -K1 contactor-9a at=+MCP
device -K2 contactor-9a at=+MCP
device -S1 selector-3 at=+MCP
interlock -K1 -K2 {kind}
{fitted}
wire -X1:2 to -S1:13 to -S1:23 1mm2
wire -S1:14 to -K2:21 1mm2
wire -K2:22 to -K1:A1 1mm2
{way}
wire -X1:12 to -K1:A2 to -K2:A2 1mm2
"""
LED_THROUGH = "wire -S1:24 to -K1:21 1mm2\nwire -K1:22 to -K2:A1 1mm2"
DIRECT = "wire -S1:24 to -K2:A1 1mm2"
BY_A_RELAY = (
    "device -K3 relay-1co at=+MCP\nwire -X1:3 to -K1:13 1mm2\nwire -K1:14 to -K3:A1 1mm2\nwire -K3:A2 to -X1:13 1mm2\n"
    "wire -S1:24 to -K3:11 1mm2\nwire -K3:12 to -K2:A1 1mm2"
)
PASSED_BY = LED_THROUGH + "\ndevice -S2 push-button at=+MCP\nwire -K1:21 to -S2:13 1mm2\nwire -S2:14 to -K1:22 1mm2"
FIT = "fit mechanical-interlock on -K2"


def told(found: Found, text: str) -> list[tuple[str, str]]:
    return [(finding.rule, finding.severity.value) for finding in found(SOURCE + text)]


@each_of(
    ("kind", "fitted", "way", "expected"),
    [
        ("electrical", "", LED_THROUGH, []),
        ("electrical", "", BY_A_RELAY, []),
        ("electrical", "", DIRECT, [("interlock-claimed", "error")]),
        ("electrical", "", PASSED_BY, [("interlock-claimed", "error")]),
        ("electrical", "", "", []),  # a coil that is not wired cannot be energised
        ("mechanical", FIT, LED_THROUGH, []),
        ("mechanical", FIT, BY_A_RELAY, []),
        ("mechanical", FIT, DIRECT, [("interlock-missing", "warning")]),
        ("mechanical", "", LED_THROUGH, [("interlock-claimed", "warning")]),
        ("mechanical", FIT + "\ninterlock -K1 -K2 electrical", DIRECT, [("interlock-claimed", "error")]),
    ],
)
def test_two_contactors(found: Found, kind: str, fitted: str, way: str, expected: list[tuple[str, str]]) -> None:
    assert told(found, PAIR.format(kind=kind, fitted=fitted, way=way)) == expected


def test_a_selector_that_commands_one_coil_at_a_time_is_no_interlock(found: Found) -> None:
    """The coil it commands is energised against the mechanical interlock as long as the other contactor has not dropped."""
    (finding,) = found(SOURCE + PAIR.format(kind="mechanical", fitted=FIT, way=DIRECT))
    assert finding.message == (
        "the coil of `-K2` is not led through a break contact of `-K1`: "
        "if the other does not drop, the mechanical interlock alone keeps them apart"
    )


def test_which_contact_is_passed_by_is_said(found: Found) -> None:
    (finding,) = found(SOURCE + PAIR.format(kind="electrical", fitted="", way=PASSED_BY))
    assert finding.message == "`-K2` can pull past the break contact of `-K1`: the interlock is not wired"


def test_handles_are_kept_apart_by_what_they_are(found: Found) -> None:
    text = "device -Q1 switch-disconnector at=+MCP current=25A\ndevice -Q2 switch-disconnector at=+MCP current=25A\n"
    assert told(found, text + "interlock -Q1 -Q2 mechanical\n") == []


RELAY = (
    "device -K1 {part} at=+MCP\nwire -X1:12 to -K1:A2 1mm2\nwire -X1:2 to -K1:{common} 1mm2\nwire -K1:{opens} to -K1:A1 1mm2\n"
)


@each_of(
    ("part", "common", "opens", "more", "expected"),
    [
        ("relay-1co", "11", "12", "", ["coil-unsteady"]),
        ("timer-on-delay", "15", "16", "", []),
        ("relay-1co", "11", "12", "device -S1 selector-2 at=+MCP\nwire -X1:3 to -S1:13 1mm2\nwire -S1:14 to -K1:A1 1mm2\n", []),
        (
            "relay-1co",
            "11",
            "12",
            "part r {\n  kind = resistor   letter = R   class = II\n  terminal :1 :2 load\n  load :1 to :2\n}\n"
            "device -R1 r at=+MCP\nwire -X1:3 to -R1:1 1mm2\nwire -R1:2 to -K1:A1 1mm2\n",
            [],
        ),
    ],
)
def test_a_relay_that_opens_its_own_coil(
    found: Found, part: str, common: str, opens: str, more: str, expected: list[str]
) -> None:
    text = RELAY.format(part=part, common=common, opens=opens) + more
    assert [rule for rule, _ in told(found, text)] == expected


HELD = """
device -K1 relay-2co at=+MCP
device -S1 push-button-start at=+MCP
device -S2 {stop} at=+MCP
wire -X1:2 to -S2:{into} 1mm2
wire -S2:{out} to -S1:13 1mm2
wire {hold} to -K1:11 1mm2
wire -S1:14 to -K1:14 1mm2
wire -K1:14 to -K1:A1 1mm2
wire -K1:A2 to -X1:12 1mm2
"""


@each_of(
    ("stop", "into", "out", "hold", "expected"),
    [
        ("push-button-stop", "21", "22", "-S2:22", []),
        ("push-button", "13", "14", "-S2:14", ["stop-circuit"]),
        ("push-button", "13", "14", "-X1:3", []),  # two hands to start, one contact to hold
    ],
)
def test_a_make_contact_as_a_stop(found: Found, stop: str, into: str, out: str, hold: str, expected: list[str]) -> None:
    assert [rule for rule, _ in told(found, HELD.format(stop=stop, into=into, out=out, hold=hold))] == expected


def test_jogging_holds_nothing(found: Found) -> None:
    text = "device -K1 relay-1co at=+MCP\ndevice -S1 push-button at=+MCP\nwire -X1:2 to -S1:13 1mm2\nwire -S1:14 to -K1:A1 1mm2\n"
    assert told(found, text + "wire -K1:A2 to -X1:12 1mm2\n") == []


SAFETY = """
device -K1 safety-relay at=+MCP
device -S1 emergency-stop at=+MCP
device -S2 push-button at=+MCP
wire -X1:2 to -K1:A1 1mm2
wire -X1:12 to -K1:A2 1mm2
wire -K1:S11 to -S1:11 1mm2
wire -S1:12 to -K1:S12 1mm2
wire -K1:S21 to -S1:21 1mm2
wire -S1:22 to -K1:S22 1mm2
wire -K1:S33 to -S2:13 1mm2
wire -S2:14 to -K1:S34 1mm2
"""


@each_of(
    ("old", "new", "line", "subjects"),
    [
        ("", "wire -S1:11 to -S1:12 1mm2", "-S1:11 to -S1:12 1mm2", ("-K1", "-S1")),
        ("", "wire -K1:S11 to -K1:S12 1mm2", "-K1:S11 to -K1:S12 1mm2", ("-K1", "-S1")),
        ("-K1:S21 to -S1:21", "-K1:S21 to -S1:11", "-K1:S21 to -S1:11 1mm2", ("-K1", "-S1")),
    ],
)
def test_a_channel_is_told_at_the_conductor_that_bridges_it(
    found: Found, old: str, new: str, line: str, subjects: tuple[str, ...]
) -> None:
    text = SAFETY.replace(old, new).replace("-S1:22 to -K1:S22", "-S1:12 to -K1:S22") if old else SAFETY + new + "\n"
    findings = [finding for finding in found(SOURCE + text) if finding.span.text.endswith(line)]
    assert [(finding.rule, finding.subjects) for finding in findings] == [("safety-single-channel", subjects)]


TORQUE = """
device -T1 vsd-0.75kw at=+MCP
device -F9 mcb-1p-b at=+MCP current=2A voltage=60V
set -T1 safe-torque-off={setting}
wire -X1:3 to -F9:1 1mm2
wire -F9:2 to {feed} 1mm2
wire {one} to -T1:STO1 1mm2
wire {two} to -T1:STO2 1mm2
wire -X1:13 to -T1:STOC 1mm2
"""


@each_of(
    ("setting", "feed", "one", "two", "expected"),
    [
        ("wired", "-K1:13 to -K1:23", "-K1:14", "-K1:24", 0),
        ("wired", "-X1:19", "-F9:2", "-F9:2", 1),
        ("jumpered", "-X1:19", "-F9:2", "-F9:2", 0),
        ("wired", "-K1:13", "-K1:14", "-K1:14", 1),
    ],
)
def test_torque_off(found: Found, setting: str, feed: str, one: str, two: str, expected: int) -> None:
    text = SAFETY + TORQUE.format(setting=setting, feed=feed, one=one, two=two).replace("to -X1:19 1mm2", "to -F9:2 1mm2")
    text = text.replace("wire -F9:2 to -F9:2 1mm2\n", "")
    findings = [finding for finding in found(SOURCE + text) if finding.rule == "safety-single-channel"]
    assert len(findings) == expected
    assert all("-T1" in finding.subjects for finding in findings)


def test_a_wire_past_a_contact_of_a_safety_relay(found: Found) -> None:
    text = "device -K2 relay-1co at=+MCP\nwire -X1:3 to -K1:13 1mm2\nwire -K1:14 to -K2:A1 1mm2\nwire -K2:A2 to -X1:13 1mm2\n"
    past = "wire -K1:13 to -K1:14 1mm2\n"
    findings = [finding for finding in found(SOURCE + SAFETY + text + past) if finding.rule == "safety-single-channel"]
    assert [(finding.subjects, finding.span.text) for finding in findings] == [(("-K1",), past.strip())]
    assert not [finding for finding in found(SOURCE + SAFETY + text) if finding.rule == "safety-single-channel"]
