"""A plant read with all that its text names."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path

from msgspec import Struct

from netdsl.collector import collector_paused
from netdsl.findings import Finding, Severity, Span
from netdsl.model.build import plant_of
from netdsl.model.files import read_texts
from netdsl.model.mentions import Mention, Mentions
from netdsl.model.plant import Plant
from netdsl.network import build_network
from netdsl.network.types import Network
from netdsl.renaming.outcome import Refused, at
from netdsl.syntax.tree import Function, Scheme, Statement, Tree, Use
from netdsl.syntax.written import Word


class Mentioned(Struct, frozen=True):
    """A plant, what its text names and where, what was found while it was read; `path`, `instead`: as it was read."""

    path: Path
    instead: Mapping[str, str]
    network: Network
    mentions: Mentions
    trees: tuple[Tree, ...]
    findings: tuple[Finding, ...]

    @property
    def plant(self) -> Plant:
        """The plant alone."""
        return self.network.plant

    @property
    def errors(self) -> Counter[str]:
        """How often each rule of the language found an error."""
        return Counter(finding.rule for finding in self.findings if finding.severity is Severity.ERROR)

    @property
    def things(self) -> dict[str, Span]:
        """Everything that has a name of its own, functions and routes among it, with a place in the text."""
        plant = self.plant
        tables = (plant.devices, plant.cables, plant.places, plant.functions, plant.routes)
        return {name: thing.span for table in tables for name, thing in table.items()}

    def schemes(self) -> Iterator[Word]:
        """The word of each scheme of the plant where it is described or used, in order of text."""
        for tree in self.trees:
            yield from _scheme_words(tree.statements)

    def named_at(self, path: str, offset: int) -> str | None:
        """The identity of what is named at a character of the text `path`, as `rename` takes it; None where nothing is."""
        found: list[Mention] = [
            mention
            for mention in self.mentions.things
            if mention.span.source.path == path and mention.span.start <= offset <= mention.span.end
        ]
        nearest = min(found, key=lambda mention: mention.span.end - mention.span.start, default=None)
        if nearest is not None:
            return nearest.identity
        words = (word for word in self.schemes() if word.span.source.path == path and word.span.start <= offset <= word.span.end)
        return next((word.text for word in words), None)


def mentioned(path: Path, instead: Mapping[str, str] | None = None) -> Mentioned:
    """The plant at `path`, a file or a folder; `instead`: texts by path from its folder, in place of what those files hold.

    Raises Refused where its text has errors: what a line that cannot be read would name is not known.
    """
    mentions = Mentions()
    with collector_paused():
        texts = read_texts(path, instead)
        plant, reading = plant_of(texts, mentions)
    if plant is None:
        raise Refused(reading[0].message)
    network, joining = build_network(plant)
    read = Mentioned(path, dict(instead or {}), network, mentions, tuple(texts.trees), (*reading, *joining))
    wrong = next((finding for finding in reading if finding.severity is Severity.ERROR), None)
    if wrong is not None:
        raise Refused(f"the text has errors, the first at {at(wrong.span)}: {wrong.message}", wrong.span)
    return read


def _scheme_words(statements: tuple[Statement, ...]) -> Iterator[Word]:
    for statement in statements:
        if isinstance(statement, Use):
            yield statement.scheme
        elif isinstance(statement, Scheme):
            yield statement.name
            yield from _scheme_words(statement.body)
        elif isinstance(statement, Function):
            yield from _scheme_words(statement.body)
