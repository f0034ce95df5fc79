"""A sheet as SVG: true size, links to the sibling sheets, a font file beside it or within.

svgwrite has the document: its groups, symbols, links and metadata. It is fast by what it is not asked to do: what one pen draws
of one thing is one path, what is drawn alike several times is a symbol drawn once, and nothing is said twice that a group can
say. Fill and stroke are attributes, so that viewers without style sheets show the same. Where the font is not found, every text
still keeps the width that it was given room for.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache, lru_cache
from itertools import groupby
from urllib.parse import quote
from xml.etree.ElementTree import Element
from zlib import crc32

from svgwrite.drawing import Drawing

from render.layout.fonts import FAMILY, font_file, printable, text_width, type_size
from render.layout.frame import sheet_size
from render.sheet import NARROW, NORMAL, TONES, Label, MarkedSheet, Sheet
from render.writers.elements import Group, Link, Path, Symbol, Text, Use, written
from render.writers.lettering import embedded, rare
from render.writers.strokes import Figure, Pen, Stroke, Trace, figure, hundredths, number

_OUTSIDE_ID = re.compile(r"[^A-Za-z0-9.\-]")
#: in place of the font, where a viewer finds none
_FALLBACK = "Arial, Helvetica, sans-serif"
#: characters of path data from which a symbol is shorter than drawing again
_WORTH = 45
#: characters of a text that another font may space otherwise instead of drawing them narrower
_FEW = 2
_SEMIBOLD = "600"
_DUBLIN_CORE = "http://purl.org/dc/elements/1.1/"


def svg_bytes(sheet: Sheet, standalone: bool = False) -> bytes:
    """`sheet` as an SVG file, the same bytes for the same sheet. `standalone`: with the font in it; else the font files,
    by their own names, stand beside it."""
    things = _things(sheet)
    symbols = _symbols(shape for thing in things.values() for shape in thing.figures)
    document = _document(sheet, standalone)
    for traces, identity in symbols.items():
        # what lies left of or above its origin is part of it too
        symbol = document.defs.add(Symbol({"id": identity, "overflow": "visible"}))
        for trace in traces:
            symbol.add(_path(trace.pen, _data(trace, 0, 0)))
    body = Group(
        {
            "font-family": f"{FAMILY}, {_FALLBACK}",
            "font-size": _type_size(NORMAL),
            "stroke-width": f"{NARROW:g}",
            "stroke-linecap": "round",
        }
    )
    for of, thing in things.items():
        body.elements += _named(of, [*thing.drawn(symbols), *thing.lettered()])
    document.add(body)
    xml = document.get_xml()
    for part in xml[-1]:  # a line for each: what changed on a drawing kept with a text is seen in it
        part.tail = "\n"
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{written(xml)}\n'.encode()


def _document(sheet: Sheet, standalone: bool) -> Drawing:
    """An empty white sheet of that size that says what it is."""
    width, height = sheet_size(sheet.size)
    size = f"{width:g}", f"{height:g}"
    document = Drawing(size=tuple(f"{length}mm" for length in size), viewBox=f"0 0 {' '.join(size)}", debug=False)
    document["xmlns:dc"] = _DUBLIN_CORE
    document.set_desc(title=printable(f"{sheet.number} {sheet.title}"))
    about = {"dc:identifier": sheet.number, "dc:type": sheet.kind, "dc:subject": sheet.part_of}
    for name, value in about.items():
        entry = Element(name)
        entry.text = printable(value)
        if entry.text:
            document.set_metadata(entry)
    document.embed_stylesheet(_style(sheet, standalone))
    document.add(document.rect(size=size, fill="#fff"))
    for wash in sheet.washes if isinstance(sheet, MarkedSheet) else ():
        fill = "#" + "".join(f"{round(255 * part):02x}" for part in TONES[wash.tone])
        corner, extent = (wash.left, wash.top), (wash.right - wash.left, wash.bottom - wash.top)
        at, across = (tuple(number(hundredths(each)) for each in pair) for pair in (corner, extent))
        document.add(document.rect(insert=at, size=across, fill=fill))
    return document


def _style(sheet: Sheet, standalone: bool) -> str:
    """Where the font is; kerning and ligatures off, as texts were measured."""
    texts: dict[bool, list[str]] = {False: [], True: []}
    for primitive in sheet.primitives:
        if isinstance(primitive, Label):
            texts[primitive.bold].append(printable(primitive.text))
    faces = "".join(
        f'@font-face{{font-family:"{FAMILY}";font-weight:{_SEMIBOLD if bold else 400};'
        f"src:url({embedded(bold, rare(used)) if standalone else font_file(bold).name})}}"
        for bold, used in texts.items()
        if used
    )
    return f"{faces}text{{font-kerning:none;font-variant-ligatures:none}}"


def _named(of: str, parts: list[Group | Use | Path | Text | Link]) -> list[Group | Use | Path | Text | Link]:
    """`parts` as what belongs to a designation: a group, or the part itself where it is alone."""
    if not of or not parts:
        return parts
    names = {"id": _identity(of), "data-of": of}
    if len(parts) == 1:
        parts[0].attribs.update(names)
        return parts
    group = Group(names)
    group.elements += parts
    return [group]


class _Thing:
    """What belongs to one designation: figures, each drawn in one go, and texts."""

    def __init__(self) -> None:
        self.figures: list[Figure] = []
        self.labels: list[Label] = []

    def drawn(self, symbols: dict[tuple[Trace, ...], str]) -> Iterator[Use | Path]:
        """Symbols in their places, and a path for each pen."""
        paths: dict[Pen, str] = {}
        for x, y, traces in self.figures:
            identity = symbols.get(traces)
            if identity is not None:
                yield Use({"xlink:href": f"#{identity}", "x": number(x), "y": number(y)})
                continue
            for trace in traces:
                paths[trace.pen] = paths.get(trace.pen, "") + _data(trace, x, y)
        for pen, data in paths.items():
            yield _path(pen, data)

    def lettered(self) -> Iterator[Text | Link]:
        """The texts, those that lead to the same sheet within one link."""
        for link, labels in groupby(self.labels, key=lambda label: label.link):
            texts = [text for text in map(_text, labels) if text.text]
            if link and texts:
                leading = Link({"xlink:href": f"{quote(link)}.svg"})
                leading.elements += texts
                yield leading
            else:
                yield from texts


def _things(sheet: Sheet) -> dict[str, _Thing]:
    """Designation -> what belongs to it. Strokes drawn one after the other are a figure, so that symbols are known again; of what
    belongs to no designation all are one."""
    things: dict[str, _Thing] = {}
    runs: list[tuple[_Thing, list[Stroke]]] = []
    loose: list[Stroke] = []
    last = None
    for part in sheet.primitives:
        of = part.of
        thing = things.get(of)
        if thing is None:
            thing = things[of] = _Thing()
            if not of:
                runs.append((thing, loose))
        if isinstance(part, Label):
            thing.labels.append(part)
            last = None
        elif not of:
            loose.append(part)
            last = None
        elif of == last:
            runs[-1][1].append(part)
        else:
            runs.append((thing, [part]))
            last = of
    for thing, strokes in runs:
        if strokes:
            thing.figures.append(figure(strokes))
    return things


def _symbols(figures: Iterable[Figure]) -> dict[tuple[Trace, ...], str]:
    """What is drawn alike more than once, with its id: made of how it looks, so that sheets shown together agree."""
    times = Counter(shape.traces for shape in figures if shape.length >= _WORTH)
    found: dict[tuple[Trace, ...], str] = {}
    for traces, count in times.items():
        if count > 1:
            identity = f"s-{crc32(repr(traces).encode()):08x}"
            while identity in found.values():
                identity += "x"
            found[traces] = identity
    return found


def _data(trace: Trace, x: int, y: int) -> str:
    """Path data of a trace of a figure that begins at `x, y`, hundredths of a millimetre."""
    return f"M{number(x + trace.x)} {number(y + trace.y)}{trace.steps}"


def _path(pen: Pen, data: str) -> Path:
    look = {"d": data, "fill": "#000" if pen.fill else "none", "stroke": "#000"}
    if pen.width != NARROW:
        look["stroke-width"] = f"{pen.width:g}"
    if pen.dash:
        # round caps would fill the gaps
        look |= {"stroke-linecap": "butt", "stroke-dasharray": " ".join(f"{length:g}" for length in pen.dash)}
    return Path(look)


def _text(label: Label) -> Text:
    """A text with what of its look is not that of most."""
    text = printable(label.text)
    length = hundredths(text_width(text, label.height, label.bold))
    look = {"x": number(hundredths(label.x)), "y": number(hundredths(label.y)), "textLength": number(length)}
    if len(text) > _FEW:
        look["lengthAdjust"] = "spacingAndGlyphs"
    if label.height != NORMAL:
        look["font-size"] = _type_size(label.height)
    if label.bold:
        look["font-weight"] = _SEMIBOLD
    if label.anchor != "start":
        look["text-anchor"] = label.anchor
    return Text(look, text)


@cache
def _type_size(height: float) -> str:
    return f"{type_size(height):.4g}"


@lru_cache(maxsize=1 << 14)
def _identity(of: str) -> str:
    """An XML id made from a designation: other characters than letters, digits, `.` and `-` as their code."""
    return "d-" + _OUTSIDE_ID.sub(lambda found: f"_{ord(found.group()):x}_", of)
