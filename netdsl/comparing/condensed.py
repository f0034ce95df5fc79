"""The changes as a reviewer reads them: what needs a decision one by one, what follows from it counted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from netdsl.comparing.change import FIGURES, Change
from netdsl.sums import sum_of

#: kinds of figures named in a line that counts them
_NAMED = 3


def condensed(changes: Iterable[Change]) -> tuple[Change, ...]:
    """The same in fewer: what one line of text says of one thing together; the figures of a function that changed and keep their
    limits as one change with how many there are; functions of which figures alone changed so, together in the common part."""
    found: list[Change] = []
    aside: list[Change] = []
    for function, members in groupby(changes, key=lambda change: change.function):
        told: list[Change] = []
        figures: list[Change] = []
        for change in members:
            (figures if change.what == FIGURES else told).append(change)
        found += _joined(told)
        if figures and (told or not function):
            found.append(_counted(figures, function))
        else:
            aside += figures
    if aside:
        functions = sorted({change.function for change in aside})
        what = f"in {', '.join(f'`{name}`' for name in functions)} figures alone changed"
        found.append(_counted(aside, "")._replace(text=f"{what}, {_number(aside)} of them, each limit kept"))
    return tuple(sorted(found, key=lambda change: (change.function, change.weight)))


def _number(figures: Iterable[Change]) -> int:
    return sum_of(change.number for change in figures)


def _counted(figures: list[Change], function: str) -> Change:
    """Figures that changed, as one change at the line of the first."""
    kinds = list(dict.fromkeys(change.text.partition(" of `")[0] for change in figures))
    more = f" and {len(kinds) - _NAMED} more kinds" if len(kinds) > _NAMED else ""
    number = _number(figures)
    named = ", ".join(kinds[:_NAMED])
    text = f"{number} computed figure{'s'[: number > 1]} changed, each limit kept: {named}{more}"
    return figures[0]._replace(function=function, text=text, number=number, subjects=tuple(each.subject for each in figures))


def _joined(changes: list[Change]) -> Iterator[Change]:
    """Ratings and settings of one thing that one line of text states, in one."""
    for _, alike in groupby(changes, key=_together):
        first, *rest = alike
        if not rest:
            yield first
            continue
        more = [each.text.partition(": ")[2] for each in rest]
        details = tuple(detail for each in (first, *rest) for detail in each.details)
        yield first._replace(
            text=", ".join([first.text, *more]), details=details, electrical=any(e.electrical for e in (first, *rest))
        )


def _together(change: Change) -> tuple[object, ...]:
    states = change.what in ("device-rating", "device-setting") and change.number == 1
    return (change.what, change.subject, change.after) if states else (change,)
