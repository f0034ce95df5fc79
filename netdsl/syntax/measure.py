"""How long a line, a word and a text in quotes may be. What is longer is told, and read up to there: a name of ten thousand
letters has no place on a drawing, and a line of two hundred thousand values is no work of a person."""

from __future__ import annotations

import re
from collections.abc import Callable

from netdsl.findings import Source, Span

#: characters of a line, of a word without blanks and commas, of a text in quotes
MAX_LINE, MAX_WORD, MAX_TEXT = 10_000, 200, 1000
#: lines that may have something longer than a word; nearly none do
_LONG = re.compile(rf"^.{{{MAX_WORD}}}[^\n]+", re.MULTILINE)
#: a text in quotes, a remark, a word that is too long
_WORD = re.compile(rf'"[^"\\\r\n]*(?:\\.[^"\\\r\n]*)*"?|#.*|[^\s,"#]{{{MAX_WORD + 1},}}')


def shortened(source: Source, start: int, end: int | None, report: Callable[..., None]) -> str:
    """The text of `source` as it is to be read, of the same length: what is too long between `start` and `end`, and reported, has
    blanks from its bound on."""
    text = source.text
    end = len(text) if end is None else end
    if _LONG.search(text, start, end) is None:
        return text
    pieces, behind = [], 0
    for long in _LONG.finditer(text, start, end):
        for line in re.finditer(r"[^\r\n]+", long[0]):
            first = long.start() + line.start()
            read = _line(source, first, line[0], report)
            pieces += [text[behind:first], read]
            behind = first + len(read)
    return "".join((*pieces, text[behind:]))


def _line(source: Source, first: int, line: str, report: Callable[..., None]) -> str:
    """A line, which begins at `first`, as it is to be read."""
    if len(line) > MAX_LINE and not line.lstrip().startswith("#"):
        cut = line.rfind(" ", 0, MAX_LINE) + 1 or MAX_LINE
        message = f"this line has {len(line)} characters, {MAX_LINE} at most; the rest is not read"
        remedy = "write a statement for each thing, or what belongs to one in a block of lines"
        report("out-of-range", message, remedy, Span(source, first + cut, first + len(line)))
        opens = line.rstrip().endswith("{")
        line = line[:cut] + " " * (len(line) - cut - opens) + "{" * opens
    return _WORD.sub(lambda found: _word(source, first, found, report), line)


def _word(source: Source, first: int, found: re.Match[str], report: Callable[..., None]) -> str:
    """A word or text of a line, which begins at `first`, as it is to be read."""
    word = found[0]
    quoted = word.startswith('"')
    most = MAX_TEXT + 2 if quoted else MAX_WORD
    if len(word) <= most or word.startswith("#"):
        return word
    what = f"text has {len(word) - 2} characters, {MAX_TEXT}" if quoted else f"word has {len(word)} characters, {MAX_WORD}"
    remedy = "say it in fewer words" if quoted else "give a shorter name"
    begin = first + found.start()
    report("out-of-range", f"this {what} at most; the rest is not read", remedy, Span(source, begin, begin + len(word)))
    kept = word[: most - 1].rstrip("\\") + '"' if quoted else word[:most]
    return kept + " " * (len(word) - len(kept))
