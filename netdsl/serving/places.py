"""Places in texts as the protocol has them, by line and unit of the agreed encoding, to places in pieces and back."""

from __future__ import annotations

from pathlib import Path

from lsprotocol import types
from pygls.uris import from_fs_path, to_fs_path

from netdsl.findings import Span
from netdsl.serving.pieces import Document
from netdsl.sums import sum_of

#: what a character takes, by encoding
_UTF8, _UTF16 = types.PositionEncodingKind.Utf8, types.PositionEncodingKind.Utf16


def path_of(uri: str) -> Path | None:
    """The file that a URI names, None for none."""
    try:
        found = to_fs_path(uri)
    except Exception:  # whatever a client calls a URI
        return None
    return None if not found or "\0" in found else Path(found)


def uri_of(path: Path) -> str:
    """The URI of a file."""
    return from_fs_path(str(path)) or ""


def _units(character: str, encoding: str) -> int:
    code = ord(character)
    if encoding == _UTF16:
        return 2 if code > 0xFFFF else 1
    if encoding == _UTF8:
        return 1 if code < 0x80 else 2 if code < 0x800 else 3 if code < 0x10000 else 4
    return 1


class Places:
    """Places of one document, in the units of `encoding`."""

    def __init__(self, document: Document, encoding: str) -> None:
        self.document = document
        self.encoding = encoding

    def column(self, line: str, units: int) -> int:
        """Code points before `units` of a line; no more than it has."""
        if line.isascii():
            return min(max(0, units), len(line))
        column = 0
        for character in line:
            if units <= 0:
                break
            units -= _units(character, self.encoding)
            column += 1
        return column

    def units(self, line: str, column: int) -> int:
        """Units before the code point `column` of a line."""
        part = line[:column]
        return len(part) if part.isascii() else sum_of(_units(character, self.encoding) for character in part)

    def locate(self, position: types.Position) -> tuple[int, int]:
        """The piece at a position and the offset in it, held inside the text."""
        line = min(max(0, position.line), self.document.line_count)
        return self.document.locate(line, self.column(self.document.line(line), position.character))

    def position(self, line: int, column: int) -> types.Position:
        """The position of a line and column, from 0 in code points."""
        return types.Position(line, self.units(self.document.line(line), column))

    def range(self, span: Span) -> types.Range:
        """Where a span of one of the document's pieces is."""
        return types.Range(
            self.position(*self.document.place(span.source, span.start)),
            self.position(*self.document.place(span.source, span.end)),
        )
