"""Every thing of an old plant beside the one that it is in the new plant."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct

from netdsl.comparing.facts import Thing, things_of
from netdsl.comparing.names import Names
from netdsl.comparing.pairing import Features, paired
from netdsl.comparing.renaming import names_between
from netdsl.network.types import Network

#: facts by which a wire that moved is known again, besides the end that it kept
_OF_WIRES = ("section", "colour", "way", "length", "text")


class Pair(Struct, frozen=True):
    """A thing as it was and as it is; None where it was not, or is no more. `was`: the facts of before, with every name in them
    as it is now."""

    before: Thing | None
    after: Thing | None
    was: Mapping[str, str]

    @property
    def either(self) -> Thing:
        """The thing as it is, or was."""
        found = self.after or self.before
        assert found is not None
        return found


def pairs_between(old: Network, new: Network) -> tuple[Names, tuple[Pair, ...]]:
    """What was renamed, and every thing of both, in order of kind and name."""
    names = names_between(old, new)
    mine = {(thing.kind, _identity(thing, names)): (thing, _was(thing, names)) for thing in things_of(old)}
    theirs = {(thing.kind, thing.id): thing for thing in things_of(new)}
    found = []
    for key, (thing, was) in mine.items():
        if thing.kind != "conductor" or thing.facts.get("cable"):
            found.append(Pair(thing, theirs.pop(key, None), was))
    wires = [each for each in mine.values() if each[0].kind == "conductor" and not each[0].facts.get("cable")]
    others = [thing for thing in theirs.values() if thing.kind == "conductor" and not thing.facts.get("cable")]
    found += _wires(wires, others)
    wired = {id(thing) for thing in others}
    found += [Pair(None, thing, {}) for thing in theirs.values() if id(thing) not in wired]
    return names, tuple(sorted(found, key=lambda pair: pair.either[:2]))


def things_renamed(network: Network, names: Names) -> Iterator[Thing]:
    """Everything in an old plant, with every name in it as it is now."""
    for thing in things_of(network):
        yield thing._replace(id=_identity(thing, names), facts=_was(thing, names))


def _identity(thing: Thing, names: Names) -> str:
    """The id of an old thing in the names of now; of several designations in their order."""
    if thing.kind in ("route", "routes"):
        named = " and ".join(map(names.way, thing.id.split(" and ")))
    else:
        named = names.of(thing.id)
    return " and ".join(sorted(named.split(" and "))) if thing.kind in ("interlock", "coupling", "routes") else named


def _was(thing: Thing, names: Names) -> dict[str, str]:
    """The facts of an old thing in the names of now."""
    was = {}
    moved = names.terminals.get(names.thing(thing.id), {}) if thing.kind == "device" else {}
    for name, value in thing.facts.items():
        what, _, rest = name.partition(" ")
        if moved and what == "terminal":
            name = f"terminal {moved.get(rest, rest)}"
        elif moved and what == "bridge":
            name = "bridge " + ", ".join(moved.get(each, each) for each in rest.split(", "))
        elif moved and name == "order":
            value = ", ".join(moved.get(each, each) for each in value.split(", "))
        elif moved and " behind " in name:
            kind, _, terminal = name.partition(" behind ")
            name = f"{kind} behind {moved.get(terminal, terminal)}"
        was[name] = names.way(value) if name == "way" else names.of(value)
    for name, value in was.items():
        if name == "ends":
            was[name] = " -- ".join(sorted(value.split(" -- ")))
        elif name == "twin ferrule at" or name.startswith("screen "):
            was[name] = ", ".join(sorted(value.split(", ")))
    return was


def _wires(old: Iterable[tuple[Thing, dict[str, str]]], new: Iterable[Thing]) -> Iterable[Pair]:
    """Wires between the same ends, the most alike of several first; then those that kept one end; then the rest."""
    left = {str(number): each for number, each in enumerate(old)}
    free = {str(number): each for number, each in enumerate(new)}
    for ends, least in ((2, 0.3), (1, 0.2)):
        before = {key: _features(was, ends) for key, (_, was) in left.items()}
        after = {key: _features(thing.facts, ends) for key, thing in free.items()}
        for one, other in paired(before, after, least).items():
            shared = {*left[one][1]["ends"].split(" -- ")} & {*free[other].facts["ends"].split(" -- ")}
            if len(shared) >= ends or left[one][1]["ends"] == free[other].facts["ends"]:
                thing, was = left.pop(one)
                yield Pair(thing, free.pop(other), was)
    yield from (Pair(thing, None, was) for thing, was in left.values())
    yield from (Pair(None, thing, {}) for thing in free.values())


def _features(facts: Mapping[str, str], ends: int) -> Features:
    whole = facts["ends"]
    found: Features = Counter({("ends", whole): 8} if ends == 2 else {("end", end): 6 for end in whole.split(" -- ")})
    for name in _OF_WIRES:
        if facts.get(name):
            found["of", name, facts[name]] += 1
    return found
