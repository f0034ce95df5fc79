"""Least sections that a project sets for itself: larger as it likes, smaller with a reason."""

from __future__ import annotations

from collections.abc import Iterator

from lint.rules import rules
from netdsl.calc.protection import asked_mm2
from netdsl.calc.protection import loosened as below
from netdsl.findings import Finding
from netdsl.model.plant import OwnSection, Plant


def loosened(plant: Plant) -> Iterator[tuple[OwnSection, str]]:
    """Each that is below what the standards ask, with what it does in words."""
    for own in below(plant):
        yield own, f"the least section `{own.kind}` is {own.least_mm2:g} mm², where {asked_mm2(own.kind):g} mm² are asked for"


def refused(plant: Plant) -> Iterator[Finding]:
    """A finding for each that is less without a reason, and is not followed there."""
    entry = rules()["section-looser"]
    for own, words in loosened(plant):
        if not own.reason.strip():
            message = f"{words}, without a reason: that stays"
            remedy = "say why, and who agreed, behind `because`"
            yield Finding(entry.name, entry.severity, message, remedy, own.span, (), entry.source)
