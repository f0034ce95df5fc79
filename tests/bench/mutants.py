"""Small breaks in the code of one room, each held against the tests of that room: `python -m tests.bench.mutants starting`.

mutmut changes one thing in one function, an operator, a number, an argument, a text, and runs the tests that reach the function.
A break that no test notices is printed as a difference. All of it happens in a copy; tables outside functions are not touched, so
that they belong into data files or are held by tests of their own. `--share 3` takes every third break, for a room with
thousands.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import click

ROOT = Path(__file__).parent.parent.parent
COPIED = ("netdsl", "lint", "render", "tests", "examples", "pyproject.toml", "README.md", "DEVELOPERS.md")
#: room -> its code, and its tests
ROOMS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "quantities": (("netdsl/quantities.py",), ("tests/test_quantities.py",)),
    "findings": (("netdsl/findings.py",), ("tests/test_findings.py",)),
    "starting": (("netdsl/starting/*",), ("tests/starting",)),
    "sizing": (("netdsl/sizing/*",), ("tests/sizing",)),
    "cli": (("netdsl/cli/*",), ("tests/cli",)),
    "library": (("netdsl/library/*",), ("tests/library",)),
    "syntax": (("netdsl/syntax/*",), ("tests/syntax",)),
    "model": (("netdsl/model/*",), ("tests/model", "tests/test_language_md.py")),
    "network": (("netdsl/network/*",), ("tests/network",)),
    "layout": (("render/layout/*",), ("tests/render",)),
    "drawings": (("render/drawings/*",), ("tests/render",)),
}
MUTMUT = (sys.executable, "-m", "mutmut")
#: the tests of a break run alone in a process that is a copy of one: neither workers nor warnings of forked threads
CONFIGURED = """
[tool.mutmut]
source_paths = ["netdsl", "lint", "render"]
only_mutate = {files}
also_copy = ["examples", "README.md", "DEVELOPERS.md"]
pytest_add_cli_args = ["-p", "no:xdist", "-p", "no:cacheprovider", "-o", "addopts=-q", "-o", "filterwarnings="]
pytest_add_cli_args_test_selection = {tests}
"""


@click.command()
@click.argument("room", type=click.Choice(list(ROOMS)))
@click.option("--share", default=1, help="Take every so many breaks.")
@click.option("--processes", default=2)
@click.option("--only", default="*", help="Names of the breaks, as `*plant_texts*`.")
def mutants(room: str, share: int, processes: int, only: str) -> None:
    """Break the code of ROOM in small ways and print what its tests do not notice."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        for name in COPIED:
            source = ROOT / name
            if source.is_dir():
                shutil.copytree(source, copy / name, ignore=shutil.ignore_patterns("__pycache__", "out"))
            else:
                shutil.copy(source, copy / name)
        files, tests = ROOMS[room]
        with (copy / "pyproject.toml").open("a", encoding="utf-8") as settings:
            settings.write(CONFIGURED.format(files=json.dumps(files), tests=json.dumps(tests)))
        ran = _mutmut(copy, "run", "--max-children", str(processes), *_chosen(only, share))
        unnoticed = [name for name, state in _states(copy) if state not in ("not checked", "killed")]
        if ran.returncode and not unnoticed:
            click.echo(ran.stdout[-3000:] + ran.stderr[-3000:])
            raise SystemExit(2)
        for name in unnoticed:
            click.echo(_mutmut(copy, "show", name).stdout)
        _mutmut(copy, "export-cicd-stats")
        figures = json.loads((copy / "mutants" / "mutmut-cicd-stats.json").read_text("utf-8"))
        click.echo(", ".join(f"{key.replace('_', ' ')} {value}" for key, value in figures.items() if value))


def _chosen(only: str, share: int) -> list[str]:
    """Patterns of names; each name ends with the number of its break in its function."""
    if share == 1:
        return [only]
    return [f"{only}mutmut_{number}" for number in range(1, 500, share)]


def _states(copy: Path) -> list[tuple[str, str]]:
    """The name of each break that was not noticed, or not tried, and what became of it."""
    listed = _mutmut(copy, "results").stdout
    return [(found[1], found[2]) for line in listed.splitlines() if (found := re.fullmatch(r"\s*(\S+mutmut_\d+): (.*)", line))]


def _mutmut(copy: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*MUTMUT, *arguments], cwd=copy, capture_output=True, text=True)


if __name__ == "__main__":
    mutants()
