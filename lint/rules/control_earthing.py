"""Where the sources of control circuits are joined to earth."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.model.kinds import INNER_SUPPLIES, Category
from netdsl.model.plant import Conductor, Device, ReferencePoint, Role
from netdsl.network.nets import reference_conductors
from netdsl.network.queries import node_name, protective_end
from netdsl.quantities import number_text

#: limits of extra-low voltage, V (IEC 60364-4-41, 414.1.1)
_EXTRA_LOW = {"ac": 50.0, "dc": 120.0}


def _with_sources(facts: Facts) -> Iterator[str]:
    """Devices that are or hold a source of control voltage."""
    return (device.id for device in facts.plant.devices.values() if device.sources)


@rule("control-earthing", Severity.ERROR, source="IEC 60204-1, 9.4.3.1", judges=_with_sources)
def control_earthing(facts: Facts, this: Rule) -> Iterator[Said]:
    """A source of control circuits is joined to earth nowhere, or at two points.

    Reports:
      A transformer or a 24 V supply in use of which no pole is joined to earth (of extra-low voltage a warning); an `earthing of`
      that no conductor makes; a source that conductors join to two earth bars or terminals of two devices (a warning).
    Silent:
      Sources inside drives and controllers; sources whose common is wired to that of another which is earthed, or to equipment
      beyond the scope, where it may be; what an insulation monitoring device (`quantity=insulation`) watches; sources to which
      nothing is connected; what `potentials-joined` reports.
    Why:
      Without it the first earth fault is not noticed, and the second starts a machine or keeps it from stopping; with two points
      currents of the earth flow in the 0 V.
    Failing:
      device -T9 control-transformer at=+MCP short-circuit-voltage=8%
      device -F1 mcb-2p at=+MCP current=2A
      device -F2 mcb-1p at=+MCP current=1A
      device -P1 lamp-230v at=+MCP
      wire -WB1:L1,L2 to -F1:1,3 1.5mm2 BK
      wire -F1:2,4 to -T9:1,3 1.5mm2 BK
      wire -T9:PE to -XE1:3 2.5mm2 GNYE
      wire -T9:2 to -F2:1 1mm2 BK
      wire -F2:2 to -P1:X1 1mm2 BK
      wire -T9:4 to -P1:X2 1mm2 BK
    Passing:
      + wire -T9:4 to -XE1:4 2.5mm2 GNYE
      + earthing of -T9:4 at -XE1:4
    Remedy:
      Join the common of the source to the earth bar and say so with `earthing of`, or watch its insulation.
    """
    references = [facts.plant.conductors[name] for name in sorted(reference_conductors(facts.plant))]
    told: set[frozenset[str]] = set()
    for device in facts.plant.devices.values():
        if device.sources and device.kind not in INNER_SUPPLIES:
            yield this.spared(device.id, f"its source is inside a {device.kind}")
        for source in device.sources if device.kind in INNER_SUPPLIES else ():
            nodes = [f"{device.id}:{name}" for name in source.poles]
            nets = facts.joined_in_service(nodes)
            if not any(node in facts.landed for node in nodes):
                yield this.spared(device.id, "nothing is connected to its source")
                continue
            if nets in told:
                yield this.spared(device.id, "its common is wired to that of another source, which is judged")
                continue
            told.add(nets)
            joining = [conductor for conductor in references if _source_net(facts, conductor) in nets]
            common = nodes[-1]
            claimed = [p for p in facts.plant.reference_points if facts.network.net_of.get(p.of.id) in nets]
            yield from (_claimed(this, point, common) for point in claimed if not joining)
            beyond = _elsewhere(facts, nets) if not joining and not claimed else ""
            if beyond:
                yield this.spared(device.id, beyond)
            elif not joining and not claimed:
                volts = source.voltage.last if source.voltage else 0.0
                low = volts <= _EXTRA_LOW.get(source.voltage_kind, 0.0)
                yield this.report(
                    f"no pole of `{device.id}`, {number_text(volts)} V, is joined to earth",
                    f"join `{common}` to the earth bar and say `earthing of {common} at` that terminal, or watch its insulation",
                    device.span,
                    (device.id, common),
                    about=(common,),
                    severity=Severity.WARNING if low else None,
                )
            yield from _twice(facts, this, device, common, joining)


def _source_net(facts: Facts, conductor: Conductor) -> str:
    """The net that a conductor to a reference point comes from."""
    end = next((end for end in conductor.ends if not protective_end(facts.plant, end)), conductor.ends[0])
    return facts.network.net_of[node_name(facts.plant, conductor, end)]


def _elsewhere(facts: Facts, nets: frozenset[str]) -> str:
    """What takes the place of a joint with earth on these nets, in words: another earthed source, what watches the insulation, or
    something unseen; "" for nothing."""
    for name in nets:
        net = facts.network.nets[name]
        if any(potential.kind == "earth" for potential in net.certain):
            return "earth comes to it over another conductor"
        for node in net.nodes:
            owner, _, terminal = node.partition(":")
            device = facts.plant.devices.get(owner)
            made = device.terminals.get(terminal.split("/")[0]) if device is not None else None
            if device is None or device.category in (Category.OUTSIDE, Category.SUPPLY):
                return f"it goes on to `{owner}`, where it may be earthed"
            if device.ratings.text("quantity") == "insulation":
                return f"`{owner}` watches its insulation"
            if made is not None and made.role is Role.FUNCTIONAL_EARTH:
                return f"it is joined to the functional earth `{node}`"
    return ""


def _claimed(this: Rule, point: ReferencePoint, common: str) -> Report:
    return this.report(
        f"no conductor leads from `{point.of.id}` to `{point.at.id}`, where it is said to be earthed",
        f"join `{point.of.id}` to `{point.at.id}`, or take the statement back",
        point.span,
        (point.of.id.partition(":")[0], point.of.id, point.at.id),
        about=(common,),
    )


def _twice(facts: Facts, this: Rule, device: Device, common: str, joining: list[Conductor]) -> Iterator[Report]:
    """A source that is joined to earth at two devices or places."""
    ends: dict[str, Conductor] = {}
    for conductor in sorted(joining, key=lambda each: (each.span.source.path, each.span.start)):
        ends.setdefault(next(end.device for end in conductor.ends if protective_end(facts.plant, end)), conductor)
    if len(ends) > 1:
        last = list(ends.values())[-1]
        yield this.report(
            f"`{common}` is joined to earth at {listed(list(ends))}",
            "join it to earth at one point",
            last.span,
            (device.id, common, *ends),
            about=(common, "twice"),
            related=[Related(f"and at `{name}`", conductor.span) for name, conductor in list(ends.items())[:-1]],
            severity=Severity.WARNING,
        )
