"""The stored table is that of the grammar, and reading a text does not need lark."""

from __future__ import annotations

import subprocess
import sys

from netdsl.syntax.build import GRAMMAR_PATH, table_bytes
from netdsl.syntax.table import TABLE_PATH


def test_stored_table_matches_the_grammar() -> None:
    assert TABLE_PATH.read_bytes() == table_bytes(GRAMMAR_PATH.read_text(encoding="utf-8")), "run python -m netdsl.syntax.build"


def test_parsing_imports_neither_lark_nor_rapidfuzz() -> None:
    code = (
        "import sys; from netdsl.findings import Source; from netdsl.syntax import parse; parse(Source('a', 'device -T1 x'));"
        "print(sorted({'lark', 'rapidfuzz'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
