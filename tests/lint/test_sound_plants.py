"""Plants as they are built pass without a finding; broken in one way, each gives the one finding that names the cause."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli.work import Judged, judge
from tests.rules_together import together
from tests.said import Kept, said

PLANTS = Path(__file__).parent / "plants"
#: all that is said of each
SAID = Kept(Path(__file__).parent / "golden" / "plants.txt")

#: plant, what is written, what is put in its place, the rule, what the finding is about first, words of its message
BREAKS = (
    # protection of persons
    (
        "drive-behind-type-b",
        "rcd-4p-b-300 at=+MCP",
        "rcd-4p-a residual-current=300mA at=+MCP",
        "residual-device",
        "-F1",
        "type A feeds the three-phase drive `-T1`",
    ),
    ("tt-groups", "earth-resistance=40ohm", "earth-resistance=400ohm", "fault-loop", "-WB1", "400 Ω, but `-F0`"),
    ("selective-fuses", "length=120m", "length=500m", "fault-loop", "-WB2", "97 % of it in `-W10`"),
    ("selective-fuses", "cable -W10 5G25", "cable -W10 4x25+1G2.5", "fault-loop", "-WB2", "98 % of it in `-W10`"),
    (
        "sub-panel",
        "cable -W1 4G1.5 length=15m",
        "cable -W1 4G1.5 length=400m",
        "fault-loop",
        "=FL1-M1",
        "98 % of it in `=FL1-W1`",
    ),
    ("heaters", "4G2.5 length=15m", "4G2.5 length=450m", "fault-loop", "=HB1-E1", "99 % of it in `=HB1-W1`"),
    (
        "drive-behind-type-b",
        "wire -T1:PE to -XE1:3 10mm2",
        "wire -T1:PE to -XE1:3 4mm2",
        "earth-undersized",
        "-T1:PE -- -XE1:3",
        "touch current of `-T1`",
    ),
    (
        "sub-panel",
        "wire -X20:PE to -XE2:1 10mm2",
        "wire -X20:PE to -XE2:1 0.75mm2",
        "earth-undersized",
        "-X20:PE -- -XE2:1",
        "has 0.75 mm²",
    ),
    ("tn-c-riser", "to +MCP:PE    16mm2", "to +MCP:PE    2.5mm2", "earth-undersized", "-XE1:3 -- +MCP:PE", "has 2.5 mm²"),
    ("tn-c-riser", "cable -W0 4G35", "cable -W0 4G6", "earth-undersized", "-W0", "least section of a PEN conductor is 10 mm²"),
    ("parallel-cables", "cable -W0B 5G70", "cable -W0B 4x70+1G6", "earth-undersized", "-W0B", "has 6 mm²"),
    ("tn-c-riser", "wire -XE1:2       to -WB1:N         35mm2 BU", "", "return-missing", "-E5", "connected at `-WB1:N`"),
    # overcurrent
    (
        "sub-panel",
        "device -Q1 motor-breaker-4a\n  set -Q1 tripping-current=3.5A",
        "device -Q1 mcb-3p-c current=6A",
        "motor-unprotected",
        "=FL1-M1",
        "no overload protection of its own",
    ),
    (
        "selective-fuses",
        "device -Q1 motor-breaker-4a",
        "device -Q1 motor-breaker-4a breaking=1kA",
        "breaking-capacity",
        "=FL1-Q1",
        "breaks 1 kA",
    ),
    (
        "star-delta",
        "set -B1 tripping-current=28.5A",
        "set -B1 tripping-current=32A",
        "overload-setting",
        "=CP1-B1",
        "set to 32 A",
    ),
    ("control-transformer", '"230 V control" current=1A', '"230 V control" current=16A', "overload", "=PP1-F3", "16 A"),
    (
        "single-phase-drive",
        '"Main, drive" at=+MCP current=20A',
        '"Main, drive" at=+MCP current=32A',
        "drive-protection",
        "=FS1-T1",
        "allows 25 A ahead of it, `-Q0` has 32 A",
    ),
    (
        "sockets-and-lights",
        "-WB1:L1 to -F1:1 6mm2",
        "-WB1:L1 to -F1:1 2.5mm2",
        "overload",
        "-WB1:L1 -- -F1:1",
        "`-F1` lets 16 A flow",
    ),
    (
        "taps",
        "1,3,5 16mm2\n  wire -K1:2,4,6 to -B1:1,3,5 16mm2",
        "1,3,5 10mm2\n  wire -K1:2,4,6 to -B1:1,3,5 10mm2",
        "overload",
        "=PP2-F1:2 -- =PP2-K1:1",
        "`=PP2-K1:2 -- =PP2-B1:1` carry 26.4 A as laid",
    ),
    (
        "looped",
        "=PP3-Q1:1,3,5 4mm2",
        "=PP3-Q1:1,3,5 2.5mm2",
        "overload",
        "-WB1:L1 -- =PP1-Q1:1",
        "`=PP1-Q1` and what is fed beside it let 14.7 A flow together",
    ),
    (
        "taps",
        "-Q0:1,3,5      35mm2\nwire -Q0:2,4,6    to -WB1:L1,L2,L3  35mm2",
        "-Q0:1,3,5      10mm2\nwire -Q0:2,4,6    to -WB1:L1,L2,L3  10mm2",
        "overload",
        "-X0:L1 -- -Q0:1",
        "what protects the branches behind `-WB1` lets",
    ),
    ("taps", "overload-relay-32a", "overload-relay-25a", "out-of-range", "", "`28.5A` lies outside `17..25A`"),
    (
        "thermistor-relay",
        "mcb-3p-d current=13A",
        "mcb-3p-d current=32A",
        "overload",
        "-WB1:L1 -- =BL1-Q1:1",
        "carry 16.8 A and `=BL1-W1` carries 25 A as laid",
    ),
    ("sub-panel", "4G1.5 length=15m", "4G0.75 length=15m", "fault-withstand", "=FL1-W1", "has 0.75 mm²"),
    (
        "sub-panel",
        '5G10 "feeder" length=35m',
        '5G10 "feeder"',
        "data-missing",
        "-W10",
        "length of `-W10` not stated in the circuit of `-Q10` and of what it feeds",
    ),
    (
        "generator",
        "0.6kA earth-fault-current=0.5kA",
        "0.2kA earth-fault-current=0.15kA",
        "fault-loop",
        "-WB1",
        "98 % of it in `-G1`",
    ),
    (
        "sockets-and-lights",
        "wire -WB1:N to -F1:N1 6mm2",
        "wire -WB1:N to -F1:N1 2.5mm2",
        "neutral-undersized",
        "-WB1:N -- -F1:N1",
        "its phases have 6 mm²",
    ),
    # sizes of equipment
    (
        "thermistor-relay",
        "contactor-12a",
        "contactor-12a current=6A",
        "contactor-undersized",
        "=BL1-K1",
        "motor `=BL1-M1` takes 8.5 A",
    ),
    (
        "star-delta",
        "device -K1 contactor-32a",
        "device -K1 contactor-9a",
        "contactor-undersized",
        "=CP1-K1",
        "takes 16.5 A, 0.58 of 28.5 A",
    ),
    (
        "bypass",
        "device -K2 contactor-12a",
        "device -K2 contactor-12a current=6A",
        "contactor-undersized",
        "=OB1-K2",
        "takes 8.5 A",
    ),
    ("three-pumps", "vsd-7.5kw", "vsd-5.5kw", "drive-undersized", "=CP1-T1", "together take 14.7 A"),
    (
        "three-pumps",
        'number = "SP-21"',
        'number = "SP-21" altitude=3000m',
        "drive-undersized",
        "=CP1-T1",
        "gives 13.6 A of its 17 A where it stands",
    ),
    ("sockets-and-lights", "size=800x1600x300mm", "size=300x400x150mm", "enclosure-hot", "+MCP", "40 °C is the highest allowed"),
    (
        "sockets-and-lights",
        "cable -W31 3G2.5 length=20m",
        "cable -W31 3G2.5 length=200m",
        "voltage-drop",
        "-XS1",
        "`-W31` 98 % of it",
    ),
    ("single-phase-drive", "connect -M1 delta", "connect -M1 star", "winding-connection", "=FS1-M1", "takes 230 V in delta"),
    ("taps", "poles=4 current=125A", "poles=4 current=20A", "rating-exceeded", "-WB1", "`-WB1` is rated 20 A and carries 35.7 A"),
    (
        "heaters",
        "current = 20A   utilisation = AC-1",
        "current = 9A   utilisation = AC-1",
        "rating-exceeded",
        "=HB2-K1",
        "is rated 9 A and carries 13 A",
    ),
    (
        "drive-behind-type-b",
        "rcd-4p-b-300 at=+MCP current=40A",
        "rcd-4p-b-300 at=+MCP current=4A",
        "rating-exceeded",
        "-F1",
        "is rated 4 A and carries 7.8 A",
    ),
    (
        "sockets-and-lights",
        "device -XS1 socket at=+HALL",
        "device -XS1 socket at=+HALL current=10A",
        "rating-exceeded",
        "-XS1",
        "`-F1` before it lets 16 A flow",
    ),
    # control voltage and signals
    ("24v-branches", "supply-24v-20a", "supply-24v-20a current=0.1A", "source-overloaded", "-T9", "gives at most 0.1 A"),
    (
        "24v-branches",
        "supply-24v-20a",
        "supply-24v-2.5a",
        "supply-cannot-trip",
        "-F1",
        "`-F1`, `-F2`, `-F3` are certain to trip at 10.8 A each",
    ),
    (
        "level-loop",
        'panel-meter "Level"',
        'panel-meter "Level" burden=600ohm',
        "loop-burden",
        "-B1",
        "it can drive 600 ohm at most",
    ),
)


def broken(plant: str, before: str, after: str) -> Judged:
    """A plant with one thing changed, among the others, which it includes."""
    file = PLANTS / f"{plant}.netdsl"
    text = file.read_text("utf-8")
    assert before in text
    return judge(file, instead={file.name: text.replace(before, after, 1)})


@pytest.mark.parametrize("plant", sorted(PLANTS.glob("*.netdsl")), ids=lambda plant: plant.stem)
def test_a_sound_plant_passes(plant: Path) -> None:
    found = judge(plant)
    assert [finding.message for finding in together(found.findings)] == []
    SAID.holds(plant.stem, said(found))


@pytest.mark.parametrize(
    ("plant", "before", "after", "rule", "subject", "words"), BREAKS, ids=[f"{b[0]} {b[3]} {n}" for n, b in enumerate(BREAKS)]
)
def test_broken_in_one_way_it_names_the_cause(plant: str, before: str, after: str, rule: str, subject: str, words: str) -> None:
    judged = broken(plant, before, after)
    found = together(judged.findings)
    assert [finding.rule for finding in found] == [rule], [finding.message for finding in found]
    assert (*found[0].subjects, "")[0] == subject and words in found[0].message
    assert found[0].remedy
    SAID.holds(f"{plant}, {after!r}", said(judged, counted=False))


def test_in_a_tt_system_the_remedy_is_a_residual_device_or_an_electrode() -> None:
    (finding,) = together(broken("tt-groups", "earth-resistance=40ohm", "earth-resistance=400ohm").findings)
    assert finding.remedy == (
        "put a residual-current device of 125 mA or less ahead of it, or bring the earth resistance to 100 Ω or less"
    )
