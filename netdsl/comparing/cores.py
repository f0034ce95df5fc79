"""Cores of one cable that changed places with each other."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.comparing.change import Change, Weight
from netdsl.comparing.pairs import Pair


def moved_cores(pairs: Iterable[Pair]) -> tuple[list[Change], set[str]]:
    """A change for every two cores of which each lies now where the other lay, and the ids of these cores."""
    waiting: dict[tuple[str, str, str], Pair] = {}
    changes: list[Change] = []
    done: set[str] = set()
    for pair in pairs:
        before, after = pair.before, pair.after
        if before is None or after is None or "cable" not in after.facts or pair.was["ends"] == after.facts["ends"]:
            continue
        cable = after.facts["cable"]
        other = waiting.pop((cable, after.facts["ends"], pair.was["ends"]), None)
        if other is None or other.after is None:
            waiting[cable, pair.was["ends"], after.facts["ends"]] = pair
            continue
        done |= {after.id, other.after.id}
        one, two = other.after.facts.get("core"), after.facts.get("core")
        lies, lay = (" and ".join(f"`{end}`" for end in each.facts["ends"].split(" -- ")) for each in (after, other.after))
        text = f"cores {one} and {two} of `{cable}` changed places: {one} is now between {lay}, {two} between {lies}"
        changes.append(
            Change(
                "cores-swapped",
                Weight.CONDUCTOR,
                after.function,
                cable,
                text,
                before=before.span,
                after=after.span,
                use_before=before.use,
                use_after=after.use,
                number=2,
                subjects=(other.after.id, after.id),
            )
        )
    return changes, done
