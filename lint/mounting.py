"""Where devices stand on their plate or door, as far as `position=` and `body=` say."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from lint.facts import Facts
from netdsl.model.kinds import Category
from netdsl.model.plant import Device, Place

#: what rounding may make of a distance, mm
_ROUNDING = 0.5


class Body(NamedTuple):
    """A device on its plate, mm: from the left and the upper edge of the place to those of its body, and the room it needs."""

    device: Device
    left: float
    top: float
    width: float
    height: float
    above: float
    below: float
    beside: float

    @property
    def right(self) -> float:
        return self.left + self.width

    @property
    def bottom(self) -> float:
        return self.top + self.height


class Close(NamedTuple):
    """Two bodies too near to each other, the upper or left one first. `gap`: what lies between them, below 0 where one covers the
    other, `needed`: what must, both mm; `side`: where the second stands."""

    one: Body
    other: Body
    side: str
    gap: float
    needed: float


def mounted(facts: Facts) -> Iterator[Device]:
    """Devices at places where the position of one at least is stated."""
    devices = [device for device in facts.plant.devices.values() if device.category == Category.DEVICE]
    stated = {device.place for device in devices if device.place and device.ratings.quantity("position")}
    yield from (device for device in devices if device.place in stated)


def body_of(device: Device) -> Body | str:
    """The body of a device where it stands, or what is not stated of it."""
    position, size = device.ratings.quantity("position"), device.ratings.quantity("body")
    if position is None:
        return "its position is not stated"
    if size is None or len(size.values) < 2:
        return "width and height of its body are not stated"
    left, top, width, height = (1000 * value for value in (*position.values, *size.values[:2]))
    above, below, beside = (1000 * (device.ratings.amount(f"clearance-{side}") or 0.0) for side in ("above", "below", "beside"))
    return Body(device, left, top, width, height, above, below, beside)


def too_close(bodies: list[Body]) -> Iterator[Close]:
    """Each two bodies of a place that cover each other, or stand in the room that one of them needs."""
    for pair in combinations(bodies, 2):
        over, under = sorted(pair, key=lambda body: (body.top, body.left, body.device.id))
        first, second = sorted(pair, key=lambda body: (body.left, body.top, body.device.id))
        down, across = under.top - over.bottom, second.left - first.right
        stacked, level = across < -_ROUNDING, down < -_ROUNDING
        if stacked and level:
            yield Close(over, under, "over", max(down, across), 0.0)
        elif stacked and down + _ROUNDING < max(over.below, under.above):
            yield Close(over, under, "below", down, max(over.below, under.above))
        elif level and across + _ROUNDING < max(first.beside, second.beside):
            yield Close(first, second, "beside", across, max(first.beside, second.beside))


def beyond(facts: Facts, body: Body) -> str | None:
    """Which edge of its place a body reaches over, in words; None where it does not, or where the place states no size."""
    place = facts.plant.places[body.device.place]
    size = place.attributes.quantity("size")
    if size is None or len(size.values) < 2:
        return None
    width, height = (1000 * value for value in size.values[:2])
    if body.right > width + _ROUNDING:
        return f"{body.right - width:.0f} mm over the right edge of `{place.id}`, {width:.0f} mm wide"
    if body.bottom > height + _ROUNDING:
        return f"{body.bottom - height:.0f} mm over the lower edge of `{place.id}`, {height:.0f} mm high"
    return None


def too_deep(facts: Facts, device: Device) -> tuple[float, float] | None:
    """Depth of a device and of the enclosure it is too deep for, mm; None where it fits, or one of them is not stated."""
    place = facts.plant.places.get(device.place)
    enclosure = facts.plant.places.get(place.enclosure) if place is not None else None
    size, body = enclosure.attributes.quantity("size") if enclosure else None, device.ratings.quantity("body")
    if size is None or body is None or len(size.values) < 3 or len(body.values) < 3:
        return None
    deep, inside = 1000 * body.values[2], 1000 * size.values[2]
    return (deep, inside) if deep > inside + _ROUNDING else None


def missing_rail(facts: Facts, device: Device) -> tuple[int, Place] | None:
    """The row that a device states and the enclosure of which no rail has that number; None where there is one, or where no rails
    are stated."""
    row = device.ratings.amount("row")
    if row is None or device.ratings.quantity("position") is not None:
        return None
    place = facts.plant.places.get(device.place)
    railed = next((each for each in _around(facts, place) if each.rails_m), None)
    return (int(row), railed) if railed is not None and row > len(railed.rails_m) else None


def _around(facts: Facts, place: Place | None) -> Iterator[Place]:
    """A place and those it is in."""
    while place is not None:
        yield place
        place = facts.plant.places.get(place.parent or "")


def rails_words(place: Place) -> str:
    """How many rails a place states: `3 rails`."""
    return "1 rail" if len(place.rails_m) == 1 else f"{len(place.rails_m)} rails"
