"""Signals over distance: burden of current loops, length of serial lines."""

from __future__ import annotations

from collections.abc import Iterator

from lint.facts import Facts
from lint.registry import Report, Rule, Said, rule
from lint.subjects import results_of
from netdsl.calc.basis import Given, Result, figure_text
from netdsl.calc.control import LoopBurdens, SerialLines
from netdsl.findings import Related, Severity


@rule("loop-burden", Severity.ERROR, source="IEC 60381-1; transmitter data; Ohm's law", judges=results_of(LoopBurdens))
def loop_burden(facts: Facts, this: Rule) -> Iterator[Said]:
    """A current loop has more resistance in it than what drives it can drive 20 mA through.

    Reports:
      A 4..20 mA loop: the inputs in it and its conductors there and back have more ohms together than the transmitter states
      as its `max-burden`, or, fed by the loop, than its source's voltage leaves it above its own lowest voltage at 20 mA.
    Silent:
      Voltage signals; transmitters that state neither; inputs without a stated `burden` are taken as assumed.
    Why:
      The upper part of the range is cut off: the value stops rising, which looks like a process that stands still.
    Failing:
      part demo-transmitter "Transmitter, two-wire" {
        kind = transmitter   letter = B   class = III   signal = 4..20mA   voltage = 12..30V
        terminal :+ supply-in
        terminal :- analogue-out
      }
      device -T1 drive at=+MCP burden=800ohm
      device -B1 demo-transmitter at=+HALL
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T1:AC to -T1:COM 0.75mm2 RD
      cable -W1 1x2x0.75 screened length=20m {
        1a -T1:24V to -B1:+
        1b -T1:AI1 to -B1:-
        screen -T1:SH clamp to -B1 open
      }
    Passing:
      - device -T1 drive at=+MCP burden=800ohm
      + device -T1 drive at=+MCP burden=250ohm
    Remedy:
      Take an input of less resistance, fewer inputs in the loop, a signal isolator, or, of a two-wire loop, a higher voltage.
    """
    for result in facts.calculation.results_of(LoopBurdens):
        if result.question == "loop-burden" and result.limit is None:
            yield this.not_judged(result.subject, "what it can drive a loop through is not stated")
        if result.question == "loop-burden" and not result.holds and result.limit is not None:
            inputs = [given for given in result.givens if given.symbol.startswith("R_") and given.symbol != "R_c"]
            cables = [facts.plant.conductors[name].cable or "" for name in result.conductors]
            yield this.report(
                f"the loop that `{result.subject}` drives has {figure_text(result.value)} ohm, it can drive "
                f"{figure_text(result.limit)} ohm at most",
                _shortened(result, len(inputs)),
                facts.plant.devices[result.subject].span,
                (result.subject, *cables),
                about=(result.subject,),
                related=[
                    Related(f"an input of {figure_text(given.value)} ohm in the loop", given.span)
                    for given in inputs
                    if given.span is not None
                ],
            )


def _shortened(result: Result, inputs: int) -> str:
    """What lets a loop carry its current: of one that states its burden a higher voltage lets it drive no more."""
    ways = ["take an input of less resistance", *(["fewer inputs in the loop"] if inputs > 1 else [])]
    stated = result.limit_given is not None and not result.limit_given.result
    ways.append("a signal isolator before it" if stated else "a supply of higher voltage")
    return f"{', '.join(ways[:-1])}, or {ways[-1]}"


@rule("bus-too-long", Severity.WARNING, source="TIA-485-A, cable length against data rate", judges=results_of(SerialLines))
def bus_too_long(facts: Facts, this: Rule) -> Iterator[Report]:
    """A serial line is longer than its bit rate allows.

    Reports:
      The lengths of all pieces from station to station, together above the longest line for the highest bit rate that a station
      states, or the project.
    Silent:
      Pieces without a length (`data-missing` names them); rates above those that the table of lengths covers.
    Why:
      Bits run into each other: the line works on the bench and loses telegrams in the plant.
    Failing:
      device -T1 drive at=+MCP bit-rate=500kbit/s
      device -T2 drive at=+HALL
      wire -T1:PE to -XE1:3 6mm2 GNYE
      wire -T2:PE to -XE1:4 6mm2 GNYE length=10m
      cable -W1 1x2x0.5 screened length=300m {
        1a -T1:A to -T2:A
        1b -T1:B to -T2:B
        screen -T1:SH clamp to -T2:SH clamp
      }
    Passing:
      - cable -W1 1x2x0.5 screened length=300m {
      + cable -W1 1x2x0.5 screened length=100m {
    Remedy:
      Lower the bit rate, shorten the way from station to station, or put a repeater in.
    """
    for result in facts.calculation.results_of(SerialLines):
        if result.question == "serial-line.length" and not result.holds and result.limit is not None:
            rate = next(given for given in result.givens if given.symbol == "rate")
            cables = dict.fromkeys(facts.plant.conductors[name].cable or "" for name in result.conductors)
            yield this.report(
                f"the serial line from `{result.subject}` is {figure_text(result.value)} m long, "
                f"at {_rate(rate)} at most {figure_text(result.limit)} m",
                "lower the bit rate, shorten the way from station to station, or put a repeater in",
                facts.plant.devices[result.subject].span,
                (result.subject, *cables),
                about=(result.subject,),
                related=[Related(f"{_rate(rate)} is stated here", rate.span)] if rate.span else [],
            )


def _rate(rate: Given) -> str:
    value = rate.value
    return f"{value / 1000:g} kbit/s" if value >= 1000 else f"{value:g} bit/s"
