"""The rules of the house: who may import whom, and what writers may know."""

from __future__ import annotations

import ast
import re
import tomllib
from collections import defaultdict
from collections.abc import Container, Iterator
from functools import cache
from pathlib import Path
from typing import TypeVar, cast

import networkx as nx
import pytest

import netdsl
from netdsl.model import kinds
from tests.cases import each_of

ROOT = Path(__file__).parent.parent
ROOMS = ("netdsl", "lint", "render")
Node = TypeVar("Node", bound=ast.AST)


def modules(room: str) -> list[Path]:
    return sorted((ROOT / room).rglob("*.py"))


@cache
def tree_of(file: Path) -> ast.Module:
    """The syntax of a file, parsed once for all tests here."""
    return ast.parse(file.read_text("utf-8"))


@cache
def _sorted_nodes(file: Path) -> dict[type, list[ast.AST]]:
    """All that its syntax is made of, by type."""
    nodes: dict[type, list[ast.AST]] = defaultdict(list)
    for node in ast.walk(tree_of(file)):
        nodes[type(node)].append(node)
    return nodes


def nodes_of(file: Path, kind: type[Node]) -> list[Node]:
    """What in a file is of one type."""
    return cast("list[Node]", _sorted_nodes(file).get(kind, []))


@cache
def imports_of(file: Path) -> tuple[ast.AST, ...]:
    """What in a file may import a module: statements, and calls that name one."""
    calls = (call for call in nodes_of(file, ast.Call) if _imports(call.func))
    return (*nodes_of(file, ast.Import), *nodes_of(file, ast.ImportFrom), *calls)


def _imports(called: ast.expr) -> bool:
    """Whether what is called imports a module by its name; whatever has `import_module` as a part is taken for it."""
    name = called.attr if isinstance(called, ast.Attribute) else called.id if isinstance(called, ast.Name) else ""
    return name in ("import_module", "__import__")


def imported(file: Path, known: Container[str] = ()) -> Iterator[str]:
    """Full names of the modules that `file` imports anywhere, also inside functions and by name; of those `known`, a module taken
    from its package (`from lint import rules`) by its own name."""
    package = file.relative_to(ROOT).with_suffix("").parts[:-1]
    for node in imports_of(file):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(package[: len(package) - node.level + 1]) if node.level else ""
            source = ".".join(part for part in (base, node.module or "") if part)
            inner = [f"{source}.{alias.name}" for alias in node.names]
            yield from (name for name in inner if name in known)
            if not all(name in known for name in inner):
                yield source
        elif isinstance(node, ast.Call):
            yield from (argument.value for argument in node.args if isinstance(argument, ast.Constant))


def offenders(files: list[Path], banned: tuple[str, ...]) -> list[str]:
    prefixes = tuple(f"{room}." for room in banned)
    return [
        f"{file.relative_to(ROOT)} imports {name}" for file in files for name in imported(file) if f"{name}.".startswith(prefixes)
    ]


def test_only_the_front_door_of_netdsl_imports_lint_and_render() -> None:
    desks = [ROOT / "netdsl" / name for name in ("cli", "serving", "viewing")]
    inner = [file for file in modules("netdsl") if not any(desk in file.parents for desk in desks)]
    assert inner
    assert offenders(inner, ("lint", "render", "netdsl.cli", "netdsl.serving", "netdsl.viewing")) == []


def test_the_desk_of_sheets_shows_and_judges_nothing() -> None:
    assert offenders(modules("netdsl/viewing"), ("lint", "netdsl.cli")) == []


def test_the_desk_of_editors_draws_nothing() -> None:
    assert offenders(modules("netdsl/serving"), ("render", "netdsl.cli", "netdsl.viewing")) == []


@pytest.mark.parametrize(("room", "banned"), [("lint", "render"), ("render", "lint")])
def test_lint_and_render_do_not_know_each_other_nor_the_front_door(room: str, banned: str) -> None:
    assert offenders(modules(room), (banned, "netdsl.cli")) == []


#: what lies in `netdsl`; each knows only those before it
HOUSE = (
    "findings",
    "quantities",
    "spelling",
    "sums",
    "collector",
    "kept",
    "beyond",
    "plain_files",
    "held_folders",
    "replacing",
    "syntax",
    "model",
    "library",
    "network",
    "states",
    "standards",
    "calc",
    "sizing",
    "whatif",
    "starting",
    "comparing",
    "renaming",
    "viewing",
    "editor",
    "serving",
    "cli",
)


def test_data_flows_one_way_through_the_rooms_of_netdsl() -> None:
    for number, room in enumerate(HOUSE):
        files = modules(f"netdsl/{room}") or [ROOT / "netdsl" / f"{room}.py"]
        assert offenders(files, tuple(f"netdsl.{name}" for name in HOUSE[number + 1 :])) == []
    assert {path.stem for path in (ROOT / "netdsl").iterdir() if path.suffix in ("", ".py") and path.stem[0] not in "._"} == {
        *HOUSE
    }


#: what lies in `netdsl/model`: the plant, the desk it is put together on, words and values, tables, statements, and who reads
#: them
PLANT = (
    ("kinds", "ratings", "open_values", "project", "includes", "files", "mentions"),
    ("part_type", "wiring", "device", "plant", "construction", "vocabulary"),
    ("desk", "here"),
    ("filling", "channel_devices", "racks", "input_logic"),
    ("values", "terminals", "ends", "value_kinds", "measures", "meant_units", "word_forms"),
    ("named_values", "several_cables"),
    ("usual_measures",),
    ("table", "withstands", "rating_table"),
    ("statements",),
    ("slips", "unfold", "language"),
    ("put_in", "build", "document", "including"),
    ("unfolded",),
)


def test_a_plant_is_read_in_one_direction() -> None:
    for number, names in enumerate(PLANT):
        files = [file for name in names for file in modules(f"netdsl/model/{name}") or [ROOT / "netdsl" / "model" / f"{name}.py"]]
        assert offenders(files, tuple(f"netdsl.model.{name}" for later in PLANT[number + 1 :] for name in later)) == []
    known = {name for names in PLANT for name in names}
    assert {path.stem for path in (ROOT / "netdsl" / "model").iterdir() if path.stem[:1] not in "._"} == known


#: what lies in `lint`: words and tables, facts, what a rule is, what several rules ask, the rules, who applies them, their page
CHECKS = (
    ("wording", "separation", "frame", "examples"),
    ("facts",),
    ("subjects", "mounting"),
    ("registry",),
    ("schemes", "voltages", "joined", "screening", "earthing", "free_earths", "switching", "misnamed", "contacts"),
    ("parting", "motors", "bundling", "poles"),
    ("phases", "analogue", "arriving"),
    ("pairs",),
    ("unjudged",),
    ("rules",),
    ("severities", "separations", "least_sections"),
    ("verdict",),
    ("runner", "explanation"),
    ("document",),
)


def test_checks_know_only_what_they_stand_on() -> None:
    for number, names in enumerate(CHECKS):
        files = [file for name in names for file in modules(f"lint/{name}") or [ROOT / "lint" / f"{name}.py"]]
        assert offenders(files, tuple(f"lint.{name}" for later in CHECKS[number + 1 :] for name in later)) == []
    known = {name for names in CHECKS for name in names}
    assert {path.stem for path in (ROOT / "lint").iterdir() if path.suffix in ("", ".py") and path.stem[0] not in "._"} == known


def test_no_rule_leans_on_the_module_of_another() -> None:
    known = {f"lint.rules.{file.stem}" for file in modules("lint/rules")}
    assert [name for file in modules("lint/rules") for name in imported(file, known) if name in known] == []


def test_writers_know_nothing_of_electricity() -> None:
    writers = modules("render/writers")
    assert offenders(writers, ("netdsl", "render.drawings", "render.tables", "render.symbols")) == []
    elsewhere = [file for file in modules("render") if ROOT / "render" / "writers" not in file.parents]
    assert offenders(elsewhere, ("pydyf", "svgwrite", "ezdxf")) == []


#: rooms of `render` from the page up to the files; each knows only those before it
SHEETS = (
    ("sheet",),
    ("layout",),
    ("symbols",),
    ("words",),
    ("drawing",),
    ("tables", "drawings"),
    ("writers", "exchange", "store"),
    ("shares", "issues"),
    ("streaming",),
    ("build",),
    ("scheme_pages", "changed_set"),
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


#: rooms of `netdsl.calc`; each asks only those before it
CALCULATION = (
    "basis",
    "circuit",
    "loads",
    "devices",
    "faults",
    "conductors",
    "protection",
    "coordination",
    "control",
    "heat",
    "drives",
    "sheet",
)


def test_the_calculation_asks_in_one_direction() -> None:
    for number, room in enumerate(CALCULATION):
        later = ("netdsl.calc." + name for name in CALCULATION[number + 1 :])
        assert offenders(modules(f"netdsl/calc/{room}"), ("netdsl.sizing", "netdsl.starting", *later)) == []
        assert "netdsl.calc" not in {name for file in modules(f"netdsl/calc/{room}") for name in imported(file)}
    assert {path.stem for path in (ROOT / "netdsl" / "calc").iterdir() if path.stem[:1] not in "._"} == {*CALCULATION}


def test_each_room_of_the_calculation_is_entered_by_its_door() -> None:
    doors = {"netdsl.calc", *(f"netdsl.calc.{room}" for room in CALCULATION)}
    for file in (file for room in ROOMS for file in modules(room)):
        own = ".".join(file.relative_to(ROOT).parts[:3])
        inner = {name for name in imported(file) if name.startswith("netdsl.calc") and name not in doors}
        assert {name for name in inner if not name.startswith(f"{own}.")} == set(), file


#: one class and its parts, which know it: the only modules that may import each other in a circle
WITH_PARTS: tuple[tuple[str, ...], ...] = ()


def test_no_module_imports_itself_by_way_of_others() -> None:
    """Annotations count: what is imported for them alone is leaned on all the same."""
    names = {file: ".".join(file.relative_to(ROOT).with_suffix("").parts) for room in ROOMS for file in modules(room)}
    known = {name.removesuffix(".__init__") for name in names.values()}
    graph = nx.DiGraph()
    for file, name in names.items():
        graph.add_edges_from((name.removesuffix(".__init__"), other) for other in imported(file, known) if other in known)
    circles = [tuple(sorted(circle)) for circle in nx.strongly_connected_components(graph) if len(circle) > 1]
    assert [circle for circle in circles if circle not in WITH_PARTS] == []


def test_nothing_depends_on_the_clock_or_on_chance() -> None:
    everywhere = [file for room in ROOMS for file in modules(room) if ROOT / "netdsl" / "cli" not in file.parents]
    assert offenders(everywhere, ("random", "uuid", "time", "secrets")) == []


def counts(call: ast.Call) -> bool:
    """Whether a call of the built-in `sum` counts: what it adds up is a comparison, a negation, a whole number or a length."""
    match call.args[0]:
        case ast.Call(func=ast.Name(id="map"), args=[ast.Name(id="len"), _]):
            return True
        case ast.GeneratorExp(elt=each):
            return counts_one(each)
    return False


def counts_one(each: ast.expr) -> bool:
    match each:
        case ast.Compare() | ast.BoolOp() | ast.UnaryOp(op=ast.Not()) | ast.Constant(value=int()):
            return True
        case ast.Call(func=ast.Name(id=name)):
            return name in ("len", "bool", "any", "all", "isinstance")
        case ast.Call(func=ast.Attribute(attr=name)):
            return name in ("startswith", "endswith", "count")
    return False


def test_what_is_no_count_is_added_up_alike_by_every_python() -> None:
    """`sum` rounds otherwise from Python 3.12 on: a last digit would depend on who draws (`netdsl.sums`)."""
    found = [
        f"{file.relative_to(ROOT)}:{call.lineno}"
        for room in ROOMS
        for file in modules(room)
        for call in nodes_of(file, ast.Call)
        if isinstance(call.func, ast.Name) and call.func.id == "sum" and not counts(call)
    ]
    assert found == []


def test_every_module_says_what_it_is_and_stays_small() -> None:
    for room in ROOMS:
        for file in modules(room):
            text = file.read_text("utf-8")
            first, *_ = (ast.get_docstring(tree_of(file)) or "").split("\n\n")
            assert first.endswith(".") and len(first.split()) > 3, (
                f"{file.relative_to(ROOT)} does not say in a sentence what it holds"
            )
            assert len(text.splitlines()) <= 500, f"{file.relative_to(ROOT)} is too long for one module"
            assert not re.search(r"\b(TODO|FIXME|XXX)\b", text), f"{file.relative_to(ROOT)} leaves something undone"


@each_of(("room", "most"), [("netdsl/calc", 250), ("netdsl/model", 300)])
def test_no_module_of_a_large_room_holds_more_than_one_thing(room: str, most: int) -> None:
    """So many lines are where a module has begun to hold two; whoever reaches it looks for the cut."""
    long = [str(file.relative_to(ROOT)) for file in modules(room) if len(file.read_text("utf-8").splitlines()) > most]
    assert long == []


def test_a_field_that_a_docstring_names_exists() -> None:
    """In the docstring of a class with fields, a sentence that begins with a name and a colon is about a field or a property."""
    wrong = []
    for file in (file for room in ROOMS for file in modules(room)):
        for node in filter(_has_fields, nodes_of(file, ast.ClassDef)):
            inside = {
                each.target.id for each in node.body if isinstance(each, ast.AnnAssign) and isinstance(each.target, ast.Name)
            }
            inside |= {each.name for each in node.body if isinstance(each, ast.FunctionDef)}
            named = {
                name for group in NAMED.findall(ast.get_docstring(node) or "") for name in re.findall(r"`([a-z_]\w*)`", group)
            }
            wrong += [f"{file.relative_to(ROOT)}: {node.name} has no `{name}`" for name in sorted(named - inside)]
    assert wrong == []


#: one name in backticks or several, commas or `and` between, that begin a sentence and have a colon behind
NAMED = re.compile(r"(?:\A|[.;]\s+|\n)((?:`[a-z_]\w*`(?:, | and )?)+)(?=:)")


def _has_fields(node: ast.ClassDef) -> bool:
    """Whether a class is a record: a Struct, a dataclass or a NamedTuple."""
    words = [ast.unparse(each) for each in (*node.decorator_list, *node.bases)]
    return any("dataclass" in word or "NamedTuple" in word or word in ("record", "Struct") for word in words)


def test_the_version_is_said_once() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert netdsl.__version__ == project["version"]


def test_a_set_of_kinds_has_one_home() -> None:
    """What is a named set in `netdsl/model/kinds.py` is not written out again."""
    named = {frozenset(found): name for name, found in vars(kinds).items() if isinstance(found, frozenset)}
    copies = []
    for file in (file for room in ROOMS for file in modules(room) if file != Path(kinds.__file__)):
        for node in (*nodes_of(file, ast.Set), *nodes_of(file, ast.Tuple), *nodes_of(file, ast.List)):
            if (words := frozenset(map(kind_of, node.elts))) in named:
                copies.append(f"{file.relative_to(ROOT)}:{node.lineno} is {named[words]}")
    assert copies == [], "\n".join(copies)


def kind_of(node: ast.expr) -> str:
    """The kind or category that an expression names, `drive` or `Kind.DRIVE`; else what is no kind."""
    if isinstance(node, ast.Constant):
        return str(node.value)
    if isinstance(node, ast.Attribute) and ast.unparse(node.value) in ("Kind", "Category"):
        return str(getattr(getattr(kinds, ast.unparse(node.value)), node.attr))
    return "?"
