"""The front door: one thin module per command, no logic of its own."""

from netdsl.cli.entry import main, script

__all__ = ["main", "script"]
