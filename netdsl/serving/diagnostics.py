"""Findings as an editor shows them: marked in their lines, with the places that help to understand them."""

from __future__ import annotations

from collections.abc import Iterable

from lsprotocol import types

from netdsl.findings import Finding, Severity
from netdsl.serving.desk import Desk
from netdsl.serving.plants import OpenPlant

_SEVERITY = {
    Severity.ERROR: types.DiagnosticSeverity.Error,
    Severity.WARNING: types.DiagnosticSeverity.Warning,
    Severity.NOTE: types.DiagnosticSeverity.Information,
}
SOURCE = "netdsl"


def by_text(desk: Desk, plant: OpenPlant, findings: Iterable[Finding]) -> dict[str, list[types.Diagnostic]]:
    """Diagnostics by the URI of each text of a plant, in the order of their places; allowed findings are left out."""
    found: dict[str, list[types.Diagnostic]] = {desk.uri(plant, name): [] for name in plant.order or sorted(plant.opened)}
    for finding in findings:
        if finding.allowed is None:
            at = desk.location(plant, finding.span)
            if at is not None:
                found.setdefault(at.uri, []).append(diagnostic(desk, plant, finding, at.range))
    for each in found.values():
        each.sort(key=lambda one: (one.range.start.line, one.range.start.character, str(one.code), one.message))
    return found


def diagnostic(desk: Desk, plant: OpenPlant, finding: Finding, where: types.Range) -> types.Diagnostic:
    """One finding."""
    related = []
    for each in finding.related:
        place = desk.location(plant, each.span)
        if place is not None:
            related.append(types.DiagnosticRelatedInformation(place, each.message))
    return types.Diagnostic(
        where,
        f"{finding.message}: {finding.remedy}" if finding.remedy else finding.message,
        severity=_SEVERITY[finding.severity],
        code=finding.rule,
        source=SOURCE,
        related_information=related or None,
        data={"subjects": list(finding.subjects)},
    )
