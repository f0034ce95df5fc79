"""The steps that commands share: find the plant's file, read it, connect it, check it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec import Struct
from msgspec.structs import replace

from netdsl.cli.progress import step
from netdsl.cli.refusal import Refusal, reason_of
from netdsl.findings import Finding, Severity, arranged
from netdsl.replacing import finish_replacing

if TYPE_CHECKING:
    from lint.verdict import Verdict
    from netdsl.calc import Calculation
    from netdsl.network.types import Network

PLANT_FILE = "plant.netdsl"


class Judged(Struct, frozen=True):
    """A plant and what was found in it. `network`: None where the text gave no plant. `calculation`: of that network.
    `checked`: all of the text could be read; else the rules, and whoever computes, pass over what is missing. `verdict`: what the
    rules made of it, None where they were not applied."""

    network: Network | None
    calculation: Calculation | None
    findings: tuple[Finding, ...]
    checked: bool
    verdict: Verdict | None = None


def plant_file(path: Path) -> Path:
    """The file to read for `path`, a file or a folder that holds one `plant.netdsl`; `Refusal` where it cannot be read."""
    try:
        file = path / PLANT_FILE if path.is_dir() else path
        if path.is_dir() and not file.exists():
            raise Refusal(f"folder `{path}` holds no {PLANT_FILE}: name the plant's file, or give its folder")
        if not file.exists():
            raise Refusal(f"`{file}` does not exist: name a plant's file, or a folder that holds a {PLANT_FILE}")
        if not file.is_file():
            raise Refusal(f"`{file}` is not a file that can be read")
        finished = finish_replacing(file.parent)
        for each in finished.whole:
            click.echo(f"netdsl: `{each}` is what a run that was stopped was writing", err=True)
        for each in finished.left:
            click.echo(f"netdsl: `{each}` was written to since a run was stopped that wrote it, and is left as it is", err=True)
        with file.open("rb"):
            return file
    except OSError as error:
        raise Refusal(f"`{path}` cannot be read: {reason_of(error)}") from error


def whole_plant(path: Path) -> Path:
    """As `plant_file`; of a file that a plant nearby includes, the file of that plant, which is said."""
    from netdsl.model.including import including

    file = plant_file(path)
    found = including(file)
    if found is None:
        return file
    try:
        shown = found.relative_to(Path.cwd())
    except ValueError:
        shown = found
    click.echo(f"netdsl: `{path}` is a part of `{shown}`, which is taken as a whole", err=True)
    return found


def connect(file: Path, instead: Mapping[str, str] | None = None) -> Judged:
    """Read the plant in `file` and follow its conductors; no rule is applied. `instead`: as of `read_plant`."""
    from netdsl.calc import calculate
    from netdsl.model import read_plant
    from netdsl.network import build_network

    with step("reading the text"):
        plant, reading = read_plant(file, instead)
    if plant is None:
        return Judged(None, None, arranged(reading), False)
    with step("following the conductors"):
        network, joining = build_network(plant)
    found = arranged((*reading, *joining))
    return Judged(network, calculate(network), found, all(finding.severity is not Severity.ERROR for finding in found))


def judge(file: Path, today: str | None = None, instead: Mapping[str, str] | None = None) -> Judged:
    """Read, connect and check the plant in `file`. `today` (ISO date) decides which exceptions have run out; None: none has.
    `instead`: as of `read_plant`."""
    read = connect(file, instead)
    if read.network is None:
        return read
    with step("checking the wiring"):
        import lint

        verdict = lint.verdict(read.network, today, read.calculation)
        return replace(read, findings=arranged((*read.findings, *verdict.findings)), verdict=verdict)
