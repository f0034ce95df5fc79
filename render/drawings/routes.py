"""The route drawing: each duct, tray and conduit cut across, with what shares it, by class, and how far it is from others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence

from netdsl.model.wiring import RouteRelation, RouteWay
from netdsl.network.types import ConductorClass, Network, RouteContent
from netdsl.quantities import number_text
from render.drawing import Drawing, in_set
from render.layout.columns import broken
from render.layout.fonts import Box, text_width
from render.layout.remarks import Remarks
from render.layout.views import TITLE_ROOM, Mark, View, apart_least, in_rows, labels_along, pack, shifted
from render.sheet import DESIGNATION, MEDIUM, NARROW, NORMAL, WIDE, Circle, Label, Line, Sheet

KIND = "Route drawing"
_PITCH, _RADIUS = 17.0, 3.2  # from cable to cable, and of one, mm
_EDGE, _DEPTH = 5.0, 11.0  # from the edge of a route to its first cable; its depth, mm
_LINE = 4.2  # from a line of text to the next, mm
_BESIDE, _BETWEEN = (118.0, 80.0), 7.0  # widths for the words of a route, tried one after the other; between routes, mm
_NOTHING = "nothing lies in it"
_SIGNS = "Routes cut across, not to scale: cables and wires that share one, by class, and how routes lie to each other."
_HALVES = "/1, /2: the sides of a divider in one route; distances, below the last, are of both."

Link = Callable[[str], str]


@in_set(350)
def route_sheets(drawing: Drawing) -> Iterator[Sheet]:
    """All routes of a plant place by place, keys `routes-1` and on; nothing for a plant without routes."""
    halves = any(content.compartment for content in drawing.network.contents)
    said = Remarks.of((f"{_SIGNS} {_HALVES}" if halves else _SIGNS,), drawing.notes)
    area = Box(drawing.area.left, drawing.area.top, drawing.area.right, drawing.area.bottom - said.above)
    ways = []
    for wanted in _BESIDE:
        count = int((area.width + _BETWEEN) / (wanted + _BETWEEN))
        least = (area.width + _BETWEEN) / count - _BETWEEN
        ways.append([view for route in _by_place(drawing.network) for view in _views(drawing, route, least)])
    # in rows rather than where there is room, if that takes no sheet more
    pages = min((fill(views, area) for fill in (in_rows, pack) for views in ways), key=len)
    for number, page in enumerate(pages, start=1):
        parts = [part for view, x, y in page for part in view.at(x, y)]
        yield Sheet(
            f"routes-{number}", f"R{number}", "Routes and what shares them", KIND, "", (*parts, *said.labels), drawing.size
        )


def _by_place(network: Network) -> list[RouteWay]:
    """Routes in order of the text, those of a place together where its first stands."""
    routes = list(network.plant.routes.values())
    places = list(dict.fromkeys(route.place for route in routes))
    return sorted(routes, key=lambda route: places.index(route.place))


def _views(drawing: Drawing, route: RouteWay, least: float) -> list[View]:
    """A route with its compartments, `least` mm wide at least; of many cables as many rows as they take."""
    network = drawing.network
    contents = [content for content in network.contents if content.route == route.id]
    lanes = [lane for content in contents for lane in _lanes(network, content, drawing.area.width)] or [("", [], _NOTHING)]
    words = _words(network, route)
    views = []
    for number, (name, cables, wires) in enumerate(lanes):
        title = _title(route, name) if not number or name else f"{_title(route, name)}, continued"
        said = words if number == len(lanes) - 1 else ()
        views.append(_lane(network, title, cables, wires, said, drawing.key_of, least))
        views[-1].of = views[-1].series = route.id
    return views


def _lanes(network: Network, content: RouteContent, room: float) -> list[tuple[str, list[str], str]]:
    """Compartment, cables by class and what is said of wires, for each row of a route that has so much `room`, mm."""
    order = list(ConductorClass)
    cables = sorted(content.cables, key=lambda name: order.index(network.cables[name].klass) if name in network.cables else 99)
    counts = Counter(network.runs[name].klass.value for name in content.runs)
    said = ", ".join(f"{counts[klass.value]} {_word(klass)}" for klass in order if counts[klass.value])
    wires = f"{len(content.runs)} wires: {said}" if said else "" if cables else _NOTHING
    widest = max((text_width(name, DESIGNATION) for name in cables), default=0.0)
    most = max(int(min((room - 2 * _EDGE) / _PITCH, (room - widest) / apart_least(widest) + 1)), 1)
    rows = [cables[start : start + most] for start in range(0, len(cables), most)] or [[]]
    return [(content.compartment, row, wires if row is rows[-1] else "") for row in rows]


def _title(route: RouteWay, compartment: str) -> str:
    words = [compartment or route.id, *([route.title] if route.title else []), route.kind.replace("-", " ")]
    if route.length_m is not None:
        words.append(f"{number_text(route.length_m)} m")
    return ", ".join([*words, *([route.place] if route.place else [])])


def _words(network: Network, route: RouteWay) -> tuple[str, ...]:
    """How a route lies to others, those alike in one line."""
    alike: dict[str, list[str]] = {}
    for relation in network.plant.relations:
        if route.id in relation.routes:
            other = next((name for name in relation.routes if name != route.id), route.id)
            alike.setdefault(_relation(relation), []).append(other)
    return tuple(f"{words}: {', '.join(others)}" for words, others in alike.items() if words)


def _relation(relation: RouteRelation) -> str:
    if relation.crossing_deg is not None:
        return f"crosses at {number_text(relation.crossing_deg)}°"
    if relation.spacing_m is None:
        return ""
    along = f" over {number_text(relation.parallel_m)} m" if relation.parallel_m is not None else ""
    return f"{number_text(round(1000 * relation.spacing_m, 1))} mm apart{along}"


def _lane(
    network: Network, title: str, cables: Sequence[str], wires: str, words: Sequence[str], link: Link, least: float
) -> View:
    """One row of cables in their route, words below it."""
    width = max(2 * _EDGE + _PITCH * len(cables), text_width(wires) + 4.0 if not cables else 0.0, least)
    marks = [Mark(_EDGE + _PITCH * (n + 0.5), name, name, link(name)) for n, name in enumerate(cables)]
    labels = labels_along(marks, width)
    titles = broken(title, width, united=True)
    head = TITLE_ROOM + _LINE * (len(titles) - 1) + labels.extent
    foot = head + _DEPTH
    lines = [line for text in ([wires] if wires and cables else []) + list(words) for line in broken(text, width)]
    classes = _classes(network, cables)
    view = View(titles[0], max(width, labels.right), foot + (6.0 if classes else 1.0) + _LINE * len(lines) + 1.0)
    view.parts += [Label(0.0, DESIGNATION + _LINE * number, line) for number, line in enumerate(titles[1:], start=1)]
    view.parts += [shifted(part, 0.0, head) for part in labels.parts]
    view.parts.append(Line(((0.0, head), (0.0, foot), (width, foot), (width, head)), WIDE))
    for mark in marks:
        view.parts.append(Circle(mark.x, foot - 1.2 - _RADIUS, _RADIUS, MEDIUM, of=mark.of))
        view.parts.append(Line(((mark.x, head), (mark.x, foot - 1.2 - 2 * _RADIUS)), NARROW, of=mark.of))
    if wires and not cables:
        view.parts.append(Label(2.0, foot - _DEPTH / 2 + NORMAL / 2, wires))
    y = foot
    for start, end, klass in classes:
        x0, x1 = _EDGE + _PITCH * start + 1.0, _EDGE + _PITCH * end - 1.0
        view.parts.append(Line(((x0, y + 1.0), (x0, y + 1.8), (x1, y + 1.8), (x1, y + 1.0)), NARROW))
        if text_width(klass) <= x1 - x0 + 2.0:
            view.parts.append(Label((x0 + x1) / 2, y + 5.4, klass, anchor="middle"))
    y += (6.0 if classes else 1.0) + _LINE - 0.6
    for number, line in enumerate(lines):
        view.parts.append(Label(0.0, y + number * _LINE, line))
    return view


def _word(klass: ConductorClass) -> str:
    """A class in a word; of what reaches nothing that gives it one, that it has none."""
    return "no class" if klass is ConductorClass.NONE else klass.value


def _classes(network: Network, cables: Sequence[str]) -> list[tuple[int, int, str]]:
    """From which cable to which one class reaches."""
    found: list[tuple[int, int, str]] = []
    for number, name in enumerate(cables):
        klass = _word(network.cables[name].klass) if name in network.cables else ""
        if found and found[-1][2] == klass:
            found[-1] = (found[-1][0], number + 1, klass)
        else:
            found.append((number, number + 1, klass))
    return [entry for entry in found if entry[2]]
