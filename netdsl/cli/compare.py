"""`netdsl compare`: what changed between two states of a plant, in the words of the trade."""

from __future__ import annotations

import json
from contextlib import ExitStack
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from netdsl.cli.progress import step
from netdsl.cli.refusal import Refusal, reason_of
from netdsl.cli.work import Judged, judge, whole_plant

if TYPE_CHECKING:
    from netdsl.comparing import Comparison, State

LAST_COMMIT = "HEAD"


@click.command(short_help="Say what changed between two states of a plant.")
@click.argument("states", nargs=-1, required=True, metavar="[OLD] NEW")
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "md", "html", "sarif"]),
    default="text",
    show_default=True,
    help="Text for a person, Markdown for a review, HTML as a page, JSON for a program, SARIF 2.1.0 for code hosts.",
)
@click.option("--all", "everything", is_flag=True, help="List every figure that changed, also where its limit is kept.")
@click.option(
    "--draw",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Draw into DIR the sheets on which something changed, with marks, as SVG and one PDF.",
)
def compare(states: tuple[str, ...], form: str, everything: bool, folder: Path | None) -> int:
    """Say what changed from OLD to NEW: plants, as a file or a folder that holds one plant.netdsl, or REV:path of a repository of
    git; OLD may be a revision alone, at which NEW is taken. Without OLD, since the last commit.

    Devices added, removed, replaced and renamed, conductors moved, cables, terminals, settings, exceptions, computed figures
    that changed, findings that appeared or disappeared: by function, the weightiest first, each with its line in the old and the
    new text. What is called otherwise is known again by what is connected to it. Layout, comments and order are no change.
    Figures that changed and keep their limits are counted by function; those with little margin left are told by themselves.

    That nothing changed says nothing of whether the plant is right. Exit code: 0 nothing electrical changed, 1 something did, 2
    the two could not be compared in full.

    \b
    Examples:
      netdsl compare examples/hatchery
      netdsl compare v1.0 examples/hatchery
      netdsl compare HEAD~1:examples/hatchery examples/hatchery --format md
      netdsl compare v1.0 examples/hatchery --draw marked
    """
    if len(states) > 2:
        raise click.UsageError("name two states of a plant, or one that is compared with the last commit")
    old, new = states if len(states) == 2 else (LAST_COMMIT, states[0])
    today = date.today().isoformat()  # decides which exceptions have run out, on both sides alike
    with ExitStack() as open_states:
        file = _file(new, open_states, None)
        before = _file(old, open_states, file)
        judged = judge(before, today), judge(file, today)
    first, second = (_state(each, name) for each, name in zip(judged, (old, new), strict=True))
    from netdsl.cli.compare_html import html_page, sarif_of
    from netdsl.cli.compare_text import json_object, markdown_lines, text_lines
    from netdsl.cli.since import since_words  # what asks git is loaded for this alone
    from netdsl.comparing import compare as compared
    from netdsl.comparing import condensed

    with step("comparing"):
        comparison = compared(first, second)
    if form == "json":
        click.echo(json.dumps(json_object(comparison), indent=2, ensure_ascii=False))
    elif form == "sarif":
        click.echo(json.dumps(sarif_of(comparison, file.parent), indent=2, ensure_ascii=False))
    else:
        changes = comparison.changes if everything else condensed(comparison.changes)
        if form == "html":
            click.echo(html_page(comparison, changes, f"{since_words(new)}: changes since {since_words(old)}"), nl=False)
        else:
            for line in (markdown_lines if form == "md" else text_lines)(comparison, changes):
                click.echo(line)
    if folder is not None:
        _draw(folder, judged, comparison)
    faulty = [name for each, name in zip(judged, (old, new), strict=True) if not each.checked]
    for name in faulty:
        left_out = "what they are about was not compared, nor figures and findings"
        click.echo(f"netdsl: the text at `{since_words(name)}` has errors: {left_out}", err=True)
    return 2 if faulty else 1 if comparison.electrical else 0


def _draw(folder: Path, judged: tuple[Judged, Judged], comparison: Comparison) -> None:
    """Write the marked sheets, and say how many there are; nothing is written where no sheet differs."""
    from render.build import write_set
    from render.changed_set import changed_set
    from render.drawing import Drawing

    old, new = judged[0].network, judged[1].network
    assert old is not None and new is not None  # both were compared
    with step("drawing the sheets"):
        earlier = Drawing(old, judged[0].findings, judged[0].calculation)
        sheets = changed_set(earlier, Drawing(new, judged[1].findings, judged[1].calculation, None, old), comparison)
    if not sheets:
        click.echo("netdsl: no sheet is drawn otherwise, none is written", err=True)
        return
    try:
        with step("writing the files"):
            written = write_set(sheets, folder, ("svg", "pdf"), f"{new.plant.project.title}, changes")
    except OSError as error:
        raise Refusal(f"the drawings cannot be written to `{folder}`: {reason_of(error)}") from error
    click.echo(f"netdsl: {len(sheets)} sheets drawn: {written.files[-1]}", err=True)


def _file(given: str, open_states: ExitStack, beside: Path | None) -> Path:
    """The plant's file of a state, which may be one of several that a plant here includes."""
    from netdsl.cli.since import state_at

    path = Path(given)
    return whole_plant(path) if path.exists() else open_states.enter_context(state_at(given, beside))


def _state(judged: Judged, name: str) -> State:
    from netdsl.cli.since import since_words
    from netdsl.comparing import State

    if judged.network is None or judged.calculation is None:
        raise Refusal(f"the text at `{since_words(name)}` gives no plant to compare: `netdsl check` there says why")
    return State(judged.network, judged.calculation, judged.findings, judged.checked)
