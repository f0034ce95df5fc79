"""`netdsl build`: the drawings of a plant."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from netdsl.cli.check import show
from netdsl.cli.progress import step
from netdsl.cli.refusal import Refusal, reason_of
from netdsl.cli.report import counts
from netdsl.cli.work import judge, whole_plant

FORMATS = ("svg", "pdf", "dxf")
USUAL = ("svg", "pdf")


def _folder(_context: click.Context, _option: click.Parameter, value: str | None) -> Path | None:
    """The folder named; an empty name, such as an unset variable gives, would scatter the sheets where the person stands."""
    if value == "":
        raise click.BadParameter("the name of a folder is empty")
    return None if value is None else Path(value)


def _formats(_context: click.Context, _option: click.Parameter, value: str) -> tuple[str, ...]:
    """The formats named in a comma separated list, in the order in which they are written."""
    named = [word.strip() for word in value.split(",") if word.strip()]
    strange = [word for word in named if word not in FORMATS]
    if strange or not named:
        raise click.BadParameter(f"{strange[0] if strange else value!r} is none of {', '.join(FORMATS)}")
    return tuple(form for form in FORMATS if form in named)


@click.command(short_help="Draw a plant, as SVG sheets and one PDF.")
@click.argument("plant", type=click.Path(path_type=Path))
@click.option(
    "-o",
    "--out",
    "folder",
    callback=_folder,
    default=None,
    metavar="DIR",
    help="Where the drawings go.  [default: out/ beside the plant]",
)
@click.option(
    "--format",
    "forms",
    callback=_formats,
    default=",".join(USUAL),
    show_default=True,
    metavar="LIST",
    help="svg: a file per sheet; pdf: one file of all sheets; dxf: a file per sheet for a CAD program.",
)
@click.option(
    "--since",
    "since",
    default=None,
    metavar="WHAT",
    help="An earlier state of the plant, its file or folder, or a revision of git: what has not changed since keeps the revision"
    " of then, what has says the last one, with bars beside what changed.",
)
@click.option("--standalone", is_flag=True, help="Put the font into every SVG, for sheets that are passed on one by one.")
def build(plant: Path, folder: Path | None, forms: tuple[str, ...], since: str | None, standalone: bool) -> int:
    """Draw PLANT, a file or a folder that holds one plant.netdsl, and print what was written.

    It draws whatever the findings; errors leave a "not for construction" note on every sheet. Exit code: 0 drawn,
    2 could not read or write, or the text gives no plant to draw.

    \b
    Example:
      netdsl build examples/hatchery -o drawings --format pdf
      netdsl build examples/hatchery --since v1.0
    """
    file = whole_plant(plant)
    judged = judge(file, date.today().isoformat())  # the sheets are not cleaner than the check
    if judged.network is None:
        show(judged)
        return 2
    from render.build import changed_sheets, drawing_set, write_set
    from render.drawing import Drawing

    before = earlier = None
    if since is not None:
        from netdsl.cli.since import earlier_plant

        before = earlier_plant(since, file)
        earlier = Drawing(before)
    with step("drawing the sheets"):
        extent = judged.verdict.extent if judged.verdict else None
        drawing = Drawing(judged.network, judged.findings, judged.calculation, extent, before)
        sheets = drawing_set(drawing, earlier)
    target = folder or file.parent / "out"
    try:
        with step("writing the files"):
            written = write_set(sheets, target, forms, judged.network.plant.project.title, standalone)
    except OSError as error:
        raise Refusal(f"the drawings cannot be written to `{target}`: {reason_of(error)}") from error
    for path in written:
        click.echo(str(path))
    if earlier is not None:
        changed = changed_sheets(drawing, earlier)
        said = f"{len(changed)} of {len(sheets)} sheets: {', '.join(changed)}" if changed else "nothing is drawn otherwise"
        click.echo(f"netdsl: changed since {since}: {said}", err=True)
    errors = counts(judged.findings)["error"]
    if errors:
        click.echo(f"netdsl: not for construction: `netdsl check {plant}` shows {errors} error{'s'[: errors > 1]}", err=True)
    return 0
