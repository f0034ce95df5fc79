"""What sheets are drawn from, and how drawings are found: every module of `render/drawings` and `render/tables` is loaded, and
what it decorates with `@in_set` belongs to the set.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache, cached_property
from typing import Any, TypeVar, cast

from msgspec import Struct

from netdsl.beyond import MAX_SHEETS, Beyond
from netdsl.calc import Calculation, calculate
from netdsl.findings import Extent, Finding, Severity
from netdsl.model.plant import Plant
from netdsl.network.isolation import LiveCircuits, live_circuits
from netdsl.network.types import Network
from netdsl.network.unused import terminals_in_use
from render.layout.fonts import Box
from render.layout.frame import drawing_area, notes_area, size_of, whole_area
from render.sheet import Sheet
from render.words.purposes import asked

_T = TypeVar("_T")
_ROOMS = ("render.drawings", "render.tables")


class Drawing:
    """A plant as one set of sheets shows it: what several drawings ask for, worked out once on first use. Nothing here draws.

    `calculation`: the one the check was made with, where there is one; else its own, made when it is first asked for. `extent`:
    how far the check went, None where none was made. `earlier`: the plant as it was, where drawings are to say what changed.
    """

    def __init__(
        self,
        network: Network,
        findings: Sequence[Finding] = (),
        calculation: Calculation | None = None,
        extent: Extent | None = None,
        earlier: Network | None = None,
    ) -> None:
        self.network = network
        self.plant: Plant = network.plant
        self.findings = tuple(findings)
        self.extent = extent
        self.earlier = earlier
        self._calculation = calculation
        self._planned: dict[object, Any] = {}
        self._drawn: dict[int, tuple[Sheet, ...]] = {}

    @cached_property
    def calculation(self) -> Calculation:
        """The design calculation of the network."""
        return self._calculation or calculate(self.network)

    @cached_property
    def errors(self) -> int:
        """How many error findings stand that no exception allows."""
        return sum(finding.severity is Severity.ERROR and finding.allowed is None for finding in self.findings)

    @cached_property
    def live(self) -> LiveCircuits:
        """What disconnects the supplies, and what stays live with that off."""
        return live_circuits(self.network)

    @cached_property
    def used(self) -> frozenset[str]:
        """Ids of the terminals on which something lands."""
        return terminals_in_use(self.network)

    @cached_property
    def asked(self) -> Mapping[str, frozenset[str]]:
        """By terminal the functions by which its conductors ask for it."""
        return asked(self.plant)

    @cached_property
    def size(self) -> str:
        """The size of every sheet, "A3" or "A4"."""
        return size_of(self.plant.project)

    @cached_property
    def area(self) -> Box:
        """Where a drawing goes on a sheet of that size, mm."""
        return drawing_area(self.size)

    @cached_property
    def whole(self) -> Box:
        """Where a drawing without remarks goes, mm."""
        return whole_area(self.size)

    @cached_property
    def notes(self) -> Box:
        """Where remarks go, mm."""
        return notes_area(self.size)

    def of(self, plan: Callable[[Drawing], _T]) -> _T:
        """What `plan` makes of this drawing, made once: `drawing.of(TerminalPlan)`."""
        if plan not in self._planned:
            self._planned[plan] = plan(self)
        return cast(_T, self._planned[plan])

    def told(self, plan: Callable[[Drawing], _T], made: _T | None) -> None:
        """Take `made` as what `plan` makes, which was worked out elsewhere; None: forget what it made."""
        self._planned.pop(plan, None)
        if made is not None:
            self._planned[plan] = made

    def drawn(self, member: Member) -> tuple[Sheet, ...]:
        """The sheets of a member of the set, without frames, drawn once. Raises Beyond as `plan` does."""
        if member.place not in self._drawn:
            self._drawn[member.place] = tuple(member.draw(self))
            bounded(sum(map(len, self._drawn.values())))
        return self._drawn[member.place]

    def plan(self) -> None:
        """Plan the sheets that others refer to. Raises Beyond where there are more than are drawn."""
        bounded(len(set(self._keys.values())))

    @property
    def diagrams(self) -> Iterator[Sheet]:
        """The sheets of the drawings from which the shop wires, in the order of the set."""
        return (sheet for member in members() if member.wired is not None for sheet in self.drawn(member))

    def key_of(self, identity: str) -> str:
        """Key of the sheet that shows a terminal (`=RP1-T1:U`), else of the first that shows its device; "" where none does."""
        return self._keys.get(identity) or self._keys.get(identity.partition(":")[0], "")

    @cached_property
    def wired(self) -> tuple[Mapping[Wired, str], ...]:
        """What the drawings from which the shop wires say of their sheets, that first which is looked at first."""
        return tuple(member.wired(self) for member in reversed(members()) if member.wired is not None)

    def part_of(self, function: str, place: str) -> str:
        """What a sheet is part of, with its title: its function, for the common part its place."""
        functions, places = self.plant.functions, self.plant.places
        if function:
            return f"{function} {functions[function].title}".strip()
        return f"{place} {places[place].title}".strip() if place in places else ""

    @cached_property
    def _keys(self) -> Mapping[str, str]:
        """What the drawings that others refer to say of their sheets; where two show a thing, the earlier one of the set."""
        # asked of the drawings, not of one by name: a circuit diagram to come says itself what it shows
        keys: dict[str, str] = {}
        for member in reversed(members()):
            if member.keys is not None:
                keys.update(member.keys(self))
        return keys


def bounded(sheets: int) -> None:
    """Raises Beyond where a set has more `sheets` than are drawn."""
    if sheets > MAX_SHEETS:
        raise Beyond(f"the plant has more than {MAX_SHEETS} sheets, and none is drawn: split the plant")


Draw = Callable[..., Iterable[Sheet]]
Keys = Callable[[Drawing], Mapping[str, str]]
#: a device or terminal, and a conductor that lands there, "" for all of it
Wired = tuple[str, str]
Count = Callable[[Drawing], int]


class Member(Struct, frozen=True):
    """A drawing or list of the set. `place`: where it stands, the cover being before all. `keys`: for each thing it shows that
    others may refer to (device, `device:terminal`) the key of the sheet, None where nothing refers to it. `wired`: likewise the
    key of the sheet from which a device, a terminal, a conductor at a terminal is wired; of two drawings the later tells more.

    `count`: of how many things it has sheets, each drawn without regard to the others; then `draw` takes a slice of them behind
    the Drawing. None where all is drawn at once. `plan`: what it alone asks of the Drawing, forgotten once it is drawn."""

    place: int
    draw: Draw
    keys: Keys | None
    wired: Callable[[Drawing], Mapping[Wired, str]] | None
    count: Count | None = None
    plan: Callable[[Drawing], Any] | None = None


_FOUND: dict[int, Member] = {}


def in_set(
    place: int,
    keys: Keys | None = None,
    wired: Callable[[Drawing], Mapping[Wired, str]] | None = None,
    count: Count | None = None,
    plan: Callable[[Drawing], Any] | None = None,
) -> Callable[[Draw], Draw]:
    """Put a function that draws into the set, at `place`: 100 overview, 200 to 300 diagrams, 400 and on lists. The others: as of
    a Member."""

    def take(draw: Draw) -> Draw:
        if place in _FOUND:
            raise ValueError(f"two drawings stand at place {place} of the set")
        _FOUND[place] = Member(place, draw, keys, wired, count, plan)
        return draw

    return take


@cache
def members() -> tuple[Member, ...]:
    """All drawings and lists in the order of the set."""
    # by scanning, as rules are found: a list kept by hand would be a second file to touch for every drawing
    for room in _ROOMS:
        package = importlib.import_module(room)
        for module in sorted(found.name for found in pkgutil.iter_modules(package.__path__)):
            importlib.import_module(f"{room}.{module}")
    return tuple(_FOUND[place] for place in sorted(_FOUND))
