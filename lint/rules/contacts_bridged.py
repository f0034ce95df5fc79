"""Poles and contacts past which a wire leads."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.model.plant import Conductor
from netdsl.network.search import between, trace_by

_OPENING = ("pole", "make", "break")
#: whose contacts other rules judge
_JUDGED = (Kind.EMERGENCY_STOP, Kind.SAFETY_RELAY)


def _with_contacts(facts: Facts) -> Iterator[str]:
    """Devices with poles or contacts."""
    return (device.id for device in facts.plant.devices.values() if any(path.kind in _OPENING for path in device.paths))


@rule("contact-bridged", Severity.ERROR, source="common practice", judges=_with_contacts)
def contact_bridged(facts: Facts, this: Rule) -> Iterator[Report]:
    """A wire leads past a pole of a switch or protective device, or past a contact.

    Reports:
      A device of which both terminals of one pole or contact are wired together: what it opens there stays closed.
    Silent:
      Poles one behind the other, as those of an overload relay that all carry one current; emergency stops, safety relays and
      break contacts that keep contactors apart, which `safety-single-channel`, `stop-circuit` and `interlock-missing` judge.
    Why:
      The device looks as if it switched or protected the circuit, and what is behind it stays live.
    Failing:
      device -Q1 switch-disconnector at=+MCP current=63A
      device -Q2 switch-disconnector at=+MCP current=63A
      busbar -WB2 at=+MCP poles=4 current=63A
      busbar -WB3 at=+MCP poles=4 current=63A
      wire -WB1:L1,L2,L3 to -Q1:1,3,5 16mm2 BK
      wire -Q1:2,4,6 to -WB2:L1,L2,L3 16mm2 BK
      wire -WB2:L1,L2,L3 to -Q2:1,3,5 16mm2 BK
      wire -Q2:2,4,6 to -WB3:L1,L2,L3 16mm2 BK
      wire -WB2:L1 to -WB3:L1 16mm2 BK
    Passing:
      - wire -WB2:L1 to -WB3:L1 16mm2 BK
    Remedy:
      Take the wire out.
    """
    apart = {name for pair in facts.plant.interlocks for name in pair.devices}
    for device in facts.plant.devices.values():
        for path in device.paths:
            a, b = f"{device.id}:{path.a}", f"{device.id}:{path.b}"
            net = facts.network.net_of.get(a)
            if path.kind not in _OPENING or net is None or net != facts.network.net_of.get(b):
                continue
            if (path.kind != "pole" and device.kind in _JUDGED) or (path.kind == "break" and device.id in apart):
                continue
            conductor = _last(facts, device.id, a, b)
            named = (conductor.id,) if conductor is not None else ()
            what = "pole" if path.kind == "pole" else "contact"
            yield this.report(
                f"a wire leads past the {what} `{a}` to `{b}`: `{device.id}` does not open it",
                "take the wire out",
                conductor.span if conductor is not None else device.span,
                (device.id, a, b, *named),
                about=(a, b, *named),
                related=[Related(f"`{device.id}` is declared here", device.span)],
            )


def _last(facts: Facts, device: str, a: str, b: str) -> Conductor | None:
    """Of the conductors on the way past a device between two of its terminals the one declared last: as a rule the one too
    many."""

    def steps(node: str) -> list[tuple[str, str | None]]:
        beside = facts.neighbours.get(node, ())
        return [(other, name) for other, name in beside if name is not None or other.partition(":")[0] != device]

    on_it = set(between(b, trace_by((a,), steps)))
    return next((each for each in reversed(list(facts.plant.conductors.values())) if each.id in on_it), None)
