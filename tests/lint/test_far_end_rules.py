"""Digital inputs and coils far away, batteries that do not last, breakers that do not hold what comes on."""

from __future__ import annotations

from collections.abc import Callable

from netdsl.findings import Finding
from tests.cases import each_of

Found = Callable[..., tuple[Finding, ...]]
RULES = ("control-drop", "source-overloaded", "start-trips")

PLANT = """netdsl 1
project "Far ends" {{
  number = "1"
}}
place +A "Board" kind=cabinet
place +F "Field" kind=field
part card "Input card" {{
  kind = controller   letter = A   class = III
  terminal :I1 digital-in common=:M voltage=24V dc current=8mA
  terminal :M digital-common
}}
supply -G1 system=DC voltage=24V {battery}
device -A1 card at=+A
device -S1 push-button at=+F
wire -G1:- to -A1:M resistance=0ohm
cable -W1 2x0.75 resistance={ohms}ohm {{
  BN -G1:+ to -S1:13
  BU -S1:14 to -A1:I1
}}
"""


def messages(found: Found, ohms: str, battery: str = "") -> list[str]:
    return [finding.message for finding in found(PLANT.format(ohms=ohms, battery=battery), frame="")]


@each_of(("ohms", "said"), [("500", []), ("625", ["14 V are left at `-A1:I1`, it is on from 15 V"])])
def test_an_input_that_gets_too_little_is_told(found: Found, ohms: str, said: list[str]) -> None:
    assert messages(found, ohms) == said


@each_of(("hours", "said"), [("10h", []), ("11h", ["`-G1:+` lasts 10 h, 11 h are needed"])])
def test_a_battery_that_does_not_last_is_told(found: Found, hours: str, said: list[str]) -> None:
    assert messages(found, "1", f"battery-capacity=0.08 needed-buffer-time={hours}") == said


COIL = """netdsl 1
project "Far coil" {{
  number = "1"
}}
place +F "Field" kind=field
part coil "Contactor" {{
  kind = contactor   letter = K   class = II   suppressor = built-in
  terminal :A1 :A2 coil
  coil :A1 to :A2 voltage=230V ac {coil}
}}
supply -G0 system=TN-S phases=1 voltage=230V frequency=50Hz fault-current=1kA earth-fault-current=1kA upstream=fuse-gG-6A
device -K1 coil at=+F
cable -W1 2x0.75 resistance={ohms}ohm {{
  BN -G0:L to -K1:A1
  BU -G0:N to -K1:A2
}}
"""


@each_of(
    ("ohms", "coil", "said"),
    [
        ("66", "power=3W pull-in=60VA", []),
        ("67", "power=3W pull-in=60VA", ["`-K1` gets 84.8 % of its voltage while it pulls in, it does so from 85 %"]),
        ("67", "power=3W pull-in=60VA operates-from=80%", []),
    ],
)
def test_a_coil_that_does_not_pull_in_is_told(found: Found, ohms: str, coil: str, said: list[str]) -> None:
    assert [finding.message for finding in found(COIL.format(ohms=ohms, coil=coil), frame="")] == said


INRUSH = """netdsl 1
project "Inrush" {{
  number = "1"
}}
place +A "Board" kind=cabinet
supply -G0 system=TN-S phases=1 voltage=230V frequency=50Hz fault-current=1kA earth-fault-current=1kA upstream=fuse-gG-16A
device -F1 mcb-1p at=+A current={amps}A
device -T1 supply-24v-10a at=+A
wire -G0:L to -F1:1 1.5mm2 length=1m
wire -F1:2 to -T1:L 1.5mm2 length=1m
wire -G0:N to -T1:N 1.5mm2 length=1m
"""


@each_of(
    ("amps", "said"),
    [
        ("4", []),
        ("3", ["`-F1` is certain to hold 21.21 A for a while, what is switched on behind it takes 25 A"]),
    ],
)
def test_a_breaker_that_does_not_hold_what_comes_on_is_told(found: Found, amps: str, said: list[str]) -> None:
    assert [finding.message for finding in found(INRUSH.format(amps=amps), frame="")] == said


STARTS = """netdsl 1
project "Starts" {{
  number = "1"
}}
place +A "Board" kind=cabinet
place +F "Field" kind=field
supply -G0 system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA
device -B1 overload-relay-10a at=+A
set -B1 tripping-current=10A
device -M1 motor at=+F power=5.5kW current=10A speed=1450rpm voltage=400V power-factor=0.86 starting-current=72A {motor}
wire -G0:L1,L2,L3 to -B1:1,3,5 6mm2 BK length=1m
wire -B1:2,4,6 to -M1:U1,V1,W1 6mm2 BK length=1m
connect -M1 delta
"""


@each_of(
    ("starts", "said"),
    [("3", []), ("6", ["`-M1` with its starts heats as 10.81 A for good, `-B1` is certain to hold 10.5 A"])],
)
def test_starts_that_heat_a_release_too_much_are_told(found: Found, starts: str, said: list[str]) -> None:
    motor = f"starting-time=2s starts-per-hour={starts}"
    assert [finding.message for finding in found(STARTS.format(motor=motor), frame="")] == said


def test_wires_that_lose_too_much_either_way_are_told_once(found: Found) -> None:
    """48 W at 24 V are 2 A over 2 ohm, 17 %; the 96 VA while it pulls in lose twice as much."""
    text = COIL.format(ohms="1", coil="power=48W pull-in=96VA").replace("voltage=230V ac", "voltage=24V dc")
    battery = text.replace("-G0:L ", "-G0:+ ").replace("-G0:N ", "-G0:- ")
    battery = "\n".join(
        "supply -G0 system=DC voltage=24V" if line.startswith("supply") else line for line in battery.splitlines()
    )
    assert ["of its voltage on the way" in finding.message for finding in found(battery, frame="")] == [True]
