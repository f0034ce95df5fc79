"""The cover: contents with links and totals, revisions, findings, granted exceptions and the cautions; as many pages as it takes.

Contents fill the left column, everything else the right; what does not fit goes on to the next page, where contents
take both columns once the rest is said. Totals of sheets stand here and nowhere else.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from msgspec import Struct

from netdsl.findings import Extent, Finding, Severity
from netdsl.model.plant import Exception_
from netdsl.model.project import ProjectData
from render.drawing import Drawing
from render.layout.code import CODE, code_lines
from render.layout.columns import broken
from render.layout.fonts import Box, shorten, text_width, wrap
from render.sheet import DESIGNATION, MEDIUM, NARROW, NORMAL, TITLE, Label, Line, Primitive, Sheet

KIND = "Cover"
KEY = "cover"
CAUTIONS = (
    "Isolate, lock off, wait for the DC link to discharge as the drive's manufacturer states, and prove dead before touching"
    " anything.",
    "Circuits may be live with the isolator off.",
    "Drives may restart by themselves.",
    "Safe torque off is not isolation.",
    "Only skilled persons may wire, inspect or work on what is drawn here.",
    "Local codes and the manufacturer's instructions prevail over anything printed here; a licensed person signs for the plant.",
    "A check without findings proves nothing about the plant as built, and a drawing is no permission to work.",
)
#: how circuit diagrams name the places of each other
REFERENCES = (
    "In circuit diagrams /B4 is zone B4 of the same sheet, E2 B4 zone B4 of sheet E2 of the same function or place,"
    " RP1/E2 B4 zone B4 of sheet RP1/E2."
)
#: who signs the set
SIGNED = ("drawn", "checked", "approved", "responsible engineer")
_PITCH, _HEAD_PITCH, _GUTTER = 5.0, 8.0, 10.0
_TOGETHER = 6  # lines of a paragraph that are not shared out to two columns
_UNDER = 4.2  # from a line of a row to its next, mm
_NARROW = 100.0  # a column less wide, as on A4, has no room for two texts beside each other, mm
_BELOW_MARK = 18.0  # from the edge of the sheet, mm
_NUMBER, _TITLE, _PART, _PAGE = 0.0, 0.19, 0.60, 1.0  # where the contents' columns begin, share of the width


class _Row(Struct, frozen=True):
    """One row of a column: `cells` as offset in mm and text; `head`: a heading with a rule below it; `above`: mm before it."""

    cells: tuple[tuple[float, str], ...]
    head: bool = False
    link: str = ""
    page: str = ""
    above: float = 0.0
    keep: int = 1  # rows that a heading keeps with it
    signed: bool = False  # a line to write on below it
    under: tuple[str, ...] = ()  # lines below its last cell

    @property
    def height(self) -> float:
        return (_HEAD_PITCH if self.head else _PITCH) + self.above + _UNDER * len(self.under)


def cover_sheets(drawing: Drawing, sheets: Sequence[Sheet], fingerprint: str = "") -> list[Sheet]:
    """The cover of `sheets`, keys `cover-1` and on, numbers `C1` and on. `fingerprint`: of the set, in words and as a code."""
    project, size, area = drawing.plant.project, drawing.size, drawing.area
    width = (area.width - _GUTTER) / 2
    notes = list(_notes(drawing, width))
    count = 1
    while True:  # the contents list the cover's own pages, and those pages are as many as the contents need
        own = [_page(number, size, ()) for number in range(1, count + 1)]
        contents = list(_contents([*own, *sheets], width))
        pages = _flow(contents, notes, area, project, fingerprint)
        if len(pages) <= count:
            return [_page(number, size, tuple(parts)) for number, parts in enumerate(pages, start=1)]
        count = len(pages)


def _page(number: int, size: str, parts: tuple[Primitive, ...]) -> Sheet:
    title = "Cover and contents" if number == 1 else f"Contents, sheet {number}"
    return Sheet(f"{KEY}-{number}", f"C{number}", title, KIND, "", parts, size)


def _contents(sheets: Sequence[Sheet], width: float) -> Iterable[_Row]:
    """A row per sheet under a heading per kind of document with their number, then that of all."""
    at = [share * width for share in (_NUMBER, _TITLE, _PART, _PAGE)]
    if width < _NARROW:
        at[1] = 18.0
    room = [at[1] - at[0] - 2.0, at[2] - at[1] - 2.0, at[3] - at[2] - 11.0]
    kind, counts = "", Counter(sheet.kind for sheet in sheets)
    for page, sheet in enumerate(sheets, start=1):
        if sheet.kind != kind:
            kind = sheet.kind
            total = f"{kind}, {counts[kind]} sheet{'s'[: counts[kind] != 1]}"
            yield _Row(((0.0, total),), head=True, page="page", above=3.0)
        if sheet.about or width < _NARROW:  # of a list its title stands above; on A4 one behind the other, lest both be cut
            lines = broken(_said(sheet), at[3] - at[1] - 11.0, united=True) or ("",)
            if text_width(sheet.number) <= room[0]:
                cells = ((at[0], sheet.number), (at[1], lines[0]))
                yield _Row(cells, link=sheet.key, page=str(page), under=lines[1:])
            else:  # a number that is cut would lead nowhere
                cells = ((at[0], shorten(sheet.number, at[3] - 11.0)), (at[1], ""))
                yield _Row(cells, link=sheet.key, page=str(page), under=lines)
        else:
            texts = (sheet.number, sheet.title, sheet.part_of)
            yield _Row(
                tuple((x, shorten(text, space)) for x, text, space in zip(at, texts, room, strict=False)),
                link=sheet.key,
                page=str(page),
            )
    yield _Row(((0.0, "All sheets"),), page=str(len(sheets)), above=3.0)


def _said(sheet: Sheet) -> str:
    """What stands on a sheet, on one line; not its title where what it is part of begins with the name in it."""
    if sheet.about:
        return sheet.about
    name = sheet.part_of.partition(" ")[0]
    same = name and sheet.title.rpartition(" ")[2] == name and "," not in sheet.title
    return sheet.part_of if same else ", ".join(text for text in (sheet.title, sheet.part_of) if text)


def _notes(drawing: Drawing, width: float) -> Iterable[_Row]:
    """Cautions, revisions, findings and granted exceptions."""
    yield _Row(((0.0, "Cautions"),), head=True)
    for caution in CAUTIONS:
        yield from _paragraph(caution, width, "!")
    yield _Row(((0.0, "Signatures"),), head=True, above=3.0)
    for who in SIGNED:
        if width < _NARROW:
            yield _Row(((0.0, who), (38.0, "name")), above=4.0, signed=True)
            yield _Row(((38.0, "date, signature"),), above=4.0, signed=True)
        else:
            yield _Row(((0.0, who), (38.0, "name"), (width * 0.6, "date, signature")), above=4.0, signed=True)
    yield _Row(((0.0, "References"),), head=True, above=3.0)
    yield from _paragraph(REFERENCES, width)
    yield _Row(((0.0, "Revisions"),), head=True, above=3.0)
    revisions = drawing.plant.project.revisions
    for revision in revisions:
        lines = broken(revision.text, width - 46.0, united=True) or ("",)
        cells = ((0.0, shorten(revision.index, 14.0)), (16.0, shorten(revision.date, 28.0)), (46.0, lines[0]))
        yield _Row(cells, under=tuple(lines[1:]))
    if not revisions:
        yield _Row(((0.0, "none stated"),))
    yield _Row(((0.0, "Findings of the check"),), head=True, above=3.0)
    yield from _paragraph(_tally(drawing.findings), width)
    yield from _extent(drawing.extent, width)
    yield _Row(((0.0, "Granted exceptions"),), head=True, above=3.0)
    ended = {other.span for finding in drawing.findings if finding.allowed is None for other in finding.related}
    for exception in drawing.plant.exceptions:
        yield from _paragraph(_granted(exception, exception.span in ended), width, "–")
    lowered = drawing.extent.lowered if drawing.extent else ()
    for words in lowered:
        yield from _paragraph(words, width, "–")
    if not drawing.plant.exceptions and not lowered:
        yield _Row(((0.0, "none"),))


def _extent(extent: Extent | None, width: float) -> Iterable[_Row]:
    """How far the check went, and what it could not judge, with one reason once."""
    if extent is None:
        yield from _paragraph("no check was made", width)
        return
    yield from _paragraph(f"{extent.rules} rules looked at {extent.subjects} things", width)
    yield _Row(((0.0, "Not judged"),), head=True, above=3.0)
    by_reason: dict[tuple[str, str], dict[str, None]] = {}
    for each in extent.not_judged:
        by_reason.setdefault((each.rule, each.reason), {})[each.subject] = None
    for (rule, reason), subjects in by_reason.items():
        names = ", ".join(name for name in subjects if name) or "the plant"
        yield from _paragraph(f"{names}: {reason.replace('`', '')}{f' ({rule})' if rule else ''}", width, "–")
    if not by_reason:
        yield _Row(((0.0, "none"),))


def _paragraph(text: str, width: float, mark: str = "") -> Iterable[_Row]:
    """`text` in a row, which stays together; of a long one lines in rows of their own. `mark` before the first."""
    indent = 5.0 if mark else 0.0
    lines = broken(text, width - indent, united=True)
    kept = len(lines) if len(lines) <= _TOGETHER else 1
    yield _Row((*([(0.0, mark)] if mark else []), (indent, lines[0] if lines else "")), under=lines[1:kept])
    for line in lines[kept:]:
        yield _Row(((indent, line),))


def _granted(exception: Exception_, ended: bool) -> str:
    if ended:
        return f"{exception.rule} on {exception.subject}: ended on {exception.until}, the finding stands"
    until = f"until {exception.until}" if exception.until else "without a date of expiry"
    return f"{exception.rule} on {exception.subject}, {until}: {exception.reason}"


def _tally(findings: Sequence[Finding]) -> str:
    """How many findings of each severity stand, and how many are excepted."""
    standing = [finding for finding in findings if finding.allowed is None]
    words = []
    for severity in Severity:
        count = sum(finding.severity is severity for finding in standing)
        words.append(f"{count} {severity.value}{'' if count == 1 else 's'}")
    return f"{', '.join(words)}; {len(findings) - len(standing)} excepted"


def _flow(contents: list[_Row], notes: list[_Row], area: Box, project: ProjectData, fingerprint: str) -> list[list[Primitive]]:
    """Both streams laid into the columns of as many pages as they need."""
    width = (area.width - _GUTTER) / 2
    lefts = (area.left, area.left + width + _GUTTER)
    pages: list[list[Primitive]] = []
    while contents or notes or not pages:
        parts: list[Primitive] = []
        top = area.top
        if not pages:
            top = _heading(parts, project, area, fingerprint)
        contents, _ = _column(parts, contents, lefts[0], top, area.bottom, width)
        said, y = bool(notes), top
        notes, y = _column(parts, notes, lefts[1], top, area.bottom, width)
        if contents and not notes:
            more = [_Row(((0.0, "Contents, continued"),), head=True, page="page", above=6.0), *contents] if said else contents
            rest, _ = _column(parts, more, lefts[1], y, area.bottom, width, began=said)
            contents = rest[-len(contents) :] if rest else []
        pages.append(parts)
    return pages


def _heading(parts: list[Primitive], project: ProjectData, area: Box, fingerprint: str) -> float:
    """Title of the project, its owner, number and status, the code of the set; gives where the columns begin."""
    code = () if not fingerprint else code_lines(f"NETDSL {fingerprint.upper()}", area.right - CODE, area.top)
    parts += code
    # clear of the frame's centring mark, where that comes as far down
    wide = area.width / 2 - 8.0 if area.top < _BELOW_MARK else area.width - CODE - 4.0
    parts.append(Label(area.left, area.top + 5.0, shorten(project.title, wide, TITLE), TITLE))
    names = (("owner", "Owner"), ("number", "Number"), ("status", "Status"))
    words = [f"{shown}: {project.attributes[key]}" for key, shown in names if project.attributes.get(key)]
    room = area.width - (CODE + 4.0 if code else 0.0)
    parts.append(Label(area.left, area.top + 11.0, shorten(", ".join(words), room), NORMAL))
    if not code:
        return area.top + 18.0
    said = f"Fingerprint of the set {fingerprint}: the text it is drawn from agrees where `netdsl verify` says so."
    for number, line in enumerate(wrap(said.replace("`", ""), room, lines=2)):
        parts.append(Label(area.left, area.top + 16.5 + number * _UNDER, line, NORMAL))
    return area.top + CODE + 4.0


def _column(
    parts: list[Primitive], rows: list[_Row], left: float, top: float, bottom: float, width: float, began: bool = False
) -> tuple[list[_Row], float]:
    """Set as many of `rows` as fit between `top` and `bottom`, and give the others and where it ends. `began`: something
    stands above."""
    y = top
    for index, row in enumerate(rows):
        first = y == top and not began
        height = row.height - (row.above if first else 0.0)
        least = height + (_kept(rows, index) if row.head else 0.0)
        if y + least > bottom:
            return rows[index:], y
        y += height
        _set(parts, row, left, y, width)
    return [], y


def _kept(rows: list[_Row], heading: int) -> float:
    """Height of the rows that stay with a heading, and of headings before them, mm."""
    height, left = 0.0, rows[heading].keep
    for row in rows[heading + 1 :]:
        height += row.height
        left -= not row.head
        if left <= 0:
            break
    return height


def _set(parts: list[Primitive], row: _Row, left: float, y: float, width: float) -> None:
    """One row with its base line a little above `y`."""
    base = y - (3.6 if row.head else 1.5) - _UNDER * len(row.under)
    size = DESIGNATION if row.head else NORMAL
    for offset, text in row.cells:
        if text:
            parts.append(Label(left + offset, base, text, size, link=row.link))
    for number, line in enumerate(row.under, start=1):
        parts.append(Label(left + row.cells[-1][0], base + number * _UNDER, line, link=row.link))
    if row.page:
        parts.append(Label(left + width, base, row.page, NORMAL, "end", link=row.link))
    if row.head:
        parts.append(Line(((left, y - 1.5), (left + width, y - 1.5)), MEDIUM))
    elif row.signed:
        parts.append(Line(((left, y), (left + width, y)), NARROW))
    elif row.page:
        _leader(parts, row, left, base, width)


def _leader(parts: list[Primitive], row: _Row, left: float, base: float, width: float) -> None:
    """A thin dotted line from the last text of a row to its page."""
    offset, text = next(((x, t) for x, t in reversed(row.cells) if t), (0.0, ""))
    start = left + offset + text_width(text) + 2.0
    end = left + width - text_width(row.page) - 2.0
    if end - start > 4.0:
        parts.append(Line(((start, base - 0.3), (end, base - 0.3)), NARROW, (0.3, 1.7)))
