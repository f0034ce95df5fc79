"""What a `project` statement says: title-block data, revisions, and what is chosen for the calculation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from netdsl.findings import Span


@dataclass(frozen=True, slots=True)
class ProjectRevision:
    """One line of the revision table."""

    index: str
    date: str
    text: str


@dataclass(frozen=True, slots=True)
class Choice:
    """What the project chooses for the calculation, under one name.

    `values`: numbers in the base unit of their kind, one, or several for a series that is stocked. `word`: a choice that is a
    word, "" where it is a number.
    """

    values: tuple[float, ...]
    word: str
    span: Span


@dataclass(frozen=True, slots=True)
class ProjectData:
    """Title-block data (ISO 7200), every value as written, "" where not given; `choices` for the calculation, by name."""

    title: str
    attributes: Mapping[str, str]  # number, owner, created-by, approved-by, status, document-language, sheet-size, ...
    revisions: tuple[ProjectRevision, ...]
    span: Span | None
    choices: Mapping[str, Choice] = field(default_factory=dict)
