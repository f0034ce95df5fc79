"""Single cores of one motor circuit, which are one motor cable."""

from __future__ import annotations

from netdsl.model.plant import Cable
from netdsl.network.types import Network


def circuits(network: Network, cables: tuple[Cable, ...]) -> tuple[Cable, ...]:
    """`cables`, of the single cores of one motor circuit those of the longest phase: one for each phase between the same two
    devices, they are one motor cable. Several of one phase are laid in parallel."""
    phases = dict[tuple[str, ...], dict[str, list[Cable]]]()
    for cable in cables:
        live = [network.runs[name] for name in cable.conductors if name in network.runs]
        if len(cable.cores) == 1 and live:
            between = tuple(sorted(end.device for end in live[0].conductor.ends))
            phases.setdefault(between, {}).setdefault(live[0].net, []).append(cable)
    dropped: set[str] = set()
    for poles in phases.values():
        most = max(poles.values(), key=lambda laid: sum(cable.length_m or 0.0 for cable in laid))
        dropped |= {cable.id for laid in poles.values() if laid is not most for cable in laid}
    return tuple(cable for cable in cables if cable.id not in dropped)
