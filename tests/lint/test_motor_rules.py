"""Rules about motors: what each reports, and every case in which it stays silent."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from netdsl.findings import Finding, Severity
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = (
    "overload-setting",
    "winding-connection",
    "motor-unprotected",
    "contactor-undersized",
    "drive-protection",
    "motor-data",
)

PARTS = """\
part switch "Breaker, 3 poles" {
  kind = breaker   letter = Q   class = II   breaking = 10kA
  terminal :1 :3 :5 line-in 0.5..10mm2
  terminal :2 :4 :6 load-out 0.5..10mm2
  pole :1,3,5 to :2,4,6
}
part starter "Motor breaker" {
  kind = motor-breaker   letter = Q   class = II   breaking = 50kA
  terminal :1 :3 :5 line-in 0.5..10mm2 clamps=2
  terminal :2 :4 :6 load-out 0.5..10mm2 clamps=2
  pole :1,3,5 to :2,4,6
  setting tripping-current 1..20A
}
part bimetal "Overload relay" {
  kind = overload   letter = B   class = II
  terminal :1 :3 :5 line-in 0.5..10mm2
  terminal :2 :4 :6 load-out 0.5..10mm2
  terminal :95 :96 contact 0.5..2.5mm2
  pole :1,3,5 to :2,4,6
  contact :95 to :96 break by=overload
  setting tripping-current 1..20A
}
part relay-3p "Contactor" {
  kind = contactor   letter = K   class = II
  terminal :1 :3 :5 line-in 0.5..10mm2 clamps=2
  terminal :2 :4 :6 load-out 0.5..10mm2 clamps=2
  pole :1,3,5 to :2,4,6 switched by=coil
}
part guard "Thermistor relay" {
  kind = relay   letter = K   class = II
  terminal :T1 :T2 thermistor 0.2..2.5mm2
}
part setting-drive "Drive with settings" {
  kind = drive   letter = T   class = I   voltage = 380..480V   input-current = 20A
  terminal :L1 :L2 :L3 line-in 0.5..10mm2
  terminal :U :V :W motor-out 0.5..10mm2 clamps=2
  terminal :PE :PE2 :PE3 earth 1.5..10mm2
  terminal :SH screen
  terminal :THP :THN thermistor 0.2..2.5mm2
  setting motor-current 1..40A
  setting thermistor off on
}
part sixfold "Motor with six ends" {
  kind = motor   letter = M   class = I
  terminal :U1 :V1 :W1 winding 0.5..10mm2
  terminal :U2 :V2 :W2 winding 0.5..10mm2
  terminal :PE earth 0.5..10mm2
  terminal :TB1 :TB2 contact 0.5..2.5mm2
}
"""
MOTOR = "device -M1 motor at=+HALL power=4kW current=8.5A power-factor=0.83 winding=400/690V"
BUS = "wire -WB1:L1,L2,L3 to {}:1,3,5 2.5mm2 BK\n"


def cable(feeder: str, motor: str = "-M1", name: str = "-W1", way: int = 3) -> str:
    return (
        f"cable {name} 4G2.5 length=5m method=C {{\n  BN {feeder}:2 to {motor}:U1\n  BK {feeder}:4 to {motor}:V1\n"
        f"  GY {feeder}:6 to {motor}:W1\n  GNYE -XE1:{way} to {motor}:PE\n}}\n"
    )


def direct(device: str, motor: str = MOTOR, more: str = "") -> str:
    """A motor on the mains behind one device."""
    name = device.split()[0]
    return f"{PARTS}device {device} at=+MCP\n{motor}\n{BUS.format(name)}{cable(name)}{more}"


def driven(motors: int = 1, more: str = "", settings: str = "") -> str:
    """Motors behind one drive, each by its own cable."""
    text = PARTS + "device -T1 setting-drive at=+MCP\n" + settings
    text += "wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK\nwire -T1:PE to -XE1:3 10mm2 GNYE\n"
    for n in range(1, motors + 1):
        text += MOTOR.replace("-M1", f"-M{n}") + "\n"
        text += (
            f"cable -W{n} 4G2.5 length=5m method=C screened {{\n  BN -T1:U to -M{n}:U1\n  BK -T1:V to -M{n}:V1\n"
            f"  GY -T1:W to -M{n}:W1\n"
            f"  GNYE -T1:PE{n + 1} to -M{n}:PE\n  screen -T1:SH clamp to -M{n}:SH gland\n}}\n"
        )
    return text + more


def of(findings: tuple[Finding, ...], rule: str) -> list[Finding]:
    return [finding for finding in findings if finding.rule == rule]


# --- overload-setting -------------------------------------------------------------------------------------------------


@each_of(
    ("amps", "severity"),
    [("8.5A", None), ("8.9A", None), ("8.45A", None), ("9A", Severity.ERROR), ("8A", Severity.WARNING)],
)
def test_a_setting_is_held_to_the_current_of_the_motor(found: Found, amps: str, severity: Severity | None) -> None:
    findings = of(found(direct("-Q1 starter", more=f"set -Q1 tripping-current={amps}\n")), "overload-setting")
    assert [finding.severity for finding in findings] == ([severity] if severity else [])


def test_the_message_names_what_is_set_and_what_is_needed(found: Found) -> None:
    (finding,) = of(found(direct("-Q1 starter", more="set -Q1 tripping-current=12A\n")), "overload-setting")
    assert finding.message == "`-Q1` is set to 12 A, motor `-M1` takes 8.5 A: at most 8.93 A (1.05 times)"
    assert finding.subjects[0] == "-Q1"
    assert "tripping-current=8.5A" in finding.remedy


def test_a_range_that_does_not_reach_the_motor_is_reported_before_the_setting(found: Found) -> None:
    text = direct("-Q1 starter setting-range=4..6.3A", more="set -Q1 tripping-current=6A\n")
    (finding,) = of(found(text), "overload-setting")
    assert "4 A to 6.3 A" in finding.message


def test_a_range_is_judged_without_a_setting(found: Found) -> None:
    assert of(found(direct("-Q1 starter setting-range=10..16A")), "overload-setting")
    assert not of(found(direct("-Q1 starter setting-range=7..10A")), "overload-setting")


def test_without_a_stated_setting_or_current_there_is_nothing_to_judge(found: Found) -> None:
    assert not of(found(direct("-Q1 starter")), "overload-setting")
    unknown = direct("-Q1 starter", MOTOR.replace(" current=8.5A", ""), "set -Q1 tripping-current=12A\n")
    assert not of(found(unknown), "overload-setting")


def test_a_drive_is_held_to_its_one_motor(found: Found) -> None:
    assert not of(found(driven(settings="set -T1 motor-current=8.5A\n")), "overload-setting")
    (finding,) = of(found(driven(settings="set -T1 motor-current=15A\n")), "overload-setting")
    assert "motor-current=8.5A" in finding.remedy


def test_what_feeds_several_motors_is_not_judged(found: Found) -> None:
    assert not of(found(driven(2, settings="set -T1 motor-current=17A\n")), "overload-setting")


def test_what_feeds_a_drive_is_not_held_to_its_motor(found: Found) -> None:
    text = driven().replace("wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK\n", "")
    text += "device -Q1 starter at=+MCP\nset -Q1 tripping-current=16A\n" + BUS.format("-Q1")
    assert not of(found(text + "wire -Q1:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK\n"), "overload-setting")


# --- star-delta: shares of the current -------------------------------------------------------------------------------


def star_delta(setting: str, contactors: tuple[str, str, str] = ("12A", "12A", "9A"), strip: bool = False) -> str:
    """A motor of 15.5 A started in star; the overload relay lies in the phases."""
    main, delta, star = contactors
    text = PARTS + (
        "device -Q1 switch at=+MCP\ndevice -B1 bimetal at=+MCP\n"
        f"device -K1 relay-3p at=+MCP current={main} utilisation=AC-3\n"
        f"device -K2 relay-3p at=+MCP current={delta} utilisation=AC-3\n"
        f"device -K3 relay-3p at=+MCP current={star} utilisation=AC-3\n"
        "device -M1 sixfold at=+HALL power=7.5kW current=15.5A power-factor=0.83 winding=400/690V\n"
        f"set -B1 tripping-current={setting}\n"
        + BUS.format("-Q1")
        + "wire -Q1:2,4,6 to -K1:1,3,5 to -K2:1,3,5 2.5mm2 BK\nwire -K1:2,4,6 to -B1:1,3,5 2.5mm2 BK\n"
        "wire -K2:2,4,6 to -K3:1,3,5 2.5mm2 BK\nwire -K3:2 to -K3:4 to -K3:6 2.5mm2 BK\nwire -WB1:L1 to -B1:95 1mm2 RD\n"
    )
    ends = ["-B1:2", "-B1:4", "-B1:6", "-K2:4", "-K2:6", "-K2:2"]
    if strip:
        text += "strip -X3 at=+MCP {\n  :1..6 4mm2\n}\n"
        text += "".join(f"wire {end} to -X3:{n} 2.5mm2 BK\n" for n, end in enumerate(ends, 1))
        ends = [f"-X3:{n}" for n in range(1, 7)]
    cores = "".join(
        f"  {n} {end} to -M1:{to}\n" for n, (end, to) in enumerate(zip(ends, "U1 V1 W1 U2 V2 W2".split(), strict=True), 1)
    )
    return text + f"cable -W1 7G2.5 length=5m method=C {{\n{cores}  GNYE -XE1:3 to -M1:PE\n}}\n"


@pytest.mark.parametrize("strip", [False, True])
def test_an_overload_relay_in_the_phases_is_set_to_their_current(found: Found, strip: bool) -> None:
    assert not of(found(star_delta("9A", strip=strip)), "overload-setting")
    (finding,) = of(found(star_delta("15.5A", strip=strip)), "overload-setting")
    assert "8.95 A in each phase" in finding.message


def test_an_overload_relay_in_the_phases_protects_the_motor(found: Found) -> None:
    assert not of(found(star_delta("9A")), "motor-unprotected")


@each_of(
    ("contactors", "wrong"),
    [(("9A", "9A", "6A"), []), (("8A", "9A", "6A"), ["-K1"]), (("9A", "8A", "6A"), ["-K2"]), (("9A", "9A", "5A"), ["-K3"])],
)
def test_contactors_of_a_star_delta_starter_carry_their_share(
    found: Found, contactors: tuple[str, str, str], wrong: list[str]
) -> None:
    findings = of(found(star_delta("9A", contactors)), "contactor-undersized")
    assert [finding.subjects[0] for finding in findings] == wrong


def test_a_star_delta_motor_is_wound_for_the_mains_in_delta(found: Found) -> None:
    assert not of(found(star_delta("9A")), "winding-connection")
    (finding,) = of(found(star_delta("9A").replace("winding=400/690V", "winding=230/400V")), "winding-connection")
    assert "230 V in delta" in finding.message


# --- motor-unprotected ------------------------------------------------------------------------------------------------


def test_a_breaker_is_no_overload_protection(found: Found) -> None:
    (finding,) = of(found(direct("-Q1 switch")), "motor-unprotected")
    assert finding.subjects[0] == "-M1"


@each_of("device", ["-Q1 starter", "-Q1 switch trip-class=10"])
def test_a_motor_breaker_protects(found: Found, device: str) -> None:
    assert not of(found(direct(device)), "motor-unprotected")


def test_an_overload_relay_needs_a_wired_contact(found: Found) -> None:
    (finding,) = of(found(direct("-B1 bimetal")), "motor-unprotected")
    assert "no contact of `-B1` is wired" in finding.message
    assert not of(found(direct("-B1 bimetal", more="wire -WB1:L1 to -B1:95 1mm2 RD\n")), "motor-unprotected")


def test_a_bridged_contact_of_an_overload_relay_opens_nothing(found: Found) -> None:
    more = "wire -WB1:L1 to -B1:95 1mm2 RD\nwire -B1:95 to -B1:96 1mm2 RD\n"
    (finding,) = of(found(direct("-B1 bimetal", more=more)), "motor-unprotected")
    assert "no contact of `-B1` is wired to open anything" in finding.message


def test_small_motors_and_those_of_unknown_power_are_exempt(found: Found) -> None:
    assert not of(found(direct("-Q1 switch", MOTOR.replace("power=4kW", "power=0.5kW"))), "motor-unprotected")
    assert not of(found(direct("-Q1 switch", MOTOR.replace(" power=4kW", ""))), "motor-unprotected")
    assert of(found(direct("-Q1 switch", MOTOR.replace("power=4kW", "power=0.55kW"))), "motor-unprotected")


def test_a_motor_that_nothing_feeds_is_not_judged(found: Found) -> None:
    assert not of(found(PARTS + MOTOR + "\nwire -XE1:3 to -M1:PE 2.5mm2 GNYE\n"), "motor-unprotected")


def test_a_drive_protects_its_one_motor_and_not_two(found: Found) -> None:
    assert not of(found(driven()), "motor-unprotected")
    findings = of(found(driven(2)), "motor-unprotected")
    assert [finding.subjects[0] for finding in findings] == ["-M1", "-M2"]
    assert "`-T1` serves `-M1`, `-M2` together" in findings[0].message


@each_of(
    ("more", "silent"),
    [
        ("device -K9 guard at=+MCP\nwire -K9:T1,T2 to -M1:TP1,TP2 1mm2 RD\n", True),
        ("device -T9 setting-drive at=+MCP\nset -T9 thermistor=on\nwire -T9:THP,THN to -M1:TP1,TP2 1mm2 RD\n", True),
        ("device -T9 setting-drive at=+MCP\nset -T9 thermistor=off\nwire -T9:THP,THN to -M1:TP1,TP2 1mm2 RD\n", False),
        ("strip -X9 at=+MCP {\n  :1..2 2.5mm2\n}\nwire -X9:1,2 to -M1:TP1,TP2 1mm2 RD\n", False),
        (
            "device -K9 guard at=+MCP\nstrip -X9 at=+MCP {\n  :1..2 disconnect 2.5mm2\n}\n"
            "wire -K9:T1,T2 to -X9:1/in,2/in 1mm2 RD\nwire -X9:1/out,2/out to -M1:TP1,TP2 1mm2 RD\n",
            True,
        ),
    ],
)
def test_thermistors_count_where_something_reads_them(found: Found, more: str, silent: bool) -> None:
    assert (not of(found(direct("-Q1 switch", more=more)), "motor-unprotected")) is silent


def test_thermistors_of_two_motors_in_series_serve_both(found: Found) -> None:
    more = (
        "device -K9 guard at=+MCP\nwire -K9:T1 to -M1:TP1 1mm2 RD\nwire -M1:TP2 to -M2:TP1 1mm2 RD\n"
        "wire -M2:TP2 to -K9:T2 1mm2 RD\n"
    )
    assert not of(found(driven(2, more)), "motor-unprotected")


def test_a_thermal_contact_of_the_motor_counts(found: Found) -> None:
    text = direct("-Q1 switch", MOTOR.replace("motor ", "sixfold "))
    assert of(found(text), "motor-unprotected")
    assert not of(
        found(text + "strip -X9 at=+MCP {\n  :1..2 2.5mm2\n}\nwire -X9:1,2 to -M1:TB1,TB2 1mm2 RD\n"), "motor-unprotected"
    )


def test_every_way_to_a_motor_needs_protection(found: Found) -> None:
    bypass = "device -K2 relay-3p at=+MCP\n" + BUS.format("-K2") + "wire -K2:2,4,6 to -M1:U1,V1,W1 2.5mm2 BK\n"
    (finding,) = of(found(driven(more=bypass)), "motor-unprotected")
    assert "-K2" in finding.subjects


# --- contactor-undersized ---------------------------------------------------------------------------------------------


@each_of(
    ("ratings", "wrong"),
    [
        ("current=9A utilisation=AC-3", ""),
        ("current=8A utilisation=AC-3", "rated 8 A in AC-3"),
        ("current=8A", "rated 8 A"),
        ("current=40A utilisation=AC-1", "made for AC-1"),
        ("utilisation=AC-3", ""),
        ("current=9A utilisation=AC-4", ""),
        ("current=9A utilisation=AC-3e", ""),
        ("current=8A thermal-current=25A utilisation=AC-3", "rated 8 A"),
    ],
)
def test_a_contactor_is_rated_for_its_motor(found: Found, ratings: str, wrong: str) -> None:
    findings = of(found(direct(f"-K1 relay-3p {ratings}")), "contactor-undersized")
    assert [wrong in finding.message for finding in findings] == ([True] if wrong else [])


def test_circuits_over_one_strip_stay_apart(found: Found) -> None:
    text = PARTS + "strip -X1 at=+MCP {\n  :1..6 4mm2\n}\n"
    for n, row in ((1, 1), (2, 4)):
        text += f"device -K{n} relay-3p at=+MCP current=9A utilisation=AC-3\n{MOTOR.replace('-M1', f'-M{n}')}\n"
        text += f"wire -WB1:L1,L2,L3 to -K{n}:1,3,5 2.5mm2 BK\nwire -K{n}:2,4,6 to -X1:{row},{row + 1},{row + 2} 2.5mm2 BK\n"
        text += cable("-K1", f"-M{n}", f"-W{n}", n + 2)
        for pole, offset in ((2, 0), (4, 1), (6, 2)):
            text = text.replace(f"-K1:{pole} to -M{n}:", f"-X1:{row + offset} to -M{n}:")
    assert not of(found(text), "contactor-undersized")


def test_a_motor_that_is_inched_takes_another_category(found: Found) -> None:
    inched = MOTOR + " utilisation=AC-4"
    assert of(found(direct("-K1 relay-3p current=9A utilisation=AC-3", inched)), "contactor-undersized")
    assert not of(found(direct("-K1 relay-3p current=9A utilisation=AC-4", inched)), "contactor-undersized")


@each_of(
    ("ratings", "wrong"),
    [
        ("current=25A utilisation=AC-1", False),
        ("current=9A thermal-current=22A utilisation=AC-3", False),
        ("current=9A thermal-current=18A utilisation=AC-3", True),
        ("utilisation=AC-3", False),
    ],
)
def test_ahead_of_a_drive_the_thermal_current_is_enough(found: Found, ratings: str, wrong: bool) -> None:
    text = driven().replace("wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK\n", "")
    text += f"device -K1 relay-3p at=+MCP {ratings}\n" + BUS.format("-K1") + "wire -K1:2,4,6 to -T1:L1,L2,L3 2.5mm2 BK\n"
    assert bool(of(found(text), "contactor-undersized")) is wrong


# --- drive-protection -------------------------------------------------------------------------------------------------


def protected(drive: str, breaker: str = "-Q1 switch current=32A curve=C") -> str:
    text = (
        driven()
        .replace("wire -WB1:L1,L2,L3 to -T1:L1,L2,L3 2.5mm2 BK\n", "")
        .replace("-T1 setting-drive", f"-T1 setting-drive {drive}")
    )
    text += f"device {breaker} at=+MCP\nwire -WB1:L1,L2,L3 to -Q1:1,3,5 6mm2 BK\nwire -Q1:2,4,6 to -T1:L1,L2,L3 6mm2 BK\n"
    return text


@each_of(
    ("drive", "wrong"),
    [
        ("", ""),
        ("max-upstream=32A", ""),
        ("max-upstream=25A", "allows 25 A"),
        ("upstream-kind=fuse", "is breaker-C"),
        ("upstream-kind=fuse,breaker", ""),
        ("upstream-kind=breaker-C", ""),
        ("upstream-kind=breaker-B", "is breaker-C"),
        ("upstream-kind=fuse-gG/mcb", ""),
        ("upstream-kind=mccb", "is breaker-C"),
    ],
)
def test_the_device_ahead_of_a_drive_is_within_what_it_allows(found: Found, drive: str, wrong: str) -> None:
    findings = of(found(protected(drive)), "drive-protection")
    assert [wrong in finding.message for finding in findings] == ([True] if wrong else [])


def test_a_device_without_a_stated_current_is_not_judged(found: Found) -> None:
    assert not of(found(protected("max-upstream=25A", "-Q1 switch")), "drive-protection")


def test_without_a_device_the_protection_ahead_of_the_supply_counts(found: Found) -> None:
    text = driven().replace("-T1 setting-drive", "-T1 setting-drive max-upstream=10A upstream-kind=fuse-gG")
    (finding,) = of(found(text), "drive-protection")
    assert "allows 10 A ahead of it, `-G0` has" in finding.message
    assert not of(found(text.replace("10A upstream", "100A upstream")), "drive-protection")


def test_a_residual_current_device_is_not_what_protects_a_drive(found: Found) -> None:
    text = protected("max-upstream=25A", "-Q1 switch current=20A") + "device -F9 leak at=+MCP current=63A\n"
    text += (
        PARTS[: PARTS.index("part starter")]
        .replace("part switch", "part leak")
        .replace("kind = breaker", "kind = residual-device")
    )
    text = text.replace("wire -Q1:2,4,6 to -T1:L1", "wire -Q1:2,4,6 to -F9:1,3,5 6mm2 BK\nwire -F9:2,4,6 to -T1:L1")
    assert not of(found(text), "drive-protection")


# --- winding-connection -----------------------------------------------------------------------------------------------


@each_of(
    ("stated", "link", "wrong"),
    [
        ("winding=400/690V", "delta", False),
        ("winding=400/690V", "star", True),
        ("winding=230/400V", "star", False),
        ("winding=230/400V", "delta", True),
        ("winding=230/400V", "", False),
        ("winding=115/200V", "", True),
        ("winding=115/200V", "star", True),
        ("voltage=400V", "delta", False),
        ("voltage=230V", "star", True),
        ("voltage=415V", "", False),
        ("voltage=380..420V", "", False),
        ("voltage=200..240V", "", True),
        ("", "delta", False),
        ("winding=240/415V", "star", False),
        ("voltage=440V", "", False),
        ("voltage=450V", "", True),
    ],
)
def test_the_winding_fits_the_mains(found: Found, stated: str, link: str, wrong: bool) -> None:
    motor = MOTOR.replace("winding=400/690V", stated)
    text = direct("-Q1 starter", motor, f"connect -M1 {link}\n" if link else "")
    assert bool(of(found(text), "winding-connection")) is wrong


@each_of(("winding", "link", "wrong"), [("400/690V", "delta", False), ("230/400V", "star", False), ("230/400V", "delta", True)])
def test_behind_a_drive_the_voltage_is_that_of_its_supply(found: Found, winding: str, link: str, wrong: bool) -> None:
    text = driven(more=f"connect -M1 {link}\n").replace("winding=400/690V", f"winding={winding}")
    assert bool(of(found(text), "winding-connection")) is wrong


def test_a_motor_run_at_87_hz_is_in_delta_on_purpose(found: Found) -> None:
    text = driven(more="connect -M1 delta\n").replace("winding=400/690V", "winding=230/400V frequency=87Hz")
    assert not of(found(text), "winding-connection")


def test_a_motor_without_feed_has_no_voltage_to_judge(found: Found) -> None:
    text = PARTS + MOTOR + "\nconnect -M1 star\nwire -XE1:3 to -M1:PE 2.5mm2 GNYE\n"
    assert not of(found(text), "winding-connection")


def test_a_motor_that_states_its_service_factor_may_be_set_up_to_it(found: Found) -> None:
    serviced = MOTOR + " service-factor=1.15"
    assert not of(found(direct("-Q1 starter", serviced, "set -Q1 tripping-current=9.7A\n")), "overload-setting")
    (finding,) = of(found(direct("-Q1 starter", serviced, "set -Q1 tripping-current=10A\n")), "overload-setting")
    assert "1.15 times" in finding.message


def test_motors_over_one_strip_are_protected_each_by_its_own(found: Found) -> None:
    rows = "\n".join(
        f"device -Q{n} motor-breaker at=+MCP current=4A setting-range=2.5..4A\nset -Q{n} tripping-current=3.6A\n"
        f"device -M{n} motor at=+HALL power=1.5kW current=3.6A winding=400/690V\nconnect -M{n} delta\n"
        f"wire -WB1:L1,L2,L3 to -Q{n}:1,3,5 2.5mm2 BK\nwire -Q{n}:2,4,6 to -X1:{3 * n - 2}..{3 * n} 2.5mm2 BK\n"
        f"cable -W{n} 4G2.5 length=10m method=E {{\n  BN -X1:{3 * n - 2} to -M{n}:U1\n  BK -X1:{3 * n - 1} to -M{n}:V1\n"
        f"  GY -X1:{3 * n} to -M{n}:W1\n  GNYE -XE1:{n + 4} to -M{n}:PE\n}}\n"
        for n in (1, 2)
    )
    findings = found("strip -X1 at=+MCP {\n  :1..6 4mm2\n}\n" + rows)
    assert "motor-unprotected" not in {finding.rule for finding in findings}


# --- motor-data ------------------------------------------------------------------------------------------------------
@each_of(
    ("figures", "share"),
    [
        ("power=4kW current=8.5A power-factor=0.83 winding=230/400V", None),
        ("power=4kW current=4.9A power-factor=0.83 winding=400/690V", None),
        ("power=40kW current=8.5A power-factor=0.83 winding=230/400V", "818 %"),
        ("power=0.4kW current=8.5A power-factor=0.83 winding=230/400V", "14 %"),
        ("power=1.2kW current=8.5A voltage=400V", None),  # without a power factor nothing says that it is too little
        ("power=12kW current=8.5A voltage=400V", "118 %"),
        ("power=0.09kW current=2A power-factor=0.7 winding=230/400V", None),
    ],
)
def test_the_figures_of_a_motor_fit_one_another(found: Found, figures: str, share: str | None) -> None:
    findings = [f.message for f in found(f"device -M1 motor at=+HALL {figures}\n") if f.rule == "motor-data"]
    assert len(findings) == (share is not None)
    assert share is None or share in findings[0]
