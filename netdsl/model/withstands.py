"""What bars, places and devices may state of a short circuit: what they bear, and behind what."""

from __future__ import annotations

from netdsl.model.table import Take, value
from netdsl.model.usual_measures import CURRENT
from netdsl.model.word_forms import PROTECTION_KINDS

MAX_UPSTREAM = value("max-upstream", CURRENT, "largest rated current of the protection ahead")
UPSTREAM_KIND = value("upstream-kind", PROTECTION_KINDS, "kind of protection that must stand ahead, or several")
#: what bars and places may state of a short circuit as devices do
WITHSTANDS: tuple[Take, ...] = (
    value(
        "conditional-current",
        CURRENT,
        "fault current that it bears or breaks behind the protection that `max-upstream` and `upstream-kind` name",
    ),
    value("short-time-withstand", CURRENT, "fault current that it bears for a second"),
    value("peak-withstand", CURRENT, "peak of a fault current that it bears"),
    MAX_UPSTREAM,
    UPSTREAM_KIND,
)
