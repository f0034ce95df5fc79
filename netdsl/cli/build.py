"""`netdsl build`: the drawings of a plant."""

from __future__ import annotations

import os
import time
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from netdsl.cli.check import show
from netdsl.cli.progress import counted
from netdsl.cli.refusal import Refusal, reason_of
from netdsl.cli.report import counts
from netdsl.cli.work import judge, whole_plant

if TYPE_CHECKING:
    from render.build import Written

FORMATS = ("svg", "pdf", "dxf")
USUAL = ("svg", "pdf")
#: devices from which on another process pays
_SHARE = 40
#: names the folder in which finished sheets are kept
CACHE_VARIABLE = "NETDSL_CACHE"


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
@click.option(
    "--jobs",
    type=click.IntRange(1, 64),
    default=None,
    metavar="N",
    help="How many processes draw.  [default: one per core, fewer for a small plant]",
)
@click.option("--list", "names", is_flag=True, help="Print the name of each file written.")
@click.option("--no-cache", "afresh", is_flag=True, help="Use no sheets that earlier builds finished, and keep none.")
@click.option("--standalone", is_flag=True, help="Put the font into every SVG, for sheets that are passed on one by one.")
def build(
    plant: Path,
    folder: Path | None,
    forms: tuple[str, ...],
    since: str | None,
    jobs: int | None,
    names: bool,
    afresh: bool,
    standalone: bool,
) -> int:
    """Draw PLANT, a file or a folder that holds one plant.netdsl, and say what was written and how many sheets changed.

    Finished sheets are kept for the next build, in the folder that NETDSL_CACHE names (empty: none), else where the system keeps
    such things; it may be removed at any time.

    It draws whatever the findings; errors leave a "not for construction" note on every sheet. Exit code: 0 drawn,
    2 could not read or write, or the text gives no plant to draw.

    \b
    Example:
      netdsl build examples/hatchery -o drawings --format pdf
      netdsl build examples/hatchery --since v1.0
    """
    begin = time.perf_counter()
    file = whole_plant(plant)
    judged = judge(file, date.today().isoformat())  # the sheets are not cleaner than the check
    if judged.network is None:
        show(judged)
        return 2
    from render.build import Ways, build_set, changed_sheets, sheets_before
    from render.drawing import Drawing

    before = earlier = None
    if since is not None:
        from netdsl.cli.since import earlier_plant

        before = earlier_plant(since, file)
        earlier = Drawing(before)
    extent = judged.verdict.extent if judged.verdict else None
    drawing = Drawing(judged.network, judged.findings, judged.calculation, extent, before)
    target = folder or file.parent / "out"
    if folder is None and target.is_symlink():  # it may have come with the plant, and lead anywhere
        raise Refusal(f"`{target}` is a link: name the folder to write to with `-o`")
    try:
        with counted("drawing the sheets", sheets_before(target)) as told:
            ways = Ways(jobs or processes(len(judged.network.plant.devices)), standalone, None if afresh else kept_sheets(), told)
            written = build_set(drawing, earlier, target, forms, ways)
    except OSError as error:
        raise Refusal(f"the drawings cannot be written to `{target}`: {reason_of(error)}") from error
    for path in written.files if names else ():
        click.echo(str(path))
    click.echo(f"netdsl: {_said(written, forms, target)}; {time.perf_counter() - begin:.1f} s", err=True)
    if earlier is not None:
        changed = changed_sheets(drawing, earlier)
        said = f"{len(changed)} of {written.sheets} sheets: {', '.join(changed)}" if changed else "nothing is drawn otherwise"
        click.echo(f"netdsl: changed since {since}: {said}", err=True)
        if changed and earlier.plant.project.revisions[-1:] == drawing.plant.project.revisions[-1:]:
            click.echo("netdsl: no later revision is stated: these sheets say that they are after the last one", err=True)
    errors = counts(judged.findings)["error"]
    if errors:
        click.echo(f"netdsl: not for construction: `netdsl check {plant}` shows {errors} error{'s'[: errors > 1]}", err=True)
    return 0


def _said(written: Written, forms: tuple[str, ...], folder: Path) -> str:
    """What was written where, and how many sheets are not as they were."""
    what = " and ".join("one PDF" if form == "pdf" else form.upper() for form in forms)
    changed = "" if written.changed is None else f", {written.changed or 'none'} of them new or changed"
    return f"{written.sheets} sheet{'s'[: written.sheets != 1]} written to `{folder}` as {what}{changed}"


def processes(devices: int) -> int:
    """How many draw a plant: to copy the process takes longer than to draw the sheets of a few devices."""
    return min(_cores(), 1 + devices // _SHARE)


def _cores() -> int:
    """How many processes this one may have at work at once."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not every system says
        return os.cpu_count() or 1


def kept_sheets() -> Path | None:
    """The folder in which finished sheets are kept, None where none are."""
    named = os.environ.get(CACHE_VARIABLE)
    if named is not None:
        return Path(named) if named else None
    from platformdirs import user_cache_path

    try:
        return user_cache_path("netdsl", appauthor=False)
    except RuntimeError:  # nobody's home
        return None
