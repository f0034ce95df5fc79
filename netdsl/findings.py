"""How anything wrong is said: sources, spans and findings, used by every room.

A `Span` counts code points in one `Source`, half open. Lines and columns exist only when something is printed.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import force_setattr, replace


class Severity(StrEnum):
    """How bad a finding is; `rank` orders them, the worst first."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for an error, 1 for a warning, 2 for a note."""
        return _RANK[self.value]


_RANK = {"error": 0, "warning": 1, "note": 2}


class Source:
    """One text as it was read: `path` as shown to the user (relative to the plant's folder), `text` its whole content."""

    __slots__ = ("_starts", "path", "text")

    def __init__(self, path: str, text: str) -> None:
        self.path = path
        self.text = text
        self._starts: list[int] | None = None

    def __repr__(self) -> str:
        return f"Source({self.path!r})"

    @property
    def line_starts(self) -> list[int]:
        """Offsets of the first character of each line; LF, CRLF and CR all end a line."""
        if self._starts is None:
            starts = [0]
            text = self.text
            position = 0
            for line in text.splitlines(keepends=True) if text.isascii() else _lines(text):
                position += len(line)
                if line.endswith(("\n", "\r")):
                    starts.append(position)
            self._starts = starts
        return self._starts

    def place(self, offset: int) -> tuple[int, int]:
        """Line and column of `offset`, both from 1, in code points."""
        starts = self.line_starts
        line = bisect_right(starts, offset)
        return line, offset - starts[line - 1] + 1

    def line(self, number: int) -> str:
        """Text of line `number` (from 1) without its line end."""
        starts = self.line_starts
        end = starts[number] if number < len(starts) else len(self.text)
        return self.text[starts[number - 1] : end].rstrip("\r\n")


def _lines(text: str) -> Iterable[str]:
    """Split at LF, CRLF and CR only: `str.splitlines` also splits at form feeds and Unicode separators."""
    position = 0
    while position < len(text):
        lf = text.find("\n", position)
        cr = text.find("\r", position)
        if cr != -1 and (lf == -1 or cr < lf):
            end = cr + 2 if text[cr + 1 : cr + 2] == "\n" else cr + 1
        else:
            end = lf + 1 if lf != -1 else len(text)
        yield text[position:end]
        position = end


class Span(Struct, frozen=True, gc=False):
    """Characters `start` to `end` (half open, code points) of `source`. Zero width says "here".

    There is one for each word of a text: the search for cycles need not know of them, for a text leads to none.
    """

    source: Source
    start: int
    end: int

    @property
    def text(self) -> str:
        """The characters it covers."""
        return self.source.text[self.start : self.end]

    @property
    def begin(self) -> tuple[int, int]:
        """Line and column of its first character, from 1."""
        return self.source.place(self.start)

    @property
    def finish(self) -> tuple[int, int]:
        """Line and column just behind its last character, from 1."""
        return self.source.place(self.end)

    def to(self, other: Span) -> Span:
        """The span from the start of this one to the end of `other`, both in one source."""
        return Span(self.source, self.start, other.end)


class Related(Struct, frozen=True):
    """Another place that helps to understand a finding, with a few words."""

    message: str
    span: Span


class Edit(NamedTuple):
    """`text` in place of what a span covers; a span of no width puts it there."""

    span: Span
    text: str


#: characters of a message from which its words are looked at
_LONG = 200
_LONG_WORD = re.compile(r"\S{101,}")


def _quoted(word: re.Match[str]) -> str:
    """A long word of the text as messages quote it: its beginning and its end."""
    return f"{word[0][:50]}...{word[0][-20:]}"


class Finding(Struct, frozen=True):
    """One thing that is wrong.

    `rule`: its name, plain words joined by hyphens. `message`: one line that stands alone, lower-case start, no full stop.
    `remedy`: what to do about it. `subjects`: the designations concerned, the one it is reported at first.
    `source`: the standard and clause, or "common practice". `span`: where. `allowed`: the reason of the `allow`
    statement that excepts it, or None. `fix`: edits that cure it where the text alone can, and invent nothing about the plant.
    """

    rule: str
    severity: Severity
    message: str
    remedy: str
    span: Span
    subjects: tuple[str, ...] = ()
    source: str = ""
    related: tuple[Related, ...] = ()
    allowed: str | None = None
    fix: tuple[Edit, ...] = ()

    def __post_init__(self) -> None:
        if len(self.message) > _LONG or len(self.remedy) > _LONG:  # they quote words of the text, which may be of any length
            force_setattr(self, "message", _LONG_WORD.sub(_quoted, self.message))
            force_setattr(self, "remedy", _LONG_WORD.sub(_quoted, self.remedy))

    def allow(self, reason: str) -> Finding:
        """The same finding, excepted for `reason`."""
        return replace(self, allowed=reason)

    def order(self) -> tuple[str, int, int, int, str, str]:
        """Sort key: file, the worst first, then place, rule, message."""
        return (self.span.source.path, self.severity.rank, self.span.start, self.span.end, self.rule, self.message)


class NotJudged(NamedTuple):
    """A subject that a rule could not judge, and why: never to be taken for one that passed. `rule`: its name, "" for all that
    would look at it; `subject`: a designation, "" for the plant as a whole; `reason`: in words, without a full stop."""

    rule: str
    subject: str
    reason: str


class Extent(Struct, frozen=True):
    """How far a check went: how many `rules` looked at how many `subjects`, what they could not judge, and in words what the
    project takes less strictly than is usual, and why."""

    rules: int
    subjects: int
    not_judged: tuple[NotJudged, ...]
    lowered: tuple[str, ...] = ()


def arranged(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """`findings` in their total order, exact doubles dropped."""
    seen: set[tuple[object, ...]] = set()
    result = []
    for finding in sorted(findings, key=Finding.order):
        key = (*finding.order(), finding.subjects, id(finding.span.source))  # a text may be read in pieces of one path
        if key not in seen:
            seen.add(key)
            result.append(finding)
    return tuple(result)
