"""The neutral and the protective conductors of the single-line diagram: each a bar of its own, with a line to what has one."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.network.types import Network
from render.drawings.feeder_steps import Branch
from render.drawings.power_cells import dot
from render.drawings.power_columns import EARTH_DASH, Columns
from render.drawings.single_line_plan import Part
from render.layout.fonts import shorten
from render.sheet import NARROW, NORMAL, WIDE, Label, Line

_DROP = 2.8  # of the neutral below the bar, mm
_LANE = 17.7  # of a neutral that joins further down, left of its column, mm
_TRUNK_LANE = 15.0  # of the neutral that leaves a trunk, left of it, mm
_BESIDE_LANE, _BELOW_FOLD = 17.0, 2.6  # of that of a trunk in a column of its own: left of the next column, below its foot, mm


def neutral_bar(columns: Columns, part: Part, at: int, begins: float, until: float) -> None:
    """The neutral beside the bar of a part, with a tap for each feeder that has one; `begins`: where it leaves the trunk, mm;
    `until`: where the bar ends, if it leads on to feeders on sheets behind, else 0."""
    rows, draft = columns.rows, columns.draft
    if rows is None:
        return
    name = part.group.bar or part.group.origin or (part.group.trunk[-1].device if part.group.trunk else "")
    y = columns.top + _DROP
    taps = list(_taps(columns, part, at))
    led = part.begins and begins > 0 and bool(part.group.trunk) and _carried(part)
    if not taps and not until:
        return
    lane = columns.x(at) - (_BESIDE_LANE if part.beside else _TRUNK_LANE if led else 12.0)
    ends = [lane, *(x for x, _, _ in taps)]
    left, right = min(ends), max(*ends, until)
    draft.primitives.append(Line(((left, y), (right, y)), NARROW, of=name))
    draft.primitives.append(_name(part, name, left, right, y, bool(until)))
    if led and left < lane:
        draft.primitives.append(dot(lane, y, name))
    if led and part.beside:
        x, low = columns.x(at - 1), columns.draft.foot + _BELOW_FOLD
        way = ((x, begins), (x - _TRUNK_LANE, begins), (x - _TRUNK_LANE, low), (lane, low), (lane, y))
        draft.primitives += [Line(way, NARROW, of=name), dot(x, begins, name)]
    elif led:
        x, start = columns.x(at), min(begins, columns.top - 3.0)
        draft.primitives += [Line(((x, start), (lane, start), (lane, y)), NARROW, of=name), dot(x, start, name)]
    for x, foot, to in taps:
        if foot:
            draft.primitives += [Line(((x, y), (x, foot), (to, foot)), NARROW, of=name), dot(to, foot, name)]
        if left < x < right or not foot:
            draft.primitives.append(dot(x, y, name))


def _name(part: Part, of: str, left: float, right: float, y: float, ends: bool) -> Label:
    """The N of a neutral: left of it or, where a trunk stands there, right of it, below its end where the bar `ends` too."""
    if not part.beside:
        return Label(left - 1.2, y + NORMAL / 2, "N", anchor="end", of=of)
    return Label(right, y + NORMAL + 0.9, "N", anchor="end", of=of) if ends else Label(right + 1.6, y + NORMAL / 2, "N", of=of)


def _carried(part: Part) -> bool:
    """Whether the trunk has a neutral at all."""
    return any(step.wiring.neutral for step in part.group.trunk)


def _taps(columns: Columns, part: Part, at: int) -> Iterator[tuple[float, float, float]]:
    """Where a neutral leaves its bar: x, and for one that joins further down its y there and the line it joins, else 0."""
    lane = at
    for branch in part.branches:
        yield from _in_branch(columns, branch, lane, True)
        lane += branch.width


def _in_branch(columns: Columns, branch: Branch, lane: int, head: bool) -> Iterator[tuple[float, float, float]]:
    x = columns.x(lane)
    for number, step in enumerate(branch.steps):
        if step.wiring.neutral:
            if head and not number:
                yield (x, 0.0, 0.0)
            else:
                y = _top_of(columns, step.device, lane)
                if y:
                    yield (x - _LANE, y, x)
            return
    at = lane + int(branch.fold)
    for child in branch.children:
        yield from _in_branch(columns, child, at, False)
        at += child.width


def _top_of(columns: Columns, device: str, lane: int) -> float:
    """Where the cells that lead to a device begin."""
    rows = columns.rows
    assert rows is not None
    if device in rows.entries:
        unit = rows.units[rows.entries[device][0]]
        return unit.top + unit.head
    foot = rows.feet.get(lane)
    if foot is None or foot.cells[-1].of != device:
        return 0.0
    return columns.load_y - foot.cables - 1.2


def earth_bar(network: Network, columns: Columns, left: float) -> None:
    """The bar of protective conductors below the loads of a sheet, where one of them is earthed."""
    rows = columns.rows
    if rows is None or not columns.earth_y:
        return
    lanes = [lane for lane, foot in rows.feet.items() if foot.cells[-1].earth]
    if not lanes:
        return
    name = _main_bar(network)
    start = columns.x(0) - 12.0
    y = columns.earth_y
    columns.draft.primitives += [
        Line(((start, y), (columns.x(max(lanes)) + 6.0, y)), WIDE, EARTH_DASH, of=name),
        Label(start - 1.2, y + 1.25, shorten(f"PE {name}".strip(), start - left - 2.0), anchor="end", of=name),
    ]


def _main_bar(network: Network) -> str:
    """The bar at which protective conductors come together, "" where there is none."""
    root = network.earth.root
    if root is None:
        return ""
    members = network.earth.graph.nodes[root]["node"].members
    devices = network.plant.devices
    return next((name for name in (root, *members) if name in devices and devices[name].kind == "earth-bar"), root)
