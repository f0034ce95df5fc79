"""`netdsl rename` and `netdsl renumber`: other names, in every file of the plant, and nothing else."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from netdsl.cli.progress import step
from netdsl.cli.refusal import Refusal
from netdsl.cli.work import whole_plant

if TYPE_CHECKING:
    from netdsl.renaming import Renaming

_SHOW = click.option("--show", is_flag=True, help="Show the lines that would change, and write nothing.")


@click.command(
    context_settings={"ignore_unknown_options": True},
    short_help="Call a device, cable, place, function, route, scheme or terminal otherwise.",
)
@click.argument("plant", type=click.Path(path_type=Path))
@click.argument("old")
@click.argument("new")
@_SHOW
def rename(plant: Path, old: str, new: str, show: bool) -> int:
    """Call OLD by the name NEW in all files of PLANT: a device or cable, =RP1-T1; a place, +MCP, with those in it; a function,
    =RP1, with all in it; a route or scheme by its word; a terminal of a strip, -X1:4. NEW of a device may leave out the function.

    Words that name it change, and nothing else: comments, layout, line ends stay. Texts for the reader are left as they are.
    Before anything is written, the plant is read anew and must be the same but for the name; where it would not be, or the name
    is another's, that is said and nothing is written. Several files change together or not at all.

    Exit code: 0 done, 2 not done.

    \b
    Examples:
      netdsl rename my-plant =RP1-T1 -T11
      netdsl rename my-plant +MCP +MCC --show
      netdsl rename my-plant =LV1-X5:3 4
    """
    from netdsl.renaming import Refused
    from netdsl.renaming import rename as renamed

    file = whole_plant(plant)
    try:
        with step("looking for the name"):
            found = renamed(file, old, new)
    except Refused as refused:
        raise Refusal(f"nothing is renamed: {refused}") from refused
    return _done(file, found, show)


@click.command(
    context_settings={"ignore_unknown_options": True},
    short_help="Insert a terminal into a strip, or give terminals other numbers.",
)
@click.argument("plant", type=click.Path(path_type=Path))
@click.argument("strip")
@click.argument("terminals", required=False)
@click.argument("to", required=False)
@click.option("--insert", metavar="NUMBER", help="Insert a terminal of this number; those from it on move on by one.")
@_SHOW
def renumber(plant: Path, strip: str, terminals: str | None, to: str | None, insert: str | None, show: bool) -> int:
    """Renumber terminals of STRIP with every connection following, in all files of PLANT: TERMINALS, one or a range as 4..9,
    take the numbers from TO on, and stay where they are on the rail; or `--insert 4` puts a terminal in, into the row of the one
    that has its number, or at the end.

    A number that another terminal has is refused, and so is one that is worked out of a value others need as it is. As with
    `netdsl rename`, the plant must be the same but for the names before anything is written.

    Exit code: 0 done, 2 not done.

    \b
    Examples:
      netdsl renumber my-plant -X1 4..9 12
      netdsl renumber my-plant =LV1-X5 --insert 3
    """
    from netdsl.renaming import Refused, inserted, moved

    file = whole_plant(plant)
    if (insert is None) == (terminals is None) or (terminals is not None and to is None):
        raise click.UsageError("name terminals and their new first number, as `4..9 12`, or `--insert 4`")
    try:
        with step("looking for the terminals"):
            found = moved(file, strip, terminals, to) if terminals and to else inserted(file, strip, insert or "")
    except Refused as refused:
        raise Refusal(f"nothing is renumbered: {refused}") from refused
    return _done(file, found, show)


def _done(file: Path, found: Renaming, show: bool) -> int:
    """Write what was found, or show it."""
    from netdsl.cli.fix import difference, write

    if show:
        for line in difference(found.texts, "renamed"):
            click.echo(line)
        return 0
    write(file.parent, found.texts)
    words = len(found.edits)
    click.echo(f"{words} word{'s'[: words > 1]} changed, the plant is the same but for the names")
    return 0
