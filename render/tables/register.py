"""The register: every sheet with its fingerprint and the text that it comes from.

That is told by numbers of lines, which move with every line written above them, and by what is declared there first and last,
which stays. `netdsl verify` gives the lines of now.
"""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.findings import Span
from netdsl.kept import kept
from netdsl.model.plant import Plant
from render.drawing import Drawing, in_set, members
from render.layout.fingerprint import fingerprint, fingerprint_of_set
from render.layout.stretches import Stretch, lines_text
from render.sheet import Sheet
from render.tables.grid import table_sheets
from render.tables.listing import listing, side_by_side
from render.tables.table import Cell, Column, Entry, Table

#: the register stands last and lists all before it
PLACE = 490
_COLUMNS = (
    Column("sheet", most=34.0, least=18.0),
    Column("fingerprint", most=24.0, least=18.0),
    Column("title", most=48.0, least=28.0),
    Column("lines it comes from", most=80.0, least=36.0),
    Column("first to last of them", most=60.0, least=24.0),
)
_NOTES = (
    "netdsl verify PLANT FINGERPRINT says whether a sheet of paper is what the text gives now, and its lines of now. Lines: when"
    " this was printed; by what they declare first and last they are found where they moved.",
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
        self._found: dict[tuple[str, str], dict[str, Stretch]] = {}
        self._functions = {drawing.part_of(name, ""): name for name in plant.functions}
        self._spans: dict[str, Span] = {name: conductor.span for name, conductor in plant.conductors.items()}
        self._of = {name: conductor.function for name, conductor in plant.conductors.items()}
        self._spans |= {name: place.span for name, place in plant.places.items()}
        self._spans |= {name: function.span for name, function in plant.functions.items()}
        # of what a scheme made, the line that uses it
        for things in (plant.devices, plant.cables):
            self._spans |= {name: thing.span if thing.use else thing.whole for name, thing in things.items()}
            self._of |= {name: thing.function for name, thing in things.items()}

    def known(self, sheet: Sheet, lines: dict[str, Stretch]) -> None:
        """Take `lines` as those of a sheet, which may come without what is drawn on it."""
        self._found[sheet.key, sheet.number] = lines

    def of(self, sheet: Sheet) -> dict[str, Stretch]:
        """For each file from where to where it declares something on the sheet; on that of a function, of the function."""
        known = self._found.get((sheet.key, sheet.number))
        if known is None:
            known = self._found[sheet.key, sheet.number] = self.lines(sheet)
        return known

    def lines(self, sheet: Sheet) -> dict[str, Stretch]:
        """The same, worked out from what is drawn on the sheet."""
        names = sorted({part.of for part in sheet.primitives if part.of})
        function = self._functions.get(sheet.part_of)
        own = [name for name in names if function and name.startswith(f"{function}-")]
        found: dict[str, list[tuple[int, int, str]]] = {}
        for name in own or names:
            declared = self._declared(name)
            if declared is not None:
                path, begin, end = declared
                found.setdefault(path, []).append((begin, end, self._of.get(name.partition(":")[0]) or name))
        return {path: _stretch(found[path]) for path in sorted(found)}

    @kept
    def _declared(self, name: str) -> tuple[str, int, int] | None:
        """File, first and last line that declare a thing, of a terminal its device."""
        span = self._spans.get(name) or self._spans.get(name.partition(":")[0])
        return None if span is None else (span.source.path, span.begin[0], span.finish[0])


def _stretch(declared: list[tuple[int, int, str]]) -> Stretch:
    """From the first to the last of what is declared. A conductor is called by its function; one of the common part names neither
    end where anything else stands there."""
    named = [each for each in declared if not _is_conductor(each[2])] or declared
    begins = min(named, key=lambda each: (each[0], -each[1], each[2]))[2].partition(":")[0]
    ends = max(named, key=lambda each: (each[1], -each[0], each[2]))[2].partition(":")[0]
    return Stretch(min(each[0] for each in declared), max(each[1] for each in declared), begins, ends)


def _is_conductor(name: str) -> bool:
    return " " in name


@listing("sheets", "every sheet of the set with its fingerprint and the lines of text it comes from")
def register(drawing: Drawing) -> Table:
    """A row per sheet but the cover and the register itself."""
    sources = drawing.of(Sources)
    entries = []
    for sheet, each in drawing.of(Fingerprints).sheets:
        stretches = sources.of(sheet)
        names = "; ".join(stretch.names for stretch in stretches.values())
        cells = (Cell(sheet.number, link=sheet.key), Cell(each), Cell(sheet.title), Cell(lines_text(stretches)), Cell(names))
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
