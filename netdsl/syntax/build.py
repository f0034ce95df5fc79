"""Refreshes the stored tables of the grammar: `python -m netdsl.syntax.build`."""

from __future__ import annotations

from netdsl.syntax.grammar import GRAMMAR_PATH, TABLES_PATH, stored


def main() -> None:
    """Write the tables beside the grammar."""
    TABLES_PATH.write_bytes(stored(GRAMMAR_PATH.read_text(encoding="utf-8")))


if __name__ == "__main__":
    main()
