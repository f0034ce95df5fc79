"""The rules of the house: who may import whom, and what writers may know."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import netdsl

ROOT = Path(__file__).parent.parent
ROOMS = ("netdsl", "lint", "render")


def modules(room: str) -> list[Path]:
    return sorted((ROOT / room).rglob("*.py"))


def imported(file: Path) -> Iterator[str]:
    """Full names of the modules that `file` imports anywhere, also inside functions and by name."""
    package = file.relative_to(ROOT).with_suffix("").parts[:-1]
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(package[: len(package) - node.level + 1]) if node.level else ""
            yield ".".join(part for part in (base, node.module or "") if part)
        elif isinstance(node, ast.Call) and ast.unparse(node.func) in ("importlib.import_module", "import_module", "__import__"):
            yield from (argument.value for argument in node.args if isinstance(argument, ast.Constant))


def offenders(files: list[Path], banned: tuple[str, ...]) -> list[str]:
    prefixes = tuple(f"{room}." for room in banned)
    return [
        f"{file.relative_to(ROOT)} imports {name}" for file in files for name in imported(file) if f"{name}.".startswith(prefixes)
    ]


def test_only_the_front_door_of_netdsl_imports_lint_and_render() -> None:
    inner = [file for file in modules("netdsl") if (ROOT / "netdsl" / "cli") not in file.parents]
    assert inner
    assert offenders(inner, ("lint", "render", "netdsl.cli")) == []


@pytest.mark.parametrize(("room", "banned"), [("lint", "render"), ("render", "lint")])
def test_lint_and_render_do_not_know_each_other_nor_the_front_door(room: str, banned: str) -> None:
    assert offenders(modules(room), (banned, "netdsl.cli")) == []


def test_data_flows_one_way_through_the_rooms_of_netdsl() -> None:
    order = ["syntax", "model", "network"]
    for number, room in enumerate(order):
        later = tuple(f"netdsl.{name}" for name in order[number + 1 :])
        assert offenders(modules(f"netdsl/{room}"), later) == []


def test_writers_know_nothing_of_electricity() -> None:
    writers = modules("render/writers")
    assert offenders(writers, ("netdsl", "render.drawings", "render.tables", "render.symbols")) == []
    elsewhere = [file for file in modules("render") if ROOT / "render" / "writers" not in file.parents]
    assert offenders(elsewhere, ("fpdf",)) == []


def test_nothing_depends_on_the_clock_or_on_chance() -> None:
    everywhere = [file for room in ROOMS for file in modules(room) if ROOT / "netdsl" / "cli" not in file.parents]
    assert offenders(everywhere, ("random", "uuid", "time", "secrets")) == []


def test_every_module_says_what_it_is_and_stays_small() -> None:
    for room in ROOMS:
        for file in modules(room):
            text = file.read_text("utf-8")
            assert ast.get_docstring(ast.parse(text)), f"{file.relative_to(ROOT)} has no docstring"
            assert len(text.splitlines()) <= 600, f"{file.relative_to(ROOT)} is too long for one module"
            assert not re.search(r"\b(TODO|FIXME|XXX)\b", text), f"{file.relative_to(ROOT)} leaves something undone"


def test_the_version_is_said_once() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert netdsl.__version__ == project["version"]
