"""Steel around some conductors of a circuit and not around the others."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.wording import listed
from netdsl.calc.circuit import Circuit
from netdsl.findings import Related, Severity
from netdsl.model.vocabulary import ENTRY

#: what becomes warm by the field of what it surrounds, as a route or an enclosure states it
_STEEL = frozenset({"sheet-steel", "steel", "metal"})
_WAYS = ("conduit", ENTRY)


class _Feed(NamedTuple):
    """Live conductors that bring power to `fed`, pole by pole, the neutral the last of them where there is one."""

    fed: str
    poles: tuple[tuple[str, ...], ...]

    @property
    def conductors(self) -> tuple[str, ...]:
        return tuple(name for pole in self.poles for name in pole)


def _feeds(facts: Facts) -> Iterator[_Feed]:
    """Feeds of alternating current of which a conductor passes conduits or entries."""
    circuit, network = facts.calculation.of(Circuit), facts.network
    for step in circuit.steps.values():
        neutral = step.neutral or (() if circuit.out_of.get(step.fed) else _neutral_at(facts, step.fed))
        feed = _Feed(step.fed, (*step.poles, *((neutral,) if neutral else ())))
        kinds = {p.kind for name in step.conductors[:1] for p in network.nets[network.runs[name].net].possible}
        if len(feed.poles) > 1 and "dc" not in kinds and any(_ways(facts, name) for name in feed.conductors):
            yield feed


def _neutral_at(facts: Facts, device: str) -> tuple[str, ...]:
    """Neutral conductors at a load, which come from elsewhere than its phases."""
    network, ends = facts.network, facts.plant.devices[device].terminals
    found = (name for terminal in ends for name in network.at_terminal.get(f"{device}:{terminal}", ()))
    return tuple(name for name in found if any(p.pole == "N" for p in network.nets[network.runs[name].net].certain))


def _subjects(facts: Facts) -> Iterator[str]:
    """What is fed through conduits and entries."""
    return (feed.fed for feed in _feeds(facts))


@rule(
    "steel-between-phases",
    Severity.ERROR,
    source="IEC 60364-5-52, 521.5.1",
    silences=("circuit-split",),
    judges=_subjects,
)
def steel_between_phases(facts: Facts, this: Rule) -> Iterator[Said]:
    """Steel surrounds some conductors of a circuit of alternating current and not the others.

    Reports:
      A circuit of alternating current whose phases, or phases and neutral, pass through different conduits of steel, or through
      different entries of an enclosure of steel, of which one does not take all of them.
    Silent:
      Conduits and entries that each take every pole, as those of cables in parallel; conduits and entry plates that are not of
      steel, which `material=` says; direct current. An enclosure of metal that does not say its material counts as sheet steel.
      Where some conductors of a circuit state their entry into an enclosure and others do not, it is not judged.
    Why:
      The fields of the conductors cancel each other only around all of them together. Steel around one alone is magnetised fifty
      times a second: it heats up, at some hundred amperes until insulation chars, and it adds reactance.
    Failing:
      device -F1 mcb-1p at=+MCP current=6A
      device -E1 heater at=+HALL
      route C1 at=+HALL kind=conduit material=plastic
      route IN1 "gland, left" at=+MCP kind=entry
      route IN2 "gland, right" at=+MCP kind=entry
      wire -WB1:L1 to -F1:1 2.5mm2 BK
      wire -F1:2 to -E1:L 1.5mm2 BK length=5m along=C1 entry=IN1
      wire -WB1:N to -E1:N 1.5mm2 BU length=5m along=C1 entry=IN2
      wire -XE1:3 to -E1:PE 4mm2 GNYE length=5m along=C1 entry=IN1
    Passing:
      - wire -WB1:N to -E1:N 1.5mm2 BU length=5m along=C1 entry=IN2
      + wire -WB1:N to -E1:N 1.5mm2 BU length=5m along=C1 entry=IN1
    Remedy:
      Lead all of them through the same conduits and entries, or take conduits and entry plates that are not of steel.
    """
    for feed in _feeds(facts):
        ways = {name: _ways(facts, name) for name in feed.conductors}
        silent = _unsaid(facts, ways)
        if silent:
            yield this.not_judged(feed.fed, f"through which entry {listed(silent, 3)} passes is not stated")
            continue
        groups: dict[tuple[str, ...], list[str]] = {}
        for name, taken in ways.items():
            groups.setdefault(tuple(way for way in taken if _is_steel(facts, way)), []).append(name)
        if len(groups) > 1 and not all(_whole(feed, names) for names in groups.values()):
            yield _report(facts, this, feed, groups)


def _ways(facts: Facts, conductor: str) -> tuple[str, ...]:
    """Conduits and entries that a conductor passes."""
    run = facts.network.runs[conductor]
    cable = facts.plant.cables.get(run.conductor.cable or "")
    said = (cable.attributes if cable is not None else run.conductor.attributes).text("entry")
    names = (*run.routes, *said.split(",")) if said else run.routes
    routes = facts.plant.routes
    return tuple(name for name in names if (route := routes.get(name.partition("/")[0])) and route.kind in _WAYS)


def _unsaid(facts: Facts, ways: dict[str, tuple[str, ...]]) -> list[str]:
    """Conductors that do not say by which entry they come into an enclosure for which others of the circuit do."""
    entered = {
        name: {_place(facts, way) for way in taken if facts.plant.routes[way].kind == ENTRY} for name, taken in ways.items()
    }
    places = {place for found in entered.values() for place in found}
    return [name for name, found in entered.items() if places - found]


def _place(facts: Facts, way: str) -> str:
    place = facts.plant.places.get(facts.plant.routes[way].place)
    return place.enclosure or place.id if place is not None else ""


def _is_steel(facts: Facts, way: str) -> bool:
    """Whether a conduit, or the wall in which an entry is, is of steel: as stated, an enclosure of metal else."""
    route = facts.plant.routes[way.partition("/")[0]]
    stated = route.attributes.text("material")
    place = facts.plant.places.get(route.place)
    if not stated and route.kind == ENTRY and place is not None:
        stated = place.attributes.text("material") or ("sheet-steel" if place.metal else "")
    return stated in _STEEL


def _whole(feed: _Feed, names: list[str]) -> bool:
    """Whether conductors hold every pole of a feed."""
    return all(any(name in names for name in pole) for pole in feed.poles)


def _report(facts: Facts, this: Rule, feed: _Feed, groups: dict[tuple[str, ...], list[str]]) -> Report:
    by_few = sorted(groups.items(), key=lambda group: len(group[1]))
    words = "; ".join(f"{listed(names, 4)} through {listed(list(ways)) if ways else 'no steel'}" for ways, names in by_few)
    steel = list(dict.fromkeys(way for ways in groups for way in ways))
    return this.report(
        f"steel lies between the conductors of one circuit to `{feed.fed}`: {words}",
        "lead all of them through the same conduits and entries, or take conduits and entry plates that are not of steel",
        facts.plant.conductors[by_few[0][1][0]].span,
        (feed.fed, *steel, *feed.conductors),
        about=feed.conductors,
        related=[Related(f"`{feed.fed}` is declared here", facts.plant.devices[feed.fed].span)],
    )
