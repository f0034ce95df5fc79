"""What other programs found for the networks and circuits of these tests, kept: to load and run them takes longer than the rest.

In `found_by_others.txt` stands a line for each question: a check sum of all that its answer hangs on, then the numbers. That is
what was asked, the module that puts it to the program, and the version of the program. What is not there, as of a network that
changed or was added, is asked of the program itself; so is all where `NETDSL_NETWORKS` names how many, or where
`NETDSL_KEEP=1 pytest -n 0 tests/calc tests/reference` writes the file anew.
"""

from __future__ import annotations

import atexit
import os
from collections.abc import Callable, Iterable
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path

from tests.said import WRITING

FILE = Path(__file__).parent / "found_by_others.txt"
#: whether the programs are asked whatever is kept
ANEW = WRITING or "NETDSL_NETWORKS" in os.environ
#: digits that are kept, far more than results are compared by
_DIGITS = 12
_asked: dict[str, str] = {}


def found(program: str, asked: str, ask: Callable[[], Iterable[float]]) -> list[float]:
    """The numbers that a program finds, as kept; where nothing is, what `ask`, which stands in the module that puts the question,
    finds now."""
    key = sha256("\n".join((program, _version(program), _text(ask.__code__.co_filename), asked)).encode()).hexdigest()[:20]
    numbers = None if ANEW else _kept().get(key)
    if numbers is None:
        numbers = " ".join(f"{number:.{_DIGITS}g}" for number in ask())
    if WRITING:
        _asked[key] = numbers
    return [float(number) for number in numbers.split()]


@cache
def _kept() -> dict[str, str]:
    return dict(line.split(" ", 1) for line in FILE.read_text("utf-8").splitlines())


@cache
def _version(program: str) -> str:
    return version(program)


@cache
def _text(module: str) -> str:
    return Path(module).read_text("utf-8")


def _write() -> None:
    if _asked:
        FILE.write_text("".join(f"{key} {numbers}\n" for key, numbers in sorted(_asked.items())), "utf-8")


if WRITING:
    atexit.register(_write)
