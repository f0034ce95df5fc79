"""The rules whose interplay is tested: on one fault none of them speaks beside the one that names the cause.

A test of one rule applies that rule alone; what several make of one fault is asked of the rules named here. So a new rule changes
no test of another. Where its findings may have a cause that another rule names, it is added here, and the plants of the interplay
show which of the two has to be silent.
"""

from __future__ import annotations

from collections.abc import Iterable

from lint.rules import rules
from netdsl.findings import Finding

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
    others = {entry.name for entry in rules().values() if entry.check is not None} - TOGETHER - set(more)
    return tuple(finding for finding in findings if finding.rule not in others)
