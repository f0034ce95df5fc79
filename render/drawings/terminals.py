"""Terminal drawings: every strip, and every device on which a cable lands, as the shop and the site wire from them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from render.drawing import Drawing, in_set
from render.drawings.terminal_page import drawn
from render.drawings.terminal_plan import Stacked, TerminalPlan
from render.drawings.terminal_words import shade_words
from render.sheet import Sheet

KIND = "Terminal diagram"


def terminal_keys(drawing: Drawing) -> Mapping[str, str]:
    """Key of the sheet that shows each terminal, and of the first sheet of each device."""
    return drawing.of(TerminalPlan).keys


@in_set(300, keys=terminal_keys)
def terminal_sheets(drawing: Drawing) -> Iterator[Sheet]:
    """The terminal drawings of the whole plant, without frames, function by function."""
    plan = drawing.of(TerminalPlan)
    for each in plan.stacks:
        yield from _sheets(drawing, plan, each)


def _sheets(drawing: Drawing, plan: TerminalPlan, each: Stacked) -> Iterator[Sheet]:
    numbers = [each.number + each.part(index) for index in range(len(each.stack.pages))]
    part_of = drawing.part_of(each.function, each.place)
    for index, number in enumerate(numbers):
        key = each.key + each.part(index)

        def link(identity: str, key: str = key) -> str:
            found = drawing.key_of(identity)
            return found if found != key else ""

        shades = shade_words(drawing.plant)
        primitives = drawn(each.stack, index, numbers, each.function, plan.live, shades, link, drawing.size)
        yield Sheet(key, number, each.title, KIND, part_of, primitives, drawing.size)
