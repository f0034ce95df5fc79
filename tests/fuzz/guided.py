"""Texts led by what code they reach: `pip install atheris`, then `python -m tests.fuzz.guided KEPT SEEDS -max_total_time=3600`.

What reaches new code of the rooms that read is kept in the folder SEEDS, which is filled with statements of the examples where
it is empty; what breaks in KEPT, as by `tests.fuzz.run`. What stands behind goes to libFuzzer.
"""

from __future__ import annotations

import itertools
import sys
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["netdsl.quantities", "netdsl.syntax", "netdsl.model", "netdsl.network"]):
    from tests.fuzz import made
    from tests.fuzz.held import Depth
    from tests.fuzz.run import keep, tried

_NUMBERS = itertools.count()


def main() -> None:
    """The command line."""
    kept, seeds = Path(sys.argv[1]), Path(sys.argv[2])
    kept.mkdir(parents=True, exist_ok=True)
    seeds.mkdir(parents=True, exist_ok=True)
    if not any(seeds.iterdir()):
        for number, text in enumerate(made.words().short[::7]):
            (seeds / f"{number}.netdsl").write_text(text, "utf-8")

    def one(data: bytes) -> None:
        number = next(_NUMBERS)
        given = {"data": data, "depth": Depth(number % 4 == 0, number % 8 == 0, False)}
        broke = tried("text", given)
        if broke is not None:
            keep(kept, f"guided-{number}", "text", given, *broke)

    atheris.Setup([sys.argv[0], str(seeds), "-max_len=600", *sys.argv[3:]], one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
