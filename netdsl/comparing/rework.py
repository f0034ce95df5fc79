"""What a shop does to make of the plant as it was the plant as it is: release, take out, put in, connect.

The order leaves no loose end live, as far as the text tells which end feeds: what feeds a conductor is released first and
connected last; protective conductors are released after all others and connected before them. It is an order for work on what is
isolated and proved dead, and no permission to work on anything else.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from enum import IntEnum
from typing import NamedTuple

from netdsl.comparing.facts import Thing, screen_end, screen_made
from netdsl.comparing.names import Names
from netdsl.comparing.pairs import Pair, pairs_between
from netdsl.model.part_type import Role
from netdsl.network.types import ConductorClass, Network

#: facts of a conductor that make it another one
_ITSELF = ("section", "colour", "core")
#: terminals that may give a voltage by themselves
_SOURCES = frozenset({Role.MOTOR_OUT, Role.SUPPLY_OUT, Role.REFERENCE_OUT, Role.DIGITAL_OUT, Role.ANALOGUE_OUT, Role.SAFETY_OUT})
FEEDING = "feeding end"
OPEN = "open"
EITHER = "either end may be live: prove dead at both"


class Phase(IntEnum):
    """In which order steps are done."""

    RELEASE = 1
    RELEASE_EARTH = 2
    TAKE_OUT = 3
    PUT_IN = 4
    CONNECT_EARTH = 5
    CONNECT = 6
    SET = 7


class Step(NamedTuple):
    """One thing to do: `what`, a word; `at`: the terminal or device; `conductor`: which, "" for none; `remark`: why, or with what
    care; `of`: the designation concerned, as it is called now, or was."""

    phase: Phase
    what: str
    at: str
    conductor: str = ""
    remark: str = ""
    of: str = ""


def rework(old: Network, new: Network, names: Names, pairs: Iterable[Pair]) -> tuple[Step, ...]:
    """Every step from the one plant to the other, in order. What is called by another name is released by the one it had."""
    pairs = tuple(pairs)
    steps = [step for pair in pairs for step in _of_things(pair)]
    both = [pair for pair in pairs if pair.after is not None and pair.before is not None]
    exchanged = {pair.either.id for pair in both if _is_other(pair) or _is_relaid(pair)}
    ways = _Ways(old), _Ways(new)
    screens = [step for pair in pairs if pair.either.kind == "cable" for step in _of_screens(pair, names, exchanged, (old, new))]
    # a screen is on before the cores in it can be live, and stays until they are off
    steps += [step for step in screens if step.phase is not Phase.RELEASE]
    for pair in pairs:
        if pair.either.kind == "conductor":
            steps += _of_conductor(pair, names, exchanged, ways)
    steps += [step for step in screens if step.phase is Phase.RELEASE]
    steps += _marks(old, new, names)
    return tuple(sorted(steps, key=lambda step: step.phase))


def rework_between(old: Network, new: Network) -> tuple[Step, ...]:
    """The same of two plants alone."""
    return rework(old, new, *pairs_between(old, new))


def _marks(old: Network, new: Network, names: Names) -> Iterator[Step]:
    """What is marked by another name than it was."""
    was = {now: before for before, now in names.things.items() if before in old.plant.devices or before in old.plant.cables}
    for name in sorted(was):
        if name in new.plant.devices or name in new.plant.cables:
            yield Step(Phase.SET, "mark anew", name, "", f"was {was[name]}", name)
    for strip, terminals in sorted(names.terminals.items()):
        for before, now in terminals.items():
            yield Step(Phase.SET, "mark anew", f"{strip}:{now}", "", f"was {before}", strip)


def _is_other(pair: Pair) -> bool:
    """Whether a device, or the type of a cable, was replaced."""
    assert pair.after is not None
    name = {"device": "part", "cable": "construction"}.get(pair.after.kind, "")
    return bool(name) and pair.was.get(name) != pair.after.facts.get(name)


def _is_relaid(pair: Pair) -> bool:
    """Whether a cable became longer, shorter or goes another way: its ends are loose meanwhile."""
    now = pair.after.facts if pair.after is not None and pair.after.kind == "cable" else {}
    return bool(now) and any(pair.was.get(name) != now.get(name) for name in ("way", "length"))


def _of_things(pair: Pair) -> Iterator[Step]:
    """Devices and cables that go, come or are replaced; settings."""
    before, after = pair.before, pair.after
    kind = pair.either.kind
    if kind == "device" and before and after:
        for name in sorted({*pair.was, *after.facts}):
            now, was = after.facts.get(name, ""), pair.was.get(name, "")
            if name.startswith("setting ") and now != was:
                yield Step(Phase.SET, "set", after.id, "", f"{name.removeprefix('setting ')} {now or 'as delivered'}", after.id)
            elif name.startswith("terminal ") and after.facts.get("category") == "strip" and "" in (now, was):
                what = (Phase.PUT_IN, "put in") if now else (Phase.TAKE_OUT, "take out")
                yield Step(*what, f"{after.id}:{name.removeprefix('terminal ')}", "", "terminal", after.id)
    if kind not in ("device", "cable") or (before and after and not _is_other(pair)):
        if kind == "cable" and before and after and _is_relaid(pair):
            way, length, was = after.facts.get("way", ""), after.facts.get("length", ""), pair.was.get("length", "")
            long = length + (f", was {was}" if was and was != length else "")
            said = ", ".join(text for text in (long, f"along {way}" if way else "") if text)
            yield Step(Phase.PUT_IN, "lay anew", after.id, "", said, after.id)
        return
    if before:
        yield Step(Phase.TAKE_OUT, "take out", before.id, "", _called(before), pair.either.id)
    if after:
        laid = [after.facts.get("length", ""), f"along {after.facts['way']}" if "way" in after.facts else ""]
        said = ", ".join(text for text in (_called(after), *(laid if kind == "cable" else ())) if text)
        yield Step(Phase.PUT_IN, "put in", after.id, "", said, after.id)


def _called(thing: Thing) -> str:
    screened = " screened" if thing.facts.get("screen") and thing.kind == "cable" else ""
    return thing.facts.get("part") or f"{thing.facts.get('construction', '')}{screened}" or thing.facts.get("kind", "")


def _of_conductor(pair: Pair, names: Names, exchanged: set[str], ways: tuple[_Ways, _Ways]) -> Iterator[Step]:
    """The ends of a conductor that are released and connected."""
    before, after = pair.before, pair.after
    other = before is None or after is None or any(pair.was.get(name) != after.facts.get(name) for name in _ITSELF)
    other = other or (after is not None and after.facts.get("cable", "") in exchanged)
    was = [] if before is None else before.facts["ends"].split(" -- ")
    now = [] if after is None else after.facts["ends"].split(" -- ")
    called = {end: names.of(end) for end in was}
    loose = [end for end in was if other or called[end] not in now or _device(called[end]) in exchanged]
    fixed = [end for end in now if other or end not in called.values() or _device(end) in exchanged]
    if before is not None and loose:
        moved = [end for end in now if end not in called.values()]
        why = {} if other else {end: f"goes to {to}" for end in loose if (to := _along(called[end], moved))}
        yield from _in_order(ways[0], before, loose, was, False, why)
    if after is not None and (fixed or loose):
        left = [end for end in was if called[end] not in now]
        moved = [end for end in now if end not in called.values()]
        why = {} if other else {end: f"comes from {of}" for end in moved if (of := _along(end, left))}
        yield from _in_order(ways[1], after, fixed, now, True, why)


def _of_screens(pair: Pair, names: Names, exchanged: set[str], plants: tuple[Network, Network]) -> Iterator[Step]:
    """The ends of the screens of a cable that are released and made."""
    was = _screens(plants[0], pair.before)
    now = _screens(plants[1], pair.after)
    whole = pair.either.id in exchanged
    called = {(screen, names.of(at), made) for screen, at, made in was}
    for screen, at, made in was:
        if made != OPEN and (whole or (screen, names.of(at), made) not in now or names.of(at).partition(":")[0] in exchanged):
            assert pair.before is not None
            yield Step(Phase.RELEASE, "release", at, f"{screen} of {pair.before.id}", made, pair.either.id)
    for screen, at, made in now:
        if whole or (screen, at, made) not in called or at.partition(":")[0] in exchanged:
            assert pair.after is not None
            what, how = ("leave open", "insulated") if made == OPEN else ("connect", made)
            yield Step(Phase.CONNECT, what, at, f"{screen} of {pair.after.id}", how, pair.after.id)


def _screens(network: Network, thing: Thing | None) -> list[tuple[str, str, str]]:
    """Of each end of each screen of a cable which screen, where and how it is made."""
    cable = network.plant.cables.get(thing.id) if thing is not None else None
    return [
        (f"screen of pair {screen.pair}" if screen.pair else "screen", screen_end(end), screen_made(end))
        for screen in (cable.screens if cable is not None else ())
        for end in screen.ends
    ]


def _in_order(
    ways: _Ways, thing: Thing, ends: list[str], both: list[str], connect: bool, why: Mapping[str, str]
) -> Iterator[Step]:
    """Steps at `ends` of a conductor; where another end feeds it, at that too: released first, connected last."""
    earth = ways.is_earth(thing)
    live = [] if earth else ways.feeding(thing, both)
    order = [*[end for end in both if end in live], *[end for end in both if end not in live and end in ends]]
    phase = (Phase.CONNECT_EARTH if earth else Phase.CONNECT) if connect else Phase.RELEASE_EARTH if earth else Phase.RELEASE
    facts = thing.facts
    what = f"core {facts.get('core')} of {facts['cable']}" if "cable" in facts else "wire"
    named = " ".join(filter(None, (what, facts.get("section", ""), "" if "cable" in facts else facts.get("colour", ""))))
    for end in reversed(order) if connect else order:
        said = [why.get(end, ""), EITHER if len(live) > 1 else FEEDING if end in live else ""]
        yield Step(phase, "connect" if connect else "release", end, named, "; ".join(filter(None, said)), thing.id)


def _along(end: str, others: list[str]) -> str:
    """The one of `others` that an end belongs with: the only one, or the only one at its device; "" where that is not clear."""
    there = [other for other in others if _device(other) == _device(end)]
    return others[0] if len(others) == 1 else there[0] if len(there) == 1 else ""


def _device(end: str) -> str:
    return end.rpartition(":")[0]


def _plain(end: str) -> str:
    return end.removesuffix("/out")


class _Ways:
    """What leads where in a plant, whatever is switched: to tell which end of a conductor something feeds."""

    def __init__(self, network: Network) -> None:
        self._network = network
        self._next: dict[str, list[tuple[str, str]]] = {}
        self._start: list[str] = []
        plant = network.plant
        for device in plant.devices.values():
            joins = [(path.a, path.b) for path in device.paths]
            joins += [(bridge[0], each) for bridge in device.bridges for each in bridge[1:]]
            for one, other in joins:
                self._join(f"{device.id}:{one}", f"{device.id}:{other}", "")
            inner = {pole for source in device.sources for pole in source.poles}
            for name, terminal in device.terminals.items():
                if device.category == "supply" or name in inner or terminal.role in _SOURCES:
                    self._start.append(f"{device.id}:{name}")
        for coupling in plant.couplings:
            one, other = coupling.halves
            for name in plant.devices[one].terminals if one in plant.devices else ():
                self._join(f"{one}:{name}", f"{other}:{name}", "")
        for run in network.runs.values():
            a, b = (end.id for end in run.conductor.ends)
            self._join(a, b, run.id)

    def _join(self, one: str, other: str, by: str) -> None:
        self._next.setdefault(one, []).append((other, by))
        self._next.setdefault(other, []).append((one, by))

    def is_earth(self, thing: Thing) -> bool:
        """Whether a conductor is a protective one."""
        run = self._run(thing)
        return run is not None and self._network.runs[run].klass is ConductorClass.EARTH

    def feeding(self, thing: Thing, ends: list[str]) -> list[str]:
        """The ends of a conductor that a source reaches by another way."""
        run = self._run(thing)
        reached = self._reached(run or "")
        return [end for end in ends if _plain(end) in reached]

    def _run(self, thing: Thing) -> str | None:
        if thing.id in self._network.runs:
            return thing.id
        wanted = sorted(map(_plain, thing.facts["ends"].split(" -- ")))
        found: Mapping[str, tuple[str, ...]] = self._network.at_terminal
        for name in found.get(wanted[0], ()):
            if sorted(end.id for end in self._network.plant.conductors[name].ends) == wanted:
                return name
        return None

    def _reached(self, without: str) -> set[str]:
        """All that the sources reach, one conductor apart."""
        seen, left = set(self._start), deque(self._start)
        while left:
            for node, by in self._next.get(left.popleft(), ()):
                if node not in seen and (not by or by != without):
                    seen.add(node)
                    left.append(node)
        return seen
