"""What a `project` statement says: title-block data, revisions, and what is chosen for the calculation."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from netdsl.findings import Span


class ProjectRevision(Struct, frozen=True):
    """One line of the revision table."""

    index: str
    date: str
    text: str


class Choice(Struct, frozen=True):
    """What the project chooses for the calculation, under one name.

    `values`: numbers in the base unit of their kind, one, or several for a series that is stocked. `word`: a choice that is a
    word, "" where it is a number.
    """

    values: tuple[float, ...]
    word: str
    span: Span


class ProjectData(Struct, frozen=True):
    """Title-block data (ISO 7200), every value as written, "" where not given; `choices` for the calculation, by name."""

    title: str
    attributes: Mapping[str, str]  # number, owner, created-by, approved-by, status, document-language, sheet-size, ...
    revisions: tuple[ProjectRevision, ...]
    span: Span | None
    choices: Mapping[str, Choice] = field(default_factory=dict)
