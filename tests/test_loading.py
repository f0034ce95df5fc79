"""What each piece of work loads, one after the other in a process of its own: what takes long to load is not loaded before it is
needed."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SYNTAX, LINE, PROVER, CHECK = STEPS = (
    "import netdsl.syntax",
    "from netdsl.findings import Source; netdsl.syntax.parse(Source('a', 'device -T1 x'))",
    "from netdsl.model import read_plant; from netdsl.network import build_network\n"
    "from netdsl.states import Joins, Prover, circuit_of\n"
    "network, _ = build_network(read_plant(pathlib.Path('examples/two-wire-start'))[0])\n"
    "assert not Joins(Prover(circuit_of(network))).questions()",
    "from lint import check; check(network)",
)
TELLING = "import json, pathlib, sys\nfor step in sys.argv[1:]:\n    exec(step)\n    print(json.dumps(sorted(sys.modules)))"


@pytest.fixture(scope="module")
def loaded() -> dict[str, set[str]]:
    """The modules that are loaded after each step."""
    done = subprocess.run([sys.executable, "-c", TELLING, *STEPS], cwd=ROOT, capture_output=True, text=True, check=True)
    return {step: set(json.loads(line)) for step, line in zip(STEPS, done.stdout.splitlines(), strict=True)}


def test_the_parser_is_loaded_with_the_first_text_and_the_speller_with_the_first_slip(loaded: dict[str, set[str]]) -> None:
    assert not {"lark", "rapidfuzz"} & loaded[SYNTAX]
    assert {"lark", "rapidfuzz"} & loaded[LINE] == {"lark"}


def test_the_solver_is_not_loaded_where_nothing_is_asked(loaded: dict[str, set[str]]) -> None:
    assert "netdsl.states" in loaded[PROVER] - loaded[LINE]
    assert "pysolvers" not in loaded[PROVER]


def test_a_check_loads_no_simulation(loaded: dict[str, set[str]]) -> None:
    assert "netdsl.calc.drives.distortion" in loaded[CHECK] - loaded[PROVER]
    assert not {"numpy", "netdsl.calc.drives.rectifier", "netdsl.calc.sheet"} & loaded[CHECK]
