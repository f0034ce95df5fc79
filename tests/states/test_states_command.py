"""`netdsl states`: what it prints, the table for the bench, sequences, exit codes."""

from __future__ import annotations

from pathlib import Path

import pytest

from netdsl.cli import main

ROOT = Path(__file__).parents[2]


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as leaving:
        main(["states", *arguments])
    assert isinstance(leaving.value.code, int)
    return leaving.value.code


def test_it_says_what_gets_voltage_and_by_which_way(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(f"{ROOT}/examples/mains-bypass", "--set", "=OB1-B2=on", "--set", "=OB1-S1=auto") == 0
    said = capsys.readouterr().out
    assert (
        '=OB1-K1 "Drive to motor": on\n    -T9:+ > -F2:1-2 > =OB1-S1:23-24 > =OB1-K2:21-22 > =OB1-K1:A1 | =OB1-K1:A2 > -T9:-'
        in said
    )
    assert '=OB1-K2 "Mains to motor": off, open: =OB1-K4:15-18, =OB1-K1:21-22, =OB1-S1:13-14' in said
    assert "=OB1-T1:DI1 (start)" in said
    assert "=OB1-M1: the output of =OB1-T1" in said
    assert "isolate, lock off, wait for the DC link to discharge, prove dead" in said
    assert "No proof of safety" in said


def test_a_dead_source_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(f"{ROOT}/examples/direct-on-line", "--set", "-T9:voltage=off", "--set", "=TD1-S1=on") == 0
    assert "-T9 gives no voltage" in capsys.readouterr().out


def test_a_sequence_is_told_step_by_step(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(f"{ROOT}/examples/star-delta", "--sequence", "=WP1-S1=push; wait; =WP1-S2=push") == 0
    said = capsys.readouterr().out
    assert "1. =WP1-S1=push: =WP1-K3 pulls, =WP1-K4 pulls, =WP1-K1 pulls\n" in said
    assert "2. wait: delayed contact 15-18 of =WP1-K4 closes, =WP1-K3 drops, =WP1-K2 pulls\n" in said


def test_the_bench_test_switches_on_and_off_and_can_be_ticked(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(f"{ROOT}/examples/direct-on-line", "--table") == 0
    rows = [line.rstrip() for line in capsys.readouterr().out.split("\n")]
    for operated, seen in (
        ("press =TD1-S1", "=TD1-K1 pulls"),
        ("press =TD1-S2", "=TD1-K1 drops"),
        ("switch =TD1-Q1 off", "=TD1-K1 drops"),
    ):
        assert any(operated in row and seen in row and row.endswith("[ ]") for row in rows), operated


def test_the_bench_test_plays_a_given_sequence(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(f"{ROOT}/examples/direct-on-line", "--table", "--sequence", "=TD1-S1=push") == 0
    rows = [line for line in capsys.readouterr().out.split("\n") if "[ ]" in line]
    assert [row.split()[0] for row in rows] == ["0", "1", "2"]
    assert "nothing changes" in rows[2]


def test_an_unknown_operation_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(f"{ROOT}/examples/reversing", "--set", "=SG1-S9=on") == 2
    assert "did you mean `=SG1-S" in capsys.readouterr().err


def test_proofs_name_what_keeps_poles_apart(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(f"{ROOT}/examples/star-delta", "--proofs") == 0
    said = capsys.readouterr().out
    assert (
        "never: the mechanical interlock of =WP1-K2 and =WP1-K3 keeps them apart whatever the coils do; "
        "the coil circuits alone do not" in said
    )
    assert "Contacts that stick and wires that break are left out" in said


def test_proofs_tell_the_way_to_a_fault(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(f"{ROOT}/examples/faults/output-backfed", "--proofs") == 0
    said = capsys.readouterr().out
    assert "joined: 1. turn -S1 to auto: -K1 pulls; 2. turn -S1 to hand: -K2 pulls before -K1 drops" in said
    assert "-T1:U > -K1:1-2 > -K2:2-1 > -B1:2-1 > -Q2:2-1 > -Q0:2-1 > -G0:L1" in said
