"""`check --fix` mends what the text alone can, shows it first, and touches no other line."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from lint.frame import FRAME
from netdsl.cli import main
from netdsl.cli.work import judge
from netdsl.findings import Source
from netdsl.syntax import format_text, parse

MOTOR = """\
device -T1 drive at=+MCP
device -M1 motor at=+HALL
wire -T1:PE to -XE1:3 6mm2 GNYE
cable -W1 4G2.5 screened length=5m method=C {
  BN   -T1:U   to -M1:U1
  BK   -T1:V   to -M1:V1
  GY   -T1:W   to -M1:W1
  GNYE -T1:PE2 to -M1:PE
  screen -T1:SH clamp to -M1:SH gland
}
"""
#: what is made wrong, the rule that says so
FAULTS = {
    "colour": ("wire -T1:PE to -XE1:3 6mm2 GNYE", "wire -T1:PE to -XE1:3 6mm2 BK", "earth-colour"),
    "screen": ("screen -T1:SH clamp to -M1:SH gland", "screen -M1:SH gland", "screen-unterminated"),
    "earth at the bar": ("GNYE -T1:PE2 to", "GNYE -XE1:4 to", "earth-not-at-drive"),
    "count": (
        "device -M1",
        "wire -WB1:L1,L2,L3 to -F5:1,3 4mm2 BK\ndevice -F5 mcb-3p at=+MCP current=10A\ndevice -M1",
        "count-mismatch",
    ),
}


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as leaving:
        main(list(arguments))
    return int(leaving.value.code or 0)


def plant_of(folder: Path, text: str) -> Path:
    plant = folder / "plant.netdsl"
    plant.write_text(text, "utf-8")
    return plant


@pytest.mark.parametrize(("right", "wrong", "rule"), FAULTS.values(), ids=FAULTS.keys())
def test_a_fault_is_mended_and_no_other_line_touched(right: str, wrong: str, rule: str, tmp_path: Path) -> None:
    text = FRAME + MOTOR.replace(right, wrong)
    plant = plant_of(tmp_path, text)
    assert rule in {finding.rule for finding in judge(plant).findings}
    run("check", str(plant), "--fix", "--yes")
    after = plant.read_text("utf-8")
    assert rule not in {finding.rule for finding in judge(plant).findings}
    before = text.splitlines()
    changed = [(one, other) for one, other in zip(before, after.splitlines(), strict=True) if one != other]
    assert len(changed) == 1
    assert not parse(Source("plant.netdsl", after))[1]


def test_a_text_in_canonical_form_stays_in_it(tmp_path: Path) -> None:
    text = format_text(
        Source("plant.netdsl", FRAME + MOTOR.replace("screen -T1:SH clamp to -M1:SH gland", "screen -M1:SH gland"))
    )
    assert text is not None
    plant = plant_of(tmp_path, text)
    run("check", str(plant), "--fix", "--yes")
    after = plant.read_text("utf-8")
    assert after != text
    assert format_text(Source("plant.netdsl", after)) == after


def test_without_a_yes_it_is_shown_and_not_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    text = FRAME + MOTOR.replace("6mm2 GNYE", "6mm2 BK")
    plant = plant_of(tmp_path, text)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False, raising=False)
    assert run("check", str(plant), "--fix") == 1
    said = capsys.readouterr().err
    assert "-wire -T1:PE to -XE1:3 6mm2 BK" in said and "+wire -T1:PE to -XE1:3 6mm2 GNYE" in said
    assert "nothing is written" in said
    assert plant.read_text("utf-8") == text


def test_what_would_invent_a_fact_is_left(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = FRAME + MOTOR.replace("wire -T1:PE to -XE1:3 6mm2 GNYE\n", "")
    plant = plant_of(tmp_path, text)
    assert run("check", str(plant), "--fix", "--yes") == 1
    assert "nothing that the text alone can mend" in capsys.readouterr().err
    assert plant.read_text("utf-8") == text


def test_the_mark_of_the_bytes_order_and_the_line_ends_stay(tmp_path: Path) -> None:
    text = (FRAME + MOTOR.replace("6mm2 GNYE", "6mm2 BK")).replace("\n", "\r\n")
    plant = tmp_path / "plant.netdsl"
    plant.write_bytes(b"\xef\xbb\xbf" + text.encode())
    run("check", str(plant), "--fix", "--yes")
    after = plant.read_bytes()
    assert after == b"\xef\xbb\xbf" + text.replace("6mm2 BK", "6mm2 GNYE").encode()


@pytest.mark.parametrize(
    "text",
    [
        # one pole named: the others may as well not be meant to be there
        "device -F5 mcb-3p at=+MCP current=10A\nwire -WB1:L1,L2,L3 to -F5:1 4mm2 BK\n",
        # the ends of a load are no poles that go together: to join both to one contact would short its source
        "device -E5 heater at=+MCP\nwire -WB1:L1,N to -E5:L 1.5mm2 BK\n",
        # the third pole has its wire already
        "device -F5 mcb-3p at=+MCP current=10A\nwire -WB1:L3 to -F5:5 4mm2 BK\nwire -WB1:L1,L2,L3 to -F5:1,3 4mm2 BK\n",
    ],
    ids=["one pole", "a load", "taken"],
)
def test_a_count_with_several_readings_is_left(text: str, tmp_path: Path) -> None:
    plant = plant_of(tmp_path, FRAME + text)
    (finding,) = [finding for finding in judge(plant).findings if finding.rule == "count-mismatch"]
    assert finding.fix == ()


HEATER = """\
device -F5 mcb-1p at=+MCP current=6A
device -E5 heater at=+MCP
wire -WB1:L1 to -F5:1 1.5mm2 BK
wire -F5:2 to -E5:L 1.5mm2 BK
"""


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("", ""),
        ("ways=12", "ways=2"),  # no way of the bar is free
        ("defaults within=+MCP class=earth length=1m\n", ""),  # nothing says how long it is
        ("device -E5 heater at=+MCP", "device -E5 heater at=+HALL"),  # which way it takes is not known
        ("-WB1:L1 to -F5:1 1.5mm2", "-WB1:L1 to -F5:1 1.5mm2\nwire -E5:PE to -F5:2 1.5mm2"),  # its terminal is taken
    ],
    ids=["all there", "bar full", "no length", "in the field", "terminal taken"],
)
def test_a_protective_conductor_is_written_where_nothing_of_it_is_invented(right: str, wrong: str, tmp_path: Path) -> None:
    text = (FRAME + HEATER).replace(right, wrong) if right else FRAME + HEATER
    plant = plant_of(tmp_path, text)
    missing = [finding for finding in judge(plant).findings if finding.rule == "earth-missing"]
    assert missing
    edits = [edit.text for finding in missing for edit in finding.fix]
    assert edits == ([] if right else ["\nwire -E5:PE to -XE1:3 1.5mm2 GNYE"])


SCREENS = """\
device -T1 drive at=+MCP
device -B1 transmitter at=+HALL
device -B2 transmitter at=+HALL
wire -T1:PE to -XE1:3 6mm2 GNYE
cable -W2 2x0.75 screened length=10m {
  BN -T1:AI1 to -B1:+
  BU -T1:AC to -B1:-
  screen -B1 open
}
cable -W3 2x0.75 screened length=10m {
  BN -T1:THP to -B2:+
  BU -T1:THN to -B2:-
  screen -B2 open
}
"""


def test_two_screens_are_not_led_to_one_clamp(tmp_path: Path) -> None:
    plant = plant_of(tmp_path, FRAME + SCREENS)
    edits = [edit.text for finding in judge(plant).findings if finding.rule == "screen-unterminated" for edit in finding.fix]
    assert edits == [" to -T1:SH clamp"]


@pytest.mark.parametrize("bars", [0, 2])
def test_a_screen_is_led_to_no_bar_where_none_or_several_could_be_meant(bars: int, tmp_path: Path) -> None:
    text = "".join(f"device -XS{number} screen-bar at=+MCP ways=2\n" for number in range(1, bars + 1))
    text += SCREENS.replace("  terminal :SH screen", "").replace("-T1", "-K9").replace("-K9 drive", "-K9 thermistor-relay")
    text = text.replace("wire -K9:PE to -XE1:3 6mm2 GNYE\n", "").replace("-K9:THP", "-K9:T1").replace("-K9:THN", "-K9:T2")
    text = text.partition("cable -W2")[0] + "cable -W3" + text.partition("cable -W3")[2]
    findings = judge(plant_of(tmp_path, FRAME + text)).findings
    (finding,) = [finding for finding in findings if finding.rule == "screen-unterminated"]
    assert finding.fix == ()


def test_what_brings_another_finding_is_left_and_the_rest_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # the third pole is wired further down: to name it here as well would join two conductors to it
    poles = "device -F5 mcb-3p at=+MCP current=10A\nwire -WB1:L1,L2,L3 to -F5:1,3 4mm2 BK\nwire -WB1:L2 to -F5:5 4mm2 BK\n"
    plant = plant_of(tmp_path, FRAME + MOTOR.replace("6mm2 GNYE", "6mm2 BK") + poles)
    run("check", str(plant), "--fix", "--yes")
    assert "what would mend `count-mismatch` at plant.netdsl:" in capsys.readouterr().err
    after = plant.read_text("utf-8")
    assert "to -F5:1,3 4mm2" in after
    assert "wire -T1:PE to -XE1:3 6mm2 GNYE" in after
