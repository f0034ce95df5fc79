"""All that the pages say about a plant at one time, as plain values that become JSON."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import chain

from msgspec import Struct
from msgspec.structs import replace

from netdsl.findings import Finding
from netdsl.viewing.things import Lines, Texts, Thing, name_among


class Page(Struct, frozen=True):
    """A sheet in the list. `key`: of the Sheet; `version`: another whenever anything on it is drawn otherwise; `size`: "A3" or
    "A4"."""

    key: str
    number: str
    title: str
    kind: str
    part_of: str
    about: str
    size: str
    version: str


class Said(Struct, frozen=True):
    """A finding. `severity`: `error`, `warning`, `note`, or `allowed` with the `reason` of its exception; `about`: designations
    of the plant that it is about; `related`: further places."""

    rule: str
    severity: str
    message: str
    remedy: str
    source: str
    reason: str
    about: tuple[str, ...]
    lines: Lines
    related: tuple[Lines, ...]


class Text(Struct, frozen=True):
    """A text that the plant is read from: its `path` as findings give it, `shipped` where it belongs to the library."""

    path: str
    shipped: bool


class Shown(Struct, frozen=True):
    """The plant as the pages show it. `number`: another for each state; `trouble`: what could not be read or drawn, "" where all
    was; `old`: whether the pages are those of an earlier state therefore. `called`: the designation of each name on the sheets
    that is none itself. `texts`: what is read; `link`: how a line of it is opened in an editor, with `{path}`, `{file}`,
    `{line}`, `{column}`, or ""; `root`: the folder of the plant, where the link asks for it."""

    number: int
    title: str
    trouble: str
    old: bool
    pages: tuple[Page, ...]
    findings: tuple[Said, ...]
    things: Mapping[str, Thing]
    called: Mapping[str, str]
    texts: tuple[Text, ...]
    link: str = ""
    root: str = ""


def said_of(findings: Iterable[Finding], texts: Texts, things: Mapping[str, Thing]) -> tuple[Said, ...]:
    """The findings, the worst first whatever the file."""
    ranked = sorted(findings, key=lambda each: (each.allowed is not None, each.severity.rank))
    return tuple(
        Said(
            finding.rule,
            "allowed" if finding.allowed is not None else finding.severity.value,
            finding.message,
            finding.remedy,
            finding.source,
            finding.allowed or "",
            tuple(dict.fromkeys(filter(None, (name_among(things, subject) for subject in finding.subjects)))),
            texts.at(finding.span),
            tuple(texts.at(related.span, None, related.message) for related in finding.related),
        )
        for finding in ranked
    )


def placed(
    things: Mapping[str, Thing], pages: Sequence[Page], drawn: Sequence[Iterable[str]], first: Callable[[str], str]
) -> dict[str, Thing]:
    """`things` with the sheets that show them. `drawn`: designations on each page; `first`: the key of the sheet that others
    refer to for a designation, or ""."""
    on: defaultdict[str, dict[int, None]] = defaultdict(dict)
    numbers = {page.key: number for number, page in enumerate(pages)}
    for number, (page, names) in enumerate(zip(pages, drawn, strict=True)):
        function = page.part_of.partition(" ")[0]
        for name in chain(names, (name.partition(":")[0] for name in names), (function,)):
            on[name][number] = None
    result = {}
    for name, thing in things.items():
        found = list(on.get(name, ()))
        if not found and thing.marks:
            found = sorted({each for mark in thing.marks for each in on.get(mark, ())}, key=_most(thing.marks, on))
            marks = thing.marks
        else:
            # the first that others refer to; of what several are made of, the order of the set
            front = numbers.get(first(name), -1)
            found.sort(key=lambda number: (number != front, number))
            marks = ()
        result[name] = replace(thing, sheets=tuple(found), marks=marks)
    return result


def _most(marks: Sequence[str], on: Mapping[str, Mapping[int, None]]) -> Callable[[int], tuple[int, int]]:
    """Sheets that show the most of `marks` first."""
    return lambda number: (-sum(number in on.get(mark, ()) for mark in marks), number)
