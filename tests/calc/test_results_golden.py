"""Every number of many small plants, held to the letter: what a calculation says about them, in `golden/results.txt`.

The plants are those that take between them every way through `netdsl.calc`: sound ones, ones with a fault, ones that lack
data. `python -m tests.refresh tests/calc` writes it anew. What is meant to change shows there, as the lines that moved.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from zlib import crc32

import pytest
import test_paths
import test_strange_plants
import test_two_sources

from netdsl.calc import Calculation, calculate
from netdsl.calc.basis import Given, Input, Result, answers
from netdsl.calc.protection import Disconnections, Withstands
from netdsl.calc.sheet import Sources, designations, in_series, results_at, told, worked
from netdsl.cli.calc_text import explanation_lines, sheet_lines
from netdsl.model import read_plant
from netdsl.network import build_network
from tests.reference.plants import calculated

ROOT = Path(__file__).parents[2]
GOLDEN = Path(__file__).parent / "golden" / "results.txt"
HEAD = "=== "
#: folders of plants, and what stands in them
PLANTS = {
    "examples": "direct-on-line serial-bus alternating-pumps",
    "examples/faults": """
        arrester-protection brake-unprotected bus-too-long filter-on-unearthed-supply isolation-missing loop-burden out-of-range
        reactor-missing residual-bypassed residual-device terminal-open voltage-drop wire-doubled
    """,
    "tests/lint/plants": """
        24v-branches aluminium-infeed generator it-230v parallel-cables single-phase-drive star-delta tn-c-riser tt-groups
        tt-plastic-box
    """,
    "tests/field/plants": """
        01c-cabinet-bond-thin 01h-arrester-backup-small 01k-proposed-feed 03b-single-core-earth-not-at-the-drive
        03c-frame-a-motor-stands-on 03e-bar-at-the-supply 04a-interlocked-motors-at-an-overload 04g-two-supplies-of-one-site
        04i-resistor-that-is-no-brake 06f-unreadable-isolator-before-handed-pumps 07g-return-missing-at-an-analogue-input
        07h-returns-not-joined 07o-cable-behind-a-slope-filter 07p-thin-wire-behind-a-block 10l-loop-without-source
        11k-transformer-secondary-earthed-nowhere 11m-return-to-another-source 12a-reactor-in-the-fault-loop
        14c-neutral-where-pen-divides
    """,
    "tests": "network/golden render/golden",
    "tests/sizing/golden": "corners lacking",
}
SECTIONS = (1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240, 300)
METHODS = ("A1", "A2", "B1", "B2", "C", "E", "F")
RATINGS = (1, 2, 3, 4, 6, 10, 13, 16, 17, 25, 32, 63, 64, 125, 160, 161, 250, 400, 401, 630)


def of_every_rating() -> str:
    """Fuses and breakers of small and large ratings, at the borders of tables and beyond them, each ahead of a heater."""
    head = test_two_sources.TWO_SUPPLIES.partition("part changeover")[0]
    text = f"""{head}
part load "Load of three phases" {{
  kind = heater   letter = E   class = I   voltage = 400V
  terminal :1 :2 :3 load
  terminal :PE earth
}}
place +MCP "Panel" kind=cabinet
supply -G0 "Mains" system=TN-S voltage=400V frequency=50Hz fault-current=25kA earth-fault-current=20kA upstream=fuse-gG-630A
device -XE1 earth-bar at=+MCP ways=99
wire -G0:PE to -XE1:99 240mm2 length=1m
"""
    for number, amps in enumerate(RATINGS, 1):
        section, method = SECTIONS[number % len(SECTIONS)], METHODS[number % len(METHODS)]
        kind = "mcb-3p" if number % 4 == 3 and amps <= 63 else "fuse-nh00-gg"
        text += f"""device -F{number} {kind} at=+MCP current={amps}A{f" curve={'BCD'[number % 3]}" if kind == "mcb-3p" else ""}
device -E{number} load at=+MCP current={amps * 0.9:g}A
wire -G0:L1,L2,L3 to -F{number}:1,3,5 {section:g}mm2 length=5m method={method}
wire -F{number}:2,4,6 to -E{number}:1,2,3 {section:g}mm2 length=20m method={method} insulation={"XLPE" if number % 3 else "PVC"}
wire -XE1:{number} to -E{number}:PE {section:g}mm2 length=20m
"""
    return text


#: plants that other tests here begin with
TEXTS = {
    "every rating": of_every_rating(),
    "two supplies": test_two_sources.TWO_SUPPLIES,
    "an arrester of two supplies": test_two_sources.with_arrester("current=25A"),
    "two motors at a strip": test_paths.TWO_MOTORS_ONE_STRIP,
    "behind a transformer": test_paths.BEHIND_A_TRANSFORMER,
    "a plant to be made strange": test_strange_plants.PLANT,
}
NAMES = [f"{folder}/{name}" for folder, names in PLANTS.items() for name in names.split()] + [*TEXTS]


def figure(value: float) -> str:
    return f"{value:.5g}"


def line(result: Result) -> str:
    """A number, what it is held to, and a check sum of all that is said besides: what it rests on, notes, words of the limit."""
    beside = result.beside
    held = f" {beside.sense.value or 'beside'} {figure(beside.value)}" if beside else ""
    rests = [f"{each.symbol} {figure(each.value)} {each.words}" for each in result.givens]
    besides = (result.feeder, result.note, result.limit_words, result.formula.text, *result.conductors, *rests)
    return f"{result.key} = {figure(result.value)} {result.unit}{held} #{crc32(repr(besides).encode()):08x}"


def printed(calculation: Calculation) -> Iterator[str]:
    """Check sums of the sheet, of what explains every result, and of what is found at each designation; without the lines of the
    library, which a part more there moves."""
    for word, making in (("sheet", sheet_lines), ("explained", explanation_lines)):
        text = re.sub(r"(library/[a-z-]+\.netdsl):[0-9:]+", r"\1", "\n".join(making(calculation, calculation.results)))
        yield f"{word} #{crc32(text.encode()):08x}"
    sources, before, words = Sources(), (), ""
    for result in calculation.results:

        def mark(given: Input, question: str = result.question) -> str:
            return sources.mark(given.source, given.confidence, question) if isinstance(given, Given) else ""

        series = in_series(calculation, result.conductors, mark) if answers()[result.question].in_series else ""
        words += repr((told(result, mark, before, series), worked(result), result.formula_text, result.inserted))
        before = result.rests_on
    yield f"told #{crc32((words + repr(sources.named())).encode()):08x}"
    keys = [[result.key for result in results_at(calculation, each)] for each in designations(calculation)]
    yield f"designations #{crc32(repr(keys).encode()):08x}"


def of_file(path: Path) -> Calculation:
    plant, _ = read_plant(path if path.is_dir() else path.with_suffix(".netdsl"))
    assert plant is not None
    return calculate(build_network(plant)[0])


def lines(name: str) -> Iterator[str]:
    """What is computed, what is not and why, what is assumed, and how it is put into words."""
    calculation = calculated(TEXTS[name]) if name in TEXTS else of_file(ROOT / name)
    yield from map(line, calculation.results)
    for gap in calculation.missing:
        yield f"lacks {gap.kind} of {', '.join(gap.things)} in {gap.feeder}, line {gap.span.begin[0]}: {', '.join(gap.absent)}"
    yield f"assumes {' '.join(each.name for each in calculation.assumptions)}"
    for left in (calculation.of(Disconnections).not_judged(), calculation.of(Withstands).not_judged()):
        yield from (f"leaves {device}: {reason}" for device, reason in left)
    yield from printed(calculation)


@cache
def kept() -> dict[str, list[str]]:
    """The lines of the file, plant by plant."""
    found: dict[str, list[str]] = {}
    for each in GOLDEN.read_text("utf-8").split(HEAD)[1:]:
        name, *rest = each.splitlines()
        found[name] = rest
    return found


@pytest.mark.parametrize("name", NAMES)
def test_every_number_is_what_it_was(name: str) -> None:
    remedy = "look at what moved, then run python -m tests.refresh tests/calc"
    assert list(lines(name)) == kept()[name], remedy


if __name__ == "__main__":
    GOLDEN.write_text("".join(f"{HEAD}{name}\n" + "".join(f"{each}\n" for each in lines(name)) for name in NAMES), "utf-8")
