"""Several pumps on one drive, drives on a line, a drive with a bypass: each terminal gets the net that is meant.

The mistakes that these ways of running invite, and what is done about each. "Scheme" says that the scheme as shipped does
not make it; the rule is the one that reports it in a plant wired by hand, a caution is printed beside the drive.

| way | mistake | kind | answer | |---|---|---|---| | serial line | emergency stop over the line only | usage | caution | | serial
line | stars and long drops | wiring | scheme; rule `bus-star` | | serial line | termination at a middle station | setting |
scheme; rule `bus-unterminated` | | serial line | one address twice | setting | caution; rule `bus-address-double` | | serial line
| screen earthed by a long wire | wiring | scheme, caution; left off: rule `screen-unterminated`, tested here | | fixed lead |
coil across a drive's relay, no suppressor | wiring | scheme; rules `coil-unsuppressed`, `contact-overloaded` | | fixed lead | no
overload protection on the mains | wiring | scheme; rule `motor-unprotected` | | fixed lead | interlock inputs bridged | wiring |
scheme; rule `stop-circuit` | | fixed lead | rotation not compared | usage | caution | | alternating | only electrical interlock |
wiring | scheme; rule `output-backfed` | | alternating | interlock from the relay, not the contactor | wiring | scheme; rule
`output-backfed` | | alternating | overload protection in the mains branch only | wiring | scheme; rule `motor-unprotected` | |
alternating | drive not coasted before switching | wiring, usage | scheme, caution; rule `output-switched` | | alternating |
rotation of the mains branch reversed | wiring | scheme, caution; rule `phase-order` | | alternating | one isolator contact for
two pumps | wiring | scheme; rule `stop-circuit` | | bypass | tied on the drive's side of its contactor | wiring | scheme; rule
`output-backfed`; without a contactor: rule `potentials-joined`, tested here | | bypass | overload relay missing | wiring |
scheme; rule `motor-unprotected` | | bypass | neutral of the control lost with the drive | usage | caution |
"""

from __future__ import annotations

import pytest

from tests.cases import each_of
from tests.schemes.scheme_plants import PLUS, RELEASED, ZERO, check_drive, findings_of, wired, with_scheme


def nodes(*names: str) -> frozenset[str]:
    return frozenset(names)


def pump(function: str, *names: str) -> frozenset[str]:
    return frozenset(f"{function}{name}" for name in names)


either_drive = pytest.mark.parametrize("house_drive", [False, True], ids=["shipped", "house"])


@either_drive
def test_fixed_lead_nets_at_the_drive(house_drive: bool) -> None:
    at = wired("fixed-lead-pumps", house_drive)
    check_drive(
        at,
        "=RM1-T1",
        {
            "start": nodes("=RM1-S1:14"),
            "enable": RELEASED,
            "common": ZERO,
            "analogue-common": ZERO,
            "supply-24v": nodes("=RM1-B1:+"),
            "feedback": nodes("=RM1-B1:-"),
            "relay-1-common": RELEASED,
            "relay-1-make": nodes("=RM2-K2:A1"),
            "relay-2-common": RELEASED,
            "relay-2-make": nodes("=RM3-K2:A1"),
            "preset-1": nodes("-X1:4", *pump("=RM2", "-Q2:14", "-S1:13", "-K2:11")),
            "preset-2": nodes("-X1:6", *pump("=RM3", "-Q2:14", "-S1:13", "-K2:11")),
            "motor-u": nodes("=RM1-M1:U1"),
            "motor-v": nodes("=RM1-M1:V1"),
            "motor-w": nodes("=RM1-M1:W1"),
            "motor-earth": "=RM1-M1:PE",
        },
    )


@each_of("name", ["=RM2", "=RM3"])
def test_fixed_lead_nets_of_an_assist_pump(name: str) -> None:
    at = wired("fixed-lead-pumps")
    assert at.net(f"{name}-K1:A1") == pump(name, "-S1:14", "-S1:24")
    assert at.net(f"{name}-K2:14") == pump(name, "-S1:23")
    assert RELEASED in at.net(f"{name}-B1:95")
    assert pump(name, "-Q2:13") < at.net(f"{name}-B1:96")
    assert at.net(f"{name}-B1:98") == pump(name, "-H1:X1")
    assert {f"{name}-K1:A2", f"{name}-K2:A2", f"{name}-H1:X2"} < at.net(ZERO)


@either_drive
def test_alternating_nets_at_the_drive(house_drive: bool) -> None:
    at = wired("alternating-pumps", house_drive)
    check_drive(
        at,
        "=BD1-T1",
        {
            "start": nodes("=BD1-S1:14"),
            "enable": nodes("-X2:11", "-X2:12", "-X2:13", "=BP1-K1:14", "=BP2-K1:14"),
            "common": ZERO,
            "analogue-common": ZERO,
            "supply-24v": nodes("=BD1-B1:+"),
            "feedback": nodes("=BD1-B1:-"),
            "relay-1-common": PLUS,
            "relay-1-make": nodes("=BP1-K3:A1"),
            "relay-2-common": PLUS,
            "relay-2-make": nodes("=BP2-K3:A1"),
            "preset-1": nodes("-X1:2", *pump("=BP1", "-Q2:14", "-K3:11", "-K3:21", "-K3:41")),
            "preset-2": nodes("-X1:4", *pump("=BP2", "-Q2:14", "-K3:11", "-K3:21", "-K3:41")),
            "motor-u": nodes("-WB2:L1", "=BP1-K1:1", "=BP2-K1:1"),
            "motor-v": nodes("-WB2:L2", "=BP1-K1:3", "=BP2-K1:3"),
            "motor-w": nodes("-WB2:L3", "=BP1-K1:5", "=BP2-K1:5"),
        },
    )


@each_of(("own", "other"), [("=BP1", "=BP2"), ("=BP2", "=BP1")])
def test_alternating_interlocks_come_from_the_contactors(own: str, other: str) -> None:
    at = wired("alternating-pumps")
    # From the drive: not handed over, mains contactor open, the other pump not on the drive.
    assert at.net(f"{own}-K4:12") == pump(own, "-K2:21")
    assert at.net(f"{own}-K2:22") == pump(other, "-K1:61")
    assert at.net(f"{own}-K1:A1") == pump(other, "-K1:62")
    # From the mains: handed over, contactor of the drive open, dead time gone by.
    assert at.net(f"{own}-K4:14") == pump(own, "-K1:21")
    assert at.net(f"{own}-K1:22") == pump(own, "-K5:A1", "-K5:15")
    assert at.net(f"{own}-K2:A1") == pump(own, "-K5:18")
    # The drive gives out only while called, not handed over and with its contactor closed.
    assert at.net(f"{own}-K3:24") == pump(own, "-K4:21")
    assert at.net(f"{own}-K4:22") == pump(own, "-K1:13")
    # Hand-over: on the drive while both are called; it holds itself, and keeps the other's off.
    assert at.net(f"{own}-K3:44") == pump(other, "-K4:41")
    assert at.net(f"{other}-K4:42") == pump(own, "-K1:53", "-K4:31")
    assert at.net(f"{own}-K1:54") == pump(other, "-K3:31")
    assert at.net(f"{own}-K4:A1") == nodes(f"{other}-K3:34", f"{own}-K4:34")
    kinds = {(frozenset(pair.devices), pair.kind) for pair in at.plant.interlocks}
    assert (pump(own, "-K1", "-K2"), "mechanical") in kinds


@each_of("own", ["=BP1", "=BP2"])
def test_alternating_overload_and_isolator_lie_in_both_ways(own: str) -> None:
    at = wired("alternating-pumps")
    for pole in (1, 3, 5):
        assert at.net(f"{own}-B1:{pole}") == pump(own, f"-K1:{pole + 1}", f"-K2:{pole + 1}")
        assert at.net(f"{own}-B1:{pole + 1}") == pump(own, f"-Q2:{pole}")


@either_drive
def test_bypass_nets_at_the_drive(house_drive: bool) -> None:
    at = wired("mains-bypass", house_drive)
    check_drive(
        at,
        "=OB1-T1",
        {
            "start": nodes("=OB1-K1:14"),
            "common": ZERO,
            "enable": nodes("-X1:2", *pump("=OB1", "-B2:14", "-S1:13", "-S1:43")),
            "relay-2-common": PLUS,
            "relay-2-make": nodes("=OB1-K3:A1"),
            "reference-10v": nodes("=OB1-R1:3"),
            "reference-voltage": nodes("=OB1-R1:2"),
            "analogue-common": nodes("=OB1-R1:1"),
            "motor-u": nodes("=OB1-K1:1"),
            "motor-v": nodes("=OB1-K1:3"),
            "motor-w": nodes("=OB1-K1:5"),
        },
    )


def test_bypass_contactors_keep_each_other_open() -> None:
    at = wired("mains-bypass")
    # What holds the output contactor is fed ahead of the release and leads back into nothing that the release feeds.
    assert {"=OB1-K3:11", "=OB1-S1:23", "=OB1-B1:97"} < at.net(PLUS)
    assert at.net("=OB1-S1:44") == pump("=OB1", "-K1:13")
    assert at.net("=OB1-S1:24") == pump("=OB1", "-K3:14", "-K2:21")
    assert at.net("=OB1-K2:22") == pump("=OB1", "-K1:A1")
    assert at.net("=OB1-S1:14") == pump("=OB1", "-B1:95")
    assert at.net("=OB1-B1:96") == pump("=OB1", "-K1:21")
    assert at.net("=OB1-K1:22") == pump("=OB1", "-K4:A1", "-K4:15")
    assert at.net("=OB1-K2:A1") == pump("=OB1", "-K4:18")
    for pole, winding in ((2, "U1"), (4, "V1"), (6, "W1")):
        assert at.net(f"=OB1-M1:{winding}") == pump("=OB1", f"-K1:{pole}", f"-B1:{pole}")
    kinds = {pair.kind for pair in at.plant.interlocks if set(pair.devices) == pump("=OB1", "-K1", "-K2")}
    assert kinds == {"mechanical", "electrical"}


def test_a_bypass_without_contactor_on_the_output_is_reported() -> None:
    text = with_scheme(
        "mains-bypass",
        "schemes-motor.netdsl",
        "mains-bypass",
        "wire $breaker:2,4,6  to $bypass:1,3,5",
        "wire $breaker:2,4,6  to $output:1,3,5",
    )
    assert "potentials-joined" in findings_of(text)


@pytest.mark.parametrize(
    ("example", "file", "scheme", "cable"),
    [
        ("mains-bypass", "schemes-motor.netdsl", "mains-bypass", '$construction screened "motor cable"'),
        ("fixed-lead-pumps", "schemes-pumps.netdsl", "fixed-lead-drive", '$construction screened "motor cable"'),
        ("alternating-pumps", "schemes-pumps.netdsl", "alternating-pump", '$construction screened "to the motor"'),
    ],
)
def test_an_unscreened_motor_cable_behind_a_drive_is_reported(example: str, file: str, scheme: str, cable: str) -> None:
    text = with_scheme(example, file, scheme, cable, cable.replace(" screened", ""))
    text = "\n".join(line for line in text.split("\n") if not (line.strip().startswith("screen $") and "$motor:SH" in line))
    assert set(findings_of(text)) == {"screen-missing"}


@each_of("example", ["fixed-lead-pumps", "alternating-pumps", "mains-bypass"])
def test_usage_mistakes_are_cautions(example: str) -> None:
    notes = wired(example).plant.notes
    cautions = " ".join(note.text for note in notes if note.kind == "caution")
    wanted = {
        "fixed-lead-pumps": ("direction of rotation", "hunt", "check valve", "live zero"),
        "alternating-pumps": ("direction of rotation", "coast", "residual voltage", "hunt"),
        "mains-bypass": ("neutral", "same way", "DC link"),
    }
    assert all(word in cautions for word in wanted[example]), cautions
