"""`allow`, `severity`, `caution`, `remark`: reviewed exceptions, how bad findings are, lines for whoever wires or operates."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.model.ends import base_of, ends_of, object_of, reference_span
from netdsl.model.here import Here
from netdsl.model.mentions import What
from netdsl.model.plant import Exception_, Note, SeverityChoice
from netdsl.model.table import Nothing, Statement, fixed
from netdsl.model.values import is_day, text_of
from netdsl.syntax.tree import Allow, Remark, RuleSeverity
from netdsl.syntax.written import Reference

ALLOW = Statement(
    "allow",
    Nothing,
    "A reviewed exception, printed on the cover",
    fixed("RULE", "the name of a rule", "which finding is accepted"),
    fixed("on SUBJECT", "a device, terminal, cable, place or route", "at what"),
    fixed('because "TEXT"', "a text in quotes", "why it was accepted, and by whom"),
    fixed("until DATE", "a day, `2027-06-30`", "how long it holds; for good without it"),
)
SEVERITY = Statement(
    "severity",
    Nothing,
    "How bad this project takes the findings of a rule",
    fixed("RULE", "the name of a rule", "whose findings"),
    fixed("LEVEL", "`error`, `warning`, `note`", "how bad they are here"),
    fixed('because "TEXT"', "a text in quotes", "why, and by whom; needed where it is less than usual"),
)
#: what a finding may be
LEVELS = ("error", "warning", "note")
CAUTION = Statement(
    "caution",
    Nothing,
    "A caution printed on the drawing of a device",
    fixed("on DEVICE", "a device", "which"),
    fixed('"TEXT"', "a text in quotes, or a value", "what is printed"),
)
REMARK = Statement(
    "remark",
    Nothing,
    "A remark printed on the drawing of a device",
    fixed("on DEVICE", "a device", "which"),
    fixed('"TEXT"', "a text in quotes, or a value", "what is printed"),
)


def allow(statement: Allow, here: Here) -> None:
    """Enter a reviewed exception."""
    reason, until = statement.reason, statement.until
    if not reason.value.strip():
        here.fault("missing-value", reason.span, "an exception needs its reason", "say why it was accepted, and by whom")
    if until is not None and not is_day(until.text):
        here.fault("wrong-unit", until.span, f"`{until.text}` is no date", "write it as 2027-06-30 (ISO 8601)")
    identity = _subject(statement.subject, here)
    if identity is not None:
        here.desk.exceptions.append(
            Exception_(
                rule=statement.rule.text,
                subject=identity,
                reason=reason.value,
                until=until.text if until else None,
                span=statement.span,
            )
        )


def severity(statement: RuleSeverity, here: Here) -> None:
    """Enter how bad a rule's findings are; whether there is such a rule is known where rules are applied."""
    rule, level, chosen = statement.rule.text, statement.level, here.desk.severities
    if level.text not in LEVELS:
        here.unknown("severity", level.text, level.span, LEVELS)
    elif any(each.rule == rule for each in chosen):
        here.fault("duplicate-name", statement.span, f"the severity of `{rule}` is chosen twice", "keep one")
    else:
        chosen.append(SeverityChoice(rule, level.text, statement.reason.value if statement.reason else "", statement.span))


def _subject(subject: Reference, here: Here) -> str | None:
    """What an exception is about: a device, cable, place, function or route, or a terminal; None with a finding."""
    desk, spelt = here.desk, subject
    if subject.base.startswith("$"):
        base = base_of(subject, here)
        if base is None:
            return None
        subject, here, spelt = replace(subject, base=base.text, meant=base.text), base.here, base.spelt
    identity, what = here.find(subject.base), What.THING
    if identity is None and subject.base.startswith("="):
        identity = next((name for name in here.candidates(subject.base) if name in desk.functions), None)
        what = What.FUNCTION
    if identity is None and subject.base in desk.routes:
        identity, what = subject.base, What.ROUTE
    if identity is None:
        known = (*desk.declared, *desk.places, *desk.routes)
        here.unknown("device, cable, place or route", subject.base, subject.span, known)
    elif subject.terminals:
        ends = ends_of(subject, here.over(subject.span))
        return ends[0].id if ends else None
    else:
        here.mention(what, identity, reference_span(spelt), subject.base)
    return identity


def remark(statement: Remark, here: Here) -> None:
    """Enter a caution or a remark on a device."""
    subject, kind = statement.subject, statement.kind.text
    if subject.terminals:
        message = f"`{subject.text}` names a terminal, a {kind} stands on a whole device"
        here.fault("syntax", subject.span, message, f"write `{subject.base}` and name the terminal in the text")
        return
    identity, text = object_of(subject, here), text_of(statement.text, here)
    if text is None:
        return
    if identity in here.desk.devices:
        span, use = here.pointed(statement.span)
        here.desk.notes.append(Note(kind, identity, text, span, use))
    elif identity is not None and identity not in here.desk.doubtful:
        here.fault("unknown-name", subject.span, f"`{identity}` is no device", "name a device")
