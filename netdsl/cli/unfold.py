"""`netdsl unfold`: what the schemes of a plant say, as if it were written by hand."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from netdsl.cli.refusal import Refusal
from netdsl.cli.report import text_report, wants_colour
from netdsl.cli.work import whole_plant


@click.command(short_help="Write out what the schemes of a plant say, as if by hand.")
@click.argument("plant", type=click.Path(path_type=Path))
@click.argument("function", required=False)
def unfold(plant: Path, function: str | None) -> int:
    """Write the text of PLANT, a file or a folder that holds one plant.netdsl, with every `use` replaced by the lines of its
    scheme, as if they had been written by hand; of FUNCTION alone where one is named. Behind each such line stands where it
    comes from.

    The text is in the canonical form and describes the same plant. Nothing is written into files.

    Exit code: 0 written out, 1 the text has errors, 2 could not read, or no function is called so.

    \b
    Examples:
      netdsl unfold examples/preset-speeds
      netdsl unfold examples/hatchery =RP1
    """
    from netdsl.model.files import read_texts
    from netdsl.model.unfolded import functions_in, unfolded
    from netdsl.spelling import nearest

    written = unfolded(read_texts(whole_plant(plant)))
    if written.text is None:
        colour = wants_colour(sys.stdout)
        for line in text_report(written.findings, colour):
            click.echo(line, color=colour)
        return 1
    text = written.text
    if function is not None:
        found = functions_in(text)
        if function not in found:
            near = nearest(function, found)
            raise Refusal(f"no function is called `{function}`" + (f": did you mean `{near}`?" if near else ""))
        text = "\n".join(found[function])
    click.echo(text, nl=False)
    return 0
