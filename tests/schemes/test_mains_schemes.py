"""Soft starter, two speeds, heater, hand and automatic, pumps and valves on the mains: their circuits, and mistakes in them."""

from __future__ import annotations

import re

from tests.cases import each_of
from tests.readings import judged_text
from tests.rules_together import found_in
from tests.schemes.scheme_plants import PLUS, ROOT, ZERO, wired, with_scheme

LIBRARY = ROOT / "netdsl" / "library"


def _of(function: str, *names: str) -> frozenset[str]:
    return frozenset(f"{function}{name}" for name in names)


def test_a_soft_starter_calls_its_bypass_and_is_held_by_a_relay() -> None:
    at = wired("soft-starter-bypass")
    for line, load in ((1, 2), (3, 4), (5, 6)):
        assert at.net(f"=FW1-Q2:{line}") == _of("=FW1", f"-Q1:{load}", f"-K1:{line}")
        assert f"=FW1-K1:{load}" in at.net(f"=FW1-Q2:{load}")
    assert at.net("=FW1-K1:A1") == _of("=FW1", "-Q2:24")
    assert at.net("=FW1-Q2:A1") == _of("=FW1", "-K2:24", "-Q2:23")
    assert at.net("=FW1-K2:A1") == _of("=FW1", "-K2:14", "-S1:14")
    assert at.net("=FW1-Q2:13") == frozenset()  # closed while it ramps down: it may hold nothing


def test_two_speeds_exclude_each_other_and_either_trip_stops() -> None:
    at = wired("two-speed")
    assert at.net("=HV1-K1:A1") == _of("=HV1", "-K2:22") and at.net("=HV1-K2:A1") == _of("=HV1", "-K1:22")
    assert at.net("=HV1-Q1:14") == _of("=HV1", "-Q2:13") and at.net("=HV1-Q2:14") == _of("=HV1", "-S3:21")
    assert {"mechanical", "electrical"} == {pair.kind for pair in at.plant.interlocks}


def test_a_heater_loses_its_voltage_by_limiter_and_flow() -> None:
    at = wired("heater-contactor")
    assert at.net("=HH1-E1:1") == _of("=HH1", "-K2:2") and at.net("=HH1-K2:1") == _of("=HH1", "-K1:2")
    assert at.net("=HH1-E1:12") == frozenset({"-X1:2", "-X1:3", "=HH1-B1:11"})
    assert _of("=HH1", "-B1:14", "-S1:13", "-K1:13") == at.net("-X1:4")
    assert at.net("=HH1-K1:A1") == _of("=HH1", "-K1:14", "-S1:14", "-S2:13")


def test_the_stand_by_pump_gets_the_call_over_the_tripped_breaker() -> None:
    at = wired("duty-standby")
    first, second = at.net("=SW1-Q1:13"), at.net("=SW1-Q2:13")
    assert first == _of("=SW1", "-S1:14", "-Q1:21", "-Q2:22") and second == _of("=SW1", "-S1:24", "-Q2:21", "-Q1:22")
    assert at.net("=SW1-K1:A1") == _of("=SW1", "-Q1:14") and at.net("=SW1-K2:A1") == _of("=SW1", "-Q2:14")


def test_between_two_floats_the_contactor_bridges_the_upper_alone() -> None:
    at = wired("level-two-floats")
    assert at.net("=DS1-B1:14") == _of("=DS1", "-S1:13", "-S1:23") | {"-X1:2"}
    assert at.net("=DS1-K1:13") == _of("=DS1", "-S1:24", "-B2:11") | {"-X1:3"}
    assert _of("=DS1", "-K1:14", "-B2:14", "-S1:14") < at.net("=DS1-K1:A1")


def test_a_submersible_pump_stops_by_winding_seal_and_water() -> None:
    at = wired("submersible-pump")
    assert at.net("=WP1-K2:11") == _of("=WP1", "-Q1:14") and at.net("=WP1-K3:11") == _of("=WP1", "-K2:14")
    assert at.net("=WP1-K3:14") == frozenset({"-X1:1", "=WP1-B2:11"})
    assert at.net("=WP1-B2:14") == frozenset({"-X1:2", "=WP1-S2:21"})
    assert {PLUS} < at.net("=WP1-K2:A1") and ZERO in at.net("=WP1-K3:A2")


def test_each_direction_of_a_valve_ends_at_its_own_contacts() -> None:
    at = wired("valve-actuator")
    assert at.net("=IS1-M1:11") == frozenset({"-X1:1", "=IS1-K2:22"})
    assert at.net("=IS1-M1:32") == frozenset({"-X1:4", "=IS1-K1:A1"})
    assert at.net("=IS1-M1:21") == frozenset({"-X1:5", "=IS1-K1:22"})
    assert at.net("=IS1-M1:42") == frozenset({"-X1:8", "=IS1-K2:A1"})


def test_a_controller_starts_in_automatic_only_and_is_told() -> None:
    at = wired("hand-off-auto")
    assert at.net("=CP1-K2:11") == _of("=CP1", "-S1:24")
    assert at.net("=CP1-K1:A1") == _of("=CP1", "-S1:14", "-K2:14")
    told = {"-A1:DI1": "-S1:44", "-A1:DI2": "-K1:14", "-A1:DI3": "-Q1:42"}
    assert all(at.net(node) == _of("=CP1", terminal) for node, terminal in told.items())


def test_dosing_asks_for_pump_flow_and_chemical() -> None:
    at = wired("dosing-pump")
    assert at.net("=LD1-B1:11") >= {"-X3:2", "-A2:14"} and "=LD1-B2:11" in at.net("=LD1-B1:14")
    assert at.net("=LD1-B2:14") == _of("=LD1", "-K1:A1", "-H2:X1") | {"-X1:4"}
    assert at.net("=LD1-M1:L") == _of("=LD1", "-K1:2") and at.net("=LD1-M1:E1") == _of("=LD1", "-K1:13")


@each_of(
    ("example", "right", "wrong", "rule"),
    [
        (
            "soft-starter-bypass",
            "wire $bypass:2,4,6 to $starter:2,4,6",
            "wire $bypass:2,4,6 to $starter:2,6,4",
            "switching-short",
        ),
        ("two-speed", "wire $high:22 to $low:A1", "wire $high:21 to $low:A1", "interlock-claimed"),
        ("two-speed", "5 $high:4 to $motor:2V", "5 $high:4 to $motor:2U", "switching-short"),
        (
            "two-speed",
            "set $breaker-low tripping-current=$current-low",
            "set $breaker-low tripping-current=$current",
            "overload-setting",
        ),
        (
            "two-speed",
            "wire $breaker-low:2,4,6 to $low:1,3,5",
            "wire $breaker-low:4,2,6 to $low:1,3,5",
            "phase-order",
        ),
        ("heater-contactor", "wire $safety:2,4,6 to $control:1,3,5", "wire $safety:2,4,2 to $control:1,3,5", "pole-open"),
        ("duty-standby", "wire $breaker-1:14 to $contactor-1:A1", "wire $breaker-1:14 to $contactor-2:A1", "terminal-open"),
        ("level-two-floats", "BN $strip:($first) to $low:11", "BN $strip:($first) to $low:12", "contact-half-wired"),
        ("submersible-pump", "wire $strip:($first+1) to $stop:21", "wire $strip:($first+1) to $stop:22", "contact-half-wired"),
        ("valve-actuator", "wire $closing:22 to $strip:($first)", "wire $closing:21 to $strip:($first)", "interlock-claimed"),
        ("hand-off-auto", "wire $selector:24 to $command:11", "wire $selector:23 to $command:11", "contact-half-wired"),
        ("dosing-pump", "wire $breaker:N2 to $contactor:3", "wire $neutral to $contactor:3", "residual-bypassed"),
    ],
)
def test_a_key_mistake_is_found(example: str, right: str, wrong: str, rule: str) -> None:
    (file,) = (path for path in LIBRARY.glob("schemes-*.netdsl") if f"scheme {example}(" in path.read_text("utf-8"))
    (line,) = re.findall(r" +".join(map(re.escape, right.split())), file.read_text("utf-8"))
    text = with_scheme(example, file.name, example, line, wrong)
    assert rule in {finding.rule for finding in found_in(text, rule)}


def test_a_soft_starter_held_by_its_own_contact_starts_again_as_the_stop_is_let_go() -> None:
    text = with_scheme("soft-starter-bypass", "schemes-starting.netdsl", "soft-starter-bypass", "$command:11", "$starter:13")
    for right, wrong in (("$command:14", "$starter:14"), ("$command:21\n  wire $command:21 to ", ""), (", command=-K2", "")):
        assert right in text
        text = text.replace(right, wrong)
    gone = ('relay-2co "Run"', "relay-socket on $command", "wire $command:24")
    lines = [line for line in text.splitlines() if not any(words in line for words in gone)]
    text = "\n".join(lines).replace("$command:A2 to ", "").replace("$command:A1", "$starter:A1") + "\n"
    assert "$command" not in text
    (finding,) = judged_text(text).findings
    assert finding.rule == "restart-unexpected" and "release `=FW1-S2`: `=FW1-Q2` pulls" in finding.message
