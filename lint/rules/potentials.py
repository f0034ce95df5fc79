"""Potentials that meet, and voltages a terminal is not made for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lint.facts import Facts
from lint.joined import clash_of, way
from lint.registry import Report, Rule, rule
from lint.wording import listed
from netdsl.findings import Related, Severity, Span
from netdsl.model.plant import Conductor
from netdsl.network.queries import node_name
from netdsl.network.types import Net, Potential


@rule("potentials-joined", Severity.ERROR, source="common practice", silences=("voltage-mismatch", "earth-colour"))
def potentials_joined(facts: Facts, this: Rule) -> Iterator[Report]:
    """Two potentials that must not meet are joined.

    Reports:
      One net, closed isolators and protective devices included, that holds two live poles, a live pole and neutral or earth,
      neutral and earth, outputs of two sources, or the 0 V of a source and earth without a declared reference point.
    Silent:
      Protective earths among themselves; the 0 V or neutral of several sources; a PEN with neutral or earth;
      sources declared parallel (`potential ... parallel=yes`); a source whose reference point is declared (`earthing of`).
    Why:
      It is a short circuit, or two sources work against one another, as soon as it is switched on.
    Failing:
      strip -X1 at=+MCP {
        :1..2 4mm2
        bridge :1..2
      }
      wire -WB1:L1 to -X1:1 4mm2 BK
      wire -WB1:L2 to -X1:2 4mm2 BK
    Passing:
      -   bridge :1..2
    Remedy:
      Separate them. Outputs of one direct voltage that are made to work together are declared so, as is the point that earths a
      source.
    """
    clusters: dict[frozenset[str], list[Net]] = {}
    for net in facts.network.nets.values():
        clash = clash_of(facts, net) if len(net.certain) > 1 else []
        if clash:
            clusters.setdefault(frozenset(potential.id for potential in clash), []).append(net)
    lines: dict[tuple[str, int], list[_Meeting]] = {}
    for nets in clusters.values():
        met = _meeting(facts, nets)
        if met is not None:
            lines.setdefault((met.span.source.path, met.span.start), []).append(met)
    for meetings in lines.values():
        yield _joined(facts, this, meetings)


@dataclass(frozen=True, slots=True)
class _Meeting:
    """Potentials that meet, the net in which they do, the conductor that joins them, all nets they reach, the place."""

    clash: list[Potential]
    net: Net
    culprit: Conductor | None
    nets: list[Net]
    span: Span


def _meeting(facts: Facts, nets: list[Net]) -> _Meeting | None:
    """Of the conductors on the way between the first two potentials the one declared last is the likeliest to be wrong."""
    clash = clash_of(facts, nets[0])
    known = way(facts, clash[0], clash[1])
    known = known or [facts.plant.conductors[name] for name in nets[0].conductors if name in facts.plant.conductors]
    culprit = max(known, key=lambda conductor: (conductor.span.source.path, conductor.span.start), default=None)
    nodes = [node_name(facts.plant, culprit, end) for end in culprit.ends] if culprit is not None else []
    net = next((net for net in nets if net.id in {facts.network.net_of.get(node) for node in nodes}), nets[0])
    span = culprit.span if culprit is not None else facts.span_of(net.nodes[0].rpartition(":")[0])
    return _Meeting(clash, net, culprit, nets, span) if span is not None else None


def _joined(facts: Facts, this: Rule, meetings: list[_Meeting]) -> Report:
    """One report for all that one line of text joins."""
    first = meetings[0]
    names = [potential.id for potential in first.clash]
    subjects = [subject for met in meetings for subject in _subjects(met.net, met.culprit)]
    potentials = [potential for met in meetings for potential in met.clash]
    also = "".join(f"; {listed([potential.id for potential in met.clash])} meet too" for met in meetings[1:])
    culprits = [met.culprit.id for met in meetings if met.culprit is not None]
    ends = [end.id for end in first.culprit.ends] if first.culprit is not None else []
    at = listed(list(dict.fromkeys((*ends, *first.net.nodes))), 4)
    return this.report(
        f"{listed(names)} meet in one net, at {at}{also}",
        _parted(first.clash, names),
        first.span,
        (*subjects, *(p.id for p in potentials), *(p.device for p in potentials)),
        about=[*culprits, *(node for met in meetings for touched in met.nets for node in touched.nodes)],
        related=[
            Related("another conductor of the net", facts.plant.conductors[name].span)
            for name in first.net.conductors
            if name not in culprits
        ][:4],
    )


def _parted(clash: list[Potential], names: list[str]) -> str:
    """What helps: outputs of one voltage may be meant to work together, the 0 V of a source to be earthed; nothing else may."""
    zero = [potential for potential in clash if potential.pole in ("0V", "-", "N") and potential.kind != "earth"]
    if len(clash) == 2 and len(zero) == 1 and any(potential.kind == "earth" for potential in clash):
        return f"separate them; where this is the one point that earths its source, say `earthing of {zero[0].id} at` it"
    alike = {(potential.kind, potential.pole, potential.voltage) for potential in clash}
    if len(alike) == 1 and clash[0].kind == "dc" and len({potential.group for potential in clash}) == len(clash):
        return f"separate them; outputs made to work together are declared so: `potential P of {names[0]} parallel=yes`"
    return "separate them"


def _subjects(net: Net, culprit: Conductor | None) -> tuple[str, ...]:
    ends = tuple(end.device for end in culprit.ends) if culprit else ()
    return (*ends, *([culprit.id] if culprit else []), *(node.rpartition(":")[0] for node in net.nodes))
