"""The files for editors: a grammar in step with the language, an extension that starts, a package that is the same every time."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from netdsl.editor import build, pack
from netdsl.syntax.words import USAGE

ROOT = Path(__file__).parents[2]


def test_the_grammar_has_the_words_of_the_language() -> None:
    assert build.GRAMMAR.read_text("utf-8") == build.text(), "python -m netdsl.editor.build"
    first, inner = build.words()
    assert set(USAGE) <= set(first)
    assert {"to", "because", "until", "on"} <= set(inner)


def test_each_statement_of_the_examples_begins_with_a_keyword_for_colours() -> None:
    keyword = next(each["match"] for each in build.grammar()["patterns"] if each.get("name", "").startswith("keyword.control"))
    for file in sorted((ROOT / "examples").glob("*/plant.netdsl")):
        for line in file.read_text("utf-8").split("\n"):
            words = line.split()
            if words and words[0] in USAGE and not line.startswith(" "):
                assert re.match(keyword, line), line
    assert not re.match(keyword, "wires -X1:1") and re.match(keyword, "  end-plate")


def test_the_package_holds_what_the_manifest_names_and_is_the_same_again(tmp_path: Path) -> None:
    one, other = tmp_path / "one.vsix", tmp_path / "other.vsix"
    pack.pack(one)
    pack.pack(other)
    assert one.read_bytes() == other.read_bytes()
    with zipfile.ZipFile(one) as packed:
        about = json.loads(packed.read("extension/package.json"))
        held = set(packed.namelist())
    named = (about["main"], about["contributes"]["grammars"][0]["path"], about["contributes"]["languages"][0]["configuration"])
    assert {f"extension/{name.removeprefix('./')}" for name in named} <= held


@pytest.mark.skipif(shutil.which("node") is None, reason="node, which runs extensions of editors, is not installed")
def test_the_extension_shows_what_the_server_says(tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text('netdsl 1\nproject "P" {\n}\nplace +A "Panel" kind=cabinet\ndevice -Q1 mcb-9p at=+A\n', "utf-8")
    command = tmp_path / "netdsl"
    command.write_text(f'#!/bin/sh\nPYTHONPATH="{ROOT}" exec "{sys.executable}" -m netdsl.cli "$@"\n', "utf-8")
    command.chmod(0o755)
    extension = pack.FOLDER / "extension.js"
    done = subprocess.run(
        ("node", str(Path(__file__).with_name("activate.js")), str(extension), str(command), str(file), "3", "7"),
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert "unknown-part" in done.stdout and "**+A** Panel" in done.stdout, done.stderr
