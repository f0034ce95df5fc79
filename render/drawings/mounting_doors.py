"""A door from outside and from behind with its cut-outs, and the cables that enter an enclosure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

from netdsl.model.kinds import Kind
from netdsl.model.plant import Cable, FunctionScope
from netdsl.network.types import CableUse, Network
from render.drawings.mounting_bodies import Body
from render.drawings.mounting_places import Placed
from render.layout.fonts import Box, text_width, wrap
from render.layout.views import TITLE_ROOM, Mark, View, labels_along, scale_words, shifted
from render.sheet import DESIGNATION, MEDIUM, NARROW, NORMAL, WIDE, Circle, Label, Line
from render.words.cables import length_text, type_text

_FIRST, _PITCH_X, _PITCH_Y = 110.0, 110.0, 150.0  # of what is found here on a door, mm: first centre, distance of centres
_FRONT_LEAST = 64.0  # height by which designations keep off a centre, so that those of a row stand on one line, mm
_BELOW = 100.0  # of a door shown below what is lowest in it, mm
_GLAND, _RADIUS = 12.0, 4.0  # from one gland to the next at least, and of one, on the sheet, mm: their places are not stated
_LABEL_LINE, _NAME_LINE = 4.0, 4.6
_FOOT = 3.0  # of a door that is broken off, below the lowest words, mm
_UNKNOWN = "see its handle"

Link = Callable[[str], str]


def door_layout(bodies: Sequence[Body], width: float) -> list[Placed]:
    """Where things stand in a door, mm from its left and upper edge as seen from outside: as stated, else in rows in order of the
    text, each function's things beside each other where they have room."""
    placed = [Placed(body, *body.at, 0) for body in bodies if body.at is not None]
    x, y, function = _FIRST, _FIRST, None
    for body in (body for body in bodies if body.at is None):
        group = body.device.function
        beside = [other for other in bodies if other.at is None and other.device.function == group]
        whole = x + (len(beside) - 1) * _PITCH_X
        if (group != function and x > _FIRST and whole > width - _FIRST / 2) or x + body.width / 2 > width - _FIRST / 2:
            x, y = _FIRST, y + _PITCH_Y
        placed.append(Placed(body, x - body.width / 2, y - body.height / 2, 0))
        x += max(_PITCH_X, body.width + 40.0)
        function = group
    return placed


def door_view(
    name: str,
    placed: Sequence[Placed],
    size: tuple[float, float],
    scale: float,
    behind: bool,
    link: Link,
    functions: Mapping[str, FunctionScope] = MappingProxyType({}),
) -> View:
    """The door as seen from outside or from behind, as far down as something is in it, with designations and label texts, or with
    the numbers of the list of cut-outs where those have no room. `functions`: whose names labels may begin with."""
    width, height = size
    fronts = [_front(each, width, scale, behind) for each in placed]
    right, least = width / scale, TITLE_ROOM + min(height, max(p.box.bottom for p in placed) + _BELOW) / scale
    wide = Box(0.5, TITLE_ROOM + 0.5, right - 0.5, TITLE_ROOM + height / scale - 0.5)
    tried = (_named(placed, fronts, scale, texts, link) for texts in _captions(placed, behind, functions))
    whole = (named for named in tried if _apart([*fronts, *(block for block, _ in named)], wide))
    named = next(whole, None) or _numbered(fronts, placed, wide, link)
    # broken off below what is lowest in it, words included
    lowest = max([least, *(block.bottom + _FOOT for block, _ in named)])
    shown = min(height, (lowest - TITLE_ROOM) * scale)
    side = "from behind: cut-outs" if behind else "from outside"
    words = f"{name} {side}, {width:g} x {height:g} mm, {scale_words(scale)}"
    view = View(words, max(width / scale, text_width(words)), shown / scale + TITLE_ROOM + 1.5, of=name)
    foot = TITLE_ROOM + shown / scale
    view.parts.append(Line(((0.0, foot), (0.0, TITLE_ROOM), (right, TITLE_ROOM), (right, foot)), WIDE, of=name))
    if shown >= height:
        view.parts.append(Line(((0.0, foot), (right, foot)), WIDE, of=name))
    else:  # broken off
        steps = [(right * n / 8, foot + (1.2 if n % 2 else 0.0)) for n in range(9)]
        view.parts.append(Line(tuple(steps), NARROW, of=name))
    for each, box in zip(placed, fronts, strict=True):
        _draw(view, each, box, behind)
    view.parts += [label for _, labels in named for label in labels]
    return view


def _front(placed: Placed, width: float, scale: float, behind: bool) -> Box:
    """What is seen of a thing in the door, in the view."""
    body = placed.body
    middle = placed.x + body.width / 2
    x = (width - middle if behind else middle) / scale
    y = TITLE_ROOM + (placed.y + body.height / 2) / scale
    hole = body.cutout or (3.0 * scale,)  # of one that is not known its middle is marked
    across = (hole[0], hole[-1]) if behind else (body.width, body.height)
    return Box(x - across[0] / 2 / scale, y - across[1] / 2 / scale, x + across[0] / 2 / scale, y + across[1] / 2 / scale)


def _draw(view: View, placed: Placed, box: Box, behind: bool) -> None:
    body, device = placed.body, placed.body.device
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    if (behind and len(body.cutout) == 1) or (not behind and device.kind == Kind.EMERGENCY_STOP):
        view.parts.append(Circle(x, y, (box.right - box.left) / 2, MEDIUM, of=device.id))
    elif body.cutout or not behind:
        view.rect(box, MEDIUM, device.id)
    if behind:
        view.parts.append(Line(((x - 1.0, y), (x + 1.0, y)), NARROW, of=device.id))
        view.parts.append(Line(((x, y - 1.0), (x, y + 1.0)), NARROW, of=device.id))


Named = list[tuple[Box, list[Label]]]


def _captions(placed: Sequence[Placed], behind: bool, functions: Mapping[str, FunctionScope]) -> list[list[str]]:
    """The texts below the fronts, tried one after the other: the labels, then these without the name of the function, which their
    designation begins with; from behind none."""
    whole = [each.body.device.title for each in placed]
    if behind:
        return [[""] * len(whole)]
    names = [functions[each.body.device.function].title if each.body.device.function in functions else "" for each in placed]
    short = [text.removeprefix(f"{name}: ") if name else text for text, name in zip(whole, names, strict=True)]
    return [whole, short]


def _named(placed: Sequence[Placed], fronts: Sequence[Box], scale: float, texts: Sequence[str], link: Link) -> Named:
    """Designation and the lines of its text below each front, with the room they take."""
    made: Named = []
    room = _PITCH_X / scale - 1.0
    for each, box, words in zip(placed, fronts, texts, strict=True):
        device, x = each.body.device, (box.left + box.right) / 2
        top = (box.top + box.bottom) / 2 + max(each.body.height, *each.body.cutout[-1:], _FRONT_LEAST) / 2 / scale + 1.0
        y = top + DESIGNATION
        labels = []
        for part in _parted(device.id, room):
            labels.append(Label(x, y, part, DESIGNATION, "middle", of=device.id, link=link(device.id)))
            y += _NAME_LINE
        y += _LABEL_LINE - _NAME_LINE
        for text in wrap(words, room) if words else ():
            labels.append(Label(x, y, text, NORMAL, "middle", of=device.id))
            y += _LABEL_LINE
        half = max(text_width(label.text, label.height) for label in labels) / 2 + 0.3
        made.append((Box(x - half, top - 0.3, x + half, labels[-1].y + 1.3), labels))
    return made


def _numbered(fronts: Sequence[Box], placed: Sequence[Placed], inside: Box, link: Link) -> Named:
    """The number of each front in the list of cut-outs, on a side where it has room; none where there is no such side."""
    made: Named = []
    for number, (each, box) in enumerate(zip(placed, fronts, strict=True), start=1):
        device, text = each.body.device, str(number)
        width, x, y = text_width(text), (box.left + box.right) / 2, (box.top + box.bottom) / 2
        for left, base in (
            (x - width / 2, box.bottom + 0.8 + NORMAL),
            (box.right + 0.8, y + NORMAL / 2),
            (x - width / 2, box.top - 0.8),
            (box.left - 0.8 - width, y + NORMAL / 2),
        ):
            block = Box(left - 0.3, base - NORMAL - 0.3, left + width + 0.3, base + 0.3)
            if _apart([block, *fronts, *(other for other, _ in made)], inside, first_only=True):
                made.append((block, [Label(left, base, text, of=device.id, link=link(device.id))]))
                break
    return made


def _apart(boxes: Sequence[Box], inside: Box, first_only: bool = False) -> bool:
    """Whether no two of `boxes` meet, and none reaches over `inside`; `first_only`: the first none of the others."""
    checked = boxes[:1] if first_only else boxes
    return all(
        inside.left <= box.left and box.right <= inside.right and box.bottom <= inside.bottom for box in checked
    ) and not any(
        one.left < other.right and other.left < one.right and one.top < other.bottom and other.top < one.bottom
        for number, one in enumerate(checked)
        for other in boxes[number + 1 :]
    )


def _parted(name: str, room: float) -> tuple[str, ...]:
    """A designation in one line, or its function and product in two."""
    if text_width(name, DESIGNATION) <= room or not name.startswith("="):
        return (name,)
    at = name.index("-")
    return name[:at], name[at:]


def cutout_rows(placed: Sequence[Placed]) -> list[tuple[str, ...]]:
    """What is cut out of a door: designation, number, cut-out, its centre from the left and upper edge as seen from outside, what
    says so, label text."""
    rows: list[tuple[str, ...]] = []
    for number, each in enumerate(placed, start=1):
        body = each.body
        hole = f"ø {body.cutout[0]:g}" if len(body.cutout) == 1 else " x ".join(f"{side:g}" for side in body.cutout)
        hole = hole + ("" if body.cutout_stated else " (usual)") if body.cutout else _UNKNOWN
        x, y = each.x + body.width / 2, each.y + body.height / 2
        said = "stated" if body.at is not None else "found here"
        rows.append((body.device.id, str(number), hole, f"{x:.0f}", f"{y:.0f}", said, body.device.title))
    return rows


def entering(network: Network, enclosure: str) -> list[tuple[Cable, str]]:
    """Cables with one side in an enclosure and the other elsewhere, each with where it leads, in order of the text."""
    found = []
    for use in network.cables.values():
        sides = [any(_enclosure(network, name) == enclosure for name in side) for side in use.devices]
        if sides[0] != sides[1]:
            found.append((use.cable, _leads(network, use, 1 if sides[0] else 0)))
    return found


def _enclosure(network: Network, name: str) -> str:
    device, places = network.plant.devices.get(name), network.plant.places
    place = places.get(device.place if device is not None else name)
    return place.enclosure if place is not None else ""


def _leads(network: Network, use: CableUse, side: int) -> str:
    devices = use.devices[side]
    places = dict.fromkeys(network.plant.devices[name].place if name in network.plant.devices else name for name in devices)
    return ", ".join([*(place for place in places if place), *(name for name in devices if name not in places)])


def gland_views(enclosure: str, cables: Sequence[tuple[Cable, str]], room: float, link: Link) -> list[View]:
    """The glands side by side in order of the text, each with its number and its cable, in as few rows as have room for all
    words."""
    for rows in range(1, len(cables) + 1):
        each = -(-len(cables) // rows)
        views = [_gland_row(enclosure, cables[at : at + each], at, link) for at in range(0, len(cables), each)]
        if all(view.width <= max(room, text_width(view.title)) for view in views):
            break
    return views


def _gland_row(enclosure: str, cables: Sequence[tuple[Cable, str]], first: int, link: Link) -> View:
    names = [cable.id for cable, _ in cables]
    # every second name stands above the others
    pitch = max(_GLAND, (max(text_width(name, DESIGNATION) for name in names) + 3.0) / 2)
    width = pitch * (len(cables) + 1)
    marks = [Mark(number * pitch, name, name, link(name)) for number, name in enumerate(names, start=1)]
    labels = labels_along(marks, width)
    head = TITLE_ROOM + labels.extent + 0.6
    words = (
        f"Cables entering {enclosure}, a gland each; their places are not stated" if not first else f"{enclosure}, further cables"
    )
    height = head + 2 * _RADIUS + 6.0
    view = View(words, max(width, labels.right, text_width(words)), height, of=enclosure)
    view.parts += [shifted(part, 0.0, head) for part in labels.parts]
    for number, (cable, _) in enumerate(cables, start=1):
        x = number * pitch
        view.parts.append(Circle(x, head + _RADIUS, _RADIUS, MEDIUM, of=cable.id))
        view.parts.append(Label(x, head + 2 * _RADIUS + 4.4, str(first + number), NORMAL, "middle", of=cable.id))
    return view


def gland_rows(network: Network, enclosure: str, cables: Sequence[tuple[Cable, str]]) -> list[tuple[str, ...]]:
    """A row for each cable: designation, number of its gland, construction, length, gland for its screen where that ends in the
    enclosure, entry, far end."""
    return [
        (
            cable.id,
            str(number),
            type_text(cable),
            length_text(cable),
            "metal, screen all round" if _screened_at_gland(network, enclosure, cable) else "",
            cable.attributes.text("entry").replace(",", ", "),
            leads,
        )
        for number, (cable, leads) in enumerate(cables, start=1)
    ]


def _screened_at_gland(network: Network, enclosure: str, cable: Cable) -> bool:
    ends = (end for screen in cable.screens for end in screen.ends)
    return any(end.how == "gland" and _enclosure(network, end.device) == enclosure for end in ends)
