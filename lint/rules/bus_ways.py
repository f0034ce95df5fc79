"""How serial lines are led: from station to station, like data line to like."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import inf

from lint.facts import Facts
from lint.pairs import line_of
from lint.registry import Report, Rule, Said, rule
from lint.subjects import bus_stations
from lint.wording import listed, metres
from netdsl.calc.basis import figure, one_table
from netdsl.calc.control import SerialLine, SerialLines
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Kind
from netdsl.model.plant import Conductor, Role
from netdsl.network.search import walk

#: for each point of a line the points next to it, with the conductor to each
Ways = dict[str, dict[str, Conductor]]


@rule(
    "bus-star",
    Severity.ERROR,
    source="TIA-485-A; instructions of the equipment",
    silences=("clamp-overfilled",),
    judges=bus_stations,
)
def bus_star(facts: Facts, this: Rule) -> Iterator[Said]:
    """A serial line branches, or closes to a ring.

    Reports:
      A station or a terminal of a strip from which more than two pieces of the line lead on: a warning where all but two are
      not longer than 5 m, at 100 kbit/s at the most, and where a length is not known. A line that comes back to where it was.
    Silent:
      Drops of 0.23 m or less; a station with separate terminals for each line, as repeaters have; a resistor at the terminals.
    Why:
      Bits come back from the end of each branch, and a line with three ends cannot be terminated.
    Failing:
      part hub "Station" {
        kind = controller   letter = A   class = III
        terminal :A bus line=a clamps=3
        terminal :B bus line=b clamps=3
      }
      device -A1 hub at=+MCP
      device -A2 hub at=+MCP
      device -A3 hub at=+MCP
      device -A4 hub at=+MCP
      cable -W1 1x2x0.5 screened length=30m {
        1a -A1:A to -A2:A
        1b -A1:B to -A2:B
        screen -A1 clamp to -A2 clamp
      }
      cable -W2 1x2x0.5 screened length=30m {
        1a -A1:A to -A3:A
        1b -A1:B to -A3:B
        screen -A1 clamp to -A3 clamp
      }
      cable -W3 1x2x0.5 screened length=30m {
        1a -A1:A to -A4:A
        1b -A1:B to -A4:B
        screen -A1 clamp to -A4 clamp
      }
    Passing:
      -   1a -A1:A to -A4:A
      -   1b -A1:B to -A4:B
      -   screen -A1 clamp to -A4 clamp
      +   1a -A3:A to -A4:A
      +   1b -A3:B to -A4:B
      +   screen -A3 clamp to -A4 clamp
    Remedy:
      Lead the line from station to station, in at each and out to the next, or divide it by a repeater.
    """
    harmless = figure(one_table("control", "serial_stub"), "length_m", 0).value
    lines = facts.calculation.of(SerialLines)
    for line in lines.lines():
        ways = _ways(facts, line)
        ring = _ring(ways)
        if ring:
            yield _round(facts, this, line, ways, ring)
        slow = lines.rate(line).value <= figure(one_table("control", "serial_stub_slow"), "bit_per_s", 0).value
        for point, beside in ways.items() if not ring else ():
            if len(beside) < 3:
                continue
            arms = sorted(((_reach(facts, ways, point, far), far) for far in beside), reverse=True)
            shortest, station = arms[-1][0], point.partition(":")[0]
            if arms[2][0] <= harmless:
                yield this.spared(_owner(point, arms), f"what branches off at `{point}` is {metres(arms[2][0])} long")
                continue
            longest = figure(one_table("control", "serial_stub_slow"), "length_m", 0).value
            mild = arms[2][0] == inf or (slow and arms[2][0] <= longest)
            last = _last(facts, beside.values())
            others = list(beside)
            known = f", the shortest {metres(shortest)} long" if shortest < inf else ""
            device = facts.device(station)
            bus = [f"{station}:{t.name}" for t in (device.terminals.values() if device else ()) if t.role is Role.BUS]
            yield this.report(
                f"a serial line branches at `{point}`: {len(beside)} pieces lead on from there, to {listed(others)}{known}",
                "lead the line from station to station, in at each and out to the next",
                last.span,
                (_owner(point, arms), point, *(far.partition(":")[0] for far in others), last.cable or last.id),
                about=(point,),
                explains=(*bus, *(f"{node}/{side}" for node in [point] for side in ("in", "out"))),
                related=[Related("another piece", c.span) for c in beside.values() if c is not last],
                severity=Severity.WARNING if mild else None,
            )


def _owner(point: str, arms: list[tuple[float, str]]) -> str:
    """The station at a point; of a strip the first station next to it that is one, else its device."""
    stations = [point, *(far for _, far in arms)]
    return next((name for name in stations if ":" not in name), point.partition(":")[0])


def _ways(facts: Facts, line: SerialLine) -> Ways:
    """The points of a line: its stations, and terminals that it passes, bridged ones of a strip as one."""
    stations = {station.id for station in line.stations}
    found: Ways = {}
    for name in line.conductors:
        conductor = facts.plant.conductors[name]
        devices = [facts.device(end.device) for end in conductor.ends]
        if any(device is None or device.kind == Kind.RESISTOR for device in devices):
            continue
        one, other = (end.device if end.device in stations else _point(facts, end.device, end.terminal) for end in conductor.ends)
        if one != other:
            found.setdefault(one, {})[other] = conductor
            found.setdefault(other, {})[one] = conductor
    return found


def _point(facts: Facts, name: str, terminal: str) -> str:
    device = facts.device(name)
    bridges = device.bridges if device is not None else ()
    return f"{name}:{next((bridge[0] for bridge in bridges if terminal in bridge), terminal)}"


def _ring(ways: Ways) -> set[str]:
    """The points left of a line without its ends, and theirs, and so on."""
    left = set(ways)
    while ends := {point for point in left if len(left & ways[point].keys()) < 2}:
        left -= ends
    return left


def _reach(facts: Facts, ways: Ways, point: str, first: str) -> float:
    """How far a branch without rings reaches from a point, m; infinite where a length is not known."""
    far = {first: _length(facts, ways[point][first])}
    for here in walk((first,), lambda at: (other for other in ways[at] if other != point)):
        for other, conductor in ways[here].items():
            if other != point and other not in far:
                far[other] = far[here] + _length(facts, conductor)
    return max(far.values())


def _last(facts: Facts, pieces: Iterable[Conductor]) -> Conductor:
    """The last of several in the text."""
    order = {name: number for number, name in enumerate(facts.plant.conductors)}
    return max(pieces, key=lambda conductor: order[conductor.id])


def _length(facts: Facts, conductor: Conductor) -> float:
    length = facts.network.runs[conductor.id].length_m
    return inf if length is None else length


def _round(facts: Facts, this: Rule, line: SerialLine, ways: Ways, ring: set[str]) -> Report:
    around = [point for point in ways if point in ring]
    pieces = [conductor for point in around for far, conductor in ways[point].items() if far in ring]
    last = _last(facts, pieces)
    return this.report(
        f"a serial line closes to a ring over {listed(around)}",
        "open it between its two ends",
        last.span,
        (line.name, *(point.partition(":")[0] for point in around), last.cable or last.id),
        about=(line.name,),
    )


def _with_lines(facts: Facts) -> Iterator[str]:
    """Devices with terminals of a serial line, of which one at least is wired."""
    for device in facts.plant.devices.values():
        if any(t.role is Role.BUS and f"{device.id}:{t.name}" in facts.landed for t in device.terminals.values()):
            yield device.id


@rule("bus-polarity", Severity.ERROR, source="TIA-485-A; instructions of the equipment", judges=_with_lines)
def bus_polarity(facts: Facts, this: Rule) -> Iterator[Said]:
    """The data lines of a serial line are exchanged between two stations.

    Reports:
      A terminal of a station that takes one conductor of a serial line, joined to one of the next station that takes another.
    Silent:
      Terminals that are called otherwise and take the same conductor: what they say by `line=` counts, not their names.
    Why:
      The station sees every bit turned round: neither it nor what lies behind it answers.
    Failing:
      part station "Station" {
        kind = controller   letter = A   class = III
        terminal :A bus line=a
        terminal :B bus line=b
      }
      device -A1 station at=+MCP
      device -A2 station at=+MCP
      cable -W1 1x2x0.5 screened length=5m {
        1a -A1:A to -A2:B
        1b -A1:B to -A2:A
        screen -A1 clamp to -A2 clamp
      }
    Passing:
      -   1a -A1:A to -A2:B
      -   1b -A1:B to -A2:A
      -   screen -A1 clamp to -A2 clamp
      +   1a -A1:A to -A2:A
      +   1b -A1:B to -A2:B
      +   screen -A1 clamp to -A2 clamp
    Remedy:
      Exchange the two cores at one end.
    """
    named = {
        f"{device.id}:{terminal.name}": (device.id, line)
        for device in facts.plant.devices.values()
        for terminal in device.terminals.values()
        if (line := line_of(terminal))
    }
    saying = {device for device, _ in named.values()}
    for name in _with_lines(facts):
        if name not in saying:
            yield this.not_judged(name, "which conductor of its serial line each terminal takes is not stated")
    told: set[str] = set()
    for node, (device, line) in named.items():
        for far, by in _next(facts, named, node):
            other, its = named[far]
            if other == device or its == line or told & {device, other} or _is_shorted(facts, named, node):
                continue
            told |= {device, other}
            conductor = facts.plant.conductors[by]
            yield this.report(
                f"`{far}`, {_called(its)}, is joined to `{node}`, {_called(line)}",
                "exchange the two cores at one end",
                conductor.span,
                (other, far, device, node, conductor.cable or conductor.id),
                about=(far, node),
                related=[Related(f"`{device}` is declared here", facts.plant.devices[device].span)],
            )


def _called(line: str) -> str:
    return "the common of its line" if line == "common" else f"data line {line} of its line"


def _next(facts: Facts, named: Mapping[str, object], node: str) -> Iterator[tuple[str, str]]:
    """The terminals of serial lines next to one, each with the last conductor on the way there."""

    def beyond(at: tuple[str, str]) -> Iterator[tuple[str, str]]:
        here, by = at
        if here == node or here not in named:
            yield from ((far, conductor or by) for far, conductor in facts.neighbours.get(here, ()))

    for far, by in walk(((node, ""),), beyond):
        if far != node and far in named and by:
            yield far, by


def _is_shorted(facts: Facts, named: Mapping[str, tuple[str, str]], node: str) -> bool:
    """Whether two conductors of one station are one net."""
    net = facts.network.net(node)
    lines: dict[str, set[str]] = {}
    for other in net.nodes if net is not None else ():
        if other in named:
            device, line = named[other]
            lines.setdefault(device, set()).add(line)
    return any(len(found) > 1 for found in lines.values())
