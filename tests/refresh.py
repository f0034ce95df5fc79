"""Write everything that is generated anew: `python -m tests.refresh`, or with words, as `cli golden`, what has them in its row.

What there is, and the command that writes it, stands in the table "What is generated" of DEVELOPERS.md; this runs one after the
other. Look at `git diff` afterwards: a line that changed against your meaning is a fault.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parent.parent
#: a row of the table: what is generated, and its command
ROW = re.compile(r"^\| (?P<what>.+) \| `(?P<command>[^`]+)` \|$", re.MULTILINE)


def rows() -> Iterator[tuple[str, str]]:
    """What is generated, with the command that writes it."""
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    section = text.partition("\n## What is generated\n")[2].partition("\n## ")[0]
    for row in ROW.finditer(section):
        yield row["what"], row["command"]


def run(command: str) -> int:
    """Run a command of the table with this Python in the project's folder; returns its exit code."""
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    words = command.split()
    while "=" in words[0]:
        name, _, value = words.pop(0).partition("=")
        environment[name] = value if name != "PYTHONPATH" else environment[name]
    program = [sys.executable] if words[0] == "python" else [sys.executable, "-m", words[0]]
    return subprocess.run([*program, *words[1:]], cwd=ROOT, env=environment, check=False).returncode


def main(words: list[str]) -> int:
    """Run what is wanted; returns the number of commands that failed."""
    wanted = [(what, command) for what, command in rows() if all(word in f"{what} {command}" for word in words)]
    failed = 0
    for what, command in wanted:
        print(f"{command}: {what}", flush=True)
        failed += run(command) != 0
    return failed if wanted else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
