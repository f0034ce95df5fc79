"""Drawing sets of small plants, held to the letter: a check sum of each sheet, on the size that the plant asks for and the other.

`python -m tests.render.test_sets_golden` writes `golden/sets.txt` anew; with the name of a plant it prints what stands behind the
check sums, to be compared with what another checkout prints, in hundredths of a millimetre. What is meant to change shows as the
sheets that moved.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from zlib import crc32

import msgspec
import pytest

from netdsl.model import read_plant
from netdsl.network import build_network
from render.build import drawing_set
from render.drawing import Drawing
from render.sheet import Sheet
from tests.readback import display_list
from tests.readings import EXAMPLES, on_size, sheets_of, small_drawing_of

ROOT = Path(__file__).parents[2]
FILE = Path(__file__).parent / "golden" / "sets.txt"
HEAD = "=== "
#: plants that take between them every way through the drawings
PLANTS = """
    tests/lint/plants/single-phase-drive tests/lint/plants/star-delta tests/lint/plants/battery tests/lint/plants/it-230v
    tests/lint/plants/surge-protection tests/lint/plants/generator tests/lint/plants/aluminium-infeed
    tests/lint/plants/parallel-cables tests/lint/plants/three-pumps tests/lint/plants/tn-c-riser
    tests/field/plants/01i-arrester-backup-large tests/field/plants/02d-inner-name-with-free-contacts
    tests/field/plants/10o-analogue-signal-on-a-relay-output tests/field/plants/13a-one-fault-in-a-scheme
    tests/field/plants/06e-unreadable-isolator tests/render/golden tests/network/golden tests/sizing/golden/corners
    examples/alternating-pumps examples/fixed-lead-pumps examples/reversing examples/mains-bypass
""".split()


def sets(name: str) -> Iterator[Sheet]:
    """The drawing sets of a plant on both sizes; what was found in it stands on its cover. Nothing is found in the examples,
    whose sets others look at too."""
    folder = ROOT / name
    if folder.parent == EXAMPLES:
        yield from sheets_of(folder / "plant.netdsl")
        yield from drawing_set(small_drawing_of(folder / "plant.netdsl"))
        return
    plant, findings = read_plant(folder if folder.is_dir() else folder.with_suffix(".netdsl"))
    assert plant is not None
    drawing = Drawing(build_network(plant)[0], findings)
    yield from drawing_set(drawing)
    yield from drawing_set(on_size(drawing, "A3" if drawing.size == "A4" else "A4"))


def sums(name: str) -> list[str]:
    """Of all that a sheet holds, to the last digit, as the fingerprints are that stand on it."""
    return [f"{sheet.key} #{crc32(msgspec.json.encode(sheet)):08x}" for sheet in sets(name)]


@cache
def kept() -> dict[str, list[str]]:
    """The check sums of the file, plant by plant."""
    return {name: rest for name, *rest in (each.splitlines() for each in FILE.read_text("utf-8").split(HEAD)[1:])}


@pytest.mark.parametrize("name", PLANTS)
def test_every_sheet_is_drawn_as_it_was(name: str) -> None:
    assert sums(name) == kept()[name], "look at the sheets, then run python -m tests.render.test_sets_golden"


if __name__ == "__main__":
    for asked in sys.argv[1:]:
        print(*(line for sheet in sets(asked) for line in (sheet.key, *display_list(sheet))), sep="\n")
    if not sys.argv[1:]:
        FILE.write_text("".join(f"{HEAD}{name}\n" + "".join(f"{line}\n" for line in sums(name)) for name in PLANTS), "utf-8")
