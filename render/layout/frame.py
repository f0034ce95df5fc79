"""The sheet around a drawing: frame with zones (ISO 5457), title block (ISO 7200), where it comes from, the note on errors.

A drawing fills `drawing_area` (and, for remarks, `notes_area`); `framed` adds the rest. What is printed here depends on the
sheet and the project alone, never on how many other sheets there are.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from functools import cache, lru_cache
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from netdsl.model.project import ProjectData
from render.layout.fonts import Box, fit_height, fits, ink_box, shorten, text_width
from render.sheet import DESIGNATION, FRAME, MEDIUM, NARROW, NORMAL, TITLE, WIDE, Label, Line, Primitive, Sheet

#: trimmed sizes, mm: A3 lies, A4 stands (ISO 5457)
SIZES = {"A3": (420.0, 297.0), "A4": (210.0, 297.0)}
TITLE_WIDTH, TITLE_HEIGHT = 180.0, 27.0
BANNER_HEIGHT = 9.0

_LEFT, _OTHER = 20.0, 10.0  # border widths
_ZONE, _STRIP, _MARK = 50.0, 5.0, 5.0  # zone field; strip of zone letters; centring mark inside the frame
_INSET = 6.0  # drawing area stays off the frame and its centring marks
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # no I, no O: ISO 5457, lest they be read as 1 and 0
_ROWS = (0.0, 9.05, 17.86)  # heads of the rows: the lines above the first and below the last are wide, mm
_EMPTY = "—"
_TALLEST = 3.0  # ink of a value beside a caption above its base line, mm
_BESIDE_CAPTION = 2.0  # from a caption to what of its value stands beside it, mm
_CAPTION_DROPS, _VALUE_DROP, _PAD = (3.32, 3.12, 3.12), 4.47, 1.0  # of captions below these, of values below captions
_TRIANGLE = 5.4  # side of the triangle with the letter of a revision, mm
_BAR = 2.8  # of the bars beside what changed, off the frame, mm
_ORIGIN_ROOM = 3.0  # below that line where columns are narrow, mm
_ORIGIN_GAP, _ORIGIN_DROP = 3.0, 4.1  # of the line above the drawing, off the frame's side and its top, mm


def size_of(project: ProjectData) -> str:
    """The size of a project's sheets: "A4" where it says so, else "A3"."""
    return "A4" if project.attributes.get("sheet-size") == "A4" else "A3"


def sheet_size(size: str) -> tuple[float, float]:
    """Width and height of the trimmed sheet in mm; an unknown size counts as A3."""
    return SIZES.get(size, SIZES["A3"])


def frame_box(size: str) -> Box:
    """The frame round the drawing space."""
    width, height = sheet_size(size)
    return Box(_LEFT, _OTHER, width - _OTHER, height - _OTHER)


def title_block_box(size: str) -> Box:
    """The title block, at the lower right of the frame."""
    frame = frame_box(size)
    return Box(frame.right - TITLE_WIDTH, frame.bottom - TITLE_HEIGHT, frame.right, frame.bottom)


def drawing_area(size: str) -> Box:
    """Where the drawing goes: full width, down to 3 mm above what stands at the foot of the frame."""
    frame, beside = frame_box(size), _beside(size)
    foot = frame.bottom - TITLE_HEIGHT if beside else notes_area(size).top - 1.0
    # narrow columns have names of two lines, which the line above the drawing is to be clear of
    top = frame.top + _INSET + (0.0 if beside else _ORIGIN_ROOM)
    return Box(frame.left + _INSET, top, frame.right - _INSET, foot - 3.0)


def whole_area(size: str) -> Box:
    """Where the drawing goes on a sheet without remarks: with the room for these where they lie below it."""
    area = drawing_area(size)
    return area if _beside(size) else Box(area.left, area.top, area.right, notes_area(size).bottom)


def banner_box(size: str) -> Box:
    """Where the note about errors goes: lower left of the frame, beside the title block, above it where that is as wide as the
    frame. Free on a sheet without errors, yet kept free, so that errors move nothing."""
    frame, block = frame_box(size), title_block_box(size)
    if _beside(size):
        return Box(frame.left, frame.bottom - BANNER_HEIGHT, block.left, frame.bottom)
    return Box(frame.left, block.top - BANNER_HEIGHT, frame.right, block.top)


def notes_area(size: str) -> Box:
    """Where remarks go: left of the title block or, where that is as wide as the frame, above it, and above the note about
    errors."""
    frame, banner = frame_box(size), banner_box(size)
    right = title_block_box(size).left - 4.0 if _beside(size) else frame.right - _INSET
    return Box(frame.left + _INSET, banner.bottom - TITLE_HEIGHT + 1.0, right, banner.top - 1.5)


def _beside(size: str) -> bool:
    """Whether there is room beside the title block."""
    return title_block_box(size).left > frame_box(size).left


def zone(size: str, x: float, y: float) -> str:
    """The zone that holds the point, as references give it: `B4`."""
    width, height = sheet_size(size)
    return f"{_LETTERS[bisect_right(_edges(height), y)]}{bisect_right(_edges(width), x) + 1}"


class Issue(Struct, frozen=True):
    """How a sheet stands in its set. `revision`, `date`: with which it was last changed, else where that is said; `origin`: the
    line above the drawing that says its fingerprint and the texts it comes from; `cover`: key of the sheet it leads back to;
    `bars`: from where to where it changed with that revision, y in mm; `letter`: of that, in the triangles at these."""

    revision: str
    date: str
    origin: str = ""
    cover: str = ""
    bars: tuple[tuple[float, float], ...] = ()
    letter: str = ""


def framed(body: Sheet, project: ProjectData, errors: int = 0, issue: Issue | None = None) -> Sheet:
    """`body` with frame, title block and, above 0 `errors`, the note that it is not for construction.

    `issue`: None for a sheet that belongs to no set and carries the project's last revision.
    """
    if issue is None:
        last = project.revisions[-1] if project.revisions else None
        issue = Issue(last.index, last.date) if last else Issue("", "")
    extra = (
        *frame_primitives(body.size),
        *_title_block(body, project, issue),
        *_origin(body.size, issue),
        *_bars(body.size, issue),
        *_banner(body.size, errors),
    )
    return replace(body, primitives=extra + body.primitives)


@cache
def _edges(length: float) -> tuple[float, ...]:
    """Borders of the zones along a side of `length` mm, counted by 50 mm from its middle outward."""
    half = length / 2
    count = int((half - _OTHER - 1.0) // _ZONE)
    return tuple(half + _ZONE * step for step in range(-count, count + 1))


@cache
def frame_primitives(size: str) -> tuple[Primitive, ...]:
    """Frame, zone letters and centring marks, the same objects on every sheet of that size."""
    box, outer = frame_box(size), frame_box(size).grown(_STRIP)
    parts: list[Primitive] = [_rectangle(box, FRAME), _rectangle(outer, MEDIUM)]
    width, height = sheet_size(size)
    all_sides = size != "A4"  # ISO 5457: A4 carries letters at the top and right only
    for edge in _edges(width):
        parts += [_tick(edge, outer.top, edge, box.top), _tick(edge, box.bottom, edge, outer.bottom)]
    for edge in _edges(height):
        parts += [_tick(outer.left, edge, box.left, edge), _tick(box.right, edge, outer.right, edge)]
    for number, middle in enumerate(_middles(_edges(width), box.left, box.right), start=1):
        rows = (outer.top, box.bottom) if all_sides else (outer.top,)
        parts += [_zone_mark(middle, row + _STRIP / 2, str(number)) for row in rows]
    for index, middle in enumerate(_middles(_edges(height), box.top, box.bottom)):
        columns = (outer.left, box.right) if all_sides else (box.right,)
        parts += [_zone_mark(column + _STRIP / 2, middle, _LETTERS[index]) for column in columns]
    return (*parts, *_centring_marks(size))


def _middles(edges: tuple[float, ...], first: float, last: float) -> list[float]:
    borders = (first, *edges, last)
    return [(one + two) / 2 for one, two in pairwise(borders)]


def _tick(x1: float, y1: float, x2: float, y2: float) -> Line:
    return Line(((x1, y1), (x2, y2)), MEDIUM)


def _zone_mark(x: float, y: float, text: str) -> Label:
    return Label(x, y + DESIGNATION / 2, text, DESIGNATION, "middle")


def _centring_marks(size: str) -> tuple[Line, ...]:
    """Marks at the middle of each side, 5 mm into the frame; at the foot only where the title block leaves room."""
    box, outer, block = frame_box(size), frame_box(size).grown(_STRIP), title_block_box(size)
    width, height = sheet_size(size)
    x, y = width / 2, height / 2
    foot = box.bottom - (_MARK if x < block.left else 0.0)
    ends = ((x, outer.top, x, box.top + _MARK), (x, foot, x, outer.bottom))
    sides = ((outer.left, y, box.left + _MARK, y), (box.right - _MARK, y, outer.right, y))
    return tuple(Line(((x1, y1), (x2, y2)), FRAME) for x1, y1, x2, y2 in ends + sides)


def _rectangle(box: Box, width: float) -> Line:
    corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
    return Line(corners, width, closed=True)


_NUMBER = 34.0  # for the number of a sheet, mm
_SPARE = 36.0  # what the field beside it but one can do without, mm


class _Cell(Struct, frozen=True):
    """A field of the title block: place in mm from its upper left corner, caption and value."""

    x: float
    row: int
    width: float
    caption: str
    value: str
    link: str = ""


def _cells(sheet: Sheet, project: ProjectData, issue: Issue) -> tuple[_Cell, ...]:
    attributes = project.attributes
    supplement = attributes.get("title2", "")
    name = f"{project.title}, {supplement}" if supplement else project.title
    # by its number a sheet is found: a long one is given whole, with room of what stands beside it
    more = min(max(text_width(sheet.number, bold=True) + 2 * _PAD - _NUMBER, 0.0), _SPARE)
    return (
        _Cell(0, 0, 56, "Owner", attributes.get("owner", "")),
        _Cell(56, 0, 38, "Document kind", sheet.kind),
        _Cell(94, 0, 20, "Date", issue.date),
        _Cell(114, 0, 32, "Number", attributes.get("number", "")),
        _Cell(146, 0, 34, "Status", attributes.get("status", "")),
        _Cell(0, 1, 56, "Title", sheet.title),
        _Cell(56, 1, 55.5, "Part of", sheet.part_of),
        _Cell(111.5, 1, 34.5, "Created by", attributes.get("created-by", "")),
        _Cell(146, 1, 16, "Revision", issue.revision),
        _Cell(162, 1, 18, "Language", attributes.get("document-language", "") or "en"),
        _Cell(0, 2, 56, "Project", name),
        _Cell(56, 2, 55.5 - more, "Technical reference", attributes.get("technical-reference", "")),
        _Cell(111.5 - more, 2, 34.5, "Approved by", attributes.get("approved-by", "")),
        _Cell(146 - more, 2, _NUMBER + more, "Sheet", sheet.number, link=issue.cover),
    )


def origin_line(fingerprint: str, files: Sequence[str], size: str) -> str:
    """What stands above a drawing: its fingerprint, and of the texts it comes from as many as have room, the others counted."""
    said = f"Fingerprint {fingerprint}"
    for shown in range(len(files), 0, -1):
        more = f", {len(files) - shown} more" if shown < len(files) else ""
        line = f"{said}, from {', '.join(files[:shown])}{more}"
        if fits(line, _origin_room(size)):
            return line
    return f"{said}, from {len(files)} files" if len(files) > 1 else f"{said}, from {files[0]}" if files else said


def _origin_room(size: str) -> float:
    """From the frame to the upper centring mark, mm."""
    return sheet_size(size)[0] / 2 - frame_box(size).left - 2 * _ORIGIN_GAP


def _origin(size: str, issue: Issue) -> list[Primitive]:
    """The line above the drawing, left of the upper centring mark."""
    if not issue.origin:
        return []
    box = frame_box(size)
    text = shorten(issue.origin, _origin_room(size))
    return [Label(box.left + _ORIGIN_GAP, box.top + _ORIGIN_DROP, text, NORMAL)]


def _bars(size: str, issue: Issue) -> list[Primitive]:
    """Bars between frame and drawing beside what changed, each with the revision's letter in a triangle above it."""
    box, area = frame_box(size), drawing_area(size)
    x = box.left + _BAR
    parts: list[Primitive] = []
    for top, bottom in issue.bars:
        top, bottom = max(top - 1.0, area.top + 6.6), min(bottom + 1.0, box.bottom - 1.0)
        parts.append(Line(((x, top), (x, max(bottom, top + 2.0))), FRAME))
        parts += revision_mark(x, top - 0.6, issue.letter)
    return parts


def revision_mark(x: float, foot: float, revision: str) -> list[Primitive]:
    """The letter of a revision in a triangle that stands on `foot`, its middle at `x`, or above it where it is wider; an empty
    triangle where none is stated."""
    corners = ((x - _TRIANGLE / 2, foot), (x + _TRIANGLE / 2, foot), (x, foot - _TRIANGLE * 1.35))
    parts: list[Primitive] = [Line(corners, NARROW, closed=True)]
    if revision:
        inside = text_width(revision) <= _TRIANGLE * 0.42
        at = foot - 0.8 if inside else foot - _TRIANGLE * 1.35 - 0.8
        parts.append(Label(x, at, shorten(revision, 2 * _BAR), NORMAL, "middle"))
    return parts


def _title_block(sheet: Sheet, project: ProjectData, issue: Issue) -> list[Primitive]:
    block = title_block_box(sheet.size)
    parts: list[Primitive] = [_rectangle(block, WIDE)]
    parts += [Line(((block.left, block.top + drop), (block.right, block.top + drop))) for drop in _ROWS[1:]]
    for cell in _cells(sheet, project, issue):
        parts += _field(sheet.size, cell)
    return parts


# most fields say the same on every sheet of a set
@lru_cache(maxsize=1 << 10)
def _field(size: str, cell: _Cell) -> tuple[Primitive, ...]:
    """A field of the title block: the line before it, its caption and its value."""
    block = title_block_box(size)
    tops = [*(block.top + drop for drop in _ROWS), block.bottom]
    x, y, foot = block.left + cell.x, tops[cell.row], tops[cell.row + 1]
    parts: list[Primitive] = [Line(((x, y), (x, foot)), NARROW)] if cell.x else []
    base = y + _CAPTION_DROPS[cell.row]
    beside, below = _value_lines(cell)
    parts.append(Label(x + _PAD, base, cell.caption))
    if beside:
        start = x + _PAD + text_width(cell.caption) + _BESIDE_CAPTION
        parts.append(Label(start, base, beside, bold=True, link=cell.link))
    return (*parts, Label(x + _PAD, base + _VALUE_DROP, below, bold=True, link=cell.link))


def _value_lines(cell: _Cell) -> tuple[str, str]:
    """The value of a field: what stands beside its caption where that below it is too short for all words, and that line."""
    room, words = cell.width - 2 * _PAD, (cell.value or _EMPTY).split(" ")
    if fits(cell.value, room, bold=True) or len(words) == 1:
        return "", shorten(cell.value or _EMPTY, room, bold=True)
    free = room - text_width(cell.caption) - _BESIDE_CAPTION
    splits = [(" ".join(words[:at]), " ".join(words[at:])) for at in range(1, len(words))]
    whole = [
        (one, two)
        for one, two in splits
        # an accent on a capital would touch the value above
        if fits(one, free, bold=True) and fits(two, room, bold=True) and ink_box(Label(0.0, 0.0, one, bold=True)).top >= -_TALLEST
    ]
    return whole[0] if whole else ("", shorten(cell.value, room, bold=True))


def _banner(size: str, errors: int) -> list[Primitive]:
    if errors <= 0:
        return []
    box = banner_box(size)
    text = f"not for construction: {errors} {'error' if errors == 1 else 'errors'}"
    height = fit_height(text, box.width - 8.0, (TITLE, DESIGNATION, NORMAL), bold=True)
    middle = Label((box.left + box.right) / 2, (box.top + box.bottom) / 2 + height / 2, text, height, "middle", bold=True)
    return [_rectangle(box, FRAME), middle]
