"""What stands around a drive: brake, several motors, isolator, locked gate; their circuits, and mistakes in them."""

from __future__ import annotations

import re

from tests.cases import each_of
from tests.readings import judged_text
from tests.rules_together import found_in
from tests.schemes.scheme_plants import PLUS, ROOT, wired, with_scheme

LIBRARY = ROOT / "netdsl" / "library"


def _of(function: str, *names: str) -> frozenset[str]:
    return frozenset(f"{function}{name}" for name in names)


def test_a_brake_opens_by_the_drive_and_its_mains_together() -> None:
    at = wired("brake-motor-drive")
    assert _of("=SR1", "-T1:RO2C", "-K3:11") < at.net(PLUS)
    assert at.net("=SR1-K3:A1") == _of("=SR1", "-T1:RO2A")
    assert at.net("=SR1-K3:14") == _of("=SR1", "-K1:53") and at.net("=SR1-K2:A1") == _of("=SR1", "-K1:54")
    assert at.net("=SR1-M1:B1") == _of("=SR1", "-K2:2") and at.net("=SR1-M1:B2") == _of("=SR1", "-K2:4")
    assert at.net("=SR1-R1:12") >= _of("=SR1", "-K1:A1") and at.net("=SR1-R1:11") >= _of("=SR1", "-K1:14", "-S1:14")


def test_motors_on_one_drive_have_a_breaker_each_whose_contacts_lie_in_the_enable() -> None:
    at = wired("shared-drive")
    assert "=VW2-Q1:13" in at.net("=VW1-T1:24V")
    assert at.net("=VW3-Q1:13") == {"=VW2-Q1:14"} and at.net("=VW1-T1:DI4") == {"=VW3-Q1:14"}
    for pole, phase in ((1, "U"), (3, "V"), (5, "W")):
        assert {f"=VW2-Q1:{pole}", f"=VW3-Q1:{pole}"} < at.net(f"=VW1-T1:{phase}")


def test_an_isolator_takes_the_enable_before_it_opens() -> None:
    at = wired("motor-isolator-drive")
    assert "=FB1-Q2:14" in at.net("=FB1-T1:DI4") and "=FB1-Q2:13" in at.net("=FB1-T1:24V")
    assert at.net("=FB1-M1:U1") == {"=FB1-Q2:2"} and at.net("=FB1-T1:U") == {"=FB1-Q2:1"}
    contact = next(path for path in at.plant.devices["=FB1-Q2"].paths if path.kind == "make")
    assert "early" in contact.marks


def test_a_gate_is_unlocked_after_standstill_alone_and_lies_in_both_channels() -> None:
    at = wired("gate-lock")
    assert at.net("=DF1-K2:A1") == {"=DF1-T1:RO2B"}
    assert at.net("=DF1-K2:18") == {"=DF1-S1:13"} and {"=DF1-B1:A1"} < at.net("=DF1-S1:14")
    for feed, back, way in (("S11", "S12", ("11", "12", "31", "32")), ("S21", "S22", ("21", "22", "41", "42"))):
        assert f"=DF1-B1:{way[0]}" in at.net(f"=DF1-K1:{feed}") and f"=DF1-B1:{way[3]}" in at.net(f"=DF1-K1:{back}")
        assert f"=DF1-B1:{way[2]}" in at.net(f"=DF1-B1:{way[1]}")
    assert at.net("=DF1-T1:STO1") == {"=DF1-K1:14"} and at.net("=DF1-T1:STO2") == {"=DF1-K1:24"}


@each_of(
    ("example", "scheme", "right", "wrong", "rule"),
    [
        (
            "brake-motor-drive",
            "",
            "BU $strip:($first+1) to $resistor:12",
            "BU $strip:($first+1) to $resistor:11",
            "contact-half-wired",
        ),
        ("brake-motor-drive", "", "wire $strip:($first+1) to $mains:A1", "wire $mains:14 to $mains:A1", "brake-unprotected"),
        ("brake-motor-drive", "", "BN $brake:2 to $motor:B1", "BN $brake:2 to $motor:B2", "switching-short"),
        (
            "shared-drive",
            "shared-drive-motor",
            "wire $permit-from to $breaker:13",
            "wire $permit-from to $breaker:14",
            "output-switched",
        ),
        (
            "shared-drive",
            "shared-drive-motor",
            "screen $screens:($screen) clamp to $motor:SH gland",
            "screen $screens:($screen) clamp to $motor open",
            "screen-unterminated",
        ),
        ("motor-isolator-drive", "", "1 $strip:($first) to $isolator:13", "1 $strip:($first) to $isolator:14", "output-switched"),
        (
            "motor-isolator-drive",
            "",
            "wire $strip:($first+1) to $drive:(enable)",
            "wire $plus to $drive:(enable)",
            "output-switched",
        ),
        (
            "motor-isolator-drive",
            "",
            "screen $isolator:SH2 gland to $motor:SH gland",
            "screen $isolator:SH2 open to $motor:SH gland",
            "screen-unterminated",
        ),
        ("gate-lock", "", "wire $strip:8 to $safety:S22", "wire $strip:6 to $safety:S22", "strip-end-open"),
        (
            "gate-lock",
            "",
            "1 $safety:14 to $drive:(safe-torque-off-1)",
            "1 $safety:24 to $drive:(safe-torque-off-1)",
            "safety-single-channel",
        ),
        ("gate-lock", "", "wire $standstill:18 to $open:13", "wire $standstill:16 to $open:13", "guard-unlocked"),
        ("gate-lock", "", "wire $strip:13 to $standstill:15", "wire $strip:13 to $standstill:18", "guard-unlocked"),
        ("gate-lock", "", "wire $safety:S21 to $strip:5", "wire $safety:S11 to $strip:5", "safety-single-channel"),
    ],
)
def test_a_key_mistake_is_found(example: str, scheme: str, right: str, wrong: str, rule: str) -> None:
    name = scheme or example
    (file,) = (path for path in LIBRARY.glob("schemes-*.netdsl") if f"scheme {name}(" in path.read_text("utf-8"))
    text = file.read_text("utf-8")
    body = text[text.index(f"scheme {name}(") :].partition("\n}\n")[0]
    (line,) = re.findall(r" +".join(map(re.escape, right.split())), body)
    text = with_scheme(example, file.name, name, line, wrong)
    assert rule in {finding.rule for finding in found_in(text, rule)}


def test_one_of_several_motors_on_a_drive_that_turns_the_other_way_is_told() -> None:
    text = with_scheme("shared-drive", "schemes-drives.netdsl", "shared-drive-motor", "$bars:L1,L2,L3", "$bars:L2,L1,L3")
    text = text.replace("scheme shared-drive-motor(", "scheme crossed(")
    last = text.rindex("use shared-drive-motor")
    text = text[:last] + text[last:].replace("use shared-drive-motor", "use crossed", 1)
    (finding,) = judged_text(text).findings
    assert finding.message == "`=VW3-M1` turns the other way than `=VW2-M1` on drive `=VW1-T1`"
    assert (finding.rule, finding.severity.value) == ("phase-order", "note")
