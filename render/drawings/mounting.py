"""Mounting drawings: each enclosure at a stated scale with what stands in it, its rows, its door and the cables that enter."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from msgspec.structs import replace

from netdsl.network.types import Network
from render.drawing import Drawing, in_set
from render.drawings.mounted import Door, Mounted, enclosures
from render.drawings.mounting_doors import cutout_rows, door_view, entering, gland_rows, gland_views
from render.drawings.mounting_places import Layout, Placed, Row, hole_rows
from render.drawings.mounting_views import row_view, rows_of, whole_view
from render.layout.fonts import Box
from render.layout.remarks import Remarks
from render.layout.views import View, pack, scale_for, table
from render.sheet import Sheet, sheet_key
from render.words.names import Names

KIND = "Mounting drawing"
_NOTES = 40.0  # height left for the title of a view and for remarks, mm
_WHOLE = 0.34  # share of a sheet's width that the view of the whole enclosure may take
_SMALL = 8  # bodies in an enclosure without a door that shares a sheet
_SIGNS = (
    "Positions in mm from the left and upper edge of the enclosure, rows found from the text where neither position= nor"
    " row= states them."
    " Body in broken lines: size not stated, a usual one is drawn. Dotted: room to be kept free."
)


@in_set(330)
def mounting_sheets(drawing: Drawing) -> Iterator[Sheet]:
    """The enclosures of a plant with their doors, keys `mounting-MCP` and on, small ones together; a field has none."""
    taken: set[str] = set()
    small: list[_Enclosure] = []
    for mounted in drawing.of(enclosures):
        enclosure = _Enclosure(drawing, mounted)
        if enclosure.is_small:
            small.append(enclosure)
        else:
            yield from _sheets(drawing, [enclosure], taken)
    yield from _sheets(drawing, small, taken)


def _sheets(drawing: Drawing, enclosures: list[_Enclosure], taken: set[str]) -> Iterator[Sheet]:
    found = [enclosure.views() for enclosure in enclosures]
    views = [view for each, _ in found for view in each]
    if not views:
        return
    shown = [enclosure.place.id for enclosure, (each, _) in zip(enclosures, found, strict=True) if each]
    key = sheet_key("mounting", shown[0] if len(enclosures) == 1 else "boxes", taken)
    said = Remarks.of((" ".join([_SIGNS, *(note for _, notes in found for note in notes)]),), drawing.notes)
    area = drawing.area
    pages = pack(views, Box(area.left, area.top, area.right, area.bottom - said.above))
    for number, page in enumerate(pages, start=1):
        part = f".{number}" if len(pages) > 1 else ""
        parts = [part for view, x, y in page for part in view.at(x, y)]
        names = ", ".join(dict.fromkeys(name for name in shown if any(view.title.startswith(name) for view, _, _ in page)))
        yield Sheet(
            key + part,
            f"M.{key.removeprefix('mounting-')}{part}",
            f"Mounting of {names or shown[0]}",
            KIND,
            drawing.part_of("", shown[0]),
            (*parts, *said.labels),
            drawing.size,
        )


class _Enclosure:
    """One enclosure with its plates and doors."""

    def __init__(self, drawing: Drawing, mounted: Mounted) -> None:
        self.drawing, self.place, self.mounted = drawing, mounted.place, mounted
        self.network: Network = drawing.network
        self.occupied = any(door.placed for door in mounted.doors)

    @property
    def is_small(self) -> bool:
        """Whether it shares its sheets with others."""
        return len(self.mounted.bodies) <= _SMALL and not self.occupied

    def views(self) -> tuple[list[View], list[str]]:
        """The views of the enclosure, and what is to be said beside them."""
        made, beside = self.mounted.made, self.mounted.beside
        views: list[View] = []
        notes: list[str] = []
        if made is not None:
            views += self._inside(made, self.mounted.stated)
            if made.left_over:
                names = ", ".join(body.device.id for body in made.left_over[:12])
                more = f" and {len(made.left_over) - 12} more" if len(made.left_over) > 12 else ""
                notes.append(f"NOT ENOUGH ROOM: {names}{more} did not fit into the enclosure.")
        if beside:
            notes.append(f"In a wall or the door, position not stated: {', '.join(body.device.id for body in beside)}.")
        notes += self._ducts()
        for door in self.mounted.doors:
            if door.placed:
                views += self._door(door)
        views += self._glands()
        return views, notes

    def _link(self, name: str) -> str:
        return self.drawing.key_of(name)

    def _inside(self, made: Layout, stated: bool) -> list[View]:
        area = self.drawing.area
        scale = max(scale_for(made.width, made.height, area.width * _WHOLE - 8.0, area.height - 20.0), 5.0)
        whole = whole_view(self.place.id, made, scale, stated)
        rows, short = rows_of(made), self._short()
        widest = max((_extent(held) for _, held in rows), default=1.0)
        row_scale = scale_for(widest, 1.0, area.width - whole.width - 9.0, 100.0)
        tall = max((max(p.box.bottom for p in held) - min(p.y for p in held) for _, held in rows if held), default=1.0)
        row_scale = max(row_scale, 2.5, scale_for(1.0, tall, 10.0, area.height - 60.0))
        views = [whole, *(view for row, held in rows if held for view in self._row(row, held, row_scale, short))]
        heads = ("Designation", "hole", "x", "y")
        holes = hole_rows(made.placed)
        return [*views, *table(f"Fixing holes in {self.place.id}", heads, holes, area.height, self._link, area.width / 3)]

    def _row(self, row: Row | None, held: list[Placed], scale: float, short: Callable[[str], str]) -> list[View]:
        """A row; in parts, each with where its bodies begin below them, where their names spread wider than the sheet."""
        view = row_view(self.place.id, row, held, scale, short, self._link)
        half = (len(held) + 1) // 2
        if view.width <= self.drawing.area.width or len(held) == 1:
            return [view]
        at = held[half].x
        parts = (row, row) if row is None else (replace(row, right=min(row.right, at)), replace(row, left=at))
        return [*self._row(parts[0], held[:half], scale, short), *self._row(parts[1], held[half:], scale, short)]

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

    def _door(self, door: Door) -> list[View]:
        placed, size, name = door.placed, door.size, door.place.id
        area = self.drawing.area
        tall = max(p.box.bottom for p in placed) + 90.0
        scale = max(scale_for(size[0], min(tall, size[1]), area.width, area.height - _NOTES), 5.0)
        views = [door_view(name, placed, size, scale, behind, self._link) for behind in (False, True)]
        heads = ("Designation", "no.", "cut-out", "x", "y", "position", "label")
        return [*views, *table(f"Cut-outs in {name}", heads, cutout_rows(placed), area.height, self._link, area.width / 2)]

    def _glands(self) -> list[View]:
        cables = entering(self.network, self.place.id)
        if not cables or not (self.mounted.bodies or self.occupied):
            return []
        heads = ("Cable", "no.", "type", "length", "gland", "entry", "leads to")
        area = self.drawing.area
        title = f"Cables entering {self.place.id}"
        rows = gland_rows(cables)
        return [
            *gland_views(self.place.id, cables, area.width, self._link),
            *table(title, heads, rows, area.height, self._link, area.width * 0.62),
        ]


def _extent(held: list[Placed]) -> float:
    return max(p.box.right for p in held) - min(p.x for p in held) if held else 0.0
