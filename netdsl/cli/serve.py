"""`netdsl serve`: the language server for editors."""

from __future__ import annotations

import io
import sys

import click


@click.command(short_help="Serve an editor: findings while typing, completion, hover, symbols, formatting.")
def serve() -> int:
    """Speak the Language Server Protocol on standard input and output, for an editor that starts it.

    netdsl/editor/EDITORS.md says what to write into the settings of editors.

    Exit code: 0 the editor said goodbye, 1 it went away.
    """
    from netdsl.serving.start import serve as run

    try:
        run()
    finally:  # the protocol closed both, and whoever ends a command writes out what is left in them
        sys.stdout = sys.stderr = io.StringIO()
    return 0
