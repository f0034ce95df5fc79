"""Terminals of a strip that were renumbered, recognised by their order on the rail and what lands on them."""

from __future__ import annotations

from collections.abc import Sequence

from netdsl.comparing.names import Names
from netdsl.model.device import Device
from netdsl.network.types import Network

#: what two terminals have in common: all that lands on them, nothing on either, name, text
_LANDS, _SPARE, _NAME, _TEXT = 1.0, 0.3, 0.6, 0.2
#: terminals at most whose order is compared pair by pair
_MOST = 1500

_Terminal = tuple[str, str, frozenset[tuple[str, ...]]]


def renumbered(old: Network, before: Device, new: Network, after: Device, names: Names) -> dict[str, str]:
    """Names of terminals that changed, old to new; none where the strip still has the same terminals. Where one was put in or
    taken out, those behind it that took their conductors along are the same terminals."""
    if set(before.terminals) == set(after.terminals):
        return {}
    one, two = _terminals(old, before, names), _terminals(new, after, Names())
    # either way round the same: whichever is less in the order of texts is gone through first
    flipped = [each[:2] for each in one] > [each[:2] for each in two]
    pairs = _aligned(two, one) if flipped else _aligned(one, two)
    found = {(second if flipped else first): (first if flipped else second) for first, second in pairs}
    return {first: second for first, second in found.items() if first != second}


def _terminals(network: Network, strip: Device, names: Names) -> list[_Terminal]:
    """Name, text and landings of each terminal in rail order; landings do not name terminals of strips, which may be renumbered
    too."""
    found: list[_Terminal] = []
    for name, terminal in strip.terminals.items():
        lands: set[tuple[str, ...]] = set()
        for identity in network.at_terminal.get(f"{strip.id}:{name}", ()):
            conductor = network.plant.conductors[identity]
            cable = names.thing(conductor.cable) if conductor.cable else ""
            for end in conductor.ends:
                if end.device == strip.id:
                    continue
                device = network.plant.devices.get(end.device)
                of_strip = device is not None and device.category == "strip"
                lands.add((names.thing(end.device), "" if of_strip else end.terminal, cable, conductor.core))
        found.append((name, terminal.text, frozenset(lands)))
    return found


def _aligned(one: Sequence[_Terminal], two: Sequence[_Terminal]) -> list[tuple[str, str]]:
    """Pairs of terminals in the order of both, with the most in common."""
    start = 0
    while start < min(len(one), len(two)) and one[start] == two[start]:
        start += 1
    first, second = one[start:], two[start:]
    if max(len(first), len(second)) > _MOST:
        known = {name for name, *_ in second}
        return [(name, name) for name, *_ in first if name in known]
    best = [[0.0] * (len(second) + 1) for _ in range(len(first) + 1)]
    for i in range(len(first) - 1, -1, -1):
        for j in range(len(second) - 1, -1, -1):
            alike = _alike(first[i], second[j])
            best[i][j] = max(best[i + 1][j], best[i][j + 1], best[i + 1][j + 1] + alike if alike else 0.0)
    pairs, i, j = [(each[0], each[0]) for each in one[:start]], 0, 0
    while i < len(first) and j < len(second):
        alike = _alike(first[i], second[j])
        if alike and best[i][j] == best[i + 1][j + 1] + alike:
            pairs.append((first[i][0], second[j][0]))
            i, j = i + 1, j + 1
        elif best[i + 1][j] >= best[i][j + 1]:
            i += 1
        else:
            j += 1
    return pairs


def _alike(one: _Terminal, two: _Terminal) -> float:
    """How alike two terminals are; 0 where neither name nor landings agree."""
    both, either = len(one[2] & two[2]), len(one[2] | two[2])
    lands = _LANDS * both / either if either else _SPARE
    named = _NAME if one[0] == two[0] else 0.0
    return lands + named + (_TEXT if one[1] == two[1] else 0.0) if named or both or not either else 0.0
