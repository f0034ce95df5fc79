"""The set of a plant drawn in portions: several processes draw, and each sheet is forgotten once it is written.

What sheets say of others is planned before any is drawn (`keys` of the members), but for what lists say of the diagrams: so these
come first. Register and cover, which list all, come last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from itertools import chain

from render.drawing import Drawing, Member, members
from render.drawings.cover import cover_sheets
from render.issues import Issues
from render.layout.fingerprint import fingerprint
from render.shares import Done, Note, Piece, Portion
from render.sheet import Sheet
from render.tables.register import PLACE, Fingerprints, Sources
from render.tables.shown import Shown, zones

#: things whose sheets are drawn as one portion, and the most portions of a member
_PORTION, _MOST = 25, 1000
#: sheets of the register as one portion
_LISTED = 30


def streamed(drawing: Drawing, earlier: Drawing | None, write: Callable[[Sequence[Portion]], list[list[Done]]]) -> list[Done]:
    """Have `write` write the sheets of a plant, which may do so in other processes; gives them in the order of the set, without
    what is drawn on them. `earlier`: as of Issues. Keys that differ by case alone are left as they are."""
    return _Stream(drawing, earlier).done(write)


class _Stream:
    """A set on its way to files."""

    def __init__(self, drawing: Drawing, earlier: Drawing | None) -> None:
        self._drawing = drawing
        self._issues = Issues(drawing, earlier)
        self._sources = drawing.of(Sources)
        if earlier is not None:
            earlier.of(Fingerprints)  # once, before processes part

    def done(self, write: Callable[[Sequence[Portion]], list[list[Done]]]) -> list[Done]:
        """All sheets."""
        drawing, issues = self._drawing, self._issues
        drawing.plan()
        drawn: dict[int, list[Done]] = {}
        diagrams = [member for member in members() if member.keys is not None]
        self._draw(diagrams, write, drawn)
        shown = [(each.sheet, each.note.shows) for place in sorted(drawn) for each in drawn[place]]
        drawing.told(Shown, Shown(drawing, shown))
        for member in diagrams:
            if member.plan is not None:
                drawing.told(member.plan, None)
        self._draw([member for member in members() if member.keys is None and member.place < PLACE], write, drawn)
        bodies = [each for place in sorted(drawn) for each in drawn[place]]
        prints = Fingerprints(drawing, ((each.sheet, each.note.fingerprint) for each in bodies))
        drawing.told(Fingerprints, prints)
        for each in bodies:
            self._sources.known(each.sheet, each.note.lines)
        register = [sheet for member in members() if member.place >= PLACE for sheet in member.draw(drawing)]
        heads = [*(each.sheet for each in bodies), *register]
        covers = cover_sheets(drawing, heads, prints.whole)
        last = [partial(_framed, issues.cover, covers)]
        last += [partial(_framed, issues.register, register[at : at + _LISTED]) for at in range(0, len(register), _LISTED)]
        first, *rest = write(last)
        return [*first, *bodies, *chain.from_iterable(rest)]

    def _draw(
        self, some: Sequence[Member], write: Callable[[Sequence[Portion]], list[list[Done]]], drawn: dict[int, list[Done]]
    ) -> None:
        """Have `some` members of the set written, into `drawn` by their places."""
        portions: list[Portion] = []
        places: list[int] = []
        for member in some:
            shares: list[tuple[slice, ...]] = [()]
            if member.count is not None:
                count = member.count(self._drawing)
                step = max(_PORTION, count // _MOST + 1)
                shares = [(slice(at, at + step),) for at in range(0, count, step)]
            portions += [partial(self._pieces, member, share) for share in shares]
            places += [member.place] * len(shares)
        for place, done in zip(places, write(portions), strict=True):
            drawn.setdefault(place, []).extend(done)

    def _pieces(self, member: Member, share: tuple[slice, ...]) -> Iterator[Piece]:
        """The sheets of a member, or of a share of it, framed."""
        for sheet in member.draw(self._drawing, *share):
            each, lines = fingerprint(sheet), self._sources.lines(sheet)
            shows = zones(sheet) if member.keys is not None else {}
            yield Piece(self._issues.sheet(sheet, each, lines), Note(each, lines, shows))


def _framed(frame: Callable[[Sheet], Sheet], sheets: Iterable[Sheet]) -> Iterator[Piece]:
    return (Piece(frame(sheet)) for sheet in sheets)
