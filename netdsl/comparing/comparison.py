"""Two plants compared: what changed, sorted, with the place of each change in the old and the new text."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from netdsl.calc import Calculation
from netdsl.comparing.causes import gathered
from netdsl.comparing.change import Change
from netdsl.comparing.changes import changes_between
from netdsl.comparing.figures import changed_results
from netdsl.comparing.found import changed_findings
from netdsl.comparing.names import Names
from netdsl.comparing.pairs import Pair, pairs_between
from netdsl.findings import Finding, Source
from netdsl.network.types import Network


class State(Struct, frozen=True):
    """A plant at one time: its network, what is computed for it, what was found in it. `checked`: all of its text could be
    read."""

    network: Network
    calculation: Calculation
    findings: tuple[Finding, ...]
    checked: bool = True


class Comparison(Struct, frozen=True):
    """`changes`, by function and weight; `names`: what was renamed; `pairs`: every thing of both plants."""

    changes: tuple[Change, ...]
    names: Names
    pairs: tuple[Pair, ...]

    @property
    def electrical(self) -> bool:
        """Whether anything but names, texts and layout changed."""
        return any(change.electrical for change in self.changes)


def compare(old: State, new: State) -> Comparison:
    """What changed from one plant to the other. Where the text of one could not all be read, figures and findings are left out:
    what is not there may only not have been looked for."""
    names, pairs = pairs_between(old.network, new.network)
    wired = gathered(changes_between(names, pairs), _sources(old.network), _sources(new.network))
    functions = {*old.network.plant.functions, *new.network.plant.functions}
    changes = list(wired)
    if old.checked and new.checked:
        changes += changed_results(old.calculation, new.calculation, names, pairs)
        changes += changed_findings(old.findings, new.findings, names, functions)
    return Comparison(tuple(sorted(changes, key=lambda change: change.order)), names, pairs)


def _sources(network: Network) -> Iterable[Source]:
    """The texts that things of a plant come from, by path."""
    plant = network.plant
    found: dict[str, Source] = {}
    for table in (plant.devices, plant.conductors, plant.cables, plant.places, plant.functions, plant.routes):
        for thing in table.values():
            for span in (thing.span, getattr(thing, "use", None)):
                if span is not None:
                    found.setdefault(span.source.path, span.source)
    for default in plant.defaults:
        found.setdefault(default.span.source.path, default.span.source)
    for device in plant.devices.values():
        if device.part is not None:
            found.setdefault(device.part.span.source.path, device.part.span.source)
    return [found[path] for path in sorted(found)]
