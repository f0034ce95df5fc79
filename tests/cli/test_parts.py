"""`netdsl parts` as a person meets it."""

from __future__ import annotations

import os
import pty
from pathlib import Path

import pytest

from netdsl.cli import main
from tests.forked import code_of_copy

pytestmark = pytest.mark.forks


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as leaving:
        main(list(arguments))
    assert isinstance(leaving.value.code, int)
    return leaving.value.code


def test_without_a_word_all_names_by_kind(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("parts") == 0
    out = capsys.readouterr().out
    lines = out.splitlines()
    assert lines.index("contactor") < lines.index("drive") < lines.index("scheme")
    assert "vsd-15kw" in out and "two-wire-start" in out
    assert max(map(len, lines)) <= 100
    assert "\x1b" not in out


def test_with_a_word_terminals_and_ratings(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("parts", "reactor") == 0
    out = capsys.readouterr().out
    assert "line-reactor-10a  Line reactor 10 A, three-phase, 4 %" in out
    assert "current 10 A" in out and "line-in           1, 3, 5;" in out
    assert "contactor" not in out


def test_an_empty_word_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("parts", " ") == 0
    assert "drive\n" in capsys.readouterr().out


def test_an_unknown_word_gets_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("parts", "reacter") == 1
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "`reacter`" in captured.err and "did you mean `reactor`?" in captured.err


@pytest.mark.parametrize("word", ["qqqqqqqq", "a" * 5000, "ß東"])
def test_a_strange_word_gets_a_sentence(word: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run("parts", word) == 1
    err = capsys.readouterr().err
    assert err.startswith("netdsl: no shipped part or scheme has") and err.count("\n") == 1


def test_help_has_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("parts", "--help") == 0
    assert "netdsl parts vsd-15kw" in capsys.readouterr().out


def on_a_terminal_of_colours() -> None:
    os.environ.pop("NO_COLOR", None)
    os.environ["TERM"] = "xterm"


def test_a_terminal_gets_its_styles() -> None:
    ours, theirs = pty.openpty()
    assert code_of_copy(["parts", "selector-2-key"], Path.cwd(), (theirs, theirs, theirs), on_a_terminal_of_colours) == 0
    assert b"\x1b[1m" in os.read(ours, 65536)
