"""`netdsl verify`: whether a sheet of paper is what the text gives now."""

from __future__ import annotations

import re
from pathlib import Path

import click

from netdsl.cli.check import show
from netdsl.cli.progress import step
from netdsl.cli.refusal import Refusal
from netdsl.cli.work import connect, whole_plant

_FINGERPRINT = re.compile(r"[0-9a-f]{8}|[0-9a-f]{12}")


@click.command(short_help="Say whether a printed sheet or set is what the text gives now.")
@click.argument("plant", type=click.Path(path_type=Path))
@click.argument("fingerprint")
@click.option(
    "--sheet", "number", default=None, metavar="NUMBER", help="The number printed on the sheet, to be told which it has now."
)
def verify(plant: Path, fingerprint: str, number: str | None) -> int:
    """Draw PLANT, a file or a folder that holds one plant.netdsl, and say whether a sheet or the set has FINGERPRINT: the eight
    characters above the drawing of a sheet, the twelve on the cover, or what its code reads, `NETDSL` left out or not.

    A fingerprint is of what is drawn, whatever the revision, the status and the findings. That paper and text agree says nothing
    of whether either is right, nor of the plant as built. Exit code: 0 they agree, 1 they do not, 2 could not read, or it is no
    fingerprint.

    \b
    Examples:
      netdsl verify examples/hatchery 69e9d015
      netdsl verify examples/hatchery 69e9d015 --sheet S1
    """
    wanted = fingerprint.lower().removeprefix("netdsl").strip()
    if not _FINGERPRINT.fullmatch(wanted):
        raise Refusal(
            f"`{fingerprint}` is no fingerprint: it has eight of the characters 0 to 9 and a to f, that of a set twelve"
        )
    judged = connect(whole_plant(plant))
    if judged.network is None:
        show(judged)
        return 2
    from render.drawing import Drawing
    from render.layout.fingerprint import OF_SHEET
    from render.layout.stretches import lines_text
    from render.tables.register import Fingerprints, Sources

    with step("drawing the sheets"):
        drawing = Drawing(judged.network, judged.findings, judged.calculation)
        prints, sources = drawing.of(Fingerprints), drawing.of(Sources)
    if wanted == prints.whole:
        click.echo(f"the set agrees: its {len(prints.sheets)} sheets are what this text gives")
        return 0
    found = [sheet for sheet, each in prints.sheets if each == wanted]
    for sheet in found:
        lines = lines_text(sources.of(sheet))
        said = ", ".join(part for part in (sheet.title, sheet.part_of, f"from {lines}" if lines else "") if part)
        click.echo(f"sheet {sheet.number} agrees: {said}")
    now = [(sheet, each) for sheet, each in prints.sheets if sheet.number == number]
    if number is not None and not now:
        click.echo(f"no sheet has the number {number} now")
        return 1
    for sheet, each in now:
        if each != wanted:
            click.echo(f"sheet {sheet.number} does not agree: this text gives {each}, {sheet.title}")
    if not found and number is None:
        is_set = len(wanted) > OF_SHEET
        click.echo(f"the set does not agree: this text gives {prints.whole}" if is_set else "no sheet of this text agrees")
    return 0 if found and all(each == wanted for _, each in now) else 1
