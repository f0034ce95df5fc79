"""What the remedies of `examples/faults` do to the texts there, as the `remedies.txt` beside each of them tells.

A block for each remedy, divided by empty lines. Lines with `=` are the words of the finding's remedy that it carries out; below
them stand the lines that change, as in the passing example of a rule (`lint/examples.py`). A block that begins with `~` tells
words that no change of this text carries out, and below them why.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from lint.examples import passing_example

NAME = "remedies.txt"


@dataclass(frozen=True)
class Cure:
    """One way to follow a remedy: the `words` of it, and the `changes` of the text, or why there are none."""

    words: tuple[str, ...]
    changes: str
    reason: str = ""

    def applied(self, text: str) -> str:
        """The text with the changes made."""
        return passing_example(text, self.changes) + "\n"


def cures_of(folder: Path) -> tuple[Cure, ...]:
    """The cures that stand beside a fault, in order."""
    return tuple(_cures((folder / NAME).read_text("utf-8")))


def _cures(text: str) -> Iterator[Cure]:
    for block in re.split(r"\n{2,}", text.strip()):
        lines = block.splitlines()
        words = tuple(line[2:] for line in lines if line.startswith(("= ", "~ ")))
        rest = lines[len(words) :]
        assert words and rest, block
        if block.startswith("~ "):
            yield Cure(words, "", " ".join(rest))
        else:
            assert all(line.startswith(("- ", "+ ")) for line in rest), block
            yield Cure(words, "\n".join(rest))


def untold(remedy: str, cures: tuple[Cure, ...]) -> str:
    """What is left of a remedy without the words that cures carry out or give a reason for."""
    for words in sorted((words for cure in cures for words in cure.words), key=len, reverse=True):
        remedy = remedy.replace(words, " ")
    return " ".join(re.sub(r"[,;]|\bor\b|\band\b", " ", remedy).split())
