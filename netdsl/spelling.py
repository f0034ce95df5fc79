"""The nearest spelling: what was probably meant where a word is not known.

Three kinds of word are misspelt in three ways, so each has its measure. Names of a plant are short and differ by a figure or a
letter: only a slip or two may part them, else `-K12` would be offered for `-M3`. Keywords stand where few are possible, so a
looser likeness is safe there. Names of rules and results are long and of several words; what is remembered of them is a piece.
"""

from __future__ import annotations

import re
from collections.abc import Iterable


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known name least edited from `word`, one edit for each three letters at most; None when none is as near.

    An exchange of neighbours is one edit. What differs in capitals alone comes first, then what goes on where `word` ends with a
    letter, as `-WB1` for `-WB`. A single character is like any other and
    has no nearest.
    """
    from rapidfuzz import process
    from rapidfuzz.distance import DamerauLevenshtein

    names = [name for name in known if name != word]
    for name in names:
        if name.lower() == word.lower():
            return name
    if len(word) < 2:
        return None
    limit = max(1, len(word) // 3)
    if word[-1].isalpha():
        names.sort(key=lambda name: not name.startswith(word))
    match = process.extractOne(word, names, scorer=DamerauLevenshtein.distance, score_cutoff=limit)
    return str(match[0]) if match else None


def nearest_size(word: str, known: Iterable[str]) -> str | None:
    """The known name that differs from `word` by one number alone, that nearest to it: `vsd-15kw` for `vsd-14kw`; None where none
    does."""
    pieces = re.split(r"(\d+(?:\.\d+)?)", word)
    found: list[tuple[float, str]] = []
    for name in known:
        others = re.split(r"(\d+(?:\.\d+)?)", name)
        differing = [n for n, (one, other) in enumerate(zip(pieces, others, strict=False)) if one != other]
        if len(pieces) == len(others) and len(differing) == 1 and differing[0] % 2:
            mine, its = float(pieces[differing[0]]), float(others[differing[0]])
            found.append((abs(mine - its) / max(mine, its, 1e-9), name))
    return min(found)[1] if found else None


def all_nearest(word: str, known: Iterable[str]) -> list[str]:
    """As `nearest`, with all that are as near as the nearest; one alone where only capitals differ."""
    from rapidfuzz.distance import DamerauLevenshtein

    names = list(known)
    best = nearest(word, names)
    if best is None or best.lower() == word.lower():
        return [best] if best else []
    least = DamerauLevenshtein.distance(word, best)
    return [name for name in names if name != word and DamerauLevenshtein.distance(word, name) == least]


def nearest_keyword(word: str, possible: Iterable[str]) -> str | None:
    """The possible keyword that shares most letters in their order with `word`, capitals aside; None below 70 %.

    Only the first 40 characters count: text without a space may be as long as the file.
    """
    from rapidfuzz import fuzz, process

    best = process.extractOne(word.lower()[:40], sorted(possible), scorer=fuzz.ratio, score_cutoff=70)
    return best[0] if best else None


def alike(word: str, known: Iterable[str], count: int = 1, share: float = 0.6) -> list[str]:
    """At most `count` of the known names, those with most pieces in common with `word` first; none below `share` of 1."""
    from difflib import get_close_matches

    return get_close_matches(word, known, count, share)
