"""A document of fpdf2 with its objects packed: all that are no streams go into object streams, compressed by the hundred, with
the cross references as a stream (ISO 32000-1, 7.5.7 and 7.5.8). Links, bookmarks and pages then take a tenth of the room.
"""

from __future__ import annotations

import zlib
from typing import Any

from fpdf import FPDF
from fpdf.output import ContentWithoutID, OutputProducer, PDFXrefAndTrailer

#: the first version of PDF with object streams
VERSION = "1.5"
_LEVEL = 6  # of compression: fixed, as the bytes follow from it
#: characters of objects from which a pack is written
_ENOUGH = 1 << 16
_HEAD, _FOOT = " 0 obj\n", "\nendobj"
#: how an object that is a dictionary and no stream ends, as fpdf2 writes it
_PLAIN = f">>{_FOOT}"
#: bytes of the fields of a cross reference: of which kind; at what byte, or in which pack; which of its objects
_FIELDS = (1, 5, 2)
_FREE, _STREAM, _PACKED = 0, 1, 2


class PackingProducer(OutputProducer):
    """Serialises a document, its objects packed."""

    def __init__(self, fpdf: FPDF) -> None:
        super().__init__(fpdf)
        self.pdf_objs = _Objects(self)
        self._waiting: list[tuple[int, str]] = []
        self._size = 0
        # number of an object -> fields of its cross reference, for those in packs
        self._packed: dict[int, tuple[int, int, int]] = {}

    def _out(self, data: bytes | bytearray | str) -> None:
        """Append what fpdf2 wrote of an object, a dictionary when its pack is full."""
        if not isinstance(data, str) or not data.endswith(_PLAIN):
            super()._out(data)
            return
        number, _, body = data.partition(_HEAD)
        self._waiting.append((int(number), body[: -len(_FOOT)]))
        self._size += len(body)
        if self._size > _ENOUGH:
            self.flush()

    def flush(self) -> None:
        """Write the objects that wait as a pack."""
        if not self._waiting:
            return
        number = self._next()
        places, begin = [], 0
        for index, (own, body) in enumerate(self._waiting):
            places.append(f"{own} {begin}")
            begin += len(body) + 1
            self._packed[own] = (_PACKED, number, index)
        head = " ".join(places) + "\n"
        content = (head + "\n".join(body for _, body in self._waiting)).encode("latin-1")
        count = len(self._waiting)
        self._waiting, self._size = [], 0
        super()._out(_stream(number, f"/Type/ObjStm/N {count}/First {len(head)}", content))

    def index(self, root: int, info: int | None) -> bytes:
        """The end of the file: the cross references with the trailer, and where they begin."""
        self.flush()
        number = self._next()
        begin = len(self.buffer)
        rows = [(_FREE, 0, 0xFFFF)]
        for each in range(1, number + 1):
            rows.append(self._packed.get(each) or (_STREAM, self.offsets[each], 0))
        fields = [value.to_bytes(size, "big") for row in rows for value, size in zip(row, _FIELDS, strict=True)]
        said = f"/Type/XRef/Size {number + 1}/W[{' '.join(map(str, _FIELDS))}]/Root {root} 0 R"
        said += f"/Info {info} 0 R" if info else ""
        said += f"/ID[{self.fpdf.file_id()}]"
        return _stream(number, said, b"".join(fields)) + f"\nstartxref\n{begin}\n%%EOF".encode("ascii")

    def _next(self) -> int:
        """The number of an object that fpdf2 does not know, at the present end of the file."""
        self.obj_id += 1
        self.offsets[self.obj_id] = len(self.buffer)
        return self.obj_id


def _stream(number: int, said: str, content: bytes) -> bytes:
    """A stream as an object, compressed."""
    packed = zlib.compress(content, _LEVEL)
    head = f"{number}{_HEAD}<<{said}/Filter/FlateDecode/Length {len(packed)}>>\nstream\n"
    return b"".join((head.encode("ascii"), packed, f"\nendstream{_FOOT}".encode("ascii")))


class _Objects(list[Any]):
    """The objects of a document in their order, the cross references last."""

    def __init__(self, producer: PackingProducer) -> None:
        super().__init__()
        self._producer = producer

    def append(self, each: Any) -> None:
        """Put an object behind the others."""
        super().append(_Index(self._producer, each) if isinstance(each, PDFXrefAndTrailer) else each)


class _Index(ContentWithoutID):
    """The cross references in place of `plain` ones, which know what they lead to."""

    def __init__(self, producer: PackingProducer, plain: PDFXrefAndTrailer) -> None:
        self._producer, self._plain = producer, plain

    def serialize(self, _security_handler: object = None) -> Any:
        """Asked for last."""
        plain = self._plain
        assert plain.catalog_obj is not None
        return self._producer.index(plain.catalog_obj.id, plain.info_obj.id if plain.info_obj else None)
