"""The tables of LANGUAGE.md about choices and ratings, made from what the program itself reads.

`python -m netdsl.model.document` refreshes them.
"""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path

from netdsl.model.rating_table import RATINGS
from netdsl.model.value_kinds import Measure

PAGE = Path(__file__).parent.parent / "LANGUAGE.md"
USUAL_VALUES = Path(__file__).parent.parent / "standards" / "choices.toml"
CHOICES_HEAD = "| choice | what it is | usual value |\n|---|---|---|\n"
RATINGS_HEAD = "| kind of value | names |\n|---|---|\n"


def choices_table() -> str:
    """What a project may choose for the calculation, with the usual values."""
    rows = []
    for name, usual in sorted(tomllib.loads(USUAL_VALUES.read_text(encoding="utf-8")).items()):
        value = _plain(usual["value"]) if isinstance(usual["value"], float) else str(usual["value"])
        rows.append(f"| `{name}` | {usual['words']} | {value} {usual['unit']}".rstrip() + " |")
    return CHOICES_HEAD + "\n".join(rows)


def _plain(value: float) -> str:
    """A number without a power of ten: `0.00008`, `50`."""
    return f"{Decimal(str(value)).normalize():f}"


def ratings_table() -> str:
    """Names of ratings by the kind of value they take; words last."""
    kinds: dict[str, list[str]] = {}
    for take in RATINGS:
        kinds.setdefault(take.kind.kind if isinstance(take.kind, Measure) else "word", []).append(take.name)
    order = [*sorted(kind for kind in kinds if kind != "word"), "word"]
    rows = (
        f"| {'a word or text' if kind == 'word' else kind} | {', '.join(f'`{n}`' for n in sorted(kinds[kind]))} |"
        for kind in order
    )
    return RATINGS_HEAD + "\n".join(rows)


def refreshed(page: str) -> str:
    """The page with its tables as they are now."""
    for head, table in ((CHOICES_HEAD, choices_table()), (RATINGS_HEAD, ratings_table())):
        begin = page.index(head)
        page = page[:begin] + table + page[page.index("\n\n", begin) :]
    return page


if __name__ == "__main__":
    PAGE.write_text(refreshed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
