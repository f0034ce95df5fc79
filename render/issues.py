"""How each sheet stands in its set: its revision, its fingerprint and the texts it comes from, put into its frame."""

from __future__ import annotations

from collections.abc import Mapping

from render.drawing import Drawing
from render.drawings.cover import KEY
from render.layout.changes import Bars, changes
from render.layout.frame import Issue, framed, origin_line
from render.sheet import Sheet
from render.tables.register import Fingerprints

#: of a sheet that says neither its revision nor its date, lest a new revision change it: the cover has both
_AS_COVER = "as C1"
_AFTER = "after "  # the last revision, where no later one is stated
_COVER = f"{KEY}-1"


class Issues:
    """The frames of a set. `earlier`: the plant at an earlier revision. What has not changed since keeps that revision and its
    date, what has says the last one, with bars beside what changed; where none is stated later, that it is after that. Without
    it the cover alone says revision and date."""

    def __init__(self, drawing: Drawing, earlier: Drawing | None = None) -> None:
        self._drawing, self._earlier = drawing, earlier
        self._lies = _rewired(drawing, earlier)

    def cover(self, sheet: Sheet) -> Sheet:
        """A page of the cover, framed."""
        return self._framed(sheet, Issue(*_revision(self._drawing)))

    def register(self, sheet: Sheet) -> Sheet:
        """A sheet that lists the others, which has no fingerprint, framed."""
        return self._framed(sheet, Issue(_AS_COVER, _AS_COVER, "", _COVER))

    def sheet(self, sheet: Sheet, fingerprint: str, lines: Mapping[str, object]) -> Sheet:
        """Any other sheet, framed. `lines`: by the text they are in, those it comes from."""
        origin = origin_line(fingerprint, list(lines), sheet.size)
        revision, date, bars = self._stands(sheet, fingerprint)
        unnamed = bool(bars) and revision.startswith(_AFTER)
        return self._framed(sheet, Issue(revision, date, origin, _COVER, bars, "" if unnamed else revision))

    def _framed(self, sheet: Sheet, issue: Issue) -> Sheet:
        return framed(sheet, self._drawing.plant.project, self._drawing.errors, issue)

    def _stands(self, sheet: Sheet, fingerprint: str) -> tuple[str, str, Bars]:
        """Revision and date of a sheet, and where it changed with them."""
        if self._earlier is None:
            return _AS_COVER, _AS_COVER, ()
        before, its = self._earlier.of(Fingerprints).by_key.get(sheet.key, (None, ""))
        if its == fingerprint:
            return *_revision(self._earlier), ()
        now, then = _revision(self._drawing), _revision(self._earlier)
        # what differs and has the letter and date of what it differs from would pass for that
        revision = (f"{_AFTER}{now[0]}" if now[0] else "", "") if now == then else now
        return *revision, changes(before, sheet, self._lies)


def _rewired(drawing: Drawing, earlier: Drawing | None) -> frozenset[str]:
    """Cores that land elsewhere than in the earlier plant."""
    if earlier is None:
        return frozenset()
    from netdsl.comparing import names_between, rewired

    return rewired(earlier.plant, drawing.plant, names_between(earlier.network, drawing.network))


def _revision(drawing: Drawing) -> tuple[str, str]:
    """The last revision of a project and its date, "" where it states none."""
    revisions = drawing.plant.project.revisions
    return (revisions[-1].index, revisions[-1].date) if revisions else ("", "")
