"""`netdsl table`: one list of a plant, for a person, a purchasing office or a label printer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from netdsl.cli.check import show
from netdsl.cli.output import put
from netdsl.cli.progress import step
from netdsl.cli.refusal import Refusal
from netdsl.cli.work import connect, whole_plant

if TYPE_CHECKING:
    from render.tables.listing import Listing


def _target(_context: click.Context, _option: click.Parameter, value: str | None) -> Path | None:
    if value == "":
        raise click.BadParameter("the name of a file is empty")
    return None if value is None else Path(value)


@click.command(short_help="Write one list of a plant: parts, cables, wires, terminals, labels and more.")
@click.argument("name", required=False)
@click.argument("plant", type=click.Path(path_type=Path), required=False)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "csv", "xlsx"]),
    default="text",
    show_default=True,
    help="xlsx goes to a file, the others to standard output.",
)
@click.option(
    "-o",
    "--out",
    "target",
    callback=_target,
    default=None,
    metavar="FILE",
    help="Write to FILE.  [default for xlsx: out/NAME.xlsx beside the plant]",
)
@click.option(
    "--as-is",
    "as_is",
    is_flag=True,
    help="CSV without the blank before cells that a spreadsheet would take for a formula: for programs, as of a label printer.",
)
@click.option(
    "--since",
    metavar="WHAT",
    help="For the list `rework`: the plant as it was, a file, a folder or a revision of git.",
)
def table(name: str | None, plant: Path | None, form: str, target: Path | None, as_is: bool, since: str | None) -> int:
    """Write the list NAME of PLANT, a file or a folder that holds one plant.netdsl; without NAME, say which lists there are.

    They are those of the printed set, with labels and exceptions besides. In CSV, a cell that a spreadsheet would take for a
    formula, as every designation, begins with a blank; a workbook holds it as text, unchanged. Exit code: 0 written, 1 the text
    has errors, 2 could not read or write, or no list is called so.

    \b
    Examples:
      netdsl table
      netdsl table parts examples/hatchery
      netdsl table labels examples/hatchery --format csv --as-is -o labels.csv
      netdsl table cables examples/hatchery --format xlsx
      netdsl table rework examples/hatchery --since v1.0 --format csv
    """
    from render.tables.listing import listings

    known = listings()
    if name is None:
        width = max(map(len, known))
        for each in known.values():
            click.echo(f"{each.name.ljust(width)}  {each.about}")
        return 0
    wanted = _called(name, known)
    if plant is None:
        raise click.UsageError(f"name the plant: `netdsl table {name} PLANT`")
    if (name == "rework") != (since is not None):
        raise click.UsageError("the list `rework`, and it alone, takes `--since` and what it is reckoned from")
    file = whole_plant(plant)
    judged = connect(file)
    if judged.network is None:
        show(judged)
        return 2
    from netdsl.cli.table_data import csv_text, text_lines, workbook_bytes
    from render.drawing import Drawing

    before = None
    if since is not None:
        from netdsl.cli.since import earlier_plant

        before = earlier_plant(since, file)
    with step("listing"):
        rows = Drawing(judged.network, judged.findings, judged.calculation, None, before).of(wanted.rows)
    if form == "xlsx":
        put(target or file.parent / "out" / f"{name}.xlsx", workbook_bytes(rows), "the list")
    else:
        text = csv_text(rows, as_is) if form == "csv" else "".join(f"{line}\n" for line in text_lines(rows))
        if target is None:
            click.echo(text, nl=False)
        else:
            put(target, text.encode(), "the list")
    if not judged.checked:
        click.echo(f"netdsl: `netdsl check {plant}` shows errors: what their text is about is missing or wrong here", err=True)
    return 0 if judged.checked else 1


def _called(name: str, known: dict[str, Listing]) -> Listing:
    """The list of that name; `Refusal` with the nearest where there is none."""
    from netdsl.spelling import nearest

    if name in known:
        return known[name]
    near = nearest(name, known)
    hint = f"did you mean `{near}`?" if near else f"there are {', '.join(known)}"
    raise Refusal(f"no list is called `{name}`: {hint}")
