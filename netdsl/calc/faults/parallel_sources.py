"""Supplies that feed one net together on purpose: the impedance from which they feed a fault."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from netdsl.calc.basis import Calculation
from netdsl.calc.circuit import Path
from netdsl.calc.faults.source import Source
from netdsl.calc.faults.source_mesh import SourceMesh
from netdsl.kept import cached_property
from netdsl.sums import sum_of


class Together(Struct, frozen=True):
    """Impedance of one pole up to a device from all sources together, ohm, conductors cold; `origins`: the sources, or the one
    source with the first devices of branches beside the way by which it feeds."""

    ohms: complex
    origins: tuple[str, ...]


class ParallelSources:
    """Sources that `potential ... parallel=yes` lets feed together. All others feed one at a time."""

    def __init__(self, calculation: Calculation, cold: Callable[[Path], complex], source: Callable[[str], Source | None]) -> None:
        """`cold`: impedance of one pole of a way, ohm, conductors cold; `source`: a supply as a source."""
        self._cold, self._source = cold, source
        self._mesh = SourceMesh(calculation)
        self._settings = calculation.settings
        self._plant = calculation.plant
        self._network = calculation.network

    def at(self, ways: Sequence[tuple[Path, Source]]) -> Together | None:
        """Of the ways to one device; None where they are not of sources of which several may feed together."""
        if not ways or not self._groups:
            return None
        return self._tied(ways) or self._meeting(ways)

    def _tied(self, ways: Sequence[tuple[Path, Source]]) -> Together | None:
        """At and behind the bars between sources, which each source reaches, whichever way the power tree leads."""
        ways = sorted(ways, key=lambda way: abs(way[1].impedance.largest + way[0].cold))
        origins = tuple(dict.fromkeys(path.origin for path, _ in ways))
        group = next((each for each in self._groups if each.issuperset(origins)), frozenset[str]())
        names = (*origins, *sorted(group - {*origins}))
        sources = {name: source.impedance for name in names if (source := self._source(name)) is not None}
        if len(sources) < 2 or len(sources) < len(names) or len({(each.voltage, each.phases) for each in sources.values()}) > 1:
            return None
        path = ways[0][0]
        found = self._mesh.at(path, {name: each.largest for name, each in sources.items()})
        if found is None:
            return None
        if len(names) > len(origins):
            words = (
                "the smallest fault current is that of supplies from which the power tree leads to a device; that another, with"
            )
            words += " which they feed together, feeds it alone through what ties their bars is not counted"
            self._settings.assume("tied-supplies", words, "as the text has it", "common practice")
        bar, ohms = found
        return Together(ohms + self._cold(path) - self._cold(bar), names)

    def _meeting(self, ways: Sequence[tuple[Path, Source]]) -> Together | None:
        """Where sources meet at a device itself, without bars between them."""
        if len(ways) < 2:
            return None
        nearest: dict[str, tuple[Path, Source]] = {}
        for way in sorted(ways, key=lambda way: abs(way[1].impedance.largest + way[0].cold)):
            nearest.setdefault(way[0].origin, way)
        known = list(nearest.values())
        if len(known) < 2 or not any(group.issuperset(nearest) for group in self._groups):
            return None
        if len({(source.impedance.voltage, source.impedance.phases) for _, source in known}) > 1:
            return None
        shared = self._shared([path for path, _ in known])
        before = [source.impedance.largest + self._cold(path) - shared for path, source in known]
        if not all(before):
            return None
        return Together(1 / sum_of(1 / ohms for ohms in before) + shared, tuple(nearest))

    @cached_property
    def _groups(self) -> tuple[frozenset[str], ...]:
        """Sources of each net that several may feed together."""
        nets = (self._network.net_of.get(named.end.id) for named in self._plant.potentials if named.parallel)
        return tuple(frozenset(each.device for each in self._network.nets[net].possible) for net in nets if net)

    def _shared(self, paths: Sequence[Path]) -> complex:
        """Impedance of the steps that all paths end with, ohm: from the device where the sources meet."""
        common = 0
        while all(len(path.steps) > common for path in paths) and len({path.steps[-1 - common] for path in paths}) == 1:
            common += 1
        here = paths[0]
        for _ in range(common):
            assert here.parent is not None
            here = here.parent
        return self._cold(paths[0]) - self._cold(here)
