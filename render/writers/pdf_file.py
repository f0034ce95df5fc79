"""The objects of a PDF on their way into a file: those that are no streams go into packs, compressed by the hundred, with the
cross references as a stream (ISO 32000-1, 7.5.7 and 7.5.8). Links, bookmarks and pages then take a tenth of the room.
"""

from __future__ import annotations

import zlib
from hashlib import md5
from typing import BinaryIO

#: the first version of PDF with object streams, and bytes that tell whoever passes the file on that it is no text
_HEADER = b"%PDF-1.5\n%\xe2\xe3\xcf\xd3\n"
_LEVEL = 6  # of compression: fixed, as the bytes follow from it
#: characters of objects from which a pack is written
_ENOUGH = 1 << 16
#: bytes of the fields of a cross reference: of which kind; at what byte, or in which pack; which of its objects
_FIELDS = (1, 5, 2)
_FREE, _STREAM, _PACKED = 0, 1, 2


class ObjectFile:
    """A PDF of whose objects the first `count` numbers are given by whoever writes it; `end` closes it."""

    def __init__(self, file: BinaryIO, count: int) -> None:
        self._file, self._last = file, count
        self._at, self._hash = 0, md5(usedforsecurity=False)
        self._waiting: list[tuple[int, str]] = []
        self._size = 0
        # number of an object -> fields of its cross reference
        self._places: dict[int, tuple[int, int, int]] = {}
        self._write(_HEADER)

    def put(self, number: int, body: str) -> None:
        """Write an object that is no stream, in characters up to U+00FF."""
        self._waiting.append((number, body))
        self._size += len(body)
        if self._size > _ENOUGH:
            self._flush()

    def stream(self, number: int, content: bytes, said: str = "") -> None:
        """Write a stream that is compressed already; `said`: what its dictionary says besides."""
        self._places[number] = (_STREAM, self._at, 0)
        head = f"{number} 0 obj\n<<{said}/Filter/FlateDecode/Length {len(content)}>>\nstream\n"
        self._write(b"".join((head.encode("latin-1"), content, b"\nendstream\nendobj\n")))

    def end(self, said: str) -> None:
        """Write what is left and the cross references; `said`: what the trailer says of root and info."""
        self._flush()
        number, begin = self._next(), self._at
        self._places[number] = (_STREAM, begin, 0)
        rows = [(_FREE, 0, 0xFFFF), *(self._places[each] for each in range(1, number + 1))]
        fields = b"".join([value.to_bytes(size, "big") for row in rows for value, size in zip(row, _FIELDS, strict=True)])
        identity = f"<{self._hash.hexdigest().upper()}>"  # twice: that of the first writing and of this one
        widths = " ".join(map(str, _FIELDS))
        said = f"/Type/XRef/Size {number + 1}/W[{widths}]{said}/ID[{identity}{identity}]"
        self.stream(number, zlib.compress(fields, _LEVEL), said)
        self._write(f"startxref\n{begin}\n%%EOF\n".encode("ascii"))

    def _flush(self) -> None:
        """Write the objects that wait as a pack."""
        if not self._waiting:
            return
        number, begin = self._next(), 0
        heads = []
        for index, (own, body) in enumerate(self._waiting):
            heads.append(f"{own} {begin}")
            begin += len(body) + 1
            self._places[own] = (_PACKED, number, index)
        head = " ".join(heads) + "\n"
        content = head + "\n".join([body for _, body in self._waiting])
        said = f"/Type/ObjStm/N {len(heads)}/First {len(head)}"
        self._waiting, self._size = [], 0
        self.stream(number, zlib.compress(content.encode("latin-1"), _LEVEL), said)

    def _next(self) -> int:
        self._last += 1
        return self._last

    def _write(self, data: bytes) -> None:
        self._file.write(data)
        self._at += len(data)
        self._hash.update(data)


def string(text: str) -> str:
    """`text` as a PDF says it outside of pages: in Unicode where it is not plain."""
    if text.isascii():
        return "(" + text.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)") + ")"
    return f"<FEFF{text.encode('utf-16-be').hex().upper()}>"
