"""The screens of a cable: a line for each, with how its ends are terminated."""

from __future__ import annotations

from netdsl.findings import Related
from netdsl.model.ends import base_of, ends_of, object_of
from netdsl.model.here import Here
from netdsl.model.table import Nothing, Statement, fixed
from netdsl.model.value_kinds import listed
from netdsl.model.values import one_of
from netdsl.model.vocabulary import SCREEN_WAYS
from netdsl.model.wiring import CableScreen, CoreType, ScreenTermination
from netdsl.quantities import Quantity, parse_quantity
from netdsl.syntax.tree import Cable as CableText
from netdsl.syntax.tree import Screen, ScreenEnd
from netdsl.syntax.written import Word

SCREEN = Statement(
    "screen",
    Nothing,
    "How a screen is terminated",
    fixed("[pair N]", "a number", "the pair whose own screen is meant; else the outer one"),
    fixed("END HOW [to END HOW]", "a terminal or device, and how", "its ends; one that is not mentioned is unterminated"),
    fixed("HOW", listed(SCREEN_WAYS), "`clamp` and `gland` all round; `open` on purpose", SCREEN_WAYS),
    fixed("LENGTHxWIDTH", "a length or size, `60x12mm`", "behind `pigtail`: how long and wide it is"),
    fixed("bare LENGTH", "a length, `80mm`", "behind it: the core that stands unscreened beyond the end"),
    block="cable",
)


def screens_of(cable: CableText, screen: str, cores: tuple[CoreType, ...], here: Here) -> tuple[CableScreen, ...]:
    """The screens a cable has, with their ends as written; `screen`: "", "outer", "pairs" or "both"."""
    has = {0} if screen in ("outer", "both") else set()
    if screen in ("pairs", "both"):
        has |= {core.pair for core in cores if core.pair}
    result: dict[int, CableScreen] = {}
    for line in cable.screens:
        there = here.over(line.span)
        pair = _pair(line, there)
        if pair is None:
            continue
        if pair not in has:
            what = f"pair {pair} has no screen of its own" if pair else "it has no outer screen"
            remedy = "write `screened` or `pair-screened` behind the construction"
            there.fault("core-unknown", line.span, f"`{cable.name.text}`: {what}", remedy)
        elif pair in result:
            there.fault(
                "core-reused",
                line.span,
                "this screen is terminated twice",
                "put both ends into one line",
                related=(Related("first here", result[pair].span),),
            )
        else:
            ends = (_end(end, there) for end in line.ends)
            result[pair] = CableScreen(pair, tuple(end for end in ends if end is not None), line.span)
    for pair in has - result.keys():
        result[pair] = CableScreen(pair, (), cable.name.span)
    return tuple(result[pair] for pair in sorted(result))


def _pair(line: Screen, here: Here) -> int | None:
    if line.pair is None:
        return 0
    text = line.pair.text
    if text.isascii() and text.isdigit() and len(text) < 5:
        return int(text)
    message = f"`{text}` is no number of a pair"
    here.fault("wrong-unit", line.pair.span, message, "count the pairs from 1", whole=line.span)
    return None


def _end(end: ScreenEnd, here: Here) -> ScreenTermination | None:
    if not one_of(end.how.text, SCREEN_WAYS, "way to terminate a screen", end.how.span, here, here.whole):
        return None
    base = base_of(end.end, here)
    if base is None:
        return None
    if base.holder.terminals:  # its own, or those of the argument that a parameter stands for
        ends = ends_of(end.end, here, "out")
        if ends is None:
            return None
        device, terminal = ends[0].device, ends[0].terminal
    else:
        identity = object_of(end.end, here)
        if identity is None:
            return None
        device, terminal = identity, ""
    size = _length(end.size, here) if end.size else None
    bare = _length(end.bare, here) if end.bare else None
    return ScreenTermination(
        device=device,
        terminal=terminal,
        how=end.how.text,
        pigtail_m=size.value if size else None,
        pigtail_width_m=size.values[1] if size and size.form == "size" else None,
        bare_m=bare.value if bare else None,
        span=here.pointed(end.span)[0],
    )


def _length(word: Word, here: Here) -> Quantity | None:
    quantity = parse_quantity(word.text)
    if quantity is not None and quantity.kind == "length":
        return quantity
    here.fault("wrong-unit", word.span, f"`{word.text}` is no length", "write it in mm", whole=here.whole)
    return None
