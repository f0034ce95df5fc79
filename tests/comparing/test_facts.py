"""`netdsl facts`: the same whatever order and layout the text has, and another for every change of meaning."""

from __future__ import annotations

import csv
import io
import json
import os
import random
from pathlib import Path

import pytest

from netdsl.cli import main
from netdsl.comparing import Fact, listed
from tests.comparing.written import laid_out, network_in, text_of
from tests.readings import HATCHERY, network_of

CASES = int(os.environ.get("NETDSL_LAYOUTS", "8"))


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> tuple[Fact, ...]:
    return listed(network_in(tmp_path_factory.mktemp("plain"), text_of()))


@pytest.mark.parametrize("seed", range(CASES))
def test_order_spaces_and_comments_change_no_fact(seed: int, plain: tuple[Fact, ...], tmp_path: Path) -> None:
    assert listed(network_in(tmp_path, laid_out(random.Random(seed)))) == plain


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("-K1:A2 to -T9:-", "-T9:- to -K1:A2"),
        ("length=12m", "length=1200cm"),
        ("motor-current=7.5A", "motor-current=7500mA"),
        ("bridge :1..2", "bridge :2,1"),
        ("interlock -K1 -K2", "interlock -K2 -K1"),
        ("wire -X1:2 to -K2:A1 1.5mm2", "wire -K2:A1 to -X1:2 1.5mm2 DBU length=200cm"),
    ],
)
def test_other_words_for_the_same_change_no_fact(old: str, new: str, plain: tuple[Fact, ...], tmp_path: Path) -> None:
    assert old in text_of()
    assert listed(network_in(tmp_path, text_of().replace(old, new))) == plain


@pytest.mark.parametrize(
    ("old", "new", "gone", "come"),
    [
        (
            "length=12m",
            "length=13m",
            {("cable", "=RA1-W1", "12 m"), ("conductor", "=RA1-W1 1", "12 m"), ("conductor", "=RA1-W1 2", "12 m")},
            {("cable", "=RA1-W1", "13 m"), ("conductor", "=RA1-W1 1", "13 m"), ("conductor", "=RA1-W1 2", "13 m")},
        ),
        ("ai2=4..20mA", "ai2=0..20mA", {("device", "-T1", "4..20mA")}, {("device", "-T1", "0..20mA")}),
        ("mechanical", "electrical", {("interlock", "-K1 and -K2", "mechanical")}, {("interlock", "-K1 and -K2", "electrical")}),
        (
            'because "the quay is near"',
            'because "measured"',
            {("exception", "cable-short =RA1-W1", "the quay is near")},
            {("exception", "cable-short =RA1-W1", "measured")},
        ),
        ("bridge :1..2", "bridge :2..3", {("device", "-X1", "yes")}, {("device", "-X1", "yes")}),
    ],
)
def test_a_change_of_meaning_is_the_facts_that_it_changes(
    old: str,
    new: str,
    gone: set[tuple[str, str, str]],
    come: set[tuple[str, str, str]],
    plain: tuple[Fact, ...],
    tmp_path: Path,
) -> None:
    changed = listed(network_in(tmp_path, text_of().replace(old, new)))
    assert {(fact.kind, fact.subject, fact.value) for fact in set(plain) - set(changed)} == gone
    assert {(fact.kind, fact.subject, fact.value) for fact in set(changed) - set(plain)} == come


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    with pytest.raises(SystemExit) as left:
        main(["facts", *arguments])
    assert isinstance(left.value.code, int)
    return left.value.code, capsys.readouterr().out


def test_three_forms_say_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    plant = str(HATCHERY.parent)
    facts = listed(network_of(HATCHERY))
    assert len(set(facts)) == len(facts) > 3000
    code, text = printed(capsys, plant)
    assert code == 0
    assert text.splitlines() == [f"{kind} {subject} | {name}: {value}" for kind, subject, name, value in facts]
    assert "conductor =RP1-W1 BN | way: TRAY1" in text.splitlines()
    rows = list(csv.reader(io.StringIO(printed(capsys, plant, "--format", "csv")[1])))
    assert rows == [["kind", "subject", "name", "value"], *map(list, facts)]
    assert json.loads(printed(capsys, plant, "--format", "json")[1]) == [fact._asdict() for fact in facts]


def test_what_cannot_be_read_is_said(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert printed(capsys, str(tmp_path / "none"))[0] == 2
    (tmp_path / "plant.netdsl").write_text(text_of() + "wire -X1:1 to -X9:1\n", encoding="utf-8")
    code, text = printed(capsys, str(tmp_path))
    assert code == 1 and "device -K1 | part: contactor-12a" in text
