"""The files for editors: a grammar in step with the language, an extension that starts, a package that is the same every time."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import pytest

from netdsl.editor import build, pack
from netdsl.syntax.words import USAGE

ROOT = Path(__file__).parents[2]
#: whether a process can be given no network at all
ALONE = (
    shutil.which("unshare") is not None
    and not subprocess.run(("unshare", "--net", "--map-root-user", "true"), capture_output=True, check=False).returncode
)


def test_the_grammar_has_the_words_of_the_language() -> None:
    assert build.GRAMMAR.read_text("utf-8") == build.text(), "python -m netdsl.editor.build"
    first, inner = build.words()
    assert set(USAGE) <= set(first)
    assert {"to", "because", "until", "on"} <= set(inner)


def test_the_package_holds_what_it_names_and_is_the_same_again(tmp_path: Path) -> None:
    one, other = tmp_path / "one.vsix", tmp_path / "other.vsix"
    for target in (one, other):  # where no name can be looked up and nothing is reached
        command = ("unshare", "--net", "--map-root-user") if ALONE else ()
        subprocess.run((*command, sys.executable, "-m", "netdsl.editor.pack", str(target)), cwd=ROOT, timeout=60, check=True)
    assert one.read_bytes() == other.read_bytes()
    with zipfile.ZipFile(one) as packed:
        assert packed.testzip() is None
        held = {name: packed.read(name) for name in packed.namelist()}
    # the package: a kind for each file in it, a manifest that leads to the extension
    kinds = {each.attrib["Extension"] for each in ElementTree.fromstring(held.pop("[Content_Types].xml"))}
    assert {Path(name).suffix for name in held} == kinds
    manifest = ElementTree.fromstring(held["extension.vsixmanifest"])
    assets = [each.attrib["Path"] for each in manifest.iter() if each.tag.endswith("}Asset")]
    (identity,) = (each.attrib for each in manifest.iter() if each.tag.endswith("}Identity"))
    assert "extension/package.json" in assets and held.keys() >= set(assets)
    # the extension: every file that it names, what starts it, one language and its grammar
    about = json.loads(held["extension/package.json"])
    assert (identity["Id"], identity["Version"], identity["Publisher"]) == (about["name"], about["version"], about["publisher"])
    (language,), (colours,) = about["contributes"]["languages"], about["contributes"]["grammars"]
    named = {f"extension/{name.removeprefix('./')}" for name in (about["main"], language["configuration"], colours["path"])}
    assert named | {"extension/package.json", "extension.vsixmanifest"} == held.keys()
    assert language["id"] == colours["language"] == "netdsl" and language["extensions"] == [".netdsl"]
    assert about["activationEvents"] == [f"onLanguage:{language['id']}"]
    assert json.loads(held[f"extension/{colours['path'].removeprefix('./')}"])["scopeName"] == colours["scopeName"]
    json.loads(held[f"extension/{language['configuration'].removeprefix('./')}"])
    offered = {each["command"] for each in about["contributes"]["commands"]}
    assert offered == set(re.findall(r'"(netdsl\.\w+)": \[', held["extension/extension.js"].decode()))
    asked = set(re.findall(r'settings\.get\("(\w+)"\)', held["extension/extension.js"].decode()))
    assert {f"netdsl.{name}" for name in asked} == about["contributes"]["configuration"]["properties"].keys()
    assert set(re.findall(r'require\("([^"]+)"\)', held["extension/extension.js"].decode())) == {"node:child_process", "vscode"}


@pytest.mark.skipif(shutil.which("node") is None, reason="node, which runs extensions of editors, is not installed")
@pytest.mark.forks
def test_the_extension_shows_what_the_server_says(tmp_path: Path, called: str) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text('netdsl 1\nproject "P" {\n}\nplace +A "Panel" kind=cabinet\ndevice -Q1 mcb-9p at=+A\n', "utf-8")
    command = tmp_path / "netdsl"
    command.write_text(f'#!/bin/sh\nexec {called} "$@"\n', "utf-8")
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
    asked = "Strip, as -X1\nNumber of the new terminal\n"
    assert f"+A -Q1\n{asked}netdsl: the text has errors, the first at plant.netdsl:5" in done.stdout
