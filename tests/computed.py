"""Every number of the plants that tests of the calculation write for themselves, held by a check sum.

What a test asks of its plant is a few values; what else is computed of it is compared after the test. In
`calc/golden/written.txt` stands a line for each text: its module, check sums of the text and of its results. A text that is not
there is passed over, so that a new test changes no file; `NETDSL_KEEP=1 pytest -n 0 tests/calc tests/reference` writes it anew.
"""

from __future__ import annotations

import atexit
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from zlib import crc32

from netdsl.calc import Calculation
from tests.said import WRITING

FILE = Path(__file__).parent / "calc" / "golden" / "written.txt"
#: what was made since the last test, with the module and the text
_made: list[tuple[str, str, Calculation]] = []
_said: dict[str, str] = {}


def noted(calculation: Calculation, text: str) -> Calculation:
    """The calculation, noted as one of the module that asked for it through a function that calls this."""
    module = sys._getframe(2).f_globals["__name__"].rpartition(".")[2]
    _made.append((module, text, calculation))
    return calculation


@cache
def kept() -> dict[str, str]:
    """Check sums of results by module and check sum of the text."""
    lines = FILE.read_text("utf-8").splitlines()
    return {key: value for key, _, value in (line.rpartition(" ") for line in lines)}


def numbers(calculation: Calculation) -> Iterator[str]:
    """Every number that a rule may hold to its limit, with the limit and what is said of it."""
    for result in calculation.judged:
        limit = "" if result.limit is None else f" {result.sense} {result.limit:.5g}"
        yield f"{result.key} = {result.value:.5g} {result.unit}{limit} {result.note}"


def compare() -> None:
    """Compare all that was noted with what is kept. Raises AssertionError and prints what is computed now."""
    made, _made[:] = list(_made), []
    for module, text, calculation in made:
        key = f"{module} {crc32(text.encode()):08x}"
        if not WRITING and key not in kept():
            continue
        lines = "\n".join(numbers(calculation))
        found = f"{crc32(lines.encode()):08x}"
        if WRITING:
            _said[key] = found
        elif found != kept()[key]:
            print(text, lines, sep="\n")
            raise AssertionError(f"other numbers than were kept: see which moved, then NETDSL_KEEP=1 writes {FILE.name} anew")


def _write() -> None:
    if _said:
        FILE.write_text("".join(f"{key} {found}\n" for key, found in sorted(_said.items())), "utf-8")


if WRITING:
    atexit.register(_write)
