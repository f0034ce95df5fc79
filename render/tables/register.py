"""The register: every sheet with its fingerprint and the lines of text that it comes from."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.findings import Span
from netdsl.kept import kept
from netdsl.model.plant import Plant
from render.drawing import Drawing, in_set, members
from render.layout.fingerprint import fingerprint, fingerprint_of_set
from render.sheet import Sheet
from render.tables.grid import table_sheets
from render.tables.listing import listing, side_by_side
from render.tables.table import Cell, Column, Entry, Table

#: the register stands last and lists all before it
PLACE = 490
_COLUMNS = (
    Column("sheet", most=34.0, least=18.0),
    Column("fingerprint", most=24.0, least=18.0),
    Column("title", most=60.0, least=30.0),
    Column("lines it comes from", most=80.0, least=40.0),
)
_NOTES = (
    "netdsl verify PLANT FINGERPRINT says whether a sheet of paper is what the text gives now. Lines: those it was drawn from.",
)


class Fingerprints:
    """The sheets of a set with their fingerprints, and that of the whole set: `drawing.of(Fingerprints)`. `known`: both, where
    they are drawn already, the sheets without what is on them."""

    def __init__(self, drawing: Drawing, known: Iterable[tuple[Sheet, str]] | None = None) -> None:
        if known is None:
            bodies = (sheet for member in members() if member.place < PLACE for sheet in drawing.drawn(member))
            known = ((sheet, fingerprint(sheet)) for sheet in bodies)
        self.sheets: tuple[tuple[Sheet, str], ...] = tuple(known)
        #: sheets with their fingerprints by their keys
        self.by_key: dict[str, tuple[Sheet, str]] = {sheet.key: (sheet, each) for sheet, each in self.sheets}
        #: of all sheets but the cover and the register, which change with every line that moves
        self.whole = fingerprint_of_set((sheet.number, each) for sheet, each in self.sheets)


class Sources:
    """Where the text declares what a sheet shows: `drawing.of(Sources)`."""

    def __init__(self, drawing: Drawing) -> None:
        plant: Plant = drawing.plant
        self._found: dict[tuple[str, str], dict[str, tuple[int, int]]] = {}
        self._functions = {drawing.part_of(name, ""): name for name in plant.functions}
        self._spans: dict[str, Span] = {name: place.span for name, place in plant.places.items()}
        self._spans |= {name: function.span for name, function in plant.functions.items()}
        # of what a scheme made, the line that uses it
        self._spans |= {name: device.span if device.use else device.whole for name, device in plant.devices.items()}
        self._spans |= {name: cable.span if cable.use else cable.whole for name, cable in plant.cables.items()}
        self._spans |= {name: conductor.span for name, conductor in plant.conductors.items()}

    def known(self, sheet: Sheet, lines: dict[str, tuple[int, int]]) -> None:
        """Take `lines` as those of a sheet, which may come without what is drawn on it."""
        self._found[sheet.key, sheet.number] = lines

    def of(self, sheet: Sheet) -> dict[str, tuple[int, int]]:
        """For each file the first and last line that declares something on the sheet; on that of a function, of the function."""
        known = self._found.get((sheet.key, sheet.number))
        if known is None:
            known = self._found[sheet.key, sheet.number] = self.lines(sheet)
        return known

    def lines(self, sheet: Sheet) -> dict[str, tuple[int, int]]:
        names = sorted({part.of for part in sheet.primitives if part.of})
        function = self._functions.get(sheet.part_of)
        own = [name for name in names if function and name.startswith(f"{function}-")]
        found: dict[str, tuple[int, int]] = {}
        for name in own or names:
            declared = self._declared(name)
            if declared is not None:
                path, begin, end = declared
                first, last = found.get(path, (begin, end))
                found[path] = min(first, begin), max(last, end)
        return {path: found[path] for path in sorted(found)}

    @kept
    def _declared(self, name: str) -> tuple[str, int, int] | None:
        """File, first and last line that declare a thing, of a terminal its device."""
        span = self._spans.get(name) or self._spans.get(name.partition(":")[0])
        return None if span is None else (span.source.path, span.begin[0], span.finish[0])


@listing("sheets", "every sheet of the set with its fingerprint and the lines of text it comes from")
def register(drawing: Drawing) -> Table:
    """A row per sheet but the cover and the register itself."""
    sources = drawing.of(Sources)
    entries = []
    for sheet, each in drawing.of(Fingerprints).sheets:
        lines = "; ".join(
            f"{path} {first}..{last}" if first < last else f"{path} {first}" for path, (first, last) in sources.of(sheet).items()
        )
        cells = (Cell(sheet.number, link=sheet.key), Cell(each), Cell(sheet.title), Cell(lines))
        entries.append(Entry(cells, sheet.key))
    title = drawing.plant.project.title
    blocks = side_by_side(drawing)
    return Table(
        "register", "RG", "Register of sheets", "Register", title, _COLUMNS, tuple(entries), _NOTES, blocks=blocks, counted=True
    )


@in_set(PLACE)
def register_sheets(drawing: Drawing) -> list[Sheet]:
    """The register, without frames."""
    return table_sheets(register(drawing), drawing.size)
