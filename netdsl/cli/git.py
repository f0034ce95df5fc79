"""`netdsl git`: how git shows, merges and checks the texts of plants."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click


@click.group(short_help="Let git show, merge and check texts of plants by what they mean.")
def git() -> None:
    """What git calls for texts of plants, and how it is told to."""


@git.command(short_help="Set up how a repository shows and merges texts of plants.")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False, exists=True), default=".")
@click.option("--facts", is_flag=True, help="Show differences as facts, one a line, schemes and defaults resolved.")
@click.option("--remove", "out", is_flag=True, help="Take out what was set up.")
def install(folder: Path, facts: bool, out: bool) -> int:
    """Set up, in the repository around FOLDER alone and in no commit: above each hunk of a difference the function it lies in;
    and merging by statement and attribute, where both sides touched different things. Anything else stays a conflict of git. A
    merged plant is checked: where it has an error or a warning that neither side has, git asks a person to look.

    With --facts, `git diff` compares what a text says in place of its lines, as `netdsl facts`; one that includes others, or has
    errors, in its canonical form. `git diff --no-textconv` shows the lines. Exit code: 0 done, 2 not.

    \b
    Example:
      netdsl git install
    """
    from netdsl.cli.git_setup import install as set_up
    from netdsl.cli.git_setup import remove

    for line in remove(folder) if out else set_up(folder, facts):
        click.echo(line)
    return 0


@git.command(short_help="Called by git to merge a text.")
@click.argument("base", type=click.Path(path_type=Path))
@click.argument("ours", type=click.Path(path_type=Path))
@click.argument("theirs", type=click.Path(path_type=Path))
@click.argument("size", type=int, default=7)
@click.argument("name", default="")
def merge(base: Path, ours: Path, theirs: Path, size: int, name: str) -> int:
    """Merge the changes from BASE to THEIRS into the file OURS, called NAME in the repository. Exit code: 0 merged, 1 a person
    must look at it, 2 it could not be tried.
    """
    from netdsl.cli.git_merge import merge_files

    return merge_files(base, ours, theirs, size, name)


@git.command(short_help="Called by git to show a text as facts.")
@click.argument("file", type=click.Path(path_type=Path))
def facts(file: Path) -> int:
    """Print what FILE says, one fact a line, sorted; where it includes others or has errors, its canonical form."""
    from netdsl.cli.excerpt import cells
    from netdsl.cli.work import connect
    from netdsl.comparing import listed
    from netdsl.plain_files import read_plain
    from netdsl.syntax import decode, format_text, parse
    from netdsl.syntax.tree import Include

    data = read_plain(file)
    source, wrong = decode(data, file.name)
    tree, faults = parse(source)
    if wrong or faults or any(isinstance(statement, Include) for statement in tree.statements):
        text = None if wrong or faults else format_text(source, faults)
        click.echo(data if text is None else text.encode(), nl=False)
        return 0
    judged = connect(file)
    if judged.network is None or not judged.checked:
        click.echo((format_text(source, faults) or source.text).encode(), nl=False)
        return 0
    for each in listed(judged.network):
        click.echo(cells(f"{each.kind} {each.subject} | {each.name}: {each.value}")[0])
    return 0


@git.command(short_help="Called before a commit: check the plants that files belong to.")
@click.argument("files", nargs=-1, type=click.Path(path_type=Path))
@click.option("--fail-on", "level", type=click.Choice(["error", "warning", "note"]), default="error", show_default=True)
def hook(files: tuple[Path, ...], level: str) -> int:
    """Check each plant that one of FILES belongs to, once. Exit code: as `netdsl check`, the worst of them."""
    from netdsl.cli.report import closing_line, reaches, text_report, wants_colour
    from netdsl.cli.work import judge, whole_plant

    plants = dict.fromkeys(whole_plant(file).resolve() for file in files)
    worst = 0
    for plant in plants:
        judged = judge(plant, date.today().isoformat())
        for line in text_report(judged.findings, wants_colour(sys.stdout)):
            click.echo(line)
        click.echo(f"{plant}: {closing_line(judged)}")
        worst = max(worst, 2 if judged.network is None else 1 if reaches(judged.findings, level) else 0)
    return worst
