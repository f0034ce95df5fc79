"""What lies open: the plants that editors have files of, and which file belongs to which plant."""

from __future__ import annotations

import re
from pathlib import Path

from lsprotocol import types
from msgspec import Struct

from netdsl.findings import Span
from netdsl.model.files import shipped_source
from netdsl.serving.pieces import Document
from netdsl.serving.places import Places, path_of, uri_of
from netdsl.serving.plants import OpenPlant

#: half of a pair of units of UTF-16, which alone is no character
_SURROGATE = re.compile("[\ud800-\udfff]")
_WHOLE = re.compile(r"^[ \t]*project\b", re.MULTILINE)


class Open(Struct, frozen=True):
    """A text that an editor has: its `plant`, its `document` in it, `places` in the units of the client."""

    uri: str
    plant: OpenPlant
    document: Document
    places: Places


class Desk:
    """All that is open. `encoding`: the units of columns that client and server agreed on."""

    def __init__(self) -> None:
        self.encoding: str = types.PositionEncodingKind.Utf16
        self.plants: dict[Path, OpenPlant] = {}
        self._owners: dict[str, tuple[OpenPlant, str]] = {}

    def find(self, uri: str) -> Open | None:
        """An open text, None where it is not open."""
        owner = self._owners.get(uri)
        if owner is None:
            return None
        plant, name = owner
        document = plant.documents[name]
        return Open(uri, plant, document, Places(document, self.encoding))

    def open(self, uri: str, text: str) -> Open | None:
        """Take a text that an editor opened; None where its URI names no file."""
        path = path_of(uri)
        if path is None:
            return None
        text = _SURROGATE.sub("\ufffd", text)
        file = self._plant_of(path, text)
        plant = self.plants.setdefault(file, OpenPlant(file))
        name = plant.name_of(path)
        plant.open(name, text)
        self._owners[uri] = (plant, name)
        return self.find(uri)

    def _plant_of(self, path: Path, text: str) -> Path:
        """The file of the plant that a file belongs to: an open one that has read it, its own, or one nearby that includes it."""
        resolved = path.resolve()
        if _WHOLE.search(text):
            return resolved
        for plant in self.plants.values():
            if plant.name_of(path) in plant.order and (plant.folder / plant.name_of(path)).resolve() == resolved:
                return plant.file
        from netdsl.model.including import including

        try:
            return (including(path) if path.exists() else None) or resolved
        except OSError:
            return resolved

    def change(self, uri: str, changes: list[types.TextDocumentContentChangeEvent]) -> Open | None:
        """Carry out edits, one after the other; None where the text is not open."""
        found = self.find(uri)
        if found is None:
            return None
        for each in changes:
            text = _SURROGATE.sub("\ufffd", each.text)
            if isinstance(each, types.TextDocumentContentChangePartial):
                start, end = found.places.locate(each.range.start), found.places.locate(each.range.end)
                found.document.edit(start, end, text)
            else:
                found.document.replace(text)
        found.plant.version += 1
        return found

    def close(self, uri: str) -> OpenPlant | None:
        """Forget a text, and its plant where nothing else of it is open; the plant that still is."""
        plant, name = self._owners.pop(uri, (None, ""))
        if plant is None:
            return None
        plant.close(name)
        if plant.opened:
            return plant
        self.plants.pop(plant.file, None)
        return None

    # --- places ---------------------------------------------------------------------------------------------------
    def uri(self, plant: OpenPlant, name: str) -> str:
        """The URI of a text of a plant, as the editor that has it open calls it."""
        known = (uri for uri, (owner, own) in self._owners.items() if owner is plant and own == name)
        return next(known, uri_of(plant.folder / name))

    def location(self, plant: OpenPlant, span: Span) -> types.Location | None:
        """Where a span is: in a text of the plant, or in the shipped library; None where its text is there no more."""
        document = plant.documents.get(span.source.path)
        if document is not None and document.holds(span.source):
            return types.Location(self.uri(plant, document.path), Places(document, self.encoding).range(span))
        source = shipped_source(span.source.path)
        if source is None:
            return None
        from netdsl import library

        file = Path(library.__path__[0]) / Path(source.path).name
        places = Places(Document(source.path, source.text[: span.end]), self.encoding)  # nothing behind it is asked for
        start, end = (
            places.position(line - 1, column - 1) for line, column in (source.place(span.start), source.place(span.end))
        )
        return types.Location(uri_of(file), types.Range(start, end))
