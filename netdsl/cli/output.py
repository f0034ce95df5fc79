"""What a command writes to a file that the user named."""

from __future__ import annotations

from pathlib import Path

import click

from netdsl.cli.refusal import Refusal, reason_of
from netdsl.replacing import replace_file


def put(target: Path, data: bytes, what: str) -> None:
    """Write `data`, which is `what` in words, to `target`, whole or not at all, and say so. Raises Refusal where it cannot be."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        replace_file(target, data)
    except OSError as error:
        raise Refusal(f"{what} cannot be written to `{target}`: {reason_of(error)}") from error
    click.echo(str(target))
