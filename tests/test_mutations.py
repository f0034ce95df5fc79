"""Random damage to the hatchery's text: findings and calculated numbers, never an exception, never a long run.

A sample by default; `NETDSL_MUTATIONS=10000 pytest -n auto tests/test_mutations.py` does the whole number,
`NETDSL_SEED=7` another set. A failure names the number that repeats it.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from math import isfinite, isnan
from pathlib import Path

import pytest

import lint
from netdsl.calc import calculate
from netdsl.cli.report import json_report, text_report
from netdsl.findings import Finding
from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.network.types import Network
from netdsl.syntax import decode, format_text, parse

HATCHERY = Path(__file__).parent.parent / "examples" / "hatchery"
SEED = os.environ.get("NETDSL_SEED", "1")
NUMBER = int(os.environ.get("NETDSL_MUTATIONS", "240"))
BATCHES = 24
LIMIT_S = 5.0
#: every so many mutations the drawings are made as well, which takes longest
DRAWN_EVERY = 40

FILES = sorted(path.relative_to(HATCHERY) for path in HATCHERY.rglob("*.netdsl"))
TOKEN = re.compile(r"\s+|[{}(),]|\"[^\"\n]*\"|[^\s{}(),\"]+")
STRANGE = (
    "{",
    "}",
    '"',
    "#",
    "(",
    ")",
    "=",
    "+",
    "-",
    ":",
    "$",
    "..",
    "1..999999999",
    "0mm2",
    "\t",
    "\r",
    "\x00",
    "\u2028",
    "\ufeff",
    "水",
    "\U0001f41f",
    "9" * 400,
    "-T1:1..0",
    "screen",
    "use",
    'include "plant.netdsl"',
)


def damaged_bytes(data: bytes, chance: random.Random) -> bytes:
    """Some bytes flipped, lost or added, or the end cut off."""
    result = bytearray(data)
    for _ in range(chance.randint(1, 6)):
        if not result:
            break
        place = chance.randrange(len(result))
        kind = chance.randrange(4)
        if kind == 0:
            result[place] = chance.randrange(256)
        elif kind == 1:
            del result[place : place + chance.randint(1, 20)]
        elif kind == 2:
            result[place:place] = bytes(chance.randrange(256) for _ in range(chance.randint(1, 8)))
        else:
            del result[max(1, len(result) - chance.randint(0, 400)) :]
    return bytes(result)


def damaged_parts(parts: list[str], chance: random.Random) -> bytes:
    """Some parts (tokens or lines) lost, doubled, exchanged, replaced by another or by something strange."""
    for _ in range(chance.randint(1, 5)):
        one, other = chance.randrange(len(parts)), chance.randrange(len(parts))
        kind = chance.randrange(6)
        if kind == 0:
            parts[one] = ""
        elif kind == 1:
            parts[one] += parts[one]
        elif kind == 2:
            parts[one], parts[other] = parts[other], parts[one]
        elif kind == 3:
            parts[one] = parts[other]
        elif kind == 4:
            parts[one] = chance.choice(STRANGE)
        else:
            parts[one] += chance.choice(STRANGE)
    return "".join(parts).encode("utf-8", "surrogatepass")


def damaged_tokens(data: bytes, chance: random.Random) -> bytes:
    return damaged_parts(TOKEN.findall(data.decode()), chance)


def damaged_lines(data: bytes, chance: random.Random) -> bytes:
    return damaged_parts(data.decode().splitlines(keepends=True), chance)


DAMAGE: tuple[Callable[[bytes, random.Random], bytes], ...] = (damaged_bytes, damaged_tokens, damaged_lines)


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Interrupt what takes longer than `seconds`."""

    def too_long(_signal: int, _frame: object) -> None:
        raise TimeoutError(f"longer than {seconds:g} s")

    before = signal.signal(signal.SIGALRM, too_long)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    begin = time.perf_counter()
    try:
        yield
        assert time.perf_counter() - begin < seconds
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def calculates(network: Network) -> None:
    """Compute everything and print every number of it."""
    calculation = calculate(network)
    for result in calculation.results:
        texts = (result.formula_text, result.inserted, result.shown, *(given.shown for given in result.givens))
        assert not any("nan" in text.split() for text in texts), result.key
        assert result.value >= 0 or result.unit == "°C" or result.question == "enclosure.shed", f"{result.key}: {result.value}"
        assert isfinite(result.value), f"{result.key}: {result.value}"
        assert result.holds in (True, False)
        assert result.margin_percent is None or not isnan(result.margin_percent), result.key
    assert all(gap.things and gap.absent and gap.remedy for gap in calculation.missing)
    assert all(assumption.words for assumption in calculation.assumptions)


def survives(folder: Path, file: Path, data: bytes, drawn: bool) -> None:
    """Decode, read, connect, check, calculate and report the damaged plant; format it where it still can be; draw it if `drawn`."""
    source, faults = decode(data, file.as_posix())
    tree, syntax = parse(source)
    assert tree.source is source
    if not faults and not syntax:
        assert format_text(source) is not None
    plant, reading = read_plant(folder / "plant.netdsl")
    findings = [*faults, *syntax, *reading]
    if plant is not None:
        network, joining = build_network(plant)
        findings += [*joining, *lint.check(network)]
        calculates(network)
        if drawn:
            from render.build import drawing_set
            from render.drawing import Drawing

            assert drawing_set(Drawing(network, findings))
    assert all(isinstance(finding, Finding) for finding in findings)
    assert [finding.message for finding in findings if finding.rule == "internal-error"] == []
    assert json_report(tuple(findings))["tool"] == "netdsl"
    assert all("\x1b" not in line for line in text_report(findings, colour=False))


@pytest.mark.parametrize("batch", range(BATCHES))
def test_damage_gives_findings(batch: int, tmp_path: Path) -> None:
    folder = tmp_path / "hatchery"
    shutil.copytree(HATCHERY, folder, ignore=shutil.ignore_patterns("out", "*.png"))
    for number in range(batch, NUMBER, BATCHES):
        chance = random.Random(f"{SEED}/{number}")
        file = chance.choices(FILES, weights=[(HATCHERY / each).stat().st_size for each in FILES])[0]
        whole = (HATCHERY / file).read_bytes()
        data = chance.choice(DAMAGE)(whole, chance)
        (folder / file).write_bytes(data)
        try:
            with within(LIMIT_S):
                survives(folder, file, data, number % DRAWN_EVERY == 0)
        except Exception as error:
            raise AssertionError(f"mutation {number} of seed {SEED} in {file}: {type(error).__name__}: {error}") from error
        finally:
            (folder / file).write_bytes(whole)
