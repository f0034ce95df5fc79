"""The rules whose interplay is tested: on one fault none of them speaks beside the one that names the cause.

A test of one rule applies that rule alone; what several make of one fault is asked of the rules named here. So a new rule changes
no test of another. Where its findings may have a cause that another rule names, it is added here, and the plants of the interplay
show which of the two has to be silent.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from functools import cache
from pathlib import Path

import lint
from lint.rules import rules
from lint.runner import JOINED
from netdsl.cli.work import PLANT_FILE, Judged, connect
from netdsl.findings import Finding, arranged

TOGETHER = frozenset(
    """
    arrester-protection bonding-missing brake-unprotected breaking-capacity bundle-mixed bus-too-long cable-mixed
    clamp-overfilled clamp-range contact-overloaded contactor-undersized control-drop crossing-angle data-missing
    distortion-exceeded drive-protection drive-undersized earth-clamp-shared earth-colour earth-in-series earth-loop earth-missing
    earth-not-at-drive earth-undersized enclosure-hot equipment-withstand fault-loop fault-withstand filter-on-unearthed-supply
    isolation-missing loop-burden motor-cable-long motor-unprotected neutral-undersized overload overload-setting
    potentials-joined protection-missing rating-exceeded reactor-missing relation-unknown residual-device return-missing
    screen-both-ends screen-missing screen-pigtail screen-unterminated source-overloaded spacing-short supply-cannot-trip
    terminal-open voltage-drop voltage-mismatch voltage-segregation winding-connection
    """.split()
)
#: rules about sizes and data, which a text that shows one thing about the wiring may leave out
SIZING = frozenset({"data-missing", "overload", "protection-missing"})


def together(findings: Iterable[Finding], *more: str) -> tuple[Finding, ...]:
    """Findings of those rules, of `more`, and of what is said of the text itself."""
    others = _wiring() - TOGETHER - set(more)
    return tuple(finding for finding in findings if finding.rule not in others)


def found_by(names: Collection[str], read: Judged) -> tuple[Finding, ...]:
    """What `check` says by these rules of a plant that was read and connected, and of its text: the same as beside all others,
    of which those alone are applied that have a say."""
    if read.network is None:
        return read.findings
    findings = lint.check(read.network, calculation=read.calculation, only=with_a_say(frozenset(names)))
    others = _wiring() - frozenset(names)
    return arranged((*read.findings, *(finding for finding in findings if finding.rule not in others)))


def found_in(text: str, *names: str) -> tuple[Finding, ...]:
    """The same of a plant of one file that holds `text`, by these rules."""
    return found_by(names, connect(Path(PLANT_FILE), {PLANT_FILE: text}))


def found_together(file: Path, instead: Mapping[str, str] | None = None) -> tuple[Finding, ...]:
    """What `check` says of a plant by the rules whose interplay is tested, and of the text itself."""
    return found_by(TOGETHER, connect(file, instead))


@cache
def _wiring() -> frozenset[str]:
    return frozenset(entry.name for entry in rules().values() if entry.check is not None)


@cache
def with_a_say(names: frozenset[str]) -> frozenset[str]:
    """Rules with all that have a say in what becomes of their reports: those that silence them, and those about joined
    potentials, without which they look at the plant."""
    return names | JOINED | {entry.name for entry in rules().values() if not names.isdisjoint(entry.silences)}
