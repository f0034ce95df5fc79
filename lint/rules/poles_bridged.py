"""Poles past which a wire leads."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, rule
from netdsl.findings import Related, Severity


def _with_poles(facts: Facts) -> Iterator[str]:
    """Devices with poles."""
    return (device.id for device in facts.plant.devices.values() if any(path.kind == "pole" for path in device.paths))


@rule("pole-bridged", Severity.ERROR, source="common practice", judges=_with_poles)
def pole_bridged(facts: Facts, this: Rule) -> Iterator[Report]:
    """A wire leads past a pole of a switch or protective device.

    Reports:
      A device of which both terminals of one pole are wired together: what it opens there stays closed.
    Silent:
      Poles one behind the other, as those of an overload relay that all carry one current; contacts of control circuits, which
      the rules about stops and channels judge.
    Why:
      The device looks as if it switched or protected the circuit, and one phase stays live behind it.
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
    for device in facts.plant.devices.values():
        for path in device.paths:
            a, b = f"{device.id}:{path.a}", f"{device.id}:{path.b}"
            net = facts.network.net_of.get(a)
            if path.kind != "pole" or net is None or net != facts.network.net_of.get(b):
                continue
            conductors = facts.network.at_terminal.get(b, ()) or facts.network.at_terminal.get(a, ())
            conductor = facts.plant.conductors[conductors[-1]] if conductors else None
            yield this.report(
                f"a wire leads past the pole `{a}` to `{b}`: `{device.id}` does not open it",
                "take the wire out",
                conductor.span if conductor is not None else device.span,
                (device.id, a, b, *conductors[-1:]),
                about=(a, b, *conductors[-1:]),
                related=[Related(f"`{device.id}` is declared here", device.span)],
            )
