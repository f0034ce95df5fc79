"""Computed results that changed, and findings that appeared or disappeared."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from netdsl.calc import Calculation
from netdsl.calc.basis import Result, figure_text
from netdsl.calc.sheet import title
from netdsl.comparing.change import FIGURES, Change, Weight
from netdsl.comparing.names import Names
from netdsl.comparing.pairs import Pair

#: a change of a figure below this share is taken for rounding
ROUNDING = 0.002

#: margin below which a figure is told by itself, in percent
_NARROW = 10.0

#: kinds of results without a limit that a reviewer asks for
_CURRENTS = ("load-current", "fault-current", "short-circuit")


def changed_results(old: Calculation, new: Calculation, names: Names, pairs: Iterable[Pair]) -> Iterator[Change]:
    """For each circuit and kind of result one change: the figure that changed most, how many changed, limits no longer kept."""
    conductors = _conductors(pairs)
    before = {_key(result, names, conductors): result for result in old.judged}
    after = {_key(result, Names(), {}): result for result in new.judged}
    groups: dict[tuple[str, str], list[tuple[Result | None, Result | None]]] = {}
    for key in dict.fromkeys((*before, *after)):
        one, two = before.get(key), after.get(key)
        if not any(each and _of_interest(each) for each in (one, two)):
            continue
        if one is None or two is None or _differ(one, two):
            known = two or one
            assert known is not None
            feeder = known.feeder if two else names.of(known.feeder)
            groups.setdefault((feeder, known.question), []).append((one, two))
    for (feeder, question), results in groups.items():
        yield from _told(new, feeder, question, results)


def _of_interest(result: Result) -> bool:
    """What is held to a limit, and currents; the steps on the way to them move with them."""
    return result.limit is not None or result.question.startswith(_CURRENTS)


def _conductors(pairs: Iterable[Pair]) -> dict[str, str]:
    """Ends of old conductors to those of new ones, either way round, as results name them."""
    found = {}
    for pair in pairs:
        if pair.before is not None and pair.after is not None and pair.before.kind == "conductor":
            found[pair.before.id] = pair.after.id
    return found


def _key(result: Result, names: Names, conductors: Mapping[str, str]) -> str:
    """The key of a result in the names of now; a conductor by its ends in one order."""
    subject = result.subject
    if " -- " in subject:
        subject = " -- ".join(sorted(subject.split(" -- ")))
    subject = conductors.get(subject, names.subject(subject))
    before, own, behind = result.key.partition(result.subject or "\0")
    return f"{names.of(before)}{subject if own else ''}{names.of(behind)}"


def _differ(one: Result, two: Result) -> bool:
    if one.holds != two.holds:
        return True
    return _moved(one.value, two.value) or _moved(one.limit or 0.0, two.limit or 0.0)


def _moved(one: float, two: float) -> bool:
    return abs(one - two) > ROUNDING * max(abs(one), abs(two)) + 1e-12 if one != two else False


def _told(new: Calculation, feeder: str, question: str, results: list[tuple[Result | None, Result | None]]) -> Iterator[Change]:
    both = [(one, two) for one, two in results if one is not None and two is not None]
    place = new.plant.devices.get(feeder)
    function = feeder if feeder in new.plant.functions else place.function if place else ""
    for worse, pairs in (
        (True, [(one, two) for one, two in both if one.holds and not two.holds]),
        (False, [(one, two) for one, two in both if not (one.holds and not two.holds)]),
    ):
        if pairs:
            failing = [pair for pair in pairs if not pair[1].holds]
            one, two = max(failing or [pair for pair in pairs if _narrower(*pair)] or pairs, key=_most)
            more = f"; {len(pairs) - 1} more of the kind changed" if len(pairs) > 1 else ""
            kept = ", no longer kept" if worse else "" if one.holds else ", kept now" if two.holds else ", still not kept"
            text = f"{title(question)} of `{two.subject}`: {_figures(one, two)}{_margin(one, two)}{kept}{more}"
            what = _what(worse, pairs)
            yield _of(what, Weight.FINDING if worse else Weight.COMPUTED, function, two, text, len(pairs), one)
    gone = [one for one, two in results if one is not None and two is None]
    come = [two for one, two in results if one is None and two is not None]
    for what, listed, word in (("result-gone", gone, "no longer computed"), ("result-new", come, "computed now")):
        if listed:
            first = min(listed, key=lambda each: each.subject)
            more = f" and {len(listed) - 1} more" if len(listed) > 1 else ""
            text = f"{title(question)} of `{first.subject}`{more}: {word}, {first.shown}"
            yield _of(what, Weight.COMPUTED, function, first, text, len(listed), None)


def _what(worse: bool, pairs: list[tuple[Result, Result]]) -> str:
    if worse:
        return "limit-no-longer-kept"
    if any(not two.holds for _, two in pairs):
        return "limit-still-not-kept"
    return "margin-narrow" if any(_narrower(*pair) for pair in pairs) else FIGURES


def _narrower(one: Result, two: Result) -> bool:
    """Whether a margin shrank to less than a reviewer would look at once more."""
    before, after = one.margin_percent, two.margin_percent
    return after is not None and after < _NARROW and (before is None or after < before)


def _most(pair: tuple[Result, Result]) -> tuple[float, float, str]:
    """How far a figure moved, then its limit."""
    one, two = pair
    return round(_share(one.value, two.value), 9), _share(one.limit or 0.0, two.limit or 0.0), two.subject


def _figures(one: Result, two: Result) -> str:
    """Value, or limit where the value is as it was."""
    if one.shown != two.shown or one.beside is None or two.beside is None:
        return f"{one.shown} is now {two.shown}"
    limits = [f"{figure_text(each.value)} {one.unit}".rstrip() for each in (one.beside, two.beside)]
    return f"{two.shown} as before, {one.sense or 'beside'} {limits[0]} is now {limits[1]}"


def _share(one: float, two: float) -> float:
    return abs(one - two) / max(abs(one), abs(two), 1e-12)


def _margin(one: Result, two: Result) -> str:
    before, after = one.margin_percent, two.margin_percent
    if before is None or after is None:
        return ""
    return f" (margin {before:.0f} % is now {after:.0f} %)"


def _of(what: str, weight: Weight, function: str, result: Result, text: str, number: int, before: Result | None) -> Change:
    gone = what == "result-gone"
    old, new = result.span if gone else before.span if before else None, None if gone else result.span
    return Change(what, weight, function, result.subject, text, True, old, new, number=number)
