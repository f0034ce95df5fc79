"""DXF as text: an empty document as ezdxf writes it, once in a process, into which the records of a sheet are put.

ezdxf makes an object with checked attributes for each entity, and asks it for all that it might have before it is written: that
takes fifteen times as long as the SVG of the same sheet. So it makes what all sheets have, and what it would write of a layer, a
line or a text stands here and in `dxf.py` as forms that are filled.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache

from msgspec import Struct

#: the styles of texts
STYLE, STYLE_BOLD = "DRAWING", "DRAWING-BOLD"
BLACK = 7  # colour by number: white on black, black on white
#: from here ezdxf numbers what it adds as it writes: it has the numbers behind those of a sheet
_LATE = 0xABCDEF00
_LINKS = "PE_URL"  # the application that links belong to


def form(*tags: tuple[int, object]) -> str:
    """Tags as text, each a code and its value; `%s` as a value is filled later."""
    return "".join(f"{code:3}\n{value}\n" for code, value in tags)


_STEP = form((49, "%s"), (74, 0))


class Document:
    """A document in the making, for a sheet that measures `width` by `height` mm."""

    def __init__(self, width: float, height: float) -> None:
        self._empty = _empty(width, height)
        self._next = self._empty.first
        self._layers: dict[str, str] = {}
        self._linetypes: dict[str, str] = {}
        self._links: list[str] = []
        self._entities: list[str] = []

    def layer(self, name: str) -> None:
        """Have a layer of this name."""
        if name not in self._layers:
            self._layers[name] = self._empty.layer % (self._number(), name)

    def linetype(self, name: str, length: float, steps: Sequence[float]) -> None:
        """Have a kind of line of this name: the `length` of its pattern, its `steps` on, and off below zero."""
        if name not in self._linetypes:
            head = self._empty.linetype % (self._number(), name, len(steps), length)
            self._linetypes[name] = head + "".join(_STEP % step for step in steps)

    def add(self, entity: str, *values: object) -> None:
        """Add an entity: its form, filled with its number, what it belongs to, and `values`."""
        self._entities.append(entity % (self._number(), self._empty.space, *values))

    def link(self, address: str) -> None:
        """Have the entity that was added last lead to `address`."""
        self._entities.append(form((1001, _LINKS), (1000, address)))
        if not self._links:
            self._links.append(self._empty.application % (self._number(), _LINKS))

    def text(self) -> str:
        """The document whole."""
        records = {"LAYER": self._layers.values(), "LTYPE": self._linetypes.values(), "APPID": self._links}
        parts = []
        for kind, said in self._empty.parts:
            match kind:
                case "":
                    parts.append(said)
                case "late":
                    parts.append(f"{self._next + int(said, 16):X}")
                case "ENTITIES":
                    parts += self._entities
                case _ if said:
                    parts.append(str(int(said) + len(records[kind])))
                case _:
                    parts += records[kind]
        return "".join(parts)

    def _number(self) -> str:
        self._next += 1
        return f"{self._next - 1:X}"


class _Empty(Struct, frozen=True):
    """A document without a thing in it. `parts`: texts that stay, each with "" before it, and what is put between: `late` and the
    place among the numbers behind those of the sheet; `ENTITIES`; the kind of a table with the records that it has already, or
    alone, for records. `first`: the number of the first thing of a sheet. `space`: what entities belong to. The others: forms."""

    parts: tuple[tuple[str, str], ...]
    first: int
    space: str
    layer: str
    linetype: str
    application: str


@cache
def _empty(width: float, height: float) -> _Empty:
    from ezdxf import units
    from ezdxf.filemanagement import new

    with _fixed_data():
        document = new("R2010")
        document.units = units.MM
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (0.0, 0.0, 0.0), (width, height, 0.0)
        document.header["$LIMMIN"], document.header["$LIMMAX"] = (0.0, 0.0), (width, height)
        document.styles.add(STYLE, font="SourceSansPro-Regular.ttf")
        document.styles.add(STYLE_BOLD, font="SourceSansPro-Semibold.ttf")
        for kind in sorted(document.entitydb.dxf_types_in_use()):  # it would name them in the order of a set
            document.classes.add_class(kind)
        first = int(str(document.entitydb.handles), 16)
        document.entitydb.handles.reset(f"{_LATE:X}")
        stream = io.StringIO()
        document.write(stream)
    usual = document.layers.get("0").dxf
    return _Empty(
        parts=tuple(_opened(stream.getvalue())),
        first=first,
        space=document.modelspace().block_record_handle,
        layer=_record("LAYER", document.layers.head.dxf.handle, "AcDbLayerTableRecord")
        + form((62, BLACK), (6, "Continuous"), (370, -3), (390, usual.plotstyle_handle), (347, usual.material_handle)),
        linetype=_record("LTYPE", document.linetypes.head.dxf.handle, "AcDbLinetypeTableRecord")
        + form((3, ""), (72, 65), (73, "%s"), (40, "%s")),
        application=_record("APPID", document.appids.head.dxf.handle, "AcDbRegAppTableRecord"),
    )


def _record(kind: str, table: str, of: str) -> str:
    """How a record of a table begins: a form for its number and its name."""
    return form((0, kind), (5, "%s"), (330, table), (100, "AcDbSymbolTableRecord"), (100, of), (2, "%s"), (70, 0))


def _opened(text: str) -> Iterator[tuple[str, str]]:
    """The parts of an empty document."""
    late = f"{_LATE:X}"[:-2]
    for kind in ("LAYER", "LTYPE", "APPID"):
        end = rf"  0\n(?:ENDTAB|{kind}\n  5\n{late})"
        table = rf"(  0\nTABLE\n  2\n{kind}\n.*?\n 70\n)(\d+)(\n.*?)(?={end})"
        text = re.sub(table, rf"\1\0{kind} \2\0\3\0{kind}\0", text, count=1, flags=re.DOTALL)
    text = re.sub(r"  0\nSECTION\n  2\nENTITIES\n", "\\g<0>\0ENTITIES\0", text)
    text = re.sub(rf"(?<=\n){late}(..)(?=\n)", "\0late \\1\0", text)
    for place, part in enumerate(text.split("\0")):
        kind, _, said = part.partition(" ")
        yield (kind, said) if place % 2 else ("", part)


@contextmanager
def _fixed_data() -> Iterator[None]:
    """Without the time of writing and numbers made by chance, which every file else would differ by."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
