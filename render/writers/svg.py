"""A sheet as SVG: true size, links to the sibling sheets, a font file beside it or within.

svgwrite has the document with its metadata. It is fast and short by what is not said: what one pen draws of one thing is one
path, what is drawn alike several times is a symbol drawn once, and nothing is said twice that a group can say. Fill and stroke
are attributes, so that viewers without style sheets show the same. Where the font is not found, a longer text still keeps the
width that it was given room for.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import cache, lru_cache
from itertools import groupby
from operator import attrgetter
from urllib.parse import quote
from xml.etree.ElementTree import Element
from zlib import crc32

from svgwrite.drawing import Drawing

from render.layout.fonts import FAMILY, font_file, printable, text_width, type_size
from render.layout.frame import frame_primitives, sheet_size
from render.sheet import NARROW, NORMAL, TONES, Label, MarkedSheet, Primitive, Sheet
from render.writers.elements import Ready, escaped, grouped, with_attribute, written
from render.writers.lettering import embedded, rare
from render.writers.strokes import Figure, Pen, Stroke, Trace, figure, millimetres, number

#: in place of the font, where a viewer finds none
_FALLBACK = "Arial, Helvetica, sans-serif"
#: characters of path data from which a symbol is shorter than drawing again
_WORTH = 45
#: characters of a text that in another font runs no more than a millimetre or two wider
_SHORT = 8
_SEMIBOLD = "600"
_DUBLIN_CORE = "http://purl.org/dc/elements/1.1/"


def svg_bytes(sheet: Sheet, standalone: bool = False) -> bytes:
    """`sheet` as an SVG file, the same bytes for the same sheet. `standalone`: with the font in it; else the font files,
    by their own names, stand beside it."""
    frame = frame_primitives(sheet.size)
    own: Sequence[Primitive] = sheet.primitives
    lines: list[str] = []
    if sheet.primitives[: len(frame)] == frame:  # of most sheets: written once
        own = own[len(frame) :]
        lines = [_frame(sheet.size)]
    things = _things(own)
    symbols = _symbols(shape for thing in things.values() for shape in thing.figures)
    for of, thing in things.items():
        lines += _named(of, [*thing.drawn(symbols), *thing.lettered()])
    document = _document(sheet, standalone)
    for traces, identity in symbols.items():
        # what lies left of or above its origin is part of it too
        drawn = "".join([_path(trace.pen, _data(trace, 0, 0)) for trace in traces])
        document.defs.add(Ready(f'<symbol id="{identity}" overflow="visible">{drawn}</symbol>'))
    lettering = f'font-family="{FAMILY}, {_FALLBACK}" font-size="{_type_size(NORMAL)}"'
    # a line for each part: what changed on a drawing kept with a text is seen in it
    body = "\n".join([*lines, "</g>"])
    document.add(Ready(f'<g {lettering} stroke-width="{NARROW:g}" stroke-linecap="round">{body}'))
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{written(document.get_xml())}\n'.encode()


@cache
def _frame(size: str) -> str:
    """The frame of a sheet, which belongs to no designation."""
    (thing,) = _things(frame_primitives(size)).values()
    return "\n".join([*thing.drawn({}), *thing.lettered()])


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
        at, across = (tuple(map(millimetres, pair)) for pair in (corner, extent))
        document.add(document.rect(insert=at, size=across, fill=fill))
    return document


def _style(sheet: Sheet, standalone: bool) -> str:
    """Where the font is; kerning and ligatures off, as texts were measured."""
    labels = [part for part in sheet.primitives if isinstance(part, Label)]
    faces = ""
    for bold in (False, True):
        used = [printable(label.text) for label in labels if label.bold is bold] if standalone else ()
        if used or (not standalone and any(label.bold is bold for label in labels)):
            where = embedded(bold, rare(used)) if standalone else font_file(bold).name
            weight = _SEMIBOLD if bold else 400
            faces += f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};src:url({where})}}'
    return f"{faces}text{{font-kerning:none;font-variant-ligatures:none}}"


def _named(of: str, parts: list[str]) -> list[str]:
    """`parts` as what belongs to a designation: a group, or the part itself where it is alone."""
    if not of or not parts:
        return parts
    name = f' data-of="{escaped(of)}"'
    return [with_attribute(parts[0], name) if len(parts) == 1 else grouped(name, parts)]


class _Thing:
    """What belongs to one designation: figures, each drawn in one go, and texts."""

    def __init__(self) -> None:
        self.figures: list[Figure] = []
        self.labels: list[Label] = []

    def drawn(self, symbols: dict[tuple[Trace, ...], str]) -> Iterator[str]:
        """Symbols in their places, and a path for each pen."""
        paths: dict[Pen, str] = {}
        for x, y, traces in self.figures:
            identity = symbols.get(traces) if symbols else None
            if identity is not None:
                yield f'<use xlink:href="#{identity}" x="{number(x)}" y="{number(y)}"/>'
                continue
            for trace in traces:
                paths[trace.pen] = paths.get(trace.pen, "") + _data(trace, x, y)
        for pen, data in paths.items():
            yield _path(pen, data)

    def lettered(self) -> Iterator[str]:
        """The texts, those that lead to the same sheet within one link."""
        for link, labels in groupby(self.labels, key=attrgetter("link")):
            texts = list(_texts(labels))
            if link and texts:
                yield f'<a xlink:href="{_address(link)}">{"".join(texts)}</a>'
            else:
                yield from texts


def _things(primitives: Iterable[Primitive]) -> dict[str, _Thing]:
    """Designation -> what belongs to it. Strokes drawn one after the other are a figure, so that symbols are known again; of what
    belongs to no designation all are one."""
    things: dict[str, _Thing] = {}
    runs: list[tuple[_Thing, list[Stroke]]] = []
    loose: list[Stroke] = []
    last = None
    for part in primitives:
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


def _path(pen: Pen, data: str) -> str:
    return f'<path d="{data}"{_strokes(pen)}/>'


@cache
def _strokes(pen: Pen) -> str:
    """How a pen draws, as attributes."""
    look = f' fill="{"#000" if pen.fill else "none"}" stroke="#000"'
    if pen.width != NARROW:
        look += f' stroke-width="{pen.width:g}"'
    if pen.dash:
        # round caps would fill the gaps
        look += f' stroke-linecap="butt" stroke-dasharray="{" ".join(f"{length:g}" for length in pen.dash)}"'
    return look


_look_of = attrgetter("height", "bold", "anchor")


def _texts(labels: Iterable[Label]) -> Iterator[str]:
    """Texts; of a run of several that look alike, but otherwise than most, a group says how."""
    for look, alike in groupby(labels, key=_look_of):
        said, texts = _look(*look), [text for label in alike if (text := _text(label))]
        if said and len(texts) > 1:
            yield grouped(said, texts)
        elif said and texts:
            yield with_attribute(texts[0], said)
        else:
            yield from texts


def _text(label: Label) -> str:
    """A text in its place; "" where nothing is printed."""
    words = _words(label.text)
    if not words:
        return ""
    if len(label.text) <= _SHORT:
        return f'<text x="{millimetres(label.x)}" y="{millimetres(label.y)}">{words}</text>'
    length = millimetres(text_width(label.text, label.height, label.bold))
    return f'<text x="{millimetres(label.x)}" y="{millimetres(label.y)}" textLength="{length}">{words}</text>'


@lru_cache(maxsize=1 << 14)
def _words(text: str) -> str:
    return escaped(printable(text))


@cache
def _look(height: float, bold: bool, anchor: str) -> str:
    """What of the look of a text is not that of most, as attributes."""
    look = ""
    if height != NORMAL:
        look += f' font-size="{_type_size(height)}"'
    if bold:
        look += f' font-weight="{_SEMIBOLD}"'
    if anchor != "start":
        look += f' text-anchor="{anchor}"'
    return look


@cache
def _type_size(height: float) -> str:
    return f"{type_size(height):.4g}"


@lru_cache(maxsize=1 << 14)
def _address(link: str) -> str:
    return f"{quote(link)}.svg"
