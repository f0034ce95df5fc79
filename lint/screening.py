"""Screens as the screen rules look at them: which end is which side of the cable, and what is done there."""

from __future__ import annotations

from msgspec import Struct

from lint.facts import Facts
from netdsl.model.kinds import Kind
from netdsl.model.plant import CableScreen, Device, Role, RouteWay, ScreenTermination
from netdsl.network.nodes import PROTECTIVE_ROLES
from netdsl.network.queries import mate_of
from netdsl.network.types import CableUse, ConductorClass

BOTH_ENDS = frozenset({ConductorClass.MOTOR, ConductorClass.ENCODER, ConductorClass.BUS})
PANEL_END = frozenset({ConductorClass.ANALOGUE, ConductorClass.THERMISTOR, ConductorClass.SAFETY})
ALL_ROUND = frozenset({"clamp", "gland"})
BONDED = ALL_ROUND | {"pigtail"}
METALS = frozenset({"steel", "stainless", "metal", "sheet-steel", "aluminium", "copper"})
_PANEL_RANK = {"cabinet": 2, "panel": 2, "desk": 2, "box": 1}


class Side(Struct, frozen=True):
    """One side of a cable: its devices, and what the screen's end there says (None: not mentioned)."""

    devices: tuple[str, ...]
    end: ScreenTermination | None

    @property
    def name(self) -> str:
        """The first device there."""
        return self.devices[0] if self.devices else ""

    @property
    def bonded(self) -> bool:
        """Whether the screen is joined to earth there."""
        return self.end is not None and self.end.how in BONDED


def sides(facts: Facts, use: CableUse, screen: CableScreen) -> tuple[Side, ...]:
    """The sides of a cable on which something lands, each with its end of the screen: by device, else by enclosure or
    place, else by order."""
    groups = [devices for devices in use.devices if devices]
    left = list(screen.ends)
    found: list[ScreenTermination | None] = [None] * len(groups)
    for same in (_by_device, _by_place, _by_order):
        for number, devices in enumerate(groups):
            if found[number] is None:
                fitting = (end for end in left if same(facts, end, devices) and not _elsewhere(end, groups, number))
                match = next(fitting, None)
                if match is not None:
                    found[number] = match
                    left.remove(match)
    return tuple(Side(devices, end) for devices, end in zip(groups, found, strict=True))


def led_nowhere(facts: Facts, side: Side) -> bool:
    """Whether a side is half of a plug connection without earth, and the screen ends at the other half, open: one that is
    not mentioned there is told of that cable, one that is not there at all has a housing that is mounted on its panel."""
    half = facts.device(side.end.device) if side.end is not None else None
    mate = mate_of(facts.plant, half.id) if half is not None and half.kind == Kind.PLUG else ""
    if half is None or not mate or any(terminal.role in PROTECTIVE_ROLES for terminal in half.terminals.values()):
        return False
    terminals = facts.plant.devices[mate].terminals.values()
    if any(terminal.role is Role.SCREEN and f"{mate}:{terminal.name}" in facts.network.at_terminal for terminal in terminals):
        return False
    screens = (screen for cable in facts.plant.cables.values() for screen in cable.screens)
    beyond = [end.how in BONDED for screen in screens for end in screen.ends if end.device == mate]
    return bool(beyond) and not any(beyond)


def _elsewhere(end: ScreenTermination, groups: list[tuple[str, ...]], number: int) -> bool:
    """Whether an end lies at the devices of another side: it says nothing of this one."""
    return end.device not in groups[number] and any(end.device in devices for devices in groups)


def _by_device(_: Facts, end: ScreenTermination, devices: tuple[str, ...]) -> bool:
    return end.device in devices


def _by_place(facts: Facts, end: ScreenTermination, devices: tuple[str, ...]) -> bool:
    home = facts.enclosure_of(end.device) or facts.where(end.device)
    return any((facts.enclosure_of(device) or facts.where(device)) == home for device in devices)


def _by_order(*_: object) -> bool:
    return True


def panel_sides(facts: Facts, found: tuple[Side, ...]) -> tuple[Side, ...]:
    """The sides at a drive or in a cabinet; where there is none those in a box, where there is none all."""
    ranks = [max((_panel_rank(facts, device) for device in side.devices), default=0) for side in found]
    return tuple(side for side, rank in zip(found, ranks, strict=True) if rank == max(ranks))


def _panel_rank(facts: Facts, name: str) -> int:
    device = facts.device(name)
    if device is not None and device.kind in {Kind.DRIVE, Kind.CONTROLLER}:
        return 2
    return _PANEL_RANK.get(facts.enclosure_kind(name), 0)


def screen_class(facts: Facts, use: CableUse, screen: CableScreen) -> ConductorClass:
    """The class a screen is there for: of the whole cable, or of the pair it lies around."""
    if screen.pair == 0:
        return use.klass
    pair = {f"{use.cable.id} {core.name}" for core in use.cable.cores if core.pair == screen.pair}
    classes = [facts.network.runs[name].klass for name in use.cable.conductors if name in pair and name in facts.network.runs]
    return next((klass for klass in (*BOTH_ENDS_ORDER, *classes) if klass in classes), ConductorClass.NONE)


BOTH_ENDS_ORDER = (ConductorClass.MOTOR, ConductorClass.ENCODER, ConductorClass.BUS)


def metal_conduit(route: RouteWay | None) -> bool:
    """Whether a route is a conduit of metal, bonded unless it says otherwise: it replaces a screen."""
    if route is None or route.kind != "conduit":
        return False
    return str(route.attributes.get("material", "")) in METALS and route.attributes.get("bonded") != "no"


def is_sine_filter(device: Device | None) -> bool:
    """Whether a device is an output filter that makes the drive's voltage a sine: its rating `filter` says so."""
    return device is not None and device.kind == Kind.FILTER and device.ratings.text("filter").startswith("sine")


def behind_sine_filter(facts: Facts, use: CableUse) -> bool:
    """Whether a sine filter lies between the drive and the cable."""
    runs = [facts.network.runs[name] for name in use.cable.conductors if name in facts.network.runs]
    ends = {end.device for run in runs if run.klass is ConductorClass.MOTOR for end in run.conductor.ends}
    return any(use.drive in facts.feeders(name) for name in sine_filters_before(facts, ends))


def sine_filters_before(facts: Facts, ends: set[str]) -> list[str]:
    """Sine filters behind which all of `ends` lie, or that are one of them."""
    before = set[str]().union(*(facts.feeders(device) for device in ends)) | ends
    filters = sorted(name for name in before if is_sine_filter(facts.device(name)))
    return [name for name in filters if ends <= facts.fed(name) | {name}]
