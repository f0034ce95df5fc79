"""Potentials that meet, and voltages a terminal is not made for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint.facts import Facts
from lint.joined import Meeting, meetings
from lint.parting import parted
from lint.poles import Poles, Taker
from lint.registry import Report, Rule, rule
from lint.subjects import supplies
from lint.switching import Switched, Way, behind
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.model.plant import Conductor
from netdsl.network.types import Net, Potential
from netdsl.states import Answer, Verdict
from netdsl.states.told import joining, way_words


@rule("potentials-joined", Severity.ERROR, source="common practice", silences=("voltage-mismatch", "earth-colour"))
def potentials_joined(facts: Facts, this: Rule) -> Iterator[Report]:
    """Two potentials that must not meet are joined.

    Reports:
      One net, closed isolators and protective devices included, that holds two live poles, a live pole and neutral or earth,
      outputs of two sources, or the 0 V of a source and earth without a declared reference point. Also where
      contacts join a live pole and earth, or poles of two sources of which one gives direct voltage, in one of their states
      only: with the shortest sequence of operations that does; with "not proved" (a warning) where the search was given up.
    Silent:
      Neutral and earth (`neutral-earth-joined`); what interlocks, selectors and delays exclude; a neutral or 0 V that a contact
      earths; poles of which alternating voltage
      alone comes (`switching-short`, `output-backfed`); contacts that weld; electronic outputs.
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
    for together in _by_line(facts):
        if not all(map(_is_neutral_and_earth, together)):
            yield _joined(facts, this, together)
    apart = facts.of(parted)
    for verdict in apart.facts.of(Switched).meetings:
        if verdict.answer is Answer.REACHED:
            report = _in_a_state(apart.facts, this, verdict)
            if apart.names.isdisjoint((*report.finding.subjects, *report.about)):
                yield report
        elif verdict.answer is Answer.NOT_PROVED:
            yield _not_proved(apart.facts, this, verdict)


def _by_line(facts: Facts) -> Iterable[list[Meeting]]:
    """What meets, all that one line of text joins together."""
    lines: dict[tuple[str, int], list[Meeting]] = {}
    for met in meetings(facts):
        lines.setdefault((met.span.source.path, met.span.start), []).append(met)
    return lines.values()


def _is_neutral_and_earth(met: Meeting) -> bool:
    earths = [potential.kind == "earth" for potential in met.clash]
    return any(earths) and all(earth or potential.pole == "N" for earth, potential in zip(earths, met.clash, strict=True))


@rule(
    "neutral-earth-joined",
    Severity.ERROR,
    source="IEC 60364-1, 312.2; IEC 60364-4-44, 444.4.3; IEC 60204-1, 5.1",
    silences=("voltage-mismatch", "earth-colour"),
    judges=supplies,
)
def neutral_earth_joined(facts: Facts, this: Rule) -> Iterator[Report]:
    """Neutral and earth of a supply meet elsewhere than at the one point that is declared for it.

    Reports:
      One net, closed isolators and protective devices included, that holds the neutral of a supply and a protective earth. A
      load, coil or supply whose current comes from a live pole and goes back by the protective earth.
    Silent:
      The one point that `earthing of` declares; a PEN, which is both, with the conductors into which it divides; surge
      arresters, and what watches an insulation.
    Why:
      Behind the second joint the earth carries current of the neutral at all times: parts that people touch get a voltage,
      screens and bonds heat up, signals are disturbed, and residual-current devices trip or no longer do.
    Failing:
      strip -X1 at=+MCP {
        :1 4mm2
        :PE earth
      }
      wire -WB1:N to -X1:1 4mm2 BU
      wire -X1:1 to -XE1:4 4mm2 GNYE
    Passing:
      - wire -X1:1 to -XE1:4 4mm2 GNYE
    Remedy:
      Take the joint out; where it is the one point at which the supply is earthed, say so with `earthing of`.
    """
    for together in _by_line(facts):
        if all(map(_is_neutral_and_earth, together)):
            yield _joined(facts, this, together)
    poles = facts.of(Poles)
    for taker in poles.takers:
        if taker.device.kind == Kind.SURGE_PROTECTION or taker.device.ratings.text("quantity") == "insulation":
            continue
        for live, back in (taker.ends, taker.ends[::-1]):
            if poles.is_live(live) and _is_earth_alone(facts, back):
                yield _returns_by_earth(facts, this, taker, back)


def _is_earth_alone(facts: Facts, node: str) -> bool:
    """Whether a terminal gets the protective earth and nothing else."""
    net = facts.network.net(node)
    return net is not None and bool(net.possible) and all(p.kind == "earth" and p.pole != "PEN" for p in net.possible)


def _returns_by_earth(facts: Facts, this: Rule, taker: Taker, node: str) -> Report:
    conductor = facts.of(Poles).conductor(node)
    return this.report(
        f"`{node}` is joined to the protective earth and to nothing else: the current of `{taker.device.id}` goes back by it",
        "lead it to the neutral, or to the common of its source",
        conductor.span if conductor is not None else taker.device.span,
        (taker.device.id, node, *((conductor.id,) if conductor is not None else ())),
        about=(node, *((conductor.id,) if conductor is not None else ())),
        related=[Related(f"`{taker.device.id}` is declared here", taker.device.span)],
    )


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


def _in_a_state(facts: Facts, this: Rule, verdict: Verdict) -> Report:
    """One report on poles that a state joins, at the conductor behind the contact by which the first comes to the others."""
    assert verdict.poles is not None
    switched = facts.of(Switched)
    one, far = (pole.potential for pole in verdict.poles)
    when = "in the moment of changing over" if verdict.in_a_moment else "in some state"
    leaving = behind(verdict.way[: _first_open(verdict.way) + 1])
    conductor = facts.of(Poles).conductor(leaving) if leaving is not None else None
    devices = list(dict.fromkeys(edge.device for edge, _ in verdict.way))
    return this.report(
        f"`{one.id}` and `{far.id}` meet {when}, over `{way_words(one.id, verdict.way, far.id)}`: "
        f"{joining(switched.circuit, verdict)}",
        _parted([one, far], [one.id, far.id]) + ", or lead them over contacts that exclude each other",
        conductor.span if conductor is not None else facts.plant.devices[devices[0]].span,
        (*devices, *([conductor.id] if conductor is not None else []), one.id, far.id, one.device, far.device),
        about=(conductor.id,) if conductor is not None else (),
        related=switched.along(verdict.way),
    )


def _first_open(way: Way) -> int:
    """Of the ways through devices the number of the first that something opens in service."""
    return next(number for number, (edge, _) in enumerate(way) if edge.path is not None and not edge.path.certain)


def _not_proved(facts: Facts, this: Rule, verdict: Verdict) -> Report:
    devices, (_, one, far) = verdict.question.devices, verdict.question.pairs[0]
    names = [one.potential.id, far.potential.id]
    return this.report(
        f"not proved that `{names[0]}` and `{names[1]}` never meet over {listed(list(devices))}: {verdict.reason}",
        "lead them over contacts that exclude each other",
        facts.plant.devices[devices[0]].span,
        (*devices, *names),
        about=(devices[0],),
        severity=Severity.WARNING,
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
