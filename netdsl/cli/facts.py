"""`netdsl facts`: everything that a plant says, one fact a line."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import click

from netdsl.cli.check import show
from netdsl.cli.excerpt import cells
from netdsl.cli.progress import step
from netdsl.cli.work import connect, whole_plant


@click.command(short_help="Print everything a plant says, one fact a line, sorted.")
@click.argument("plant", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "csv", "json"]),
    default="text",
    show_default=True,
    help="Text for a person and for line diffs, CSV and JSON for programs.",
)
def facts(plant: Path, form: str) -> int:
    """Print the whole netlist of PLANT, a file or a folder that holds one plant.netdsl, one fact a line, sorted: devices with
    part, place, ratings and settings; conductors with both ends, section, colour, length and way; cables, strips, places, routes,
    exceptions. Schemes and defaults are resolved. Layout, comments and order of the text change nothing in it.

    In CSV nothing is put before cells that a spreadsheet would take for a formula: it is for programs. Exit code: 0 printed, 1
    the text has errors, 2 could not read.

    \b
    Examples:
      netdsl facts examples/hatchery
      netdsl facts examples/hatchery --format csv
    """
    judged = connect(whole_plant(plant))
    if judged.network is None:
        show(judged)
        return 2
    from netdsl.comparing import listed

    with step("listing the facts"):
        found = listed(judged.network)
    if form == "json":
        click.echo(json.dumps([each._asdict() for each in found], indent=2, ensure_ascii=False))
    elif form == "csv":
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows([("kind", "subject", "name", "value"), *found])
        click.echo(out.getvalue(), nl=False)
    else:
        for each in found:
            click.echo(cells(f"{each.kind} {each.subject} | {each.name}: {each.value}")[0])
    if not judged.checked:
        click.echo(f"netdsl: `netdsl check {plant}` shows errors: what their text is about is missing or wrong here", err=True)
    return 0 if judged.checked else 1
