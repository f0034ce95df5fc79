"""Colours of editors: the TextMate grammar, run by the library that editors run it with, parts every text as the language's own
lexer does. Needs node; the two packages are fetched once into this user's cache."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest
from platformdirs import user_cache_path

from netdsl.editor import build
from netdsl.syntax.lexer import Token, tokens_of

ROOT = Path(__file__).parents[2]
PACKAGES = ("vscode-textmate@9.3.2", "vscode-oniguruma@2.0.1")
#: what a text is parted into, by the kind of token; keywords and numbers among words are told apart below
SCOPES = {
    "STRING": "string.quoted.double",
    "OPENSTRING": "string.quoted.double",
    "REF": "variable.other",
    "TERMS": "variable.other.member",
    "PARAM": "variable.parameter",
}
#: what examples do not have: texts as they are while somebody writes
WRONG = (
    '# only\n\ufeff"un closed # no comment\nwire -X1:1 to\nx = "a \\" b" # c # "d"\n',
    'device -Q1 mcb-3p-c "3 to 5" at=+A rise=-5deg x=-2..3\n  use a for b in 1..3\n',
    '"é" é=µ\tto 7\r\nsource  =x\rsource = 1\n(a) ($a+1) & :\n',
)


class Piece(NamedTuple):
    """Characters of a text and their scope."""

    start: int
    end: int
    scope: str


@pytest.fixture(scope="module")
def modules() -> Path:
    """The folder of the packages."""
    npm = shutil.which("npm")
    if npm is None or shutil.which("node") is None:
        pytest.skip("node and npm, which colours of editors are tried with, are not installed")
    folder = user_cache_path("netdsl") / "colours" / "-".join(PACKAGES)
    held = folder / "node_modules"
    if not all((held / each.partition("@")[0] / "package.json").exists() for each in PACKAGES):
        folder.mkdir(parents=True, exist_ok=True)
        command = (npm, "install", "--prefix", str(folder), "--ignore-scripts", "--no-audit", "--no-fund", *PACKAGES)
        done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
        if done.returncode:
            pytest.skip(f"the registry of npm gives no {' and '.join(PACKAGES)}: {done.stderr[-200:]}")
    return held


def scoped(modules: Path, files: list[Path]) -> list[list[Piece]]:
    """The pieces of texts as the grammar parts them, in one run of node."""
    command = ("node", str(Path(__file__).with_name("scopes.js")), str(modules), str(build.GRAMMAR))
    done = subprocess.run(command, input="\n".join(map(str, files)), capture_output=True, text=True, timeout=120, check=True)
    result = []
    for file, found in zip(files, json.loads(done.stdout), strict=True):
        lines = lines_of(file.read_bytes().decode("utf-8"))
        pieces = []
        for number, first, last, scope in found:
            start, line = lines[number]
            assert scope != "open", f"{file}:{number + 1}: what begins here does not end with its line"
            pieces.append(Piece(start + code_points(line, first), start + code_points(line, last), scope.removesuffix(".netdsl")))
        result.append(pieces)
    return result


def lines_of(text: str) -> list[tuple[int, str]]:
    """Where each line begins, and what it says."""
    result, at = [], 0
    for line in text.replace("\r\n", "\n\0").replace("\r", "\n").split("\n"):
        skipped = line.startswith("\0")
        result.append((at + skipped, line.removeprefix("\0")))
        at += len(line) + 1
    return result


def code_points(line: str, units: int) -> int:
    """How many characters `units` of UTF-16 are."""
    return units if line.isascii() else len(line.encode("utf-16-le")[: 2 * units].decode("utf-16-le"))


@cache
def keywords() -> tuple[frozenset[str], frozenset[str]]:
    first, inner = build.words()
    return frozenset(first), frozenset(inner)


def wanted(text: str) -> Iterator[Piece]:
    """The pieces as the lexer of the language parts it."""
    tokens = tokens_of(text)
    behind, last = 0, "NEWLINE"
    for token in tokens:
        gap = text[behind : token.start_pos]
        for start, line in lines_of(gap):
            if "#" in line:
                at = behind + start + line.index("#")
                yield Piece(at, behind + start + len(line), "comment.line.number-sign")
        behind = token.end_pos
        scope = scope_of(token, last)
        if token.type == "COMPUTED":
            for part in re.finditer(r"\$[\w.\-]+|\d+", token.value):
                kind = "variable.parameter" if part[0].startswith("$") else "constant.numeric"
                yield Piece(behind - len(token.value) + part.start(), behind - len(token.value) + part.end(), kind)
        if scope:
            yield Piece(token.start_pos, token.start_pos + len(token.value.rstrip(" \t=")), scope)
        last = token.type


def scope_of(token: Token, last: str) -> str | None:
    """`last`: the kind of the token before it."""
    if token.type == "KEY":
        return "entity.other.attribute-name"
    if token.type != "WORD":
        return SCOPES.get(token.type)
    opening, inner = keywords()
    if last == "NEWLINE" and token.value in opening:
        return "keyword.control"
    if last not in ("NEWLINE", "KEY", "COMMA") and token.value in inner:
        return "keyword.operator.word"
    return "constant.numeric" if token.value[0] in "-0123456789" else None


def test_every_text_is_coloured_as_the_language_parts_it(modules: Path, tmp_path: Path) -> None:
    files = [each for each in sorted((ROOT / "examples").rglob("*.netdsl")) if each.parent.name != "encoding"]  # that is no UTF-8
    assert len(files) > 150
    for number, text in enumerate(WRONG):
        files.append(tmp_path / f"{number}.netdsl")
        files[-1].write_bytes(text.encode())
    for file, found in zip(files, scoped(modules, files), strict=True):
        text = file.read_bytes().decode("utf-8")
        given = [(text[each.start : each.end], each) for each in found if each.scope != "keyword.operator.assignment"]
        assert given == [(text[each.start : each.end], each) for each in wanted(text)], file
