"""Views of an enclosure: the whole of it, and each row at a scale at which designations stand at their devices."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import groupby

from render.drawings.mounting_bodies import Body
from render.drawings.mounting_places import Layout, Placed, Row
from render.layout.fonts import Box, text_width
from render.layout.views import TITLE_ROOM, Mark, View, labels_along, scale_words, shifted
from render.sheet import DESIGNATION, MEDIUM, NARROW, NORMAL, WIDE, Label, Line
from render.words.ratings import rating_lines

KEPT_FREE = (1.2, 0.8)  # dashes of room to be kept free
UNSTATED = (2.4, 0.8)  # dashes of a body whose size is not stated
_RAIL_SHOWN = 40.0  # of a rail behind its last body, mm
_LEFT = 8.0  # for the numbers of rows, mm
_LINE = 4.0  # from a line of text to the next in a body, mm

Link = Callable[[str], str]


def outline(body: Body) -> tuple[float, ...]:
    """The dashes of a body."""
    return () if body.stated else UNSTATED


def whole_view(place: str, made: Layout, scale: float, stated: bool) -> View:
    """The enclosure with plate, ducts, rails and bodies; rows have numbers at its left."""
    width, height = made.width / scale, made.height / scale
    size = f"{made.width:g} x {made.height:g} mm" + ("" if stated else ", size not stated")
    words = f"{place} {size}, {scale_words(scale)}"
    right = max([width, *(placed.box.right / scale for placed in made.placed)])  # what has no room reaches beyond
    foot = max([height, *(placed.box.bottom / scale for placed in made.placed)])
    view = View(words, max(right + _LEFT, text_width(words)), foot + TITLE_ROOM, of=place)

    def box(of: Box) -> Box:
        left, top = _LEFT, TITLE_ROOM
        return Box(left + of.left / scale, top + of.top / scale, left + of.right / scale, top + of.bottom / scale)

    view.rect(box(Box(0.0, 0.0, made.width, made.height)), WIDE, place)
    view.rect(box(made.plate), NARROW, place)
    for duct in made.ducts:
        view.rect(box(duct), NARROW, place)
    free = 0.0  # below the number before
    for row in made.rows:
        y = TITLE_ROOM + row.y / scale
        if row.rail:
            view.parts.append(Line(((_LEFT + row.left / scale, y), (_LEFT + row.right / scale, y)), NARROW, (3.0, 1.5), of=place))
        base = max(y + DESIGNATION / 2, free)
        view.parts.append(Label(_LEFT - 2.0, base, str(row.number), DESIGNATION, "end", of=place))
        free = base + DESIGNATION + 0.5
    for placed in made.placed:
        view.rect(box(placed.box), MEDIUM, placed.body.device.id, outline(placed.body))
        kept = _kept(placed)
        if kept is not None:
            view.rect(box(kept), NARROW, placed.body.device.id, KEPT_FREE)
    return view


def _kept(placed: Placed) -> Box | None:
    """The room kept free round a body, None where its part states none."""
    body, box = placed.body, placed.box
    if not (body.above or body.below or body.beside):
        return None
    return Box(box.left - body.beside, box.top - body.above, box.right + body.beside, box.bottom + body.below)


def rows_of(made: Layout) -> list[tuple[Row | None, list[Placed]]]:
    """Bodies by rows from above; those with a stated position with the row they stand in, else with what stands beside them."""
    rows: list[tuple[Row | None, list[Placed]]] = [(row, [p for p in made.placed if p.row == row.number]) for row in made.rows]
    for placed in sorted((p for p in made.placed if not p.row), key=lambda p: (p.y, p.x)):
        middle = placed.y + placed.body.height / 2
        home = next((held for row, held in rows if row is not None and row.top <= middle <= row.bottom), None)
        if home is None:
            home = next((held for row, held in rows if row is None and held[0].box.top <= middle <= held[0].box.bottom), None)
        if home is None:
            home = []
            rows.append((None, home))
        home.append(placed)
    for _, held in rows:
        held.sort(key=lambda p: (p.x, p.y))
    return sorted(rows, key=lambda row: row[0].y if row[0] is not None else row[1][0].y)


def row_view(
    place: str,
    row: Row | None,
    held: Sequence[Placed],
    scale: float,
    short: Callable[[str], str],
    link: Link,
    room: float,
    part: bool = False,
) -> View:
    """One row with designations, and below each body how far its left edge is from that of the enclosure; `room`: how much of it
    a sheet shows, mm; `part`: there are other views of the row."""
    left = min([p.x for p in held] + ([row.left] if row is not None else []))
    right = max(p.box.right for p in held)
    if row is not None:
        right = max(right, min(right + _RAIL_SHOWN, row.right, left + room * scale))
    top, bottom = min(p.y for p in held), max(p.box.bottom for p in held)
    width = (right - left) / scale
    names = {placed.body.device.id: short(placed.body.device.id) for placed in held}
    inside = {p.body.device.id for p in held if _inside(p, names[p.body.device.id], scale, held)}
    marks = [
        Mark(
            (p.x + p.body.width / 2 - left) / scale,
            names[p.body.device.id],
            p.body.device.id,
            link(p.body.device.id),
            (p.y - top) / scale,
        )
        for p in held
        if p.body.device.id not in inside
    ]
    above = labels_along(sorted(marks, key=lambda mark: mark.x), width)
    edges = labels_along([Mark((p.x - left) / scale, f"{p.x:.0f}", p.body.device.id) for p in held], width, NORMAL, down=True)
    brackets = _brackets(held, left, scale)
    functions = labels_along([Mark((start + end) / 2, name, name) for start, end, name in brackets], width)
    bracket_room = functions.extent + 2.0 if brackets else 0.0
    head = TITLE_ROOM + bracket_room + above.extent + 0.6
    foot = head + (bottom - top) / scale
    words = _row_words(place, row, top, scale) + (f", from {held[0].x:.0f} mm on" if part else "")
    right_most = max(width, above.right, edges.right, functions.right, text_width(words))
    view = View(words, right_most, foot + edges.extent + 1.0, of=place)
    y = TITLE_ROOM + functions.extent + 0.4
    view.parts += [shifted(part, 0.0, y) for part in functions.parts]
    for start, end, function in brackets:
        view.parts.append(Line(((start, y + 0.9), (start, y), (end, y), (end, y + 0.9)), NARROW, of=function))
    view.parts += [shifted(part, 0.0, head) for part in above.parts]
    view.parts += [shifted(part, 0.0, foot) for part in edges.parts]
    if row is not None and row.rail:
        y = head + (row.y - top) / scale
        for start, end in _free_rail(row, held, right):
            view.parts.append(Line((((start - left) / scale, y), ((end - left) / scale, y)), NARROW, (3.0, 1.5)))
    for placed in held:
        of = placed.body.device.id
        _draw(view, placed, left, top, head, scale, names[of] if of in inside else "", link)
    return view


def _row_words(place: str, row: Row | None, top: float, scale: float) -> str:
    if row is None:
        return f"{place} at stated positions from {top:.0f} mm below the upper edge, {scale_words(scale)}"
    what = "rail" if row.rail else "middle"
    return f"{place} row {row.number}, {scale_words(scale)}, {what} {row.y:.0f} mm below the upper edge"


def _brackets(held: Sequence[Placed], left: float, scale: float) -> list[tuple[float, float, str]]:
    """From where to where the devices of one function stand beside each other."""
    found = []
    for function, group in groupby(held, key=lambda p: p.body.device.function):
        members = list(group)
        if function:
            found.append(((members[0].x - left) / scale + 0.4, (members[-1].box.right - left) / scale - 0.4, function))
    return found


def _inside(placed: Placed, name: str, scale: float, held: Sequence[Placed]) -> bool:
    """Whether a designation has room in its body, which no other one covers."""
    body, box = placed.body, placed.box
    covered = any(
        other is not placed and _meet(box, other.box) for other in held if other.row == 0 or placed.row == 0
    )  # those found here never do
    return not covered and text_width(name, DESIGNATION) + 1.6 <= body.width / scale and body.height / scale >= DESIGNATION + 2.0


def _meet(one: Box, other: Box) -> bool:
    return one.left < other.right and other.left < one.right and one.top < other.bottom and other.top < one.bottom


def _free_rail(row: Row, held: Sequence[Placed], right: float) -> list[tuple[float, float]]:
    """Where the rail is seen between bodies, as far as `right`."""
    pieces = []
    x = row.left
    for placed in held:
        if placed.box.top < row.y < placed.box.bottom:
            if placed.x > x:
                pieces.append((x, placed.x))
            x = max(x, placed.box.right)
    end = min(x + _RAIL_SHOWN, row.right, right)
    return [*pieces, (x, end)] if x < end else pieces


def _draw(view: View, placed: Placed, left: float, top: float, head: float, scale: float, name: str, link: Link) -> None:
    body, of = placed.body, placed.body.device.id
    box = Box(
        (placed.x - left) / scale,
        head + (placed.y - top) / scale,
        (placed.box.right - left) / scale,
        head + (placed.box.bottom - top) / scale,
    )
    view.rect(box, MEDIUM, of, outline(body))
    if not name:
        return
    lines = [(name, DESIGNATION)]
    lines += [(text, NORMAL) for text in (*rating_lines(body.device)[:1], body.size_words)]
    kept = [(text, size) for text, size in lines if text_width(text, size) + 1.6 <= box.right - box.left]
    kept = kept[: max(int((box.bottom - box.top - 2.0) / _LINE), 1)]
    y = (box.top + box.bottom) / 2 - (len(kept) - 1) * _LINE / 2 + DESIGNATION / 2
    for number, (text, size) in enumerate(kept):
        at = (box.left + box.right) / 2
        view.parts.append(
            Label(at, y + number * (_LINE + 0.4), text, size, "middle", of=of, link=link(of) if size == DESIGNATION else "")
        )
