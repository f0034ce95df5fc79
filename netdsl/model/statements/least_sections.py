"""`least-section`: below which sections a project does not go."""

from __future__ import annotations

from netdsl.model.here import Here
from netdsl.model.measures import Amount, Measure
from netdsl.model.plant import OwnSection
from netdsl.model.table import Statement, fixed, key, record
from netdsl.syntax.tree import LeastSection

_SECTION = Amount(Measure("section", positive=True))


@record
class LeastSectionSays:
    """What a `least-section` says, mm²."""

    bond: float | None = key(_SECTION, "bonds of enclosures, doors and plates")
    separate: float | None = key(_SECTION, "protective conductors laid apart from their live conductors")
    pen: float | None = key(_SECTION, "PEN conductors")
    leakage: float | None = key(_SECTION, "single protective conductors of touch currents above their limit")
    arrester: float | None = key(_SECTION, "the earth of a mains arrester")
    arrester_lead: float | None = key(_SECTION, "its live leads", name="arrester-lead")
    lightning: float | None = key(_SECTION, "the earth of an arrester for lightning currents")
    lightning_lead: float | None = key(_SECTION, "its live leads", name="lightning-lead")


LEAST_SECTION = Statement(
    "least-section",
    LeastSectionSays,
    "Below which sections this project does not go",
    fixed('because "TEXT"', "a text in quotes", "why, and by whom; needed where one is less than the standards ask"),
)


def enter_sections(statement: LeastSection, here: Here) -> None:
    """Enter least sections; whether the standards ask for more is known where they are computed."""
    says = LEAST_SECTION.read(here, statement.attrs)
    reason = statement.reason.value if statement.reason else ""
    stated = {
        "bond": says.bond,
        "separate": says.separate,
        "pen": says.pen,
        "leakage": says.leakage,
        "arrester": says.arrester,
        "arrester-lead": says.arrester_lead,
        "lightning": says.lightning,
        "lightning-lead": says.lightning_lead,
    }
    made = (OwnSection(kind, value, reason, statement.span) for kind, value in stated.items() if value is not None)
    here.desk.least_sections.extend(made)
