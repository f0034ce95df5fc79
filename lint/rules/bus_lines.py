"""Conductors of a serial line that are not led to every station."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.pairs import line_of
from lint.registry import Rule, Said, rule
from lint.subjects import bus_stations
from lint.wording import listed
from netdsl.findings import Related, Severity
from netdsl.network.search import walk

#: the conductors of a pair, each of which every station needs; the common, which is led to all or to none
_PAIR = ("a", "b")
_COMMON = "common"


@rule("bus-line-open", Severity.ERROR, source="TIA-485-A; common practice", judges=bus_stations)
def bus_line_open(facts: Facts, this: Rule) -> Iterator[Said]:
    """A conductor of a serial line does not reach every station.

    Reports:
      A station to which the other stations of its line lead one conductor of the pair and not the other; a warning where the
      common is led to others of the line and not to this one, which has a terminal for it.
    Silent:
      Lines without a common anywhere; conductors that are exchanged (`bus-polarity`); stations with several terminals for one
      conductor, which are not judged, and those that do not say which conductor their terminals take (`line=`).
    Why:
      One wire of a pair alone carries nothing that can be told from noise. It may work on the bench and fails in the plant.
    Failing:
      part station "Station" {
        kind = controller   letter = A   class = III
        terminal :A bus line=a
        terminal :B bus line=b
      }
      device -A1 station at=+MCP
      device -A2 station at=+MCP
      cable -W1 1x2x0.5 screened length=5m spare=insulated {
        1a -A1:A to -A2:A
        screen -A1 clamp to -A2 clamp
      }
    Passing:
      -   1a -A1:A to -A2:A
      +   1a -A1:A to -A2:A
      +   1b -A1:B to -A2:B
    Remedy:
      Lead each conductor of the line to every station.
    """
    nets: dict[str, dict[str, frozenset[str]]] = {}
    for device in facts.plant.devices.values():
        ports = [(line, name) for name, terminal in device.terminals.items() if (line := line_of(terminal))]
        if not ports:
            continue
        if len({line for line, _ in ports}) < len(ports):
            yield this.not_judged(device.id, "it has several terminals for one conductor of its line")
            continue
        nets[device.id] = {line: facts.joined_in_service((f"{device.id}:{name}",)) for line, name in ports}
    for line, stations in _lines(nets):
        most = max(stations, key=len)
        for others in stations:
            if others is most or (line == _COMMON and len(most) == 1):
                continue
            lacking = sorted(others)
            if any(net in its for name in lacking for net in nets[name][line] for its in _elsewhere(nets, line)):
                yield from (this.spared(name, "two conductors are exchanged, of which `bus-polarity` speaks") for name in lacking)
                continue
            first = facts.plant.devices[lacking[0]]
            what = "the common" if line == _COMMON else f"conductor {line}"
            yield this.report(
                f"{what} of the serial line from {listed(sorted(most))} does not reach {listed(lacking)}",
                "lead each conductor of the line to every station",
                first.span,
                (*lacking, *sorted(most)),
                about=lacking,
                related=[Related(f"`{name}` is declared here", facts.plant.devices[name].span) for name in sorted(most)[:1]],
                severity=Severity.WARNING if line == _COMMON else None,
            )


def _lines(nets: dict[str, dict[str, frozenset[str]]]) -> Iterator[tuple[str, list[frozenset[str]]]]:
    """For each line and each conductor of it that some stations have and that does not join all of them: those it joins."""
    at: dict[str, list[str]] = {}
    for name, lines in nets.items():
        for net in frozenset[str]().union(*lines.values()):
            at.setdefault(net, []).append(name)

    def beside(name: str, *conductors: str) -> list[str]:
        ways = ((line, net) for line in conductors for net in nets[name].get(line, ()))
        return [other for line, net in ways for other in at[net] if net in nets[other].get(line, ())]

    done: set[str] = set()
    for name in nets:
        whole = set(walk((name,), lambda each: beside(each, *_PAIR, _COMMON)))
        if name in done or len(whole) == 1:
            continue
        done |= whole
        for line in (*_PAIR, _COMMON):
            have = [each for each in nets if each in whole and line in nets[each]]
            found = {frozenset(walk((each,), lambda at, line=line: beside(at, line))) for each in have}  # type: ignore[misc]
            if len(found) > 1:
                yield line, sorted(found, key=lambda group: (-len(group), sorted(group)))


def _elsewhere(nets: dict[str, dict[str, frozenset[str]]], line: str) -> Iterator[frozenset[str]]:
    """The nets of terminals that take another conductor of a line."""
    return (each for lines in nets.values() for other, each in lines.items() if other != line)
