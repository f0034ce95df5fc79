"""What stands in each enclosure and on its doors, laid out once for the mounting drawings and for the order of device sheets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from netdsl.model.kinds import Category
from netdsl.model.plant import Device, Place, Plant
from render.drawing import Drawing
from render.drawings.mounting_bodies import Body, Zone, door_body, inside_body, is_mounted
from render.drawings.mounting_doors import door_layout
from render.drawings.mounting_layout import layout
from render.drawings.mounting_places import Layout, Placed, Row

_UNKNOWN = (600.0, 800.0)  # a door of an enclosure in which nothing stands and which states no size, mm


class Door(Struct, frozen=True):
    """A door of `size` mm with what is in it."""

    place: Place
    size: tuple[float, float]
    placed: tuple[Placed, ...]


class Mounted(Struct, frozen=True):
    """An enclosure. `bodies`: all in it but on doors; `beside`: those of them in a wall; `made`: where the others stand, None
    where there are none; `stated`: the enclosure states its size. `doors`: all, those with nothing in them too."""

    place: Place
    bodies: tuple[Body, ...]
    beside: tuple[Body, ...]
    made: Layout | None
    stated: bool
    doors: tuple[Door, ...]


def enclosures(drawing: Drawing) -> tuple[Mounted, ...]:
    """Every enclosure of the plant, as declared: `drawing.of(enclosures)`."""
    plant = drawing.plant
    return tuple(_mounted(plant, place) for place in plant.places.values() if place.enclosure == place.id)


def _mounted(plant: Plant, place: Place) -> Mounted:
    inner = [other for other in plant.places.values() if other.enclosure == place.id]
    standing = {other.id for other in inner if other.kind != "door"}
    devices = [device for device in plant.devices.values() if is_mounted(device)]
    bodies = tuple(inside_body(device) for device in devices if device.place in standing)
    on_plate = [body for body in bodies if body.zone != Zone.BESIDE]
    size = _size(place)
    rails = next((other.rails_m for other in (place, *inner) if other.kind != "door" and other.rails_m), ())
    made = layout(on_plate, size, [1000 * rail for rail in rails]) if on_plate else None
    whole = (made.width, made.height) if made is not None else size or _UNKNOWN
    doors = tuple(_door(devices, other, whole) for other in inner if other.kind == "door")
    return Mounted(place, bodies, tuple(body for body in bodies if body.zone == Zone.BESIDE), made, size is not None, doors)


def _door(devices: list[Device], door: Place, whole: tuple[float, float]) -> Door:
    size = _size(door) or whole
    fronts = [door_body(device, device.place != door.id) for device in devices if door.id in (device.place, device.operated_at)]
    return Door(door, size, tuple(door_layout(fronts, size[0])))


def _size(place: Place) -> tuple[float, float] | None:
    size = place.attributes.quantity("size")
    return (1000 * size.values[0], 1000 * size.values[1]) if size is not None and len(size.values) > 1 else None


# --- the order in which a fitter meets them -----------------------------------------------------------------------------
def mounting_order(drawing: Drawing) -> Mapping[str, int]:
    """Where each device stands among all: supplies, then enclosure by enclosure row by row from the left, what is in its walls,
    its doors; then the field, place by place. What sits on another device or in its wiring follows what stands before it in the
    text. Of two devices of a function the order depends on the rest of the plant no more than the mounting drawing does."""
    plant = drawing.plant
    found: list[str] = [device.id for device in plant.devices.values() if device.category == Category.SUPPLY]
    for each in drawing.of(enclosures):
        found += _within(each)
    seen = set(found)
    ranks = {name: rank for rank, name in enumerate([*plant.places, ""])}
    carried: dict[str, list[str]] = {}
    loose: list[Device] = []
    host = ""
    for device in plant.devices.values():
        if device.id in seen:
            host = device.id
        elif host and not is_mounted(device) and _beside(plant, host, device):
            carried.setdefault(host, []).append(device.id)
        else:
            loose.append(device)
    found += [device.id for device in sorted(loose, key=lambda device: ranks.get(device.place, len(ranks)))]
    order = [identity for name in found for identity in (name, *carried.get(name, ()))]
    return {identity: number for number, identity in enumerate(order)}


def _beside(plant: Plant, host: str, device: Device) -> bool:
    other = plant.devices[host]
    return (other.function, other.place) == (device.function, device.place)


def _within(each: Mounted) -> Iterator[str]:
    """The devices of an enclosure; a handle in a door belongs to a device that stands inside."""
    if each.made is not None:
        rows = each.made.rows
        yield from (p.body.device.id for p in sorted(each.made.placed, key=lambda p: (_height(p, rows), p.x)))
        yield from (body.device.id for body in each.made.left_over)
    yield from (body.device.id for body in each.beside)
    for door in each.doors:
        standing = [p for p in door.placed if p.body.device.place == door.place.id]
        yield from (p.body.device.id for p in sorted(standing, key=lambda p: (p.y + p.body.height / 2, p.x)))


def _height(placed: Placed, rows: Sequence[Row]) -> float:
    """The height of the row in which a body is met; one that states its position is met in the row whose band it is in."""
    middle = placed.y + placed.body.height / 2
    own = (row.y for row in rows if row.number == placed.row)
    near = (row.y for row in rows if row.top <= middle <= row.bottom)
    return next(own, next(near, middle))
