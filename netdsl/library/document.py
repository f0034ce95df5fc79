"""The table of shipped parts in LANGUAGE.md, made from the library: `python -m netdsl.library.document` refreshes it.

A part stands in the row of its kind, whatever file it was written in.
"""

from __future__ import annotations

from pathlib import Path

from netdsl.library.catalogue import entries

PAGE = Path(__file__).parent.parent / "LANGUAGE.md"
HEAD = "| kind | parts |\n|---|---|\n"


def table() -> str:
    """A row per kind, its parts by name."""
    by_kind: dict[str, list[str]] = {}
    for entry in entries():
        if entry.part is not None:
            by_kind.setdefault(entry.kind, []).append(f"`{entry.name}`")
    return HEAD + "\n".join(f"| {kind} | {', '.join(names)} |" for kind, names in by_kind.items())


def refreshed(page: str) -> str:
    """The page with the table as it is now. Raises ValueError where the page lacks it."""
    begin = page.index(HEAD)
    return page[:begin] + table() + page[page.index("\n\n", begin) :]


if __name__ == "__main__":
    PAGE.write_text(refreshed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
