"""Mounting drawings: each enclosure at a stated scale with what stands in it, its rows, its door and the cables that enter."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from netdsl.network.types import Network
from render.drawing import Drawing, in_set
from render.drawings.mounted import Door, Mounted, enclosures
from render.drawings.mounting_doors import cutout_rows, door_view, entering, gland_rows, gland_views
from render.drawings.mounting_places import Placed, Row, hole_rows
from render.drawings.mounting_views import row_view, rows_of, whole_view
from render.layout.fonts import Box
from render.layout.remarks import Remarks
from render.layout.views import SCALES, Page, View, evened, joined, pack, scale_for, table
from render.sheet import Sheet, sheet_key
from render.words.names import Names

_Way = TypeVar("_Way", int, float)
KIND = "Mounting drawing"
_NOTES = 40.0  # height left for the title of a view and for remarks, mm
_WHOLE, _WIDE = 0.38, 0.6  # share of a sheet's width that the view of the whole enclosure may take; where it is unclear else
_UNCLEAR = 20.0  # scale, 1 to it, beyond which a view of the whole tells little
_LARGEST, _SMALLEST = 2.0, 5.0  # scales, 1 to each, at which designations stand at what is drawn
_SMALL = 8  # bodies in an enclosure without a door that shares a sheet
_SIGNS = (
    "Positions in mm from the left and upper edge of the enclosure, rows found from the text where neither position= nor"
    " row= states them."
    " Body in broken lines: size not stated, a usual one is drawn. Dotted: room to be kept free."
)


@in_set(330)
def mounting_sheets(drawing: Drawing) -> Iterator[Sheet]:
    """The enclosures of a plant with their doors, keys `mounting-MCP` and on; a field has none. Small ones stand together, on the
    sheets of the last large one where these have room."""
    found = [_Enclosure(drawing, mounted) for mounted in drawing.of(enclosures)]
    large = [_Filled(drawing, [enclosure]) for enclosure in found if not enclosure.is_small]
    small = [enclosure for enclosure in found if enclosure.is_small]
    boxes = _Filled(drawing, small)
    taken: set[str] = set()
    for filled in large if large and large[-1].takes(boxes) else [*large, boxes]:
        yield from filled.sheets(taken)


class _Filled:
    """Enclosures on as few sheets as the ways of drawing them need."""

    def __init__(self, drawing: Drawing, enclosures: Sequence[_Enclosure]) -> None:
        self.drawing, self.enclosures = drawing, enclosures
        self.pages: list[Page] = []
        self.shows: dict[int, str] = {}  # the enclosure that a view shows
        self.notes = [note for enclosure in enclosures for note in enclosure.notes()]
        room = self._room()
        for ways in _WAYS:
            found = [enclosure.views(ways, room) for enclosure in enclosures]
            views = [view for each in found for view in each]
            filled = pack(views, room, len(self.pages) - 1 if self.pages else None)
            if filled:
                self.pages = filled
                of = zip(enclosures, found, strict=True)
                self.shows = {id(view): enclosure.place.id for enclosure, each in of for view in each}
            if len(self.pages) <= 1:
                break
        if drawing.size == "A4":  # where one view stands below the other, what has no room at the foot is far from its like
            self.pages = evened(self.pages, room)

    def takes(self, other: _Filled) -> bool:
        """Whether the last sheet has room for all that `other` shows, which then stands there."""
        if len(other.pages) != 1 or not self.pages:
            return False
        notes, self.notes = self.notes, [*self.notes, *other.notes]
        found = joined(self.pages[-1], [view for view, _, _ in other.pages[0]], self._room()) if self._holds() else None
        if found is None:
            self.notes = notes
            return False
        self.pages[-1] = found
        self.shows |= other.shows
        return True

    def _said(self) -> Remarks:
        return Remarks.of((" ".join([_SIGNS, *self.notes]),), self.drawing.notes)

    def _room(self) -> Box:
        area = self.drawing.area
        return Box(area.left, area.top, area.right, area.bottom - self._said().above)

    def _holds(self) -> bool:
        """Whether what is said leaves all sheets the room that they take."""
        return all(y + view.height <= self._room().bottom + 0.01 for page in self.pages for view, _, y in page)

    def sheets(self, taken: set[str]) -> Iterator[Sheet]:
        """The sheets, with keys that are not `taken` yet."""
        if not self.pages:
            return
        said, shown = self._said(), list(dict.fromkeys(self.shows.values()))
        together = all(enclosure.is_small for enclosure in self.enclosures) and len(self.enclosures) > 1
        key = sheet_key("mounting", "boxes" if together else shown[0], taken)
        for number, page in enumerate(self.pages, start=1):
            part = f".{number}" if len(self.pages) > 1 else ""
            parts = [part for view, x, y in page for part in view.at(x, y)]
            names = dict.fromkeys(self.shows[id(view)] for view, _, _ in page)
            yield Sheet(
                key + part,
                f"M.{key.removeprefix('mounting-')}{part}",
                f"Mounting of {', '.join(name for name in shown if name in names)}",
                KIND,
                self.drawing.part_of("", shown[0]),
                (*parts, *said.labels),
                self.drawing.size,
            )


class Ways(Struct, frozen=True):
    """How an enclosure is drawn: steps to smaller scales of its rows and doors, share of the width for a row of glands."""

    rows: int
    doors: int
    glands: float


#: tried one after the other, the largest scales first
_WAYS = tuple(Ways(rows, doors, glands) for rows in (0, 1) for doors in (0, 1) for glands in (1.0, 0.5))


class _Enclosure:
    """One enclosure with its plates and doors."""

    def __init__(self, drawing: Drawing, mounted: Mounted) -> None:
        self.drawing, self.place, self.mounted = drawing, mounted.place, mounted
        self.network: Network = drawing.network
        self.occupied = any(door.placed for door in mounted.doors)
        self._made: dict[tuple[object, ...], list[View]] = {}  # views by what they show and how: several ways have the same

    @property
    def is_small(self) -> bool:
        """Whether it shares its sheets with others."""
        return len(self.mounted.bodies) <= _SMALL and not self.occupied

    def views(self, ways: Ways, room: Box) -> list[View]:
        """The views of the enclosure, for sheets with so much `room`, those that another way has too made once."""
        views = [*self._once(self._inside, ways.rows, room), *self._once(self._doors, ways.doors, room)]
        return [*views, *self._once(self._glands, ways.glands, room)]

    def _once(self, make: Callable[[_Way, Box], list[View]], way: _Way, room: Box) -> list[View]:
        key = make.__name__, way, room
        if key not in self._made:
            self._made[key] = make(way, room)
        return self._made[key]

    def notes(self) -> list[str]:
        """What is to be said beside them."""
        made, beside = self.mounted.made, self.mounted.beside
        notes: list[str] = []
        if made is not None and made.left_over:
            names = ", ".join(body.device.id for body in made.left_over[:12])
            more = f" and {len(made.left_over) - 12} more" if len(made.left_over) > 12 else ""
            notes.append(f"NOT ENOUGH ROOM: {names}{more} did not fit into the enclosure.")
        if beside:
            notes.append(f"In a wall or the door, position not stated: {', '.join(body.device.id for body in beside)}.")
        return notes + self._ducts()

    def _link(self, name: str) -> str:
        return self.drawing.key_of(name)

    def _inside(self, step: int, area: Box) -> list[View]:
        made = self.mounted.made
        if made is None:
            return []
        scales = [scale_for(made.width, made.height, area.width * share - 8.0, area.height - 20.0) for share in (_WHOLE, _WIDE)]
        scale = max(scales[0] if scales[0] <= _UNCLEAR else max(scales[1], _UNCLEAR), 5.0)
        whole = whole_view(self.place.id, made, scale, self.mounted.stated)
        rows, short = rows_of(made), self._short()
        widest = max((_extent(row, held) for row, held in rows), default=1.0)
        beside = whole.width + 9.0 if self.drawing.size == "A3" else 0.0  # an upright sheet has its rows below
        row_scale = scale_for(widest, 1.0, area.width - beside, 100.0)
        tall = max((max(p.box.bottom for p in held) - min(p.y for p in held) for _, held in rows if held), default=1.0)
        row_scale = _smaller(max(row_scale, _LARGEST, scale_for(1.0, tall, 10.0, area.height - 60.0)), step)
        views = [whole, *(view for row, held in rows if held for view in self._row(row, held, row_scale, short))]
        for view in views:
            view.series = self.place.id  # a fitter mounts row by row from above
        heads = ("Designation", "hole", "x", "y")
        holes = hole_rows(made.placed)
        return [*views, *table(f"Fixing holes in {self.place.id}", heads, holes, area.height, self._link, area.width / 3)]

    def _row(
        self, row: Row | None, held: list[Placed], scale: float, short: Callable[[str], str], part: bool = False
    ) -> list[View]:
        """A row; in parts, each with where its bodies begin below them, where their names spread wider than the sheet."""
        room = self.drawing.area.width
        view = row_view(self.place.id, row, held, scale, short, self._link, room, part)
        half = (len(held) + 1) // 2
        if view.width <= room or len(held) == 1:
            return [view]
        at = held[half].x
        parts = (row, row) if row is None else (replace(row, right=min(row.right, at)), replace(row, left=at))
        return [*self._row(parts[0], held[:half], scale, short, True), *self._row(parts[1], held[half:], scale, short, True)]

    def _short(self) -> Callable[[str], str]:
        names = {
            function: Names(self.drawing.plant, function) for function in {body.device.function for body in self.mounted.bodies}
        }

        def short(identity: str) -> str:
            function = self.drawing.plant.devices[identity].function
            return names[function].of(identity)

        return short

    def _ducts(self) -> list[str]:
        """The ducts of the enclosure by name: which of those drawn is which is not stated."""
        ways = [route for route in self.drawing.plant.routes.values() if route.kind == "duct" and route.place == self.place.id]
        if not ways:
            return []
        said = ", ".join(f"{way.id} ({way.title})" if way.title else way.id for way in ways)
        return [f"Ducts: {said}."]

    def _doors(self, step: int, area: Box) -> list[View]:
        return [view for door in self.mounted.doors if door.placed for view in self._door(door, step, area)]

    def _door(self, door: Door, step: int, area: Box) -> list[View]:
        placed, size, name = door.placed, door.size, door.place.id
        tall = max(p.box.bottom for p in placed) + 90.0
        scale = max(scale_for(size[0], min(tall, size[1]), area.width, area.height - _NOTES), _LARGEST)
        scale = _smaller(scale, step)
        functions = self.drawing.plant.functions
        views = [door_view(name, placed, size, scale, behind, self._link, functions) for behind in (False, True)]
        heads = ("Designation", "no.", "cut-out", "x", "y", "position", "label")
        title = f"Cut-outs in {name}, x from the left as seen from outside"
        return [*views, *table(title, heads, cutout_rows(placed), area.height, self._link, area.width)]

    def _glands(self, share: float, area: Box) -> list[View]:
        cables = entering(self.network, self.place.id)
        if not cables or not (self.mounted.bodies or self.occupied):
            return []
        heads = ("Cable", "no.", "type", "length", "gland", "entry", "leads to")
        title = f"Cables entering {self.place.id}"
        rows = gland_rows(self.network, self.place.id, cables)
        return [
            *gland_views(self.place.id, cables, area.width * share, self._link),
            *table(title, heads, rows, area.height, self._link, area.width),
        ]


def _smaller(scale: float, steps: int) -> float:
    """The scale so many steps further on, none at which designations lose their room."""
    return max(scale, min(SCALES[SCALES.index(scale) + steps], _SMALLEST)) if steps else scale


def _extent(row: Row | None, held: list[Placed]) -> float:
    """From the beginning of a row's rail to the end of its last body, mm."""
    if not held:
        return 0.0
    return max(p.box.right for p in held) - min([p.x for p in held] + ([row.left] if row is not None else []))
