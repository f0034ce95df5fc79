"""One difference between two plants."""

from __future__ import annotations

from enum import IntEnum
from typing import NamedTuple

from netdsl.findings import Span

#: facts that are words on paper: nothing is wired, rated or judged by them
LIKE_TEXT = frozenset({"title", "text", "mark", "rating maker", "rating order", "rating article"})


#: what a change of figures is whose limits are kept, with room, or that have none
FIGURES = "result-changed"


class Weight(IntEnum):
    """In which order changes are told: first what is wrong now, last words alone."""

    FINDING = 1
    DEVICE = 2
    RENAMED = 3
    CONDUCTOR = 4
    CABLE = 5
    TERMINAL = 6
    SETTING = 7
    OTHER = 8
    EXCEPTION = 9
    COMPUTED = 10
    TEXT = 11


class Change(NamedTuple):
    """One thing done between two plants.

    `what`: its kind in a word (`device-added`, `conductor-moved`, `cable-length`); `function`: where it is told, "" for the
    common part; `subject`: the designation concerned, as it is now, or was; `text`: one line; `electrical`: False where words
    alone changed. `before`, `after`: where it is written, old and new; `use_before`, `use_after`: the line in the scheme. `name`,
    `was`, `now`: of a fact that differs. `details`: further lines. `number`: for how many things it stands; `subjects`: which,
    where it is several.
    """

    what: str
    weight: Weight
    function: str
    subject: str
    text: str
    electrical: bool = True
    before: Span | None = None
    after: Span | None = None
    use_before: Span | None = None
    use_after: Span | None = None
    name: str = ""
    was: str = ""
    now: str = ""
    details: tuple[str, ...] = ()
    number: int = 1
    subjects: tuple[str, ...] = ()

    @property
    def order(self) -> tuple[object, ...]:
        """Place among others: by function, weight, subject."""
        return (self.function, self.weight, self.subject, self.what, self.text)
