"""What comes of renaming: edits of the text, or why there are none."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from netdsl.comparing import Names
from netdsl.findings import Edit, Source, Span


class Refused(Exception):
    """A name cannot be given; the reason is one sentence without a full stop. `span`: the place that is in the way."""

    def __init__(self, reason: str, span: Span | None = None) -> None:
        super().__init__(reason)
        self.span = span


class Renaming(Struct, frozen=True):
    """`edits`, that do not overlap, by file and place; `names`: what they call otherwise."""

    edits: tuple[Edit, ...]
    names: Names

    @property
    def texts(self) -> dict[Source, str]:
        """The texts that change, by source, with the edits made."""
        by_source: dict[Source, list[Edit]] = {}
        for edit in self.edits:
            by_source.setdefault(edit.span.source, []).append(edit)
        return {source: edited(source, edits) for source, edits in by_source.items()}


def edited(source: Source, edits: Iterable[Edit]) -> str:
    """The text of a source with edits made that do not overlap."""
    text = source.text
    for edit in sorted(edits, key=lambda edit: -edit.span.start):
        text = text[: edit.span.start] + edit.text + text[edit.span.end :]
    return text


def at(span: Span) -> str:
    """`plant.netdsl:12`."""
    return f"{span.source.path}:{span.begin[0]}"
