"""The ways of running one drive: the net at every control terminal, on a shipped drive and on one of the user's own.

The mistakes that each way of running is known for, and what is done about them. A wiring or setting mistake with a rule
behind `->` is tested below; "later" names a rule that the design of the checks has and this version does not; "caution" is
printed on the device sheet of the drive; "scheme" means that the scheme leaves no room for it.

two-wire start
    restart after a dip of the supply is dangerous            usage    caution
    kind of inputs (plus or minus switched) not matched       setting  caution; later signal-mismatch
    start contact fed from a foreign 24 V                     wiring   -> potentials-joined; later reference-missing
three-wire start
    stop button that closes                                   wiring   scheme; later stop-circuit
    drive left in two-wire mode, a pulse only jogs            setting  caution; no rule is planned
    start buttons in series                                   wiring   scheme; no rule is planned
    stop of one place missing from the chain                  wiring   scheme; later stop-circuit
local and remote
    protective contact only in the automatic branch           wiring   -> terminal-open with `enable-input=on`; later stop-circuit
    reference source not changed with the command source      setting  caution; its wire: scheme
    selector breaks the motor supply instead of the control   wiring   -> bundle-mixed on the way to the door; later
                                                                       output-switched
    remote 24 V and the drive's 24 V joined                   wiring   -> potentials-joined; caution
closed loop
    two-wire transmitter without a loop supply                wiring   -> terminal-open
    four-wire transmitter also fed by the drive               wiring   -> potentials-joined; later signal-mismatch
    input left in voltage mode                                setting  caution; later signal-mismatch
    burden too high                                           wiring   caution; later loop-burden
    commons of drive and transmitter not joined               wiring   scheme; later reference-missing
    transmitter in the same cable as 230 V                    wiring   -> cable-mixed
preset speeds
    false codes between positions                             usage    caution
    a preset contact used as the start                        wiring   scheme; no rule is planned
    reference source left on the bus                          setting  caution; no rule is planned
emergency stop
    one channel for two                                       wiring   scheme; later safety-single-channel
    inputs of the drive left open while in use                wiring   -> terminal-open
    short circuit to 24 V unseen: screen not earthed          wiring   -> screen-unterminated
    feedback of contactors missing                            wiring   `loop` takes it; later feedback-missing
    restart by the reset                                      setting  caution; later restart-unexpected
    taken for isolation; not tested after changes             usage    caution
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from netdsl.findings import Source
from netdsl.model.plant import Device
from netdsl.network.types import Network
from netdsl.syntax import format_text
from tests.cases import each_of
from tests.readings import EXAMPLES, judged, judged_text, network_of
from tests.rules_together import TOGETHER, found_in

ROOT = Path(__file__).parent.parent.parent
POWER = ("supply-l", "motor-", "earth", "screen-")

#: for each scheme the nets of the drive's control terminals; `T1:` names them by function. Those not named are open.
NETS = {
    "two-wire-start": (
        "T1:supply-24v X1:1 X1:2 B1:11 B2:13 T1:fault-common T1:running-common",
        "T1:start X1:3 B1:14",
        "T1:enable X1:4 B2:14",
        "T1:reference-10v R1:3",
        "T1:reference-voltage R1:2",
        "T1:analogue-common R1:1",
        "T1:fault-make P1:X1",
        "T1:running-make P2:X1",
        "T1:common P1:X2 P2:X2",
    ),
    "three-wire-start": (
        "T1:supply-24v X1:1 X1:2 S1:21 S2:13 S4:13 T1:fault-common T1:running-common",
        "T1:start S2:14 X1:5 S4:14",
        "T1:stop X1:4 S3:22",
        "T1:fault-make P1:X1",
        "T1:running-make P2:X1",
        "T1:common P1:X2 P2:X2",
    ),
    "local-remote": (
        "T1:supply-24v X1:1 X1:2 X1:3 S1:13 S1:33 A1:13 B1:11 T1:fault-common T1:running-common",
        "T1:start S1:14 S1:24",
        "T1:remote S1:34",
        "T1:enable X1:4 B1:14",
        "T1:reference-10v R1:3",
        "T1:reference-voltage R1:2",
        "T1:reference-current A1:I+",
        "T1:analogue-common R1:1 A1:I-",
        "T1:fault-make P1:X1",
        "T1:running-make P2:X1",
        "T1:common P1:X2 P2:X2",
    ),
    "closed-loop-two-wire": (
        "T1:supply-24v X1:1 X1:2 X1:3 S1:13 B2:11 B1:+ T1:fault-common T1:running-common",
        "T1:start S1:14",
        "T1:enable X1:4 B2:14",
        "T1:reference-10v R1:3",
        "T1:reference-voltage R1:2",
        "T1:feedback B1:-",
        "T1:analogue-common T1:common R1:1 P1:X2 P2:X2",
        "T1:fault-make P1:X1",
        "T1:running-make P2:X1",
    ),
    "closed-loop-four-wire": (
        "T1:supply-24v X1:1 X1:2 X1:3 S1:13 B2:11 T1:fault-common T1:running-common",
        "T1:start S1:14",
        "T1:enable X1:4 B2:14",
        "T1:reference-10v R1:3",
        "T1:reference-voltage R1:2",
        "T1:feedback B1:I+",
        "T1:analogue-common R1:1 B1:I-",
        "T1:fault-make P1:X1",
        "T1:running-make P2:X1",
        "T1:common P1:X2 P2:X2",
    ),
    "preset-speeds": (
        "T1:supply-24v X1:1 X1:2 X1:3 X1:4 S1:13 S1:23 S2:13 T1:fault-common T1:running-common",
        "T1:start S2:14",
        "T1:preset-1 S1:14",
        "T1:preset-2 S1:24",
        "T1:reference-10v R1:3",
        "T1:reference-voltage R1:2",
        "T1:analogue-common R1:1",
        "T1:fault-make P1:X1",
        "T1:running-make P2:X1",
        "T1:common P1:X2 P2:X2",
    ),
    "emergency-stop": (
        "T1:safe-torque-off-1 K1:14",
        "T1:safe-torque-off-2 K1:24",
        "T1:safe-torque-off-common X3:8 X3:9 X3:10 K1:A2 -X9:11 -X9:12 -X9:13 -T9:-",
        "T1:supply-24v X1:1 X1:2 S1:21 S2:13 S4:13 T1:fault-common T1:running-common",
        "T1:start S2:14 X1:5 S4:14",
        "T1:stop X1:4 S3:22",
        "T1:fault-make P1:X1",
        "T1:running-make P2:X1",
        "T1:common P1:X2 P2:X2",
    ),
}

#: a drive that calls everything otherwise
OWN_DRIVE = """
part own-drive "Frequency converter of the designer's own" {
  kind = drive   symbol = frequency-converter   letter = T   class = I
  power = 4kW   current = 9.5A   input-current = 9A   losses = 45W   voltage = 380..480V
  terminal :R :S :T line-in 0.75..6mm2 required
  terminal :T1 :T2 :T3 motor-out 0.75..6mm2 required
  terminal :G1 earth 1.5..10mm2 required
  terminal :G2 earth 1.5..10mm2
  terminal :K1 screen
  terminal :K2 screen function=screen-control
  terminal :P24 supply-out 0.2..2.5mm2 clamps=2 function=supply-24v common=:CM voltage=24V dc
  terminal :CM digital-common 0.2..2.5mm2 clamps=2 function=common
  terminal :M1 digital-in 0.2..2.5mm2 function=preset-2 common=:CM voltage=24V dc
  terminal :M2 digital-in 0.2..2.5mm2 function=preset-1 common=:CM voltage=24V dc
  terminal :M3 digital-in 0.2..2.5mm2 function=enable common=:CM voltage=24V dc
  terminal :M4 digital-in 0.2..2.5mm2 function=remote common=:CM voltage=24V dc
  terminal :M5 digital-in 0.2..2.5mm2 function=stop common=:CM voltage=24V dc
  terminal :M6 digital-in 0.2..2.5mm2 function=start common=:CM voltage=24V dc
  terminal :VR reference-out 0.2..2.5mm2 function=reference-10v common=:AC voltage=10V dc
  terminal :IV analogue-in 0.2..2.5mm2 function=reference-voltage common=:AC
  terminal :II analogue-in 0.2..2.5mm2 function=reference-current,feedback common=:AC
  terminal :AC analogue-common 0.2..2.5mm2 clamps=2 function=analogue-common
  terminal :FC contact 0.2..2.5mm2 clamps=2 function=fault-common voltage=250V current=2A
  terminal :FA contact 0.2..2.5mm2 function=fault-make voltage=250V current=2A
  terminal :GC contact 0.2..2.5mm2 clamps=2 function=running-common voltage=250V current=2A
  terminal :GA contact 0.2..2.5mm2 function=running-make voltage=250V current=2A
  terminal :H1 safety-in 0.2..2.5mm2 function=safe-torque-off-1 common=:HC voltage=24V dc
  terminal :H2 safety-in 0.2..2.5mm2 function=safe-torque-off-2 common=:HC voltage=24V dc
  terminal :HC digital-common 0.2..2.5mm2 function=safe-torque-off-common
  source :P24 to :CM voltage=24V dc current=200mA
  source :VR to :AC voltage=10V dc current=10mA
  contact :FC to :FA make by=fault
  contact :GC to :GA make by=running
}
"""
OTHER_NAMES = (
    ("-T1:L1,L2,L3", "-T1:R,S,T"),
    ("-T1:U ", "-T1:T1 "),
    ("-T1:V ", "-T1:T2 "),
    ("-T1:W ", "-T1:T3 "),
    ("-T1:PE2", "-T1:G2"),
    ("-T1:PE ", "-T1:G1 "),
    ("-T1:SH ", "-T1:K1 "),
)


def file_of(scheme: str) -> Path:
    return EXAMPLES / scheme / "plant.netdsl"


def text_of(scheme: str) -> str:
    return file_of(scheme).read_text("utf-8")


def rules(text: str) -> list[str]:
    return [finding.rule for finding in found_in(text, *TOGETHER)]


def changed(text: str, old: str, new: str) -> str:
    """`text` with its one `old` replaced."""
    assert text.count(old) == 1, old
    return text.replace(old, new)


def beside(text: str, lines: str) -> str:
    """`text` with `lines` added at the end of its function, the last block."""
    head, brace, tail = text.rpartition("}")
    return head + lines + brace + tail


def unfolded(text: str, *changes: tuple[str, str]) -> str:
    """`text` with the shipped schemes written out in it, and a slip in one of them."""
    library = ROOT / "netdsl" / "library"
    schemes = "\n".join((library / name).read_text("utf-8") for name in ("schemes-running.netdsl", "schemes-safety.netdsl"))
    schemes = schemes.replace("\nnetdsl 1\n", "\n")
    for old, new in changes:
        schemes = changed(schemes, old, new)
    return text + "\n" + schemes


def drive_of(network: Network) -> Device:
    return next(device for device in network.plant.devices.values() if device.kind == "drive")


def control_nets(network: Network) -> set[frozenset[str]]:
    """The nets of the drive's control terminals that go anywhere, its own terminals named by each of their functions."""
    drive = drive_of(network)
    found = set()
    for terminal in drive.terminals.values():
        net = network.net(f"{drive.id}:{terminal.name}")
        if net is None or len(net.nodes) < 2 or not terminal.functions or terminal.functions[0].startswith(POWER):
            continue
        found.add(frozenset(_spoken(drive, node) for node in net.nodes))
    return found


def _spoken(drive: Device, node: str) -> str:
    device, _, name = node.rpartition(":")
    if device == drive.id:
        return f"T1:{' '.join(sorted(drive.terminals[name].functions))}"
    return node.removeprefix(f"{drive.function}-")


def expected_nets(network: Network, scheme: str) -> set[frozenset[str]]:
    drive = drive_of(network)
    by_function = {word: terminal.name for terminal in drive.terminals.values() for word in terminal.functions}

    def spoken(node: str) -> str:
        word = node.removeprefix("T1:")
        return _spoken(drive, f"{drive.id}:{by_function[word]}") if node.startswith("T1:") else node

    return {frozenset(spoken(node) for node in net.split()) for net in NETS[scheme]}


@each_of("scheme", NETS)
def test_every_control_terminal_has_its_net(scheme: str) -> None:
    result = judged(file_of(scheme))
    assert result.findings == ()
    assert result.network is not None
    assert control_nets(result.network) == expected_nets(result.network, scheme)


@pytest.mark.parametrize("scheme", NETS)
def test_a_drive_with_other_terminal_names_takes_part(scheme: str) -> None:
    text = re.sub(r"device -T1 vsd-[\d.]+kw", "device -T1 own-drive", text_of(scheme))
    text = re.sub(r"^ *set -T1 .*\n", "", text, flags=re.MULTILINE)
    text = re.sub(r"(device -Q1 .*current=)6A", r"\g<1>10A", text)  # it bears what the drive is rated for
    for shipped, own in OTHER_NAMES:
        text = text.replace(shipped, own)
    result = judged_text(text + OWN_DRIVE)
    assert [finding.message for finding in result.findings] == []
    assert result.network is not None
    assert drive_of(result.network).part is not None and drive_of(result.network).part.name == "own-drive"  # type: ignore[union-attr]
    assert control_nets(result.network) == expected_nets(result.network, scheme)


@each_of("scheme", NETS)
def test_usage_mistakes_are_cautions_on_the_drive(scheme: str) -> None:
    network = network_of(file_of(scheme))
    notes = [note for note in network.plant.notes if note.subject == drive_of(network).id]
    assert any(note.kind == "caution" for note in notes)


def test_the_truth_table_of_preset_speeds_stands_on_the_drive() -> None:
    network = network_of(file_of("preset-speeds"))
    remarks = [note.text for note in network.plant.notes if note.kind == "remark"]
    assert [re.findall(r"\(code (\d)\)", remark) for remark in remarks] == [["0"], ["1"], ["2"], ["3"]]
    selector = network.plant.devices["=FC1-S1"]
    for number, remark in enumerate(remarks):
        closed = {f"{path.a}-{path.b}" for path in selector.paths if f"speed-{number + 1}" in path.positions}
        assert ("preset-1 on" in remark) == ("13-14" in closed)
        assert ("preset-2 on" in remark) == ("23-24" in closed)


def test_the_reset_loop_goes_through_the_contacts_of_contactors() -> None:
    text = changed(text_of("emergency-stop"), "use emergency-stop drive=-T1", "use emergency-stop drive=-T1 loop=-K2:22")
    network = judged_text(beside(text, "  device -K2 contactor-12a\n  wire -K1:S33 to -K2:21\n")).network
    assert network is not None
    reset, feed = network.net("=GC1-S7:13"), network.net("=GC1-K1:S33")
    assert reset is not None and set(reset.nodes) == {"=GC1-S7:13", "=GC1-K2:22"}
    assert feed is not None and set(feed.nodes) == {"=GC1-K1:S33", "=GC1-K2:21"}


@each_of("scheme", NETS)
def test_each_example_is_in_canonical_form_and_says_when_to_choose_it(scheme: str) -> None:
    text = text_of(scheme)
    assert format_text(Source("plant.netdsl", text)) == text
    assert re.search("(?i)choose this way", text[: text.index("netdsl 1")].replace("\n# ", " "))
    assert f"use {scheme} " in text


# --- mistakes that a rule reports ---------------------------------------------------------------------------------
FOREIGN = """
  outside -A9 "Another panel" at=+MCP {
    terminal :P supply-out common=:M voltage=24V dc
    terminal :M supply-common
    source :P to :M voltage=24V dc current=1A
  }
"""


def test_a_foreign_24_v_on_the_start_contact() -> None:
    text = beside(text_of("two-wire-start"), FOREIGN + "  wire -A9:P to -X1:2/out\n")
    assert "potentials-joined" in rules(text)


def test_remote_24_v_joined_to_that_of_the_drive() -> None:
    text = beside(text_of("local-remote"), FOREIGN + "  wire -A9:P to -S1:33  along=DUCT2,HINGE1\n")
    assert "potentials-joined" in rules(text)


def test_a_protective_contact_in_the_automatic_branch_only() -> None:
    text = unfolded(
        text_of("local-remote"),
        ("  wire $strip:4 to $drive:(enable)\n", "  wire $strip:4 to $selector:23  along=$door-way\n"),
        ("  wire $strip:5     to $selector:23  along=$door-way\n", ""),
    )
    findings = found_in(text, *TOGETHER)
    assert [(finding.rule, "=HP1-T1:DI4" in finding.message) for finding in findings] == [("terminal-open", True)]


def test_a_selector_that_breaks_the_motor_supply() -> None:
    text = changed(text_of("local-remote"), "-T1:U   to -M1:U1", "-S9:14 to -M1:U1")
    text = beside(text, "  device -S9 selector-2 at=+MCP.D\n  wire -T1:U to -S9:13  2.5mm2 BK along=DUCT2,HINGE1\n")
    assert {"bundle-mixed", "screen-missing"} & set(rules(text))


def test_a_two_wire_transmitter_without_loop_supply() -> None:
    text = unfolded(text_of("closed-loop-two-wire"), ("    1a     $drive:(supply-24v) to $transmitter:+\n", ""))
    findings = found_in(text, *TOGETHER)
    assert [(finding.rule, "=SP1-B1:+" in finding.message) for finding in findings] == [("terminal-open", True)]


def test_a_four_wire_transmitter_also_fed_by_the_drive() -> None:
    text = beside(text_of("closed-loop-four-wire"), "  wire -X1:1/out to -X9:2/out\n")
    assert "potentials-joined" in rules(text)


def test_a_transmitter_in_one_cable_with_230_v() -> None:
    text = unfolded(
        text_of("closed-loop-four-wire"),
        (
            '  cable $signal-cable 1x2x0.75 screened "4..20 mA" length=$length along=$field-way {\n'
            "    1a     $drive:(feedback)        to",
            '  cable $signal-cable 2x2x0.75 screened "4..20 mA" length=$length along=$field-way {\n'
            "    2a     -WB1:L2 to -E9:L\n    2b     -WB1:N to -E9:N\n    1a     $drive:(feedback)        to",
        ),
    )
    text = text.replace("  connect -M1 star\n", "  connect -M1 star\n  device -E9 heater at=+HALL\n", 1)
    assert "cable-mixed" in rules(text)


def test_an_input_for_safe_torque_off_left_open() -> None:
    text = unfolded(text_of("emergency-stop"), ("    1      $relay:14    to $drive:(safe-torque-off-1)\n", ""))
    findings = found_in(text, *TOGETHER)
    assert [(finding.rule, "=GC1-T1:STO1" in finding.message) for finding in findings] == [("terminal-open", True)]


def test_a_screen_of_safe_torque_off_that_is_not_earthed() -> None:
    text = unfolded(text_of("emergency-stop"), ("    screen $bar:2 clamp to $drive:(screen-control) clamp\n", ""))
    findings = found_in(text, *TOGETHER)
    assert [(finding.rule, "=GC1-W14" in finding.message) for finding in findings] == [("screen-unterminated", True)]
