"""Serial lines: addresses of the stations and terminations at both ends."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Rule, Said, rule
from lint.subjects import bus_stations
from netdsl.calc.control import SerialLine, SerialLines
from netdsl.findings import Related, Severity
from netdsl.model.kinds import Category, Kind
from netdsl.model.plant import Device

#: a line as long as this does not work without its terminations, m (TIA-485-A, guidance)
_SHORT_M = 300.0


@rule("bus-address-double", Severity.ERROR, source="instructions of the equipment", judges=bus_stations)
def bus_address_double(facts: Facts, this: Rule) -> Iterator[Said]:
    """Two stations on one serial line have the same address.

    Reports:
      Each station whose address another station before it in the text has.
    Silent:
      Stations without an address: not all need one; the same address on another line.
    Why:
      Both answer at once, and neither is understood.
    Failing:
      device -T1 drive at=+MCP address=5
      device -T2 drive at=+MCP address=5
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -T2:PE to -XE1:4 10mm2 GNYE
      cable -W1 1x2x0.5 screened length=5m {
        1a -T1:A to -T2:A
        1b -T1:B to -T2:B
        screen -T1:SH clamp to -T2:SH clamp
      }
    Passing:
      - device -T2 drive at=+MCP address=5
      + device -T2 drive at=+MCP address=6
    Remedy:
      Give each station an address of its own.
    """
    for line in facts.calculation.of(SerialLines).lines():
        first: dict[float, Device] = {}
        for station in line.stations:
            address = station.amount("address")
            if address is None:
                yield this.spared(station.id, "it has no address: not all stations need one")
                continue
            other = first.setdefault(address, station)
            if other is not station:
                yield this.report(
                    f"`{other.id}` and `{station.id}` on one serial line both have address {address:g}",
                    "give each station an address of its own",
                    station.settings_at.get("address", station.span),
                    (station.id, other.id),
                    about=(station.id,),
                    related=[Related(f"`{other.id}` is given it here", other.settings_at.get("address", other.span))],
                )


@rule("bus-unterminated", Severity.ERROR, source="TIA-485-A; instructions of the equipment", judges=bus_stations)
def bus_unterminated(facts: Facts, this: Rule) -> Iterator[Said]:
    """A serial line is not terminated at its two ends and nowhere else.

    Reports:
      A station at an end of the line whose termination is not on (a warning on lines below 300 m and where the length is not
      known), and a station that is not at an end and whose termination is on.
    Silent:
      Stations that have no such setting, with a resistor at their terminals or without; lines that are no row from one end to the
      other, which are not judged.
    Why:
      Bits come back from an open end and are read twice; with a third resistor the level no longer suffices.
    Failing:
      device -T1 drive at=+MCP termination=on
      device -T2 drive at=+MCP termination=off
      wire -T1:PE to -XE1:3 10mm2 GNYE
      wire -T2:PE to -XE1:4 10mm2 GNYE
      cable -W1 1x2x0.5 screened length=400m {
        1a -T1:A to -T2:A
        1b -T1:B to -T2:B
        screen -T1:SH clamp to -T2:SH clamp
      }
    Passing:
      - device -T2 drive at=+MCP termination=off
      + device -T2 drive at=+MCP termination=on
    Remedy:
      Set the termination of both end stations to `on`, of all others to `off`.
    """
    lines = facts.calculation.of(SerialLines)
    lengths = {r.subject: r.value for r in facts.calculation.results_of(SerialLines) if r.question == "serial-line.length"}
    for line in lines.lines():
        ends = _ends(facts, line)
        if ends is None:
            yield this.not_judged(line.name, "which stations are at the ends of the serial line cannot be seen")
            continue
        short = lengths.get(line.name, 0.0) < _SHORT_M
        for station in line.stations:
            said = station.word("termination")
            if _has_resistor(facts, station, line):
                yield this.spared(station.id, "a resistor hangs at its terminals")
                continue
            if not said:
                if station.id in ends:
                    yield this.not_judged(
                        station.id, "it is at an end of its serial line, and how it is terminated is not stated"
                    )
                else:
                    yield this.spared(station.id, "it has no termination of its own")
                continue
            if station.id in ends and said != "on":
                yield this.report(
                    f"`{station.id}` is at an end of its serial line, and its termination is not on",
                    f"set `termination=on` at `{station.id}`",
                    station.settings_at.get("termination", station.span),
                    (station.id,),
                    about=(station.id,),
                    severity=Severity.WARNING if short else None,
                )
            elif station.id not in ends and said == "on":
                yield this.report(
                    f"the termination of `{station.id}` is on, and it is not at an end of its serial line",
                    f"set `termination=off` at `{station.id}`",
                    station.settings_at.get("termination", station.span),
                    (station.id, *sorted(ends)),
                    about=(station.id,),
                )


def _ends(facts: Facts, line: SerialLine) -> frozenset[str] | None:
    """The two stations at the ends of a line, None where it is no row: a branch, a ring, an end that is no station."""
    stations = {station.id for station in line.stations}
    joined: dict[str, set[str]] = {}
    for name in line.conductors:
        one, other = (_point(facts, end.device, end.terminal) for end in facts.plant.conductors[name].ends)
        joined.setdefault(one, set()).add(other)
        joined.setdefault(other, set()).add(one)
    ends = [point for point, others in joined.items() if len(others) == 1]
    row = all(len(others) <= 2 for others in joined.values()) and len(ends) == 2
    return frozenset(ends) if row and stations.issuperset(ends) else None


def _point(facts: Facts, device: str, terminal: str) -> str:
    """What a line passes: a station, or a terminal of a strip."""
    made = facts.plant.devices.get(device)
    return f"{device}:{terminal}" if made is not None and made.category == Category.STRIP else device


def _has_resistor(facts: Facts, station: Device, line: SerialLine) -> bool:
    """Whether a resistor hangs at a station's own terminals."""
    nets = {facts.network.runs[name].net for name in line.conductors}
    names = {node.partition(":")[0] for net in nets for node in facts.network.nets[net].nodes}
    resistors = [n for n in names if n in facts.plant.devices and facts.plant.devices[n].kind == Kind.RESISTOR]
    return any(facts.where(name) == facts.where(station.id) for name in resistors)
