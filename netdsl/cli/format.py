"""`netdsl format`: the canonical form of plant texts."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from netdsl.cli.refusal import Refusal, reason_of
from netdsl.cli.report import text_report, wants_colour
from netdsl.cli.work import plant_file
from netdsl.plain_files import read_plain
from netdsl.replacing import replace_file

UNCHANGED, CHANGED, REFUSED = 0, 1, 2


@click.command("format", short_help="Bring plant texts into the canonical form.")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--check", "only_check", is_flag=True, help="Change nothing; exit code 1 where a file is not in canonical form.")
def format_files(files: tuple[Path, ...], only_check: bool) -> int:
    """Bring FILES into the canonical form; comments stay where they stand.

    A file with faults of syntax is left as it is. Exit code: 0 done, 1 (with --check) a file would change, 2 a file could
    not be read, written or understood.

    \b
    Example:
      netdsl format examples/hatchery/*.netdsl --check
    """
    outcomes = [_format_one(file, only_check) for file in files]
    if REFUSED in outcomes:
        return 2
    return 1 if only_check and CHANGED in outcomes else 0


def _format_one(file: Path, only_check: bool) -> int:
    """Format one file and say so; one that fails keeps the others from nothing."""
    try:
        file = plant_file(file)
        before = read_plain(file)
    except Refusal as refusal:
        return _refuse(str(refusal))
    except OSError as error:
        return _refuse(f"`{file}` cannot be read: {reason_of(error)}")
    after = _canonical(file, before)
    if after is None:
        return REFUSED
    if after == before:
        return UNCHANGED
    if only_check:
        click.echo(f"{file} would change")
        return CHANGED
    try:
        replace_file(file.resolve(), after)
    except OSError as error:
        return _refuse(f"`{file}` cannot be written: {reason_of(error)}")
    click.echo(f"{file} changed")
    return CHANGED


def _refuse(sentence: str) -> int:
    click.echo(f"netdsl: {sentence}", err=True)
    return REFUSED


def _canonical(file: Path, data: bytes) -> bytes | None:
    """The canonical form of the text in `data`; None, with its findings printed, where it cannot be read."""
    from netdsl.syntax import decode, format_text, parse

    source, faults = decode(data, str(file))
    findings = faults or parse(source)[1]  # what bytes stood for is not known: the text around them is not judged
    text = None if findings else format_text(source, findings)
    if text is not None:
        return text.encode()
    for line in text_report(findings, wants_colour(sys.stdout)):
        click.echo(line, color=wants_colour(sys.stdout))
    _refuse(f"`{file}` left as it is: its syntax has faults")
    return None
