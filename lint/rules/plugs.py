"""Plug connections: which half stays live when they are pulled apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint.facts import Facts
from lint.registry import Rule, Said, rule
from netdsl.findings import Related, Severity
from netdsl.network.queries import mate_of
from netdsl.network.types import ConductorClass

_POWER = frozenset({ConductorClass.MAINS, ConductorClass.MOTOR})


def _coupled(facts: Facts) -> Iterable[str]:
    return (half for coupling in facts.plant.couplings for half in coupling.halves)


@rule("pins-live", Severity.ERROR, source="IEC 60204-1, 13.4.5; IEC 60309-1", judges=_coupled)
def pins_live(facts: Facts, this: Rule) -> Iterator[Said]:
    """The half of a plug connection that stays live when it is pulled has pins.

    Reports:
      A half with `contacts=pins` to which power comes from the supply or from a drive, the other half leading on to the load.
    Silent:
      Halves with `contacts=sockets` on that side. Connections of extra-low voltage and signals alone.
    Why:
      Pulled apart, its pins are bare and live: whoever holds it touches them. In sockets they are out of a finger's reach.
    Failing:
      part half-pins {
        kind = plug   class = I   contacts = pins
        terminal :1 :2 plain 1.5..4mm2
        terminal :PE earth-through 1.5..4mm2
      }
      part half-sockets {
        kind = plug   class = I   contacts = sockets
        terminal :1 :2 plain 1.5..4mm2
        terminal :PE earth-through 1.5..4mm2
      }
      device -F1 mcb-1p at=+MCP current=10A
      device -XJ1 half-pins at=+MCP
      device -XP1 half-sockets at=+HALL
      device -E1 heater at=+HALL
      couple -XJ1 -XP1
      wire -WB1:L1 to -F1:1 2.5mm2 BK
      wire -F1:2 to -XJ1:1 2.5mm2 BK
      wire -WB1:N to -XJ1:2 2.5mm2 BU
      wire -XJ1:PE to -XE1:3 2.5mm2 GNYE
      cable -W1 3G2.5 length=5m method=C {
        BN -XP1:1 to -E1:L
        BU -XP1:2 to -E1:N
        GNYE -XP1:PE to -E1:PE
      }
    Passing:
      - device -XJ1 half-pins at=+MCP
      - device -XP1 half-sockets at=+HALL
      + device -XJ1 half-sockets at=+MCP
      + device -XP1 half-pins at=+HALL
    Remedy:
      Take the half with sockets on the side of the supply, that with pins on the side of the load.
    """
    network = facts.network
    for coupling in facts.plant.couplings:
        halves = [facts.plant.devices[half] for half in coupling.halves]
        ends = [f"{half.id}:{terminal}" for half in halves for terminal in half.terminals]
        runs = [network.runs.get(name) for end in ends for name in network.at_terminal.get(end, ())]
        if not any(run is not None and run.klass in _POWER for run in runs):
            continue
        fed = [half for half in halves if half.id in network.power.graph]
        if len(fed) != 1:
            yield from (this.not_judged(half.id, "which of its halves power comes to is not shown") for half in halves)
            continue
        (half,) = fed
        contacts = half.ratings.text("contacts")
        if not contacts:
            yield this.not_judged(half.id, "whether it has pins or sockets is not stated (`contacts=`)")
        elif contacts == "pins":
            yield this.report(
                f"`{half.id}` has pins, and they stay live when it is pulled from `{mate_of(facts.plant, half.id)}`",
                "take the half with sockets on the side of the supply, that with pins on the side of the load",
                half.span,
                (half.id,),
                about=(half.id,),
                related=(Related("coupled here", coupling.span),),
            )
