"""The rules of the house: who may import whom, and what writers may know."""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import networkx as nx
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


#: rooms of `render` from the page up to the files; each knows only those before it
SHEETS = (
    ("sheet",),
    ("layout",),
    ("symbols",),
    ("words",),
    ("drawing",),
    ("tables", "drawings"),
    ("writers",),
    ("build",),
    ("scheme_pages",),
)


def test_sheets_are_made_in_one_direction() -> None:
    for number, rooms in enumerate(SHEETS):
        for room in rooms:
            files = modules(f"render/{room}") or [ROOT / "render" / f"{room}.py"]
            beside = [other for other in rooms if other != room]
            later = tuple(f"render.{name}" for name in (*beside, *(name for names in SHEETS[number + 1 :] for name in names)))
            assert offenders(files, later) == []
    known = {name for rooms in SHEETS for name in rooms}
    assert {path.stem for path in (ROOT / "render").iterdir() if path.stem[:1] not in "._"} == known


def test_no_module_of_render_imports_itself_by_way_of_others() -> None:
    graph = nx.DiGraph()
    for file in modules("render"):
        name = ".".join(file.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        graph.add_edges_from((name, other) for other in imported(file) if other.startswith("render") and other != name)
    assert [sorted(circle) for circle in nx.strongly_connected_components(graph) if len(circle) > 1] == []


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
