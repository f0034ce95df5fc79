"""The proof that a plant with other names is the same but for these."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator

from netdsl.comparing import Thing, things_of, things_renamed
from netdsl.findings import Severity
from netdsl.renaming.mentioned import Mentioned, mentioned
from netdsl.renaming.outcome import Refused, Renaming

#: facts that are words for a reader: designations in them are left as they are written
_WORDS = frozenset({"title", "text", "reason"})


def prove(before: Mentioned, renaming: Renaming, but: Callable[[Thing], Thing | None] = lambda thing: thing) -> Renaming:
    """`renaming` itself, where the plant with its edits has the facts of that before it in the names of now, and no other error.
    `but`: the thing of the new plant without what is new on purpose, None for one that is.

    Raises Refused with the first difference.
    """
    texts = {source.path: text for source, text in renaming.texts.items()}
    try:
        after = mentioned(before.path, {**before.instead, **texts})
    except Refused as refused:
        raise Refused(f"with these names {refused}", refused.span) from refused
    more = after.errors - before.errors
    if more:
        found = next(each for each in after.findings if each.rule in more and each.severity is Severity.ERROR)
        raise Refused(f"with these names {found.message}", found.span)
    was = _facts(things_renamed(before.network, renaming.names))
    now = _facts(each for thing in things_of(after.network) if (each := but(thing)) is not None)
    for fact in (*(was - now), *(now - was)):
        raise Refused(f"the plant would not be the same: {_told(fact)}")
    return renaming


_Fact = tuple[str, str, str, str]


def _facts(things: Iterator[Thing] | tuple[Thing, ...]) -> Counter[_Fact]:
    return Counter(
        (thing.kind, thing.id if "cable" in thing.facts else thing.facts.get("ends", thing.id), name, value)
        for thing in things
        for name, value in thing.facts.items()
        if name not in _WORDS and thing.kind != "note"
    )


def _told(fact: _Fact) -> str:
    kind, subject, name, value = fact
    return f"{kind} `{subject}`, {name} {value}"
