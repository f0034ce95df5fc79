"""What can be done about a finding: the remedy that the text alone can carry out, or an exception with its reason."""

from __future__ import annotations

from lsprotocol import types

from netdsl.findings import Finding
from netdsl.serving.desk import Desk, Open
from netdsl.serving.diagnostics import diagnostic

_FIX = types.CodeActionKind.QuickFix


def actions(desk: Desk, here: Open, wanted: types.Range, findings: tuple[Finding, ...]) -> list[types.CodeAction]:
    """For each finding in the lines of `wanted`."""
    result: list[types.CodeAction] = []
    for finding in findings:
        if finding.allowed is not None or not here.document.holds(finding.span.source):
            continue
        where = here.places.range(finding.span)
        if where.end.line < wanted.start.line or where.start.line > wanted.end.line:
            continue
        shown = diagnostic(desk, here.plant, finding, where)
        mending = _mending(desk, here, finding)
        if mending is not None:
            title = finding.remedy[:1].upper() + finding.remedy[1:]
            result.append(types.CodeAction(title, _FIX, [shown], is_preferred=True, edit=mending))
        exception = _exception(here, finding)
        if exception is not None:
            title = f"Grant an exception from {finding.rule}"
            result.append(types.CodeAction(title, _FIX, [shown], edit=exception))
    return result


def _mending(desk: Desk, here: Open, finding: Finding) -> types.WorkspaceEdit | None:
    """The edits that a finding brings along; None where it has none, or one of them is in a text that is there no more."""
    changes: dict[str, list[types.TextEdit]] = {}
    for edit in finding.fix:
        place = desk.location(here.plant, edit.span)
        if place is None:
            return None
        changes.setdefault(place.uri, []).append(types.TextEdit(place.range, edit.text))
    return types.WorkspaceEdit(changes=changes) if changes else None


def _exception(here: Open, finding: Finding) -> types.WorkspaceEdit | None:
    """An `allow` behind the text, with a reason to be written; None where no rule of the wiring found it."""
    from lint.rules import rules

    rule = rules().get(finding.rule)
    if rule is None or rule.check is None or not finding.subjects:
        return None
    last = here.document.line_count - 1
    text = here.document.line(last)
    end = here.places.position(last, len(text))
    line = f'allow {finding.rule} on {finding.subjects[0]} because "reason to be given"\n'
    edit = types.TextEdit(types.Range(end, end), ("\n" if text else "") + line)
    return types.WorkspaceEdit(changes={here.uri: [edit]})
