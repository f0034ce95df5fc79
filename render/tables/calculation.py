"""The calculation sheets: a row for each circuit, what is kept by the least, what is missing and assumed; then every result with
its derivation, the sources by number, and the single line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from netdsl.calc import Calculation
from netdsl.calc.basis import Result
from netdsl.calc.sheet import CAUTIONS, IN_SHORT, CircuitRow, about, circuit_rows, least_margin, not_judged, summary_of
from netdsl.model.project import ProjectData
from render.layout.fonts import Box, text_width
from render.layout.frame import drawing_area, framed, notes_area, size_of
from render.layout.remarks import Remarks
from render.sheet import DESIGNATION, Label, Sheet
from render.tables.circuit_cells import CIRCUITS, CIRCUITS_NARROW, circuit_cells
from render.tables.derivations import Derivations
from render.tables.flow import GUTTER, Block, in_columns
from render.tables.grid import table_sheets
from render.tables.premises import ASSUMED, LEFT, MISSING, premises, source_blocks
from render.tables.sayings import Sayings
from render.tables.table import Entry, Table

_KIND = "Calculation sheet"
#: in place of the cautions on every sheet but the first
_IN_SHORT = (f"{IN_SHORT} Cautions in full: sheet CS1.",)
_ORDER = "Circuits: that with the least margin first. Each figure leads to its derivation, each designation to the single line."
_READING = (
    "Margin: how far a value stays from its limit, in percent of the limit. Conductors are given as section, length, resistance "
    "per length at 20 °C, temperature.",
    "Numbers in brackets are those of the list of sources, sheet CQ1. Figures marked as from memory are to be looked up before "
    "anyone relies on them; common practice has no single authority; those without a mark were read in print.",
)


def calculation_sheets(
    calculation: Calculation,
    results: Sequence[Result],
    errors: int = 0,
    diagram: Sequence[Sheet] = (),
    said: Sayings | None = None,
) -> tuple[Sheet, ...]:
    """The sheets with their frames: the circuits, what is not kept and what is kept by the least, what is missing, left out and
    assumed, then the derivations, the sources, and `diagram`, the single line. `errors`: error findings of the plant, noted on
    each. `said`: what the derivations say, where that is put together already."""
    project = calculation.plant.project
    columns, said, diagrams = _Columns.of(project), said or Sayings(calculation, results), _Shown(diagram)
    derivations = Derivations(said, columns.width, diagrams.sheet_of)
    derived = columns.sheets("results", "CR", "Derivations", derivations.blocks)
    where = {result.key: sheet.key for sheet, blocks in derived for block in blocks for result in block.results}
    before = columns.sheets("premises", "CP", "Premises", tuple(premises(calculation, results, columns.width, where)))
    listed = columns.sheets("sources", "CQ", "Sources", tuple(source_blocks(said.sources, columns.width)))
    rows = circuit_rows(calculation, results, [left.feeder for left in not_judged(calculation)])
    narrow = columns.size == "A4"
    remarks = (_lists(calculation, before), *_READING)
    entries = tuple(_circuits(calculation, results, rows, where, diagrams, narrow, remarks))
    shown = CIRCUITS_NARROW if narrow else CIRCUITS
    table = Table("circuits", "CS", "Circuits", _KIND, project.title, shown, entries, CAUTIONS, True, _IN_SHORT, grouped=False)
    first = {block.of: sheet.key for sheet, blocks in reversed(derived) for block in reversed(blocks) if block.results}
    drawn = (_with_links(sheet, first, columns.remarks) for sheet in diagram)
    pages = (sheet for part in (before, derived, listed) for sheet, _ in part)
    return tuple(framed(sheet, project, errors) for sheet in (*table_sheets(table, columns.size), *pages, *drawn))


def _with_links(sheet: Sheet, first: Mapping[str, str], remarks: Remarks) -> Sheet:
    """A sheet of the single line, on which each designation leads to the first derivation about it, with the cautions."""
    parts = (
        replace(part, link=first[part.text]) if isinstance(part, Label) and part.text in first else part
        for part in sheet.primitives
    )
    return replace(sheet, primitives=(*parts, *remarks.labels))


class _Columns(Struct, frozen=True):
    """The columns of a sheet: `boxes` of `width` mm, and the remarks below them."""

    size: str
    part_of: str
    width: float
    boxes: tuple[Box, ...]
    remarks: Remarks

    @staticmethod
    def of(project: ProjectData) -> _Columns:
        """Two on a wide sheet, one on a narrow one."""
        size = size_of(project)
        area, remarks = drawing_area(size), Remarks.of(_IN_SHORT, notes_area(size))
        count = 1 if size == "A4" else 2
        width = (area.width - GUTTER * (count - 1)) / count
        lefts = [area.left + n * (width + GUTTER) for n in range(count)]
        boxes = tuple(Box(left, area.top, left + width, area.bottom - remarks.above) for left in lefts)
        return _Columns(size, project.title, width, boxes, remarks)

    def sheets(self, key: str, number: str, title: str, blocks: Sequence[Block]) -> list[tuple[Sheet, list[Block]]]:
        """Sheets that hold some blocks, each with those that begin on it, and about what stands under its first and last head."""
        found = []
        last = ""
        for page, (parts, begun) in enumerate(in_columns(blocks, self.boxes), start=1):
            heads = [block.heading for block in begun if block.heading]
            if last and not (begun and begun[0].heading):
                heads.insert(0, last)
            what = " to ".join(dict.fromkeys((*heads[:1], *heads[-1:])))
            last = heads[-1] if heads else last
            primitives = (*parts, *self.remarks.labels)
            sheet = Sheet(f"{key}-{page}", f"{number}{page}", title, _KIND, self.part_of, primitives, self.size, what)
            found.append((sheet, begun))
        return found


class _Shown:
    """Where the single line shows things."""

    def __init__(self, sheets: Sequence[Sheet]) -> None:
        self._first: dict[str, str] = {}
        for sheet in sheets:
            for part in sheet.primitives:
                if part.of:
                    self._first.setdefault(part.of, sheet.key)

    def sheet_of(self, thing: str) -> str:
        """Key of the sheet that shows a device or the first of a circuit; "" where none does."""
        found = self._first.get(thing) or self._first.get(thing.partition(":")[0])
        inside = (key for name, key in self._first.items() if thing and name.startswith(f"{thing}-"))
        return found or next(inside, "")


def _remarks(texts: Sequence[str]) -> Iterator[Entry]:
    return (Entry((), "", text, remark=True) for text in texts)


def _circuits(
    calculation: Calculation,
    results: Sequence[Result],
    rows: Sequence[CircuitRow],
    where: Mapping[str, str],
    diagrams: _Shown,
    narrow: bool,
    remarks: Sequence[str],
) -> Iterator[Entry]:
    """What the sheets are, how many figures they hold; the circuits, that with the least margin first; how to read them."""
    lines = (f"Calculation sheet: {about(calculation)[0]}", *about(calculation)[1:])
    joined = "; ".join(lines)
    fits = text_width(joined, DESIGNATION, True) <= drawing_area(size_of(calculation.plant.project)).width
    for line in (joined,) if fits else lines:
        yield Entry((), "", line)
    yield Entry((), "", summary_of(calculation, results).counts)
    for row in sorted(rows, key=least_margin):
        yield Entry(circuit_cells(row, where, diagrams.sheet_of, narrow), row.circuit)
    yield from _remarks((f"{_ORDER} {remarks[0]}.", *remarks[1:]))


def _lists(calculation: Calculation, before: Sequence[tuple[Sheet, Sequence[Block]]]) -> str:
    """How much is not judged, missing and assumed, with the sheets that say what."""
    begins = {block.heading: sheet.number for sheet, blocks in before for block in blocks if block.heading}
    counts = (
        (LEFT, len(not_judged(calculation))),
        (MISSING, len(calculation.missing)),
        (ASSUMED, len(calculation.assumptions)),
    )
    return "; ".join(f"{name}: {count}, sheet {begins[name]}" if count else f"{name}: none noted" for name, count in counts)
