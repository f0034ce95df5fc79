"""Whole plants and every mistake of these tests, held to the letter: what the language makes of the first and says of the second.

`python -m tests.refresh tests/model` writes the files in `golden/` anew; run by itself with the name of a plant it prints what
stands behind the check sums of `plants.txt`, to be compared with what another checkout prints. What is meant to change shows as
the lines that moved.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any
from zlib import crc32

import pytest
import test_limits
import test_part_lines
import test_reading
import test_slips
import test_things
import test_wiring
from reading import findings_of

from netdsl.findings import Span
from netdsl.model import read_plant
from netdsl.model.files import is_shipped
from netdsl.quantities import Quantity
from tests.records import held
from tests.said import told

ROOT = Path(__file__).parents[2]
GOLDEN = Path(__file__).parent / "golden"
HEAD = "=== "
REMEDY = "look at what moved, then run python -m tests.refresh tests/model"
PLANTS = """
    examples/serial-bus examples/faults/bus-too-long examples/faults/out-of-range examples/faults/wire-doubled
    tests/render/golden tests/network/golden tests/sizing/golden/corners tests/sizing/golden/lacking
    tests/field/plants/01c-cabinet-bond-thin tests/field/plants/01k-proposed-feed tests/field/plants/04g-two-supplies-of-one-site
    tests/field/plants/06f-unreadable-isolator-before-handed-pumps tests/lint/plants/parallel-cables
""".split()


def shown(value: Any) -> str:
    """A value with all that it holds, a place in the text as its lines and columns; in the library, where a part more moves the
    others, as its words."""
    if isinstance(value, Span):
        return value.text if is_shipped(value.source) else "{}:{}-{}:{}".format(*value.begin, *value.finish)
    if isinstance(value, Quantity):
        return f"{value.values} {value.text}"
    if (inside := held(value)) is not None:
        return f"{type(value).__name__}({', '.join(f'{name}={shown(each)}' for name, each in inside.items())})"
    if isinstance(value, Mapping):
        return f"{{{', '.join(f'{name}: {shown(each)}' for name, each in value.items())}}}"
    if isinstance(value, frozenset):
        return f"{{{', '.join(sorted(map(shown, value)))}}}"
    if isinstance(value, tuple):
        return f"({', '.join(map(shown, value))})"
    return str(value)


def things(name: str) -> Iterator[tuple[str, str]]:
    """Everything of a plant, kind by kind, with its name and what it is; last what was found."""
    folder = ROOT / name
    plant, findings = read_plant(folder if folder.is_dir() else folder.with_suffix(".netdsl"))
    assert plant is not None
    for name, value in (held(plant) or {}).items():
        if isinstance(value, Mapping):
            yield from ((f"{name} {key}", shown(each)) for key, each in value.items())
        else:
            yield name, shown(value)
    yield from (("finding", told(finding)) for finding in findings)


def of_plant(name: str) -> list[str]:
    return [f"{thing} #{crc32(text.encode()):08x}" for thing, text in things(name)]


def texts() -> Iterator[str]:
    """What is written wrong in these tests, with what stands around it."""
    yield from (f"netdsl 1\n{test_reading.HEAD}{text}\n" for text, *_ in test_reading.MISTAKES)
    yield from (f"netdsl 1\n{test_reading.HEAD}{text}\n" for text in test_reading.CASCADES)
    yield from (test_slips.HEAD + text for text, *_ in test_slips.SLIPS)
    yield from map(test_part_lines.part, (line for line, *_ in test_part_lines.LINES))
    yield from (f"netdsl 1\n{test_things.SITE}{line}\n" for line, *_ in test_things.MISTAKES)
    yield from (f"netdsl 1\n{test_wiring.SITE}{line}\n" for line, *_ in test_wiring.MISTAKES)
    for line, _, refused, _ in test_limits.LIMITS:
        yield from (f"netdsl 1\n{test_limits.SITE}{line.format(value)}\n" for value in refused.split())


def mistakes() -> list[str]:
    return [told(finding) for text in texts() for finding in findings_of(text)]


@cache
def kept() -> dict[str, list[str]]:
    """The lines of the file, plant by plant."""
    plants = (GOLDEN / "plants.txt").read_text("utf-8").split(HEAD)[1:]
    return {name: lines for name, *lines in (each.splitlines() for each in plants)}


@pytest.mark.parametrize("name", PLANTS)
def test_a_plant_is_what_it_was(name: str) -> None:
    assert of_plant(name) == kept()[name], REMEDY


def test_what_is_said_of_mistakes_is_what_it_was() -> None:
    assert mistakes() == (GOLDEN / "mistakes.txt").read_text("utf-8").splitlines(), REMEDY


if __name__ == "__main__":
    for asked in sys.argv[1:]:
        print(*(f"{thing} {text}" for thing, text in things(asked)), sep="\n")
    if not sys.argv[1:]:
        GOLDEN.mkdir(exist_ok=True)
        written = (f"{HEAD}{name}\n" + "".join(f"{line}\n" for line in of_plant(name)) for name in PLANTS)
        (GOLDEN / "plants.txt").write_text("".join(written), "utf-8")
        (GOLDEN / "mistakes.txt").write_text("".join(f"{line}\n" for line in mistakes()), "utf-8")
