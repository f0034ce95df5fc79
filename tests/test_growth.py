"""Small texts that ask for very much: refused with a finding, in little time and memory."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

HEAD = "netdsl 1\nplace +A kind=box material=plastic\n"


def doubling(levels: int) -> str:
    """Schemes of which each uses the one before twice."""
    text = "scheme s0() {\n  device -H1 lamp at=+A\n}\n"
    for level in range(1, levels):
        text += f"scheme s{level}() {{\n  use s{level - 1}\n  use s{level - 1}\n}}\n"
    return f"{HEAD}{text}use s{levels - 1}\n"


def empty_doubling(levels: int) -> str:
    return doubling(levels).replace("  device -H1 lamp at=+A\n", "")


TEXTS = {
    "schemes that double": doubling(40),
    "empty schemes that double": empty_doubling(40),
    "a strip without end": f"{HEAD}strip -X1 at=+A {{\n  :1..99999999 2.5mm2\n}}\n",
    "a bar without end": f"{HEAD}device -XE1 earth-bar at=+A ways=99999999\n",
    "a range without end": f"{HEAD}wire -X1:1..99999999 to -X2:1..99999999\n",
    "a cable of very many cores": f"{HEAD}cable -W1 99999999x1.5 {{\n}}\n",
    "very deep functions": HEAD + "function =A {\n" * 20_000,
    "very deep arithmetic": f"{HEAD}wire -X1:{'(' * 20_000}1 to -X2:1\n",
    "one very long line": f"{HEAD}wire {'-X1:1 to ' * 50_000}-X2:1\n",
    "very many faults": HEAD + "wyre -X1:1 to -X2:1\n" * 5_000,
}

LIMITED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, (2 << 30, 2 << 30))
resource.setrlimit(resource.RLIMIT_CPU, (10, 10))
from netdsl.cli import main
main(["check", sys.argv[1]])
"""


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS.keys())
def test_a_text_that_asks_for_very_much(text: str, tmp_path: Path) -> None:
    file = tmp_path / "plant.netdsl"
    file.write_text(text, "utf-8")
    done = subprocess.run([sys.executable, "-c", LIMITED, str(file)], capture_output=True, text=True, timeout=60)
    assert done.returncode == 1, done.stderr[-300:]
    assert "error" in done.stdout
    assert "Traceback" not in done.stderr
