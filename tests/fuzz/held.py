"""What must hold for whatever a text says: no exception, nothing that is no number, the same again, the same once formatted."""

from __future__ import annotations

import re
import resource
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from math import isfinite
from pathlib import Path
from typing import NamedTuple

import lint
from netdsl.calc import Calculation, calculate
from netdsl.comparing import listed
from netdsl.findings import Finding, Severity
from netdsl.model import read_plant
from netdsl.network import build_network
from netdsl.syntax import decode, format_text, parse

NAME = "plant.netdsl"
#: processor seconds, which other processes do not lengthen
LIMIT_S = 5.0
#: bytes of addresses: numpy and the tables take a third of it
MEMORY = 2 << 30
_PLACE = re.compile(r":\d+(?::\d+)?|(?<=line)s?\d+")


class TooLong(BaseException):
    """No Exception, lest something on the way takes it for a fault that it knows."""


class Broken(AssertionError):
    """Something that must hold does not."""


@contextmanager
def within(seconds: float = LIMIT_S) -> Iterator[None]:
    """Interrupt what takes longer than `seconds` of the processor."""

    def too_long(_signal: int, _frame: object) -> None:
        raise TooLong(f"longer than {seconds:g} s")

    before = signal.signal(signal.SIGPROF, too_long)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def bound_memory() -> None:
    """From now on this process raises MemoryError beyond the limit."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))


def hold(condition: bool, what: str) -> None:
    """Raises Broken with `what` where the condition does not hold."""
    if not condition:
        raise Broken(what)


class Depth(NamedTuple):
    """How much of a text is tried: whether it is `checked`, whether all figures are `calculated`, whether all is done `again`,
    with the same outcome."""

    checked: bool = True
    calculated: bool = True
    again: bool = True


def holds_of_text(data: bytes, depth: Depth) -> None:
    """A text decoded, read and formatted, to a depth. Raises Broken, or what broke."""
    source, faults = decode(data, NAME)
    said = _said(source.text, depth)
    formatted = format_text(source)
    if depth.again:
        hold(said == _said(source.text, depth), "the second run says something else")
        hold(formatted is not None or bool(parse(source)[1]), "a text without faults of syntax is not formatted")
    if depth.checked and not faults and formatted is not None and formatted != source.text:
        hold(format_text(decode(formatted.encode(), NAME)[0]) == formatted, "formatted twice it is another text")
        hold(_said(formatted, depth) == said, "formatted it says something else")


def _said(text: str, depth: Depth) -> tuple[list[str], list[str]]:
    """What is found in a text, and what it means, both without places and blanks."""
    plant, reading = read_plant(Path(NAME), {NAME: text})
    findings: list[Finding] = list(reading)
    meaning: list[str] = []
    if plant is not None and depth.checked:
        network, joining = build_network(plant)
        calculation = calculate(network)
        findings += [*joining, *lint.verdict(network, "2030-01-01", calculation).findings]
        if depth.calculated:
            figures(calculation)
        meaning = ["\t".join(fact) for fact in listed(network)]
    sound(findings)
    found = sorted(f"{each.rule} {_PLACE.sub('', ''.join(each.message.split()))} {each.subjects}" for each in findings)
    return found, meaning


def sound(findings: list[Finding]) -> None:
    """Findings are whole: each with a message of one line and a place, none of a fault of the program."""
    for finding in findings:
        hold(finding.rule != "internal-error", f"internal error: {finding.message}")
        hold(isinstance(finding.severity, Severity) and finding.span.start <= finding.span.end, "a finding without a place")
        hold(bool(finding.message), "a finding that says nothing")
        not_number(finding.message, finding.span.source.text)


def figures(calculation: Calculation) -> None:
    """Every number of a calculation is one, and every text of it can be made."""
    for result in calculation.results:
        for text in (result.formula_text, result.inserted, result.shown, *(given.shown for given in result.givens)):
            not_number(text, "")
        hold(isfinite(result.value), f"{result.key}: {result.value}")
        hold(result.margin_percent is None or isfinite(result.margin_percent), f"{result.key}: margin {result.margin_percent}")
    for gap in calculation.missing:
        hold(bool(gap.things and gap.absent and gap.remedy), "a gap that does not say what is absent")


def not_number(text: str, written: str) -> None:
    """Nothing is said to be infinite or no number, unless it was written so."""
    for word in re.findall(r"(?<![\w./-])(?:nan|inf|infinity)(?![\w./-])", text, re.IGNORECASE):
        hold(word.casefold() in written.casefold(), f"a figure that is none: {text[:200]}")
