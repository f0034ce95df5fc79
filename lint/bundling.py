"""What lies in each route, as the bundle rules look at it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from msgspec import Struct
from msgspec.structs import replace

from lint.facts import Facts
from lint.screening import behind_sine_filter, metal_conduit, sine_filters_before
from lint.separation import JUDGED, Answer, Separation, judged_class, separation_of
from netdsl.findings import Span
from netdsl.network.types import CableUse, ConductorClass, RouteContent, Run

_VOLTS = re.compile(r"(\d+(?:\.\d+)?)(k?)V$")


class Item(Struct, frozen=True):
    """A cable or a loose wire in a route.

    `screened`: has an outer screen; whether that is ended well is another rule's matter. `rated_v`: insulation voltage, None
    where it is not stated. `smooth`: carries a drive's output behind a sine filter, which disturbs no more than mains do.
    """

    id: str
    klass: ConductorClass
    voltage: float
    screened: bool
    rated_v: float | None
    drive: str
    devices: tuple[str, ...]
    span: Span
    cable: bool
    smooth: bool = False


class Bundle(Struct, frozen=True):
    """The items of one compartment (or of an undivided route), by class. `name`: as written in `along=`."""

    name: str
    route: str
    where: str  # inside or outside
    items: dict[ConductorClass, tuple[Item, ...]]


class Clash(Struct, frozen=True):
    """Two items that must not lie together; `odd` is the one of the smaller group, taken to be the stray."""

    odd: Item
    other: Item
    answer: Answer


class Bundles:
    """All bundles of a network, what clashes in each, and what each holds without its strays."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.table = separation_of(facts.plant)
        cables = {name: _cable_item(facts, use) for name, use in facts.network.cables.items()}
        contents = _spread(facts.network.contents)
        runs = (
            run
            for run in facts.network.runs.values()
            if run.conductor.cable is None and run.conductor.attributes.text("insulation")
        )
        items = (*cables.values(), *(_wire_item(facts, run) for run in runs))
        #: cables and wires that state for which voltage they are insulated, wherever they lie
        self.rated = tuple(item for item in items if item is not None and item.rated_v is not None)
        self.all = [bundle for content in contents if (bundle := self._bundle(content, cables)) is not None]

    def _bundle(self, content: RouteContent, cables: dict[str, Item | None]) -> Bundle | None:
        facts = self.facts
        if content.route not in facts.plant.routes:
            return None
        grouped: dict[ConductorClass, list[Item]] = {}
        for item in (
            *(cables.get(name) for name in content.cables),
            *(_wire_item(facts, facts.network.runs[name]) for name in content.runs),
        ):
            if item is not None:
                grouped.setdefault(item.klass, []).append(item)
        ordered = {klass: tuple(grouped[klass]) for klass in JUDGED if klass in grouped}
        return Bundle(content.compartment or content.route, content.route, self.where(content.route), ordered)

    def where(self, route: str) -> str:
        """`inside` for a route in an enclosure, else `outside`."""
        place = self.facts.plant.places.get(self.facts.plant.routes[route].place)
        return "inside" if place is not None and place.enclosure else "outside"

    def clashes(self, bundle: Bundle) -> list[Clash]:
        """One clash for each two classes (or drives) that must not lie together there."""
        classes = list(bundle.items)
        found = []
        for number, a in enumerate(classes):
            for b in classes[number:]:
                answer = self.table.answer(a, b, bundle.where)
                pair = _violation(*_disturbing(bundle.items[a], bundle.items[b]), answer)
                if pair is not None:
                    first, second = pair
                    # of two groups the smaller has gone astray: it is told, and left out where distances are judged
                    keep = answer.word == "share" or len(bundle.items[a]) < len(bundle.items[b])
                    found.append(Clash(first, second, answer) if keep else Clash(second, first, answer))
        return found

    def settled(self) -> dict[str, dict[ConductorClass, tuple[Item, ...]]]:
        """Contents by route and by compartment, without classes that `clashes` calls stray there."""
        result: dict[str, dict[ConductorClass, tuple[Item, ...]]] = {}
        for bundle in self.all:
            strays = {clash.odd.klass for clash in self.clashes(bundle) if clash.odd.klass is not clash.other.klass}
            for klass, items in bundle.items.items():
                if klass not in strays:
                    for name in dict.fromkeys((bundle.route, bundle.name)):
                        held = result.setdefault(name, {})
                        held[klass] = (*held.get(klass, ()), *items)
        return result

    def shut(self, route: str) -> bool:
        """Whether a route is a bonded metal conduit, which needs no distance."""
        return metal_conduit(self.facts.plant.routes.get(route))


def _disturbing(a: tuple[Item, ...], b: tuple[Item, ...]) -> tuple[tuple[Item, ...], tuple[Item, ...]]:
    """Two groups, without what lies behind a sine filter where the other is of motor cables: it may lie with them too."""
    motor = [any(item.klass is ConductorClass.MOTOR for item in items) for items in (a, b)]
    if motor[0] == motor[1]:
        return a, b
    kept = [
        items if others else tuple(item for item in items if not item.smooth) for items, others in zip((a, b), motor, strict=True)
    ]
    return kept[0], kept[1]


def _violation(a: tuple[Item, ...], b: tuple[Item, ...], answer: Answer) -> tuple[Item, Item] | None:
    """Two items that break `answer`, one of each group; None where one group is empty."""
    if not a or not b:
        return None
    if answer.word != "share":
        return (a[0], b[0])
    if answer.condition == "screened":
        bare = [item for item in a if not item.screened]
        return next(((item, other) for item in bare[:1] for other in b if other.drive != item.drive), None)
    return None


def _spread(contents: tuple[RouteContent, ...]) -> list[RouteContent]:
    """`contents`, where what names a divided route as a whole lies in each compartment that others name."""
    whole = {content.route: content for content in contents if not content.compartment}
    halves = [content for content in contents if content.compartment]
    divided = {content.route for content in halves}
    found = [content for content in contents if content.compartment or content.route not in divided]
    return [
        replace(content, runs=(*content.runs, *whole[content.route].runs), cables=(*content.cables, *whole[content.route].cables))
        if content.compartment and content.route in whole
        else content
        for content in found
    ]


def _cable_item(facts: Facts, use: CableUse) -> Item | None:
    klass = judged_class(use.klass)
    if klass is None:
        return None
    rated = _volts(use.cable.attributes.text("voltage"))
    devices = (*use.devices[0], *use.devices[1])
    screened = use.cable.screen in {"outer", "both"}
    smooth = klass is ConductorClass.MOTOR and behind_sine_filter(facts, use)
    klass = ConductorClass.MAINS if smooth else klass
    return Item(use.cable.id, klass, use.voltage, screened, rated, use.drive or "", devices, use.cable.span, True, smooth)


def _wire_item(facts: Facts, run: Run) -> Item | None:
    klass = judged_class(run.klass)
    if klass is None:
        return None
    net = facts.network.nets[run.net]
    rated = _volts(run.conductor.attributes.text("insulation"))
    drive = next((potential.device for potential in net.possible if potential.kind == "pwm"), "")
    devices = tuple(end.device for end in run.conductor.ends)
    smooth = klass is ConductorClass.MOTOR and bool(sine_filters_before(facts, set(devices)))
    klass = ConductorClass.MAINS if smooth else klass
    return Item(run.id, klass, facts.circuit_volts(run.net), False, rated, drive, devices, run.conductor.span, False, smooth)


@cache
def _volts(text: str) -> float | None:
    """The insulation voltage a text states: 600 of `600V`, 750 of `450/750V`, 1000 of `0.6/1kV`."""
    match = _VOLTS.search(text)
    return float(match[1]) * (1000 if match[2] else 1) if match else None


def clashing(
    a: dict[ConductorClass, tuple[Item, ...]], b: dict[ConductorClass, tuple[Item, ...]], where: str, table: Separation
) -> Iterator[tuple[Item, Item, float]]:
    """Items of two routes that must keep a distance by the project's table, with that distance in mm."""
    for one, items in a.items():
        for other, others in b.items():
            answer = table.answer(one, other, where)
            kept, beside = _disturbing(items, others)
            if answer.word != "share" and kept and beside:
                motors = [item for item in (*items, *others) if item.klass is ConductorClass.MOTOR]
                screened = bool(motors) and all(item.screened for item in motors)
                yield items[0], others[0], answer.mm_screened if screened else answer.mm
