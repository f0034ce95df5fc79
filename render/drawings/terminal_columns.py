"""Where the columns of terminal drawings stand: measured from the texts, the same on all sheets of one stack of blocks.

A side is measured outward from the edge of the terminal box, `u` in mm, so that left and right are one geometry.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct, field

from netdsl.sums import sum_of
from render.drawings.terminal_block import Block, Entry, Group, Point, Reach, lines_of
from render.layout.columns import broken, given_way, unbroken
from render.layout.fonts import text_width, widest
from render.sheet import DESIGNATION, NORMAL

#: columns between the terminal and the destination, from the terminal outward
INNER = ("route", "ferrule", "section", "core", "mark")
TICKS = 7.0  # two boxes of 3 mm with 1 mm between
LANE = 4.0  # one bridge
CONTACT = 8.0  # the contact of half a plug connection
BOX_LEAST = 36.0
SPINE = 1.6  # from a line that joins the runs of one cable to the next, mm
MORE = "more of it follows"  # said of a cable's run before its last
_LEADER, _LANES = 5.0, 8  # room for leaders to the words of cables, mm; lines beside each other for cables whose cores are apart
_GAP, _PAD, _LEAD = 2.5, 2.0, 3.0
#: widest and narrowest of what may wrap, mm: set by trial on A3 and A4, so that common texts stay on one line
_CAPS = {"route": 34.0, "mark": 34.0, "far": 60.0, "tail": 64.0, "text": 64.0, "point": 48.0}
_LEAST = {"route": 14.0, "mark": 12.0, "far": 20.0, "tail": 20.0, "text": 28.0, "point": 17.0}
_WHOLE = 34.0  # the most that a designation may ask for before it is broken, mm
_UNIT = " mm²"
_SLACK = 45.0  # the most that spare width adds to the lines of one side


class Side(Struct):
    """Columns of one side, `u` in mm outward from the box; a width of 0 is a column that is not there."""

    heads: dict[str, str] = field(default_factory=dict)
    width: dict[str, float] = field(default_factory=dict)
    least: dict[str, float] = field(default_factory=dict)
    whole: dict[str, float] = field(default_factory=dict)
    at: dict[str, float] = field(default_factory=dict)
    cables: bool = False
    lanes: int = 0  # of cables whose cores are apart
    united: float = 0.0  # of `far`, what keeps designations on one line
    joined: float = 0.0  # of `far`, what keeps each terminal with its device
    tail: float = 0.0  # natural width of what is said of a screen's near end
    slack: float = 0.0
    gather: float = 0.0
    line_end: float = 0.0
    total: float = 0.0

    def place(self) -> None:
        """Set every `u` from the widths."""
        if not self.width:
            self.total = 0.0
            return
        u = _LEAD
        self.at["ticks"] = u
        u += TICKS + _GAP
        for name in INNER:
            if self.width.get(name):
                self.at[name] = u
                u += self.width[name] + _GAP
        if self.cables:
            zone = self.width.get("tail", 0.0)
            u = max(u, _LEAD + TICKS + _PAD + zone + _PAD + 3.0 if zone else 0.0) + self.slack + 3.0
            self.gather = u
            u += 8.0
        else:
            u += self.slack
        self.line_end = u
        self.at["far"] = u + _PAD
        u = self.at["far"] + self.width["far"]
        if self.cables:
            self.at["bracket"] = u + 4.0
            self.at["text"] = u + 4.0 + SPINE * self.lanes + _LEADER
            u = self.at["text"] + self.width["text"]
        self.total = u


class Columns(Struct):
    """Columns of a stack. `left` edge of the box at `x` mm; in the box `number`, `lanes`, `kind`, `size`, `text` widths,
    `text_least`: the least that `text` has where there is room; `text_whole`: where words still are whole; `size_plain`: of sizes
    without their unit, as they stand where `unit` does not hold. `tight`: designations, or sizes with their unit, have no room
    on one line."""

    sides: tuple[Side, Side]
    number: float
    lanes: float
    kind: float
    size: float
    text: float
    x: float = 0.0
    text_least: float = 0.0
    text_whole: float = 0.0
    size_plain: float = 0.0
    box_least: float = BOX_LEAST
    unit: bool = True
    tight: bool = False

    @property
    def box(self) -> float:
        """Width of the terminal box, mm."""
        return self.core + (self.text + 2 * _PAD + 1.0 if self.text else 0.0)

    @property
    def head_lines(self) -> int:
        """How many lines the names of the columns take."""
        heads = [
            broken(held.heads.get(name, ""), held.width[name])
            for held in self.sides
            for name in (*INNER, "far")
            if name in held.at
        ]
        return max((len(lines) for lines in heads), default=1)

    def size_of(self, point: Point) -> str:
        """The size of a terminal as it stands in its box."""
        return point.size if self.unit else point.size.removesuffix(_UNIT)

    @property
    def core(self) -> float:
        """Width of the box without its text."""
        return max(self.box_least, _PAD + self.number + _PAD + self.lanes + self.kind + self.size + _PAD)


def columns_of(blocks: Sequence[Block], lanes: int, left: float, right: float, reach: Reach) -> Columns:
    """Columns for `blocks` between `left` and `right` mm, their bridges in `lanes` lanes."""
    columns = _measured(blocks, lanes, reach)
    _fit(columns, right - left)
    columns.x = left + columns.sides[0].total
    return columns


def least_width(blocks: Sequence[Block], lanes: int) -> float:
    """The width in mm that the columns of `blocks` take at least, all that can wrap being wrapped."""
    columns = _measured(blocks, lanes, lambda _terminal, _core: "")
    columns.box_least = 0.0
    columns.text, columns.size = columns.text_least, columns.size_plain
    for side in columns.sides:
        side.width.update((name, least) for name, least in side.least.items() if side.width.get(name))
        side.place()
    return columns.box + sum_of(side.total for side in columns.sides)


def _measured(blocks: Sequence[Block], lanes: int, reach: Reach) -> Columns:
    sides = (_side(blocks, 0, reach), _side(blocks, 1, reach))
    points = [point for block in blocks for point in block.points.values()]
    text = widest([point.text for point in points])
    live = text_width("LIVE", NORMAL, True) if any(point.live for point in points) else 0.0
    text = max(text, live)
    columns = Columns(
        sides,
        number=widest([point.number for point in points], DESIGNATION),
        lanes=LANE * lanes,
        kind=max((_kind_width(point) for point in points), default=0.0),
        size=widest([point.size for point in points]),
        text=min(text, _CAPS["point"]),
    )
    columns.number = min(columns.number, 40.0)
    columns.size_plain = widest([point.size.removesuffix(_UNIT) for point in points])
    columns.text_whole = min(columns.text, max(live, _whole((point.text for point in points), united=True)))
    columns.text_least = min(columns.text, max(_LEAST["point"], columns.text_whole))
    return columns


def _kind_width(point: Point) -> float:
    contact = CONTACT if point.contacts else 0.0
    if not point.kind:
        return contact
    drawn = point.kind in ("earth", "fused", "disconnect", "diode")
    return contact + (8.0 if drawn else text_width(point.kind) + 2 * _PAD)


def _fit(columns: Columns, available: float) -> None:
    """Let what can wrap give way where the sheet is too narrow, and the lines grow where it is wide."""
    for side in columns.sides:
        side.place()
    total = columns.box + sum_of(side.total for side in columns.sides)
    if total > available:  # a narrow sheet: the box gives up its spare width first
        total -= columns.core
        columns.box_least = 0.0
        total += columns.core
    if total > available:
        _give_way(columns, total - available)
    elif any(side.width for side in columns.sides):
        used = [side for side in columns.sides if side.width]
        for side in used:
            side.slack = min((available - total) / len(used), _SLACK)
    for side in columns.sides:
        side.place()


def _give_way(columns: Columns, excess: float) -> None:
    """Make the columns `excess` mm narrower: as far as designations stay on one line, then without the unit of sizes, down to
    their least widths, then as far as terminals stay with their devices, then as words stay whole; where that does not do, words
    break."""
    flexible = [(side, name) for side in columns.sides for name in side.least if side.width.get(name)]
    natural = [*(side.width[name] for side, name in flexible), columns.text]
    least = [*(side.least[name] for side, name in flexible), columns.text_least]
    whole = [*(side.whole[name] for side, name in flexible), columns.text_whole]
    firm = [*(side.joined if name == "far" else side.whole[name] for side, name in flexible), columns.text_whole]
    near = [*(side.united if name == "far" else side.least[name] for side, name in flexible), columns.text_least]
    if excess > sum_of(natural) - sum_of(near):
        excess -= columns.size - columns.size_plain
        columns.size, columns.unit, columns.tight = columns.size_plain, False, True
    room = max(sum_of(natural) - excess, 1.0)
    any_ = [*(1.0 if name in _LEAST else width for (_, name), width in zip(flexible, whole, strict=False)), 1.0]
    steps = ((natural, near), (near, least), (least, firm), (firm, whole))
    wide, narrow = next(((wide, narrow) for wide, narrow in steps if room >= sum_of(narrow)), (whole, any_))
    widths = given_way(wide, narrow, room)
    columns.text = widths.pop()
    for (side, name), width in zip(flexible, widths, strict=True):
        side.width[name] = width


def _side(blocks: Sequence[Block], index: int, reach: Reach) -> Side:
    entries = [entry for block in blocks for row in block.rows if (entry := (row.left, row.right)[index]) is not None]
    groups = [group for block in blocks for group in block.groups[index]]
    side = Side(cables=bool(groups), lanes=min(max((_lanes(block, index) for block in blocks), default=0), _LANES))
    if not entries:
        return side
    side.heads = _heads(entries, _where(blocks, index))
    for name in INNER:
        texts = [text for entry in entries if (text := getattr(entry, name))]
        if texts:
            _column(side, name, texts, side.heads[name])
    ends = [entry.far for entry in entries if not entry.spare]
    named = widest(ends, DESIGNATION)
    side.width["far"] = max(named, widest([side.heads["far"], *(entry.far for entry in entries if entry.spare)]))
    whole, joined = _whole(ends, DESIGNATION), _whole(ends, DESIGNATION, joined=True)
    side.width["far"] = min(side.width["far"], _CAPS["far"])
    side.whole["far"] = min(side.width["far"], max(whole, text_width(side.heads["far"])))
    side.joined = min(side.width["far"], max(joined, text_width(side.heads["far"])))
    side.least["far"] = max(min(side.width["far"], max(_LEAST["far"], joined)), text_width(side.heads["far"]))
    if groups:
        _cable_columns(side, groups, reach)
    side.united = max(side.least["far"], named if named <= _WHOLE else 0.0)
    return side


def _cable_columns(side: Side, groups: Sequence[Group], reach: Reach) -> None:
    tails = [tail for group in groups for tail in group.tails]
    if tails:
        _column(side, "tail", [tail.here for tail in tails])
        side.width["far"] = min(max(side.width["far"], widest([tail.far for tail in tails])), _CAPS["far"])
    lines, heads = [line for group in groups for line in lines_of(group, reach)], [group.head for group in groups]
    width = max(widest(lines), widest(heads, DESIGNATION))
    whole, joined = (max(_whole(lines, joined=held), _whole(heads, DESIGNATION, joined=held)) for held in (False, True))
    side.width["text"] = min(width, _CAPS["text"])
    side.whole["text"] = min(side.width["text"], whole)
    side.least["text"] = min(side.width["text"], max(_LEAST["text"], joined))


def _column(side: Side, name: str, texts: Sequence[str], head: str = "") -> None:
    width = widest([*texts, head])
    side.width[name] = min(width, _CAPS.get(name, width))
    words = _whole([head])  # the name of a column may always wrap
    whole, joined = (_whole(texts), _whole(texts, joined=True)) if name in _LEAST else [widest(texts)] * 2
    side.whole[name] = min(side.width[name], max(whole, words))
    side.least[name] = min(side.width[name], max(joined, words, _LEAST.get(name, 0.0)))


def _whole(texts: Iterable[str], height: float = NORMAL, united: bool = False, joined: bool = False) -> float:
    """The width that breaks no word of `texts`, mm; `united`: nor a number from its unit; `joined`: nor a terminal from its
    device."""
    return max((unbroken(text, height, united, joined) for text in set(texts)), default=0.0)


def _where(blocks: Sequence[Block], index: int) -> str:
    """Whether a side lies inside or faces the field; nothing where no wire comes from inside."""
    inner = 0 if blocks[0].field == "right" else 1
    inside = [entry for block in blocks for row in block.rows if (entry := (row.left, row.right)[inner]) is not None]
    if not any(not entry.cable for entry in inside):
        return ""
    return "inside, " if index == inner else "field, "


def _heads(entries: Sequence[Entry], where: str) -> dict[str, str]:
    wires = any(not entry.cable for entry in entries)
    cores = any(entry.cable for entry in entries)
    core = "core or colour" if wires and cores else "core" if cores else "colour"
    far = "to" if wires and cores else "cable to" if cores else "wire to"
    return {"route": "duct", "ferrule": "ferrule", "section": "section", "core": core, "mark": "mark", "far": where + far}


def _lanes(block: Block, side: int) -> int:
    """How many cables at once have their cores apart on a side."""
    spans: dict[str, tuple[int, int, int]] = {}
    for group in block.groups[side]:
        first, _, count = spans.get(group.cable, (group.first, group.last, 0))
        spans[group.cable] = (first, group.last, count + 1)
    apart = [(first, last) for first, last, count in spans.values() if count > 1]
    return max((sum(first <= row <= last for first, last in apart) for row, _ in apart), default=0)
