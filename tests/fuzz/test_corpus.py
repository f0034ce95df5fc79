"""What once broke something, each a small text, and some made by chance: all that must hold of a text holds of them.

A text whose first line is `# with: ARGUMENTS` goes through that command, any other through everything that a check does; a list
of motors through `new --from`. `python -m tests.fuzz.run` tries as many as wanted.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz import made
from tests.fuzz.commands import holds_of_command, holds_of_lists
from tests.fuzz.held import LIMIT_S, Depth, holds_of_text, within
from tests.fuzz.run import one, tried

CORPUS = sorted((Path(__file__).parent / "corpus").iterdir())
WITH = b"# with: "


@pytest.mark.parametrize("file", CORPUS, ids=lambda file: file.name)
def test_what_once_broke_something_holds(file: Path, tmp_path: Path) -> None:
    data = file.read_bytes()
    with within(LIMIT_S):
        if file.suffix == ".csv":
            holds_of_lists(tmp_path, data, (made.EXAMPLES / "signals.csv").read_bytes(), "new begun --from motors.csv".split())
        elif data.startswith(WITH):
            arguments = data.partition(b"\n")[0].removeprefix(WITH).decode().split()
            holds_of_command(tmp_path, data, data, arguments)
        else:
            holds_of_text(data, Depth())


@pytest.mark.parametrize("number", range(6))
def test_all_holds_of_texts_made_by_chance(number: int, tmp_path: Path) -> None:
    for each in range(number, 60, 6):
        kind, given = one(0, each, tmp_path)
        assert (each, tried(kind, given)) == (each, None)
