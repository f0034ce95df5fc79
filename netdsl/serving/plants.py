"""A plant that is open in an editor: its texts in pieces, what was last read of them, and what was found.

Kept between edits: the pieces that were not touched, with their trees; the plant as it was last connected; the findings of the
whole as they were last judged, with the pieces at that time (the base). Worked out anew with an edit: the pieces it touches, and
the slice around them, before and after.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NamedTuple

from msgspec.structs import replace

from netdsl.findings import Finding, Source, Span
from netdsl.model.build import plant_of
from netdsl.model.desk import NOT_JUDGED
from netdsl.model.files import Read, read_texts, shipped_source
from netdsl.model.mentions import Mentions
from netdsl.model.plant import Plant
from netdsl.network import build_network
from netdsl.network.types import Network
from netdsl.serving.naming import declared, mentioned
from netdsl.serving.pieces import Document, Piece
from netdsl.serving.slices import Index, Judged, judge_slice, key, loosely, slice_of
from netdsl.serving.told import Place, Told, heard
from netdsl.syntax.tree import Include

#: characters of edited pieces above which an edit is judged with the whole plant alone
_MOST_EDITED = 100_000
#: characters of a plant above which it is read beside the server's other work
_LARGE = 200_000


class Whole(NamedTuple):
    """A plant as it was read at one time: the `documents` by path in the order in which they are read, what they give, what was
    found in reading them; `mentions`: what they name. `plant` and `network`: None where its file could not be read."""

    documents: dict[str, Document]
    plant: Plant | None
    network: Network | None
    findings: tuple[Finding, ...]
    mentions: Mentions = Mentions()


class OpenPlant:
    """`file`: the file of the plant; `documents`: its texts by path from its folder; `opened`: those that an editor has open."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.folder = file.parent.resolve()
        self.documents: dict[str, Document] = {}
        self.opened: set[str] = set()
        self.version = 0
        self.whole = Whole({}, None, None, ())
        self.order: tuple[str, ...] = ()
        self.confirmed: tuple[Finding, ...] = ()
        self.base: dict[str, list[Piece]] = {}
        self._slices: dict[tuple[Piece, ...], Judged] = {}
        self._read_version = -1

    # --- texts ------------------------------------------------------------------------------------------------------
    def name_of(self, path: Path) -> str:
        """The path of a file as findings have it."""
        resolved = path.resolve()
        return resolved.relative_to(self.folder).as_posix() if resolved.is_relative_to(self.folder) else resolved.name

    def open(self, name: str, text: str) -> Document:
        """Take the text that an editor has."""
        document = self.documents.get(name)
        if document is None:
            document = self.documents[name] = Document(name, text)
        else:
            document.replace(text)
        self.opened.add(name)
        self.version += 1
        return document

    def close(self, name: str) -> None:
        """Go back to what the file holds."""
        self.opened.discard(name)
        self.version += 1

    @property
    def texts(self) -> dict[str, str]:
        """What editors have, by path."""
        return {name: self.documents[name].text for name in sorted(self.opened)}

    @property
    def pieces(self) -> list[Piece]:
        """All pieces in the order in which they are read."""
        return [piece for name in self.order if name in self.documents for piece in self.documents[name].pieces]

    # --- the whole ----------------------------------------------------------------------------------------------------
    def copies(self) -> dict[str, Document]:
        """The documents as they are now, which further edits leave alone."""
        return {name: document.copy() for name, document in self.documents.items()}

    def read_whole(self, documents: dict[str, Document]) -> Whole:
        """Read the plant from copies of its documents, and from the disk what is not among them. Touches nothing of this object:
        it may run beside."""
        found: dict[str, Document] = {}
        opened = {name: documents[name].text for name in sorted(self.opened) if name in documents}

        def pieces(source: Source) -> Sequence[Read]:
            document = documents.get(source.path)
            if document is None:
                document = Document(source.path, source.text)
            elif source.path not in opened and document.text != source.text:
                document.replace(source.text)
            found[source.path] = document
            return [piece.read for piece in document.pieces]

        texts = read_texts(self.file, opened, pieces)
        mentions = Mentions()
        plant, reading = plant_of(texts, mentions)
        if plant is None:
            return Whole(found, None, None, reading)
        network, joining = build_network(plant)
        return Whole(found, plant, network, (*reading, *joining), mentions)

    def take_whole(self, whole: Whole, version: int) -> None:
        """Take what was read when the plant was at `version`."""
        self.whole, self.order = whole, tuple(whole.documents)
        for name, document in whole.documents.items():
            if name not in self.documents or (name not in self.opened and version == self.version):
                self.documents[name] = document.copy()
        self._read_version = version

    @property
    def is_large(self) -> bool:
        """Whether reading it takes longer than anybody waits for an answer."""
        return sum(len(piece.source.text) for document in self.documents.values() for piece in document.pieces) > _LARGE

    @property
    def fresh(self) -> bool:
        """Whether what was read is of the texts as they are."""
        return self._read_version == self.version

    def refresh(self) -> Whole:
        """Read the plant where it changed since it was read."""
        if not self.fresh:
            self.take_whole(self.read_whole(self.copies()), self.version)
        return self.whole

    def at_hand(self) -> Whole:
        """The plant as it can be asked about at once: of a large one as it was last read, which is soon read anew beside."""
        return self.whole if self.is_large else self.refresh()

    # --- findings -----------------------------------------------------------------------------------------------------
    def confirm(self, all_told: Iterable[Told], documents: dict[str, Document]) -> None:
        """Take the findings of the whole plant as its texts were in `documents`."""

        def span_at(place: Place) -> Span | None:
            path, start, end = place
            document = documents.get(path)
            if document is None:
                source = shipped_source(path)
                if source is None and path == str(self.file):
                    source = Source(path, "")
                return None if source is None else Span(source, min(start, len(source.text)), min(end, len(source.text)))
            number, within = document.at_offset(start)
            source = document.pieces[number].source
            return Span(source, within, min(within + end - start, len(source.text)))

        self.settle(heard(all_told, span_at), documents)

    def settle(self, findings: tuple[Finding, ...], documents: dict[str, Document]) -> None:
        """Take findings, whose places are in pieces of `documents`, as those of the whole."""
        self.confirmed = findings
        self.base = {name: list(document.pieces) for name, document in documents.items()}
        for name, document in documents.items():
            document.settle()
            if name in self.documents:
                self.documents[name].settled = document.settled

    def findings(self, today: str | None) -> tuple[Finding, ...]:
        """What is wrong as far as is known at once: that of the whole as it was judged, and what edits since then changed."""
        pieces, base = self.pieces, [piece for name in self.order for piece in self.base.get(name, ())]
        here, there = set(map(id, pieces)), set(map(id, base))
        changed = [piece for piece in pieces if id(piece) not in there]
        gone = [piece for piece in base if id(piece) not in here]
        if not changed and not gone:
            return self.confirmed
        sources = {id(piece.source) for piece in pieces}
        written = [finding for piece in changed for finding in piece.findings]
        size = sum(len(piece.source.text) for piece in (*changed, *gone))
        if (
            not base
            or size > _MOST_EDITED
            or any(isinstance(each, Include) for piece in changed for each in piece.tree.statements)
        ):
            kept = (self._moved(finding, sources, changed) for finding in self.confirmed)
            return (*written, *(finding for finding in kept if finding is not None))
        around = slice_of(changed, gone, Index(pieces), self.whole.network)
        held = set(map(id, around))
        before = self._judged(tuple(piece for piece in base if id(piece) in held or id(piece) not in here), today)
        after = self._judged(tuple(around), today)
        concerned = frozenset().union(*(each(piece) for each in (declared, mentioned) for piece in (*changed, *gone)))
        return self._laid_over(before, after, concerned, sources, changed)

    def _judged(self, pieces: tuple[Piece, ...], today: str | None) -> Judged:
        found = self._slices.pop(pieces, None) or judge_slice(pieces, today)
        self._slices[pieces] = found
        while len(self._slices) > 4:
            self._slices.pop(next(iter(self._slices)))
        return found

    def _laid_over(
        self, before: Judged, after: Judged, concerned: frozenset[str], here: set[int], changed: Sequence[Piece]
    ) -> tuple[Finding, ...]:
        """The findings of the whole with what a slice has more and less after the edit."""
        result: list[Finding] = []
        known = set()
        whole = {key(finding) for finding in self.confirmed}
        mended = before.loosely - after.loosely
        for finding in self.confirmed:
            mark = key(finding)
            if before.counts[mark] > after.counts[mark]:
                continue
            if not before.counts[mark] and mended[loosely(finding)] > 0:  # in the slice it has fewer subjects than in the whole
                mended[loosely(finding)] -= 1
                continue
            known.add(mark)
            moved = after.findings.get(mark) if id(finding.span.source) not in here else finding
            moved = moved or self._moved(finding, here, changed)
            if moved is not None:
                result.append(moved)
        edited = {id(piece.source) for piece in changed}
        lame = Counter(loosely(before.findings[mark]) for mark in before.counts - after.counts if mark not in whole)
        unjudged = _unjudged(before.findings[mark] for mark in before.counts - after.counts)
        for mark, finding in after.findings.items():
            new = after.counts[mark] > before.counts[mark] and mark not in known
            if new and lame[loosely(finding)] > 0:  # the slice was lame before as well, in other words
                lame[loosely(finding)] -= 1
            elif new and (id(finding.span.source) in edited or _about(finding, concerned)) and not _about(finding, unjudged):
                result.append(finding)
        return tuple(result)

    def _moved(self, finding: Finding, here: set[int], changed: Sequence[Piece]) -> Finding | None:
        """A finding with its place in the pieces that there are; None where the line that it was in is there no more."""
        related = tuple(each for each in finding.related if self._is_there(each.span, here))
        fix = finding.fix if all(self._is_there(edit.span, here) for edit in finding.fix) else ()
        span = finding.span
        if not self._is_there(span, here):
            line, column = span.begin
            words = span.source.line(line)
            for piece in changed:
                at = piece.source.text.find(words) if words else -1
                if at >= 0:
                    start = at + column - 1
                    span = Span(piece.source, start, min(start + span.end - span.start, len(piece.source.text)))
                    break
            else:
                return None
        if span is finding.span and fix == finding.fix and related == finding.related:
            return finding
        return replace(finding, span=span, related=related, fix=fix)

    def _is_there(self, span: Span, here: set[int]) -> bool:
        return id(span.source) in here or span.source.path not in self.documents


def _unjudged(mended: Iterable[Finding]) -> frozenset[str]:
    """What was not judged for mistakes that are mended: what a slice now finds in it may come of what the slice lacks."""
    related = (each.message for finding in mended for each in finding.related if each.message.startswith(NOT_JUDGED))
    return frozenset(name for message in related for name in message.split("`")[1::2])


def _about(finding: Finding, names: frozenset[str]) -> bool:
    """Whether a finding is about something that the edited lines declare or name."""
    for subject in finding.subjects:
        owner = subject.partition(":")[0].partition(" ")[0]
        if owner in names or ("-" in owner and owner[owner.index("-") :] in names and not owner.startswith("+")):
            return True
    return False
