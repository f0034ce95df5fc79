"""What keeps the size away that would be needed, where none fits."""

from __future__ import annotations

from collections.abc import Sequence

from netdsl.calc.basis import Result
from netdsl.quantities import number_text
from netdsl.sizing.clamps import largest_taken, smallest_taken
from netdsl.sizing.items import Item
from netdsl.sizing.search import LENGTHS, Search

#: what no section changes
FIXED = LENGTHS | {"overload.rated", "breaking-capacity"}


def unfit(item: Item, search: Search) -> str:
    """Why none of the series fits an item, whatever the checks say: its load, its clamps, what is stocked; "" where one does."""
    if item in search.obstacles or item.kind not in ("section", "cable"):
        return search.obstacles.get(item, "")
    if not item.series:
        return "no section is stocked that this use allows"
    size, last = search.sizes[item], number_text(item.series[-1])
    least, most = smallest_taken(search.network, item), largest_taken(search.network, item)
    if least is not None and least.least > size + 1e-9:
        return f"clamp of `{least.terminal}` takes no less than {number_text(least.least)} mm², the series ends at {last} mm²"
    if most is not None and most.least < size - 1e-9:
        return f"clamp of `{most.terminal}` takes no more than {number_text(most.least)} mm², not {number_text(size)} mm²"
    return ""


def obstacle_of(item: Item, search: Search, failing: Sequence[Result]) -> str:
    """Why no larger section of an item cures what fails: the clamp that takes no more, the end of the series, or that no section
    changes it."""
    if item.kind not in ("section", "cable"):
        return ""
    if all(result.question in FIXED for result in failing):
        return "no section changes that"
    most = largest_taken(search.network, item)
    if most is not None and most.least < item.series[-1] - 1e-9:
        return f"not cured up to {number_text(most.least)} mm², the most that the clamp of `{most.terminal}` takes"
    return f"not cured up to {number_text(item.series[-1])} mm², where the series ends"
