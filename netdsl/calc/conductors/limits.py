"""What limits the current in each step of the power circuit: the protective devices before it and behind it, drives, supplies."""

from __future__ import annotations

from msgspec import Struct

from netdsl.calc.basis import Calculation, Given, Question, amount, figure_text
from netdsl.calc.circuit import Circuit, Path, Step
from netdsl.calc.devices import Characteristic, Characteristics
from netdsl.calc.loads import Branch, Exclusive, LoadCurrents, RatedLoads, stated_of
from netdsl.kept import Asking, kept, meanwhile
from netdsl.model.kinds import CONVERTERS, PROTECTIVE, SWITCHES
from netdsl.model.plant import Device
from netdsl.network.search import walk
from netdsl.sums import sum_of

#: kinds of a `Characteristic` that stand for no device of their own: they limit the current, but trip at none
LIMITERS = frozenset({"drive", "supply-24v", "branches"})
#: what draws no current worth speaking of, whatever happens: its conductors cannot be overloaded (433.3.1)
_DRAWS_NOTHING = frozenset({"surge-protection", "meter", "sensor", "relay", "timer"})
_NAMED = 12  # devices named in words


class DeviceLimit(Struct, frozen=True):
    """The current, A, beyond which `release` does not let a step be loaded for long. `share`: current of the step over that
    in the device, where they differ (a branch of a star-delta starter)."""

    amps: float
    release: Characteristic
    share: float = 1.0


class Limits(Question):
    """Limits of steps, each worked out once."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._devices = calculation.plant.devices

    def apart_from_sections(self) -> bool:
        """As the currents of which they take shares."""
        return self._calculation.of(LoadCurrents).apart_from_sections()

    @kept
    def of(self, step: Step) -> DeviceLimit | None:
        """The smallest limit that holds for a step whichever way it is fed; None where one of the ways has none."""
        feeder = self._devices[step.feeder]
        found: list[DeviceLimit | None]
        if feeder.kind in CONVERTERS:
            found = [_least(self._origin(step.feeder), *self._after(step, ()))]
        else:
            found = [_least(self.before(path), *self._after(step, path.devices)) for path in self._circuit.paths(step.feeder)]
        known = [limit for limit in found if limit is not None]
        return max(known, key=lambda limit: limit.amps) if known and len(known) == len(found) else None

    def upstream(self, step: Step) -> DeviceLimit | None:
        """The largest of the limits before a step, over the ways it is fed; None where one of the ways has none."""
        feeder = self._devices[step.feeder]
        if feeder.kind in CONVERTERS:
            return self._origin(step.feeder)
        found = [self.before(path) for path in self._circuit.paths(step.feeder)]
        known = [limit for limit in found if limit is not None]
        return max(known, key=lambda limit: limit.amps) if known and len(known) == len(found) else None

    @meanwhile(None)
    def before(self, path: Path) -> Asking[DeviceLimit | None]:
        """The smallest limit among the devices on a path, its last one included."""
        if path.parent is None:
            return self._origin(path.device)
        return _least(self._own(path.device), (yield self.beyond, path.parent))

    @meanwhile(None)
    def beyond(self, path: Path) -> Asking[DeviceLimit | None]:
        """The same for what lies behind the last device: of branches side by side, each with fuses of its own, the first to reach
        its limit by its share holds for all that flows in them."""
        loads = self._calculation.of(LoadCurrents)
        branch = loads.flows.parallel.of(path.device)
        if branch is None or path.device != branch.devices[-1]:
            plain: DeviceLimit | None = yield self.before, path
            return plain
        while path.parent is not None and path.device != branch.devices[0]:
            path = path.parent
        own = [self._of_branch(each) for name in (branch.devices[0], *branch.beside) if (each := loads.flows.parallel.of(name))]
        ahead: DeviceLimit | None = (yield self.beyond, path.parent) if path.parent else None
        return _least(*own, ahead)

    def _of_branch(self, branch: Branch) -> DeviceLimit | None:
        """The limit of one of several branches for the current in all of them together."""
        limit = _least(*(self._own(device) for device in branch.devices))
        return limit and DeviceLimit(limit.amps / branch.share, limit.release, 1 / branch.share)

    @meanwhile(None)
    def behind(self, device: str) -> Asking[DeviceLimit | None]:
        """What limits the current into a device: the device itself, a drive, or all branches behind it together; None if
        nothing."""
        kind = self._devices[device].kind
        if kind == "drive":
            return self._of_drive(self._devices[device])
        if kind in CONVERTERS:
            return None
        branches: list[DeviceLimit | None] = []
        for step in self._circuit.out_of.get(device, ()):
            if not self.idle(step.fed):
                branches.append((yield self.behind, step.fed))
        known = [limit for limit in branches if limit is not None]
        if not known or len(known) < len(branches):
            return self._own(device)
        known = self._together(device, known)
        if len(known) == 1:
            return _least(self._own(device), known[0])
        return _least(self._own(device), self._sum(device, known))

    def _sum(self, device: str, limits: list[DeviceLimit]) -> DeviceLimit:
        """The limits of all branches behind a device, or in it, added."""
        amps = sum_of(limit.amps for limit in limits)
        more = f" and {len(limits) - _NAMED} more" if len(limits) > _NAMED else ""
        parts = ", ".join(f"{limit.release.device} {figure_text(limit.amps)} A" for limit in limits[:_NAMED])
        words = f"what limits the branches behind {device}, added: {parts}{more}"
        return _made(device, "branches", amps, Given("I_n", amps, "A", words, self._devices[device].span))

    def _housed(self, step: Step) -> list[Step]:
        """The steps into the channels of one housing, which have their conductors in common."""
        host = self._devices[step.fed].host
        steps = self._circuit.out_of.get(step.feeder, ()) if host else ()
        return [each for each in steps if self._devices[each.fed].host == host and not self.idle(each.fed)]

    def _added(self, channel: str, beside: list[Step]) -> DeviceLimit | None:
        """What limits the channels of one housing together; None where one of them has no limit."""
        limits = [self.behind(each.fed) for each in beside]
        known = [limit for limit in limits if limit is not None]
        return self._sum(self._devices[channel].host, known) if len(known) == len(limits) else None

    def _together(self, device: str, limits: list[DeviceLimit]) -> list[DeviceLimit]:
        """Of the limits of all branches behind a device those that hold at the same time: contactors that are interlocked with
        each other load it one at a time."""
        fed = [step.fed for step in self._circuit.out_of.get(device, ()) if not self.idle(step.fed)]
        by_branch = dict(zip(fed, limits, strict=True))
        together = self._calculation.of(Exclusive).together({name: limit.amps for name, limit in by_branch.items()})
        return [limit for name, limit in by_branch.items() if name in together]

    @meanwhile(False)
    def idle(self, device: str) -> Asking[bool]:
        """Whether nothing draws current there: a surge arrester, a measuring relay, or a device that feeds such alone."""
        if self._devices[device].kind in _DRAWS_NOTHING:
            return True
        steps = self._circuit.out_of.get(device, ())
        for step in steps:
            if not (yield self.idle, step.fed):
                return False
        return bool(steps)

    # --- single devices -------------------------------------------------------------------------------------------
    def _own(self, device: str) -> DeviceLimit | None:
        if self._devices[device].kind not in PROTECTIVE:
            return None
        release = self._calculation.of(Characteristics).of(device)
        if release is None and self._devices[device].kind == "overload":
            return self._rated(device, "overload", ("tripping-current",), "current set")
        amps = (release.set_a or release.rated_a) if release and release.overload else None
        return DeviceLimit(amps, release) if release and amps else None

    def _origin(self, device: str) -> DeviceLimit | None:
        """The limit at the beginning of a circuit: what lies before a supply, a drive's output, a 24 V supply's own limit."""
        made = self._devices[device]
        if made.category == "supply":
            release = self._calculation.of(Characteristics).upstream(device)
            amps = (release.set_a or release.rated_a) if release and release.overload else None
            return DeviceLimit(amps, release) if release and amps else None
        if made.kind == "drive":
            return self._rated(device, "drive", ("motor-current", "output-current", "current"), "output current")
        if made.kind == "supply-24v":
            return self._rated(device, "supply-24v", ("output-current", "current"), "current to which it limits itself")
        return None

    def _rated(self, device: str, kind: str, names: tuple[str, ...], words: str) -> DeviceLimit | None:
        made = self._devices[device]
        amps = next((value for name in names if (value := amount(made, name))), None)
        if amps is None:
            return None
        return _made(device, kind, amps, Given("I_n", amps, "A", f"{words} of {device}", made.span))

    # --- behind ---------------------------------------------------------------------------------------------------

    def _after(self, step: Step, before: tuple[str, ...]) -> tuple[DeviceLimit | None, ...]:
        """Limits behind a step; of a circuit with one motor also what protects this motor beside the step."""
        beside = self._housed(step)
        if len(beside) > 1:
            return (self._added(step.fed, beside),)
        load = self._load(step.fed) or self._load(step.feeder)
        if not load or self._devices[load].kind != "motor":
            return (self.behind(step.fed),)
        top = step.fed
        for device in reversed(before):
            if self._devices[device].kind in CONVERTERS or self._load(device) != load:
                break
            top = device
        return tuple(self._shared(step, limit) for limit in self._protectors(top))

    def _of_drive(self, made: Device) -> DeviceLimit | None:
        """What a drive takes for long: what it is rated for, whatever motor it is set to, or what the project states."""
        expected, most = (self._calculation.of(each).device(made.id) for each in (LoadCurrents, RatedLoads))
        words, stated = f"input current of {made.id} at the output it limits itself to", stated_of(made)
        if stated is not None:
            words = stated.words
        elif most and expected and most > expected:
            words = f"rated input current of {made.id}, no lower limit stated"
        return _made(made.id, made.kind, most, Given("I_n", most, "A", words, made.span)) if most else None

    def _shared(self, step: Step, limit: DeviceLimit) -> DeviceLimit:
        """The limit of a motor's protective device for a step that carries another part of its current."""
        here, there = (
            self._calculation.of(LoadCurrents).step(step),
            self._calculation.of(LoadCurrents).device(limit.release.device),
        )
        share = here / there if here and there else 1.0
        return DeviceLimit(limit.amps * share, limit.release, share)

    @kept
    def _protectors(self, top: str) -> tuple[DeviceLimit, ...]:
        """Protective devices at and behind `top`."""
        out_of = self._circuit.out_of
        behind = walk((top,), lambda device: (step.fed for step in out_of.get(device, ())), deep=True)
        return tuple(own for device in behind if (own := self._own(device)) is not None)

    @meanwhile(None)
    def _load(self, device: str) -> Asking[str | None]:
        """The one load at the end of everything behind a device; "" where there is none (a star contactor), None where there
        are several. A drive is a load."""
        kind = self._devices[device].kind
        steps = self._circuit.out_of.get(device, ()) if kind not in CONVERTERS else ()
        loads: set[str | None] = set()
        for step in steps:
            loads.add((yield self._load, step.fed))
        loads.discard("")
        end = "" if kind in SWITCHES else device
        return (loads.pop() if len(loads) == 1 else None if loads else "") if steps else end


def _least(*limits: DeviceLimit | None) -> DeviceLimit | None:
    known = [limit for limit in limits if limit is not None]
    return min(known, key=lambda limit: limit.amps) if known else None


def _made(device: str, kind: str, amps: float, given: Given) -> DeviceLimit:
    release = Characteristic(device, kind, "", amps, amps, None, None, True, False, givens=(given,))
    return DeviceLimit(amps, release)
