"""One line for what one word of the text changed in many things."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from difflib import SequenceMatcher

from netdsl.comparing.change import Change
from netdsl.findings import Source, Span
from netdsl.sums import sum_of

#: lines at most of a text whose lines are compared
_MOST = 60_000
_Lines = dict[tuple[str, int], tuple[Span, Span]]


def gathered(changes: Iterable[Change], old: Iterable[Source], new: Iterable[Source]) -> Iterator[Change]:
    """The changes, those of one word together: where several facts of one name went from one value to another, and a line of the
    text changed from the one to the other, they are one change at that line, in the common part where they are of several
    functions."""
    changed = changed_lines(old, new)
    groups: dict[tuple[object, ...], list[Change]] = {}
    for number, change in enumerate(changes):
        cause = _cause(change, changed) if change.name and (change.was or change.now) else None
        key = (change.what, change.name, change.was, change.now, cause) if cause else number
        groups.setdefault((key,), []).append(change)
    for members in groups.values():
        if len(members) == 1:
            yield members[0]
            continue
        first = members[0]
        before, after = changed[_cause(first, changed) or ("", 0)]
        functions = sorted({change.function for change in members})
        kind = first.what.partition("-")[0]
        text = f"{first.name.replace('-', ' ')} of {len(members)} {kind}s {_values(first.was, first.now)}, by one line"
        details = first.details if all(change.details == first.details for change in members) else ()
        subjects = tuple(change.subject for change in members)
        function = functions[0] if len(functions) == 1 else ""
        yield first._replace(
            function=function,
            subject=subjects[0],
            text=text,
            before=before,
            after=after,
            use_before=None,
            use_after=None,
            details=(*details, f"of {', '.join(subjects[:6])}" + (f" and {len(subjects) - 6} more" if len(subjects) > 6 else "")),
            number=sum_of(change.number for change in members),
            subjects=subjects,
        )


def _values(was: str, now: str) -> str:
    if was and now:
        return f"{was} is now {now}"
    return f"{now} (was not stated)" if now else f"{was} is no longer stated"


def _cause(change: Change, changed: _Lines) -> tuple[str, int] | None:
    """The changed line, by file and number in the new text, that one word of which made this change: its own, that of the scheme,
    else one that held the old value and holds the new one."""
    for span in (change.after, change.use_after):
        if span is not None and (key := (span.source.path, span.begin[0])) in changed:
            return key
    was, now = _bare(change.was), _bare(change.now)
    for key, (before, after) in changed.items():
        if (
            (not was or was in _bare(before.text))
            and (not now or now in _bare(after.text))
            and _bare(before.text) != _bare(after.text)
        ):
            return key
    return None


def _bare(text: str) -> str:
    """A value as the text may write it: without blanks, `mm²` as `mm2`."""
    return text.replace(" ", "").replace("²", "2").replace("°C", "degC").replace("Ω", "ohm")


def changed_lines(old: Iterable[Source], new: Iterable[Source]) -> _Lines:
    """Lines that stand in place of others, by file and number in the new text, old beside new. Two files are compared where they
    have one path; a text that did not change, or has too many lines, has none."""
    before = {source.path: source for source in old}
    found: _Lines = {}
    for source in new:
        other = before.get(source.path)
        if other is None or other.text == source.text or max(len(other.line_starts), len(source.line_starts)) > _MOST:
            continue
        for tag, i, end, j, stop in SequenceMatcher(None, _lines(other), _lines(source)).get_opcodes():
            if tag == "replace" and end - i == stop - j:
                for step in range(end - i):
                    found[source.path, j + step + 1] = _line(other, i + step), _line(source, j + step)
    return found


def _lines(source: Source) -> list[str]:
    return [" ".join(source.line(number + 1).split()) for number in range(len(source.line_starts))]


def _line(source: Source, number: int) -> Span:
    start = source.line_starts[number]
    text = source.line(number + 1)
    return Span(source, start + len(text) - len(text.lstrip()), start + len(text))
