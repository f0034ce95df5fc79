"""What is said of each item: proposed or kept, with the check that decided; not decidable, with what is missing; or none fits,
with what stands in the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli.work import connect
from netdsl.sizing import Proposal, Sizing, Verdict, propose

PLANT = """netdsl 1
project "Sizes" {
}
place +MCP "Panel" kind=cabinet
place +HALL "Hall" kind=field
supply -G0 "Site" system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=4kA upstream=fuse-gG-50A
device -XE1 earth-bar at=+MCP ways=8
strip -X1 at=+MCP {
  :1..3 0.5..4mm2
}
device -F1 mcb-3p at=+MCP current=32A curve=C
device -M1 motor at=+HALL power=11kW current=28.5A power-factor=0.85 winding=400/690V
connect -M1 delta
wire -G0:L1,L2,L3 to -F1:1,3,5 16mm2 length=4m method=C
wire -F1:2,4,6 to -X1:1,2,3 4mm2 length=1m method=C
wire -G0:PE to -XE1:1 16mm2 length=4m
cable -W1 4Gauto length=10m method=C {
  BN -X1:1 to -M1:U1
  BK -X1:2 to -M1:V1
  GY -X1:3 to -M1:W1
  GNYE -XE1:2 to -M1:PE
}
"""


def sized(text: str, folder: Path) -> Sizing:
    (folder / "plant.netdsl").write_text(text, "utf-8")
    network = connect(folder / "plant.netdsl").network
    assert network is not None
    return propose(network)


def of(text: str, name: str, folder: Path) -> Proposal:
    return next(proposal for proposal in sized(text, folder).proposals if proposal.item.name == name)


def test_a_proposal_tells_the_check_that_the_next_smaller_size_fails(tmp_path: Path) -> None:
    wide = PLANT.replace("0.5..4mm2", "0.5..16mm2").replace("current=28.5A", "current=22A").replace("current=32A", "current=25A")
    made = of(wide, "cable -W1", tmp_path)
    assert (made.verdict, made.text, made.smaller) == (Verdict.PROPOSED, "4G4", 2.5)
    assert made.because == "overload, capacity: 25 A with 2.5 mm², at most 24 A"
    assert not made.lacking and not made.obstacle


def test_the_clamp_in_the_way_is_named(tmp_path: Path) -> None:
    tight = PLANT.replace("0.5..4mm2", "0.5..2.5mm2").replace("-X1:1,2,3 4mm2", "-X1:1,2,3 2.5mm2")
    made = of(tight, "cable -W1", tmp_path)
    assert (made.verdict, made.size, made.text) == (Verdict.NONE, None, "4Gauto")
    assert made.because == "current carrying capacity: 24 A, at least 28.5 A"
    assert made.obstacle == "not cured up to 2.5 mm², the most that the clamp of `-X1:1` takes"


@pytest.mark.parametrize(
    ("cut", "missing"),
    [
        (
            (" length=10m method=C {", " length=10m {"),
            "current-carrying capacity, overload protection: the method of -W1 is missing",
        ),
        ((" length=10m method=C {", " method=C {"), "fault currents, disconnection, voltage drop: the length of -W1 is missing"),
        ((" fault-current=6kA", ""), "the fault level of -G0 is missing"),
        (("-F1:1,3,5 16mm2", "-F1:1,3,5"), "fault currents, disconnection, voltage drop: the section of "),
        (("current=32A ", ""), "overload protection, disconnection, let-through: the rated current of -F1 is missing"),
    ],
)
def test_what_could_not_be_computed_is_said_and_nothing_proposed(cut: tuple[str, str], missing: str, tmp_path: Path) -> None:
    assert cut[0] in PLANT
    made = of(PLANT.replace("0.5..4mm2", "0.5..16mm2").replace(*cut), "cable -W1", tmp_path)
    assert (made.verdict, made.size, made.holds) == (Verdict.UNDECIDABLE, None, False)
    assert missing in made.lacking
    assert made.because.startswith("what could be checked asks for no less than 4G")


def test_a_short_circuit_that_nothing_stated_breaks_is_no_pass(tmp_path: Path) -> None:
    made = of(PLANT.replace(" upstream=fuse-gG-50A", ""), "wire -G0:L1 -- -F1:1 and 2 more", tmp_path)
    assert made.verdict is Verdict.UNDECIDABLE
    assert made.lacking == "short circuit: nothing that breaks one ahead of it in time is stated; `upstream=` of -G0"


def test_a_smaller_rating_that_cures_is_said(tmp_path: Path) -> None:
    text = PLANT.replace("current=28.5A", "current=15A").replace("0.5..4mm2", "0.5..2.5mm2").replace("1,2,3 4mm2", "1,2,3 2.5mm2")
    sizing = sized(text, tmp_path)
    found = dict(zip((result.key for result in sizing.unresolved), sizing.cures, strict=True))
    assert found["overload.capacity -W1"] == "16 A for -F1 instead of 32 A"


def test_a_written_size_that_all_checks_ask_for_is_kept_and_one_of_an_unknown_load_is_not_decidable(tmp_path: Path) -> None:
    text = (
        PLANT.replace("0.5..4mm2", "0.5..16mm2")
        + "device -F9 mcb-1p at=+MCP current=16A curve=C\nwire -F1:2 to -F9:1 4mm2 length=1m method=C\n"
    )
    made = {proposal.item.name: proposal for proposal in sized(text, tmp_path).proposals}
    assert (made["-F1"].verdict, made["-F1"].text, made["-F1"].smaller) == (Verdict.KEPT, "32A", 25)
    assert (made["-F9"].verdict, made["-F9"].because) == (Verdict.UNDECIDABLE, "nothing behind it states a current")


def test_no_words_contradict_each_other(tmp_path: Path) -> None:
    """Only what has a size speaks of checks that are kept; only what has none of what fails or is missing."""
    for text in (PLANT, PLANT.replace(" method=C {", " {"), PLANT.replace("0.5..4mm2", "0.5..2.5mm2")):
        for made in sized(text, tmp_path).proposals:
            assert made.holds == (made.size is not None or made.because == "no check here is about it")
            assert not made.holds or not (made.lacking or made.obstacle)
            assert made.verdict is not Verdict.NONE or made.obstacle, made
            assert made.verdict is not Verdict.UNDECIDABLE or made.lacking or made.size is None


def test_a_rating_less_than_the_series_begins_with_may_stay(tmp_path: Path) -> None:
    text = PLANT + "device -F9 mcb-1p at=+MCP current=1A curve=C\n"
    text += "device -E9 heater at=+HALL power=100W voltage=230V\nwire -G0:L1 to -F9:1 1.5mm2 length=1m method=C\n"
    text += "cable -W9 3G1.5 length=5m method=C {\n  BN -F9:2 to -E9:L\n  BU -G0:N to -E9:N\n  GNYE -XE1:3 to -E9:PE\n}\n"
    made = of(text, "-F9", tmp_path)
    assert (made.verdict, made.text) == (Verdict.KEPT, "1A")
