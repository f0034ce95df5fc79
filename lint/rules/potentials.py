"""Potentials that meet, and voltages a terminal is not made for."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.joined import Meeting, meetings
from lint.registry import Report, Rule, rule
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.plant import Conductor
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
    lines: dict[tuple[str, int], list[Meeting]] = {}
    for met in meetings(facts):
        lines.setdefault((met.span.source.path, met.span.start), []).append(met)
    for together in lines.values():
        yield _joined(facts, this, together)


def _joined(facts: Facts, this: Rule, together: list[Meeting]) -> Report:
    """One report for all that one line of text joins."""
    first = together[0]
    names = [potential.id for potential in first.clash]
    subjects = [subject for met in together for subject in _subjects(met.net, met.culprit)]
    potentials = [potential for met in together for potential in met.clash]
    also = "".join(f"; {listed([potential.id for potential in met.clash])} meet too" for met in together[1:])
    culprits = [met.culprit.id for met in together if met.culprit is not None]
    ends = [end.id for end in first.culprit.ends] if first.culprit is not None else []
    at = listed(list(dict.fromkeys((*ends, *first.net.nodes))), 4)
    return this.report(
        f"{listed(names)} meet in one net, at {at}{also}",
        _parted(first.clash, names),
        first.span,
        (*subjects, *(p.id for p in potentials), *(p.device for p in potentials)),
        about=[*culprits, *(node for met in together for touched in met.nets for node in touched.nodes)],
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
