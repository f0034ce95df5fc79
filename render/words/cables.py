"""The two ends of each cable: which device stands for an end, where its screens are terminated, what is said beside it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from msgspec import Struct

from netdsl.model.plant import Cable, Conductor, Plant, ScreenTermination
from netdsl.model.ratings import Ratings
from netdsl.network.types import CableUse, Network
from netdsl.quantities import number_text
from render.words.names import Names

LEADS = "to"  # with what the line begins that says where a cable leads
ALSO = "and"  # with what one begins for each further device there
OTHERS = "other cores at"  # and that which says where cores of this end land that do not land here


class Tail(Struct, frozen=True):
    """A screen as drawn below a cable's last core: how it ends here and how at the far end. `of`: the cable."""

    of: str
    here: str
    here_id: str
    far: str
    far_id: str


class CableEnd(Struct, frozen=True):
    """One end of a cable. `main`: the device where most of its cores land, on whose drawing spare cores and screens are
    shown; `others`: the further devices where cores of this end land."""

    use: CableUse
    side: int
    main: str
    others: tuple[str, ...]


def cable_ends(network: Network) -> dict[str, tuple[CableEnd, CableEnd]]:
    """Both ends of every cable that has a connected core."""
    result = {}
    for identity, use in network.cables.items():
        counts: tuple[Counter[str], Counter[str]] = (Counter(), Counter())
        for name in use.cable.conductors:
            conductor = network.plant.conductors[name]
            for index in (0, 1):
                counts[side_of(use, conductor, index)][conductor.ends[index].device] += 1
        ends = [_end(use, side, counts[side]) for side in (0, 1)]
        if counts[0] or counts[1]:
            result[identity] = (ends[0], ends[1])
    return result


def _end(use: CableUse, side: int, count: Counter[str]) -> CableEnd:
    devices = use.devices[side] or tuple(count)
    # one device stands for an end, lest spare cores and screens be drawn twice where its cores part
    main = max(devices, key=lambda device: count[device], default="")
    return CableEnd(use, side, main, tuple(device for device in devices if device != main and count[device]))


def side_of(use: CableUse, conductor: Conductor, index: int) -> int:
    """The side of the cable at which end `index` of its core lies."""
    first, second = use.devices
    device, other = conductor.ends[index].device, conductor.ends[1 - index].device
    if device in first and other in second:
        return 0
    if device in second and other in first:
        return 1
    return index


def tails(end: CableEnd, plant: Plant, names: Names) -> tuple[Tail, ...]:
    """The screens of a cable as seen at one of its ends."""
    cable = end.use.cable
    result = []
    for screen in cable.screens:
        sides: list[ScreenTermination | None] = [None, None]
        for order, termination in enumerate(screen.ends):
            side = _side_of_termination(end.use, termination, plant, order)
            # two ends of a screen may be made in one enclosure: the second takes the side that is left
            sides[side if sides[side] is None else 1 - side] = termination
        here, far = sides[end.side], sides[1 - end.side]
        pair = f"pair {screen.pair} " if screen.pair else ""
        result.append(Tail(cable.id, pair + _here(here, names), _id(here), _far(far, names), _id(far)))
    return tuple(result)


def _side_of_termination(use: CableUse, termination: ScreenTermination, plant: Plant, order: int) -> int:
    for side in (0, 1):
        if termination.device in use.devices[side] and termination.device not in use.devices[1 - side]:
            return side
    place = _place_of(plant, termination.device)
    near = [any(_place_of(plant, device) == place for device in devices) for devices in use.devices]
    return near.index(True) if near[0] != near[1] else order


def _place_of(plant: Plant, identity: str) -> str:
    """The enclosure a device or place belongs to, else its place."""
    device = plant.devices.get(identity)
    place = plant.places.get(device.place if device is not None else identity)
    if place is None:
        return ""
    return place.enclosure or place.id


def _id(termination: ScreenTermination | None) -> str:
    if termination is None:
        return ""
    return f"{termination.device}:{termination.terminal}" if termination.terminal else termination.device


def how_text(termination: ScreenTermination) -> str:
    """How a screen's end is made: `clamp`, `pigtail 60 x 12 mm bare 80 mm`."""
    words = [termination.how]
    if termination.pigtail_m is not None:
        width = termination.pigtail_width_m
        size = number_text(round(termination.pigtail_m * 1000, 3))
        words.append(f"{size} x {number_text(round(width * 1000, 3))} mm" if width is not None else f"{size} mm")
    if termination.bare_m is not None:
        words.append(f"bare {number_text(round(termination.bare_m * 1000, 3))} mm")
    return " ".join(words)


def _at(termination: ScreenTermination, names: Names) -> str:
    if termination.terminal:
        return names.end(termination.device, termination.terminal)
    return names.of(termination.device)


def _here(termination: ScreenTermination | None, names: Names) -> str:
    return "unterminated" if termination is None else f"{how_text(termination)} {_at(termination, names)}"


def _far(termination: ScreenTermination | None, names: Names) -> str:
    if termination is not None:
        return f"{_at(termination, names)} {how_text(termination)}"
    return "unterminated"


def spare_text(cable: Cable) -> str:
    """What is said of a spare core: `spare, earthed`."""
    return f"spare, {cable.spare}" if cable.spare else "spare"


def type_text(cable: Cable) -> str:
    """Construction, screen and how many lie in parallel: `2 parallel 4G10 screened`."""
    screened = {"": "", "outer": " screened", "pairs": " pair-screened", "both": " screened and pair-screened"}
    parallel = f"{cable.parallel} parallel " if cable.parallel > 1 else ""
    return f"{parallel}{cable.construction}{screened.get(cable.screen, ' screened')}"


def length_text(cable: Cable) -> str:
    """`35 m`, or that no length is stated."""
    return f"{number_text(cable.length_m)} m" if cable.length_m is not None else "length not stated"


def place_text(plant: Plant, identity: str) -> str:
    """The place of a device; of a place, itself."""
    device = plant.devices.get(identity)
    return device.place if device is not None else identity


def remarks(end: CableEnd, first: str, plant: Plant, names: Names) -> tuple[str, ...]:
    """What stands at a cable's bracket below its designation: type and length, route, where it leads, what for. `first`: the
    device named first of those to which it leads; each further one has a line of its own, for the sheet said behind it."""
    cable = end.use.cable
    far = sorted(end.use.devices[1 - end.side], key=lambda device: device != first)
    places = sorted({place_text(plant, device) for device in far} - {""})
    named = ["" if device in places else names.of(device) for device in far]
    return tuple(
        line
        for line in (
            f"{type_text(cable)}, {length_text(cable)}",
            _lies(cable),
            " ".join(filter(None, (LEADS, *places, *named[:1]))) if far else "",
            *(f"{ALSO} {name}" for name in named[1:] if name),
            cable.title,
            f"{OTHERS} {', '.join(names.of(device) for device in end.others)}" if end.others else "",
        )
        if line
    )


def way_text(routes: Sequence[str], attributes: Ratings) -> str:
    """The routes that a cable or wire takes and the entries it passes: `TRAY1, DUCT2, through IN1`."""
    entries = attributes.text("entry").replace(",", ", ")
    return ", ".join(filter(None, (*routes, f"through {entries}" if entries else "")))


def landing(end: CableEnd, plant: Plant, device: str = "") -> tuple[str, str]:
    """A terminal on which a core lands at an end of a cable, and the core, "" for none: at `device`, else at that which stands
    for the end."""
    for name in end.use.cable.conductors:
        for index, each in enumerate(plant.conductors[name].ends):
            if each.device == (device or end.main) and side_of(end.use, plant.conductors[name], index) == end.side:
                return each.id, name
    return "", ""


def _lies(cable: Cable) -> str:
    way = way_text(cable.routes, cable.attributes)
    return f"along {way}" if cable.routes else way
