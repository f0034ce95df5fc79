"""The front door: one thin module per command, no logic of its own."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from netdsl.cli.neighbours import stranger

__all__ = ["main", "script"]


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code; 2 and one sentence where it could not do its work."""
    from netdsl.cli import entry

    entry.main(arguments)


def script() -> NoReturn:
    """What the shell starts: `main`, where `lint` and `render` are netdsl's own."""
    fault = stranger()
    if fault is not None:
        print(f"netdsl: {fault}", file=sys.stderr)
        sys.exit(2)
    try:
        from netdsl.cli import entry
    except KeyboardInterrupt:
        print("netdsl: stopped before anything was done", file=sys.stderr)
        os._exit(2)
    entry.script()
