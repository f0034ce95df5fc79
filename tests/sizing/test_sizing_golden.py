"""Proposals held to the letter: of the plants here and in `golden/`, each with its reason and what is written for it.

`python -m tests.refresh tests/sizing` writes them anew. What is meant to change shows there, as the lines that moved.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from netdsl.cli.work import connect
from netdsl.sizing import propose, texts_with

HERE = Path(__file__).parent
FOLDER = HERE / "golden"
ROOT = HERE.parents[1]
PLANTS = {
    "open": HERE / "open-plant.netdsl",
    "corners": FOLDER / "corners.netdsl",
    "lacking": FOLDER / "lacking.netdsl",
    "stock": FOLDER / "stock.netdsl",
}
#: plants whose sizes are all stated: what is proposed in their place
STATED = """
    tests/field/plants/01a-thin-conductor-beside-the-feed tests/field/plants/01c-cabinet-bond-thin
    tests/field/plants/03e-bar-at-the-supply tests/field/plants/06e-unreadable-isolator
    tests/field/plants/11l-neutral-past-its-residual-current-device tests/field/plants/14c-neutral-where-pen-divides
    tests/lint/plants/aluminium-infeed tests/lint/plants/single-phase-drive tests/lint/plants/tn-c-riser
""".split()
PLANTS |= {name.rpartition("/")[2]: ROOT / f"{name}.netdsl" for name in STATED}


def of_sizes(plant: Path) -> Iterator[str]:
    """Every proposal, what no size can mend, the lines that are written, the words that stay."""
    network = connect(plant).network
    assert network is not None
    sizing = propose(network)
    for made in sizing.proposals:
        item = made.item
        yield f"{item.name} {item.klass}: {item.written}, {made.verdict}{f' {made.text}' if made.holds else ''}"
        yield f"    of {item.series[0]:g} to {item.series[-1]:g} {item.unit}: {made.because}" if item.series else made.because
        smaller = f"next smaller {made.smaller:g}" if made.smaller is not None else ""
        yield from (f"    {words}" for words in (smaller, made.tightest, made.obstacle, made.lacking, made.note) if words)
    yield from (f"unresolved {each.key} {cure}".rstrip() for each, cure in zip(sizing.unresolved, sizing.cures, strict=True))
    texts, left = texts_with(sizing.proposals)
    for source, text in texts.items():
        before = set(source.text.splitlines())
        yield from (f"written {line}" for line in text.splitlines() if line not in before)
    yield from (f"left line {each.value.span.begin[0]}: {each.reason}" for each in left)


@pytest.mark.parametrize("name", PLANTS)
def test_proposals_are_what_they_were(name: str) -> None:
    remedy = "look at what moved, then run python -m tests.refresh tests/sizing"
    assert list(of_sizes(PLANTS[name])) == (FOLDER / f"{name}.txt").read_text("utf-8").splitlines(), remedy


if __name__ == "__main__":
    for kept, path in PLANTS.items():
        (FOLDER / f"{kept}.txt").write_text("".join(f"{line}\n" for line in of_sizes(path)), "utf-8")
