"""Names of terminals as they are listed: ranges stepped out, arithmetic done."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from msgspec import Struct

from netdsl.findings import Span
from netdsl.model.filling import MAX_NUMBER, spoken
from netdsl.model.here import Here
from netdsl.model.mentions import TerminalMention
from netdsl.model.values import settled
from netdsl.syntax.written import Arithmetic, ComputedTerminal, Expression, Number, Param, Role, TerminalName, TerminalSpec, Word

MAX_RANGE = 1000
MAX_FIGURES = 7
MAX_STEPPED = 200_000
MAX_DEPTH = 100
_NAME = re.compile(r"[\w+\-./~*']+")
#: behind the last of a range they are of all its terminals
_SIDES = ("/in", "/out")
_NUMBERED = re.compile(r"(.*?)(\d+)(.*)", re.DOTALL)


class Named(Struct, frozen=True):
    """One terminal name as it is meant, with the characters that say so."""

    name: str
    span: Span


def names_of(specs: Iterable[TerminalName | ComputedTerminal], here: Here) -> list[Named] | None:
    """Plain terminal names of a list without a device, ranges stepped out; None with a finding."""
    result: list[Named] = []
    for spec in specs:
        if not isinstance(spec, TerminalName):
            number = computed(spec, here)
            if number is None:
                return None
            result.append(Named(str(number), spec.span))
            continue
        stepped = stepped_out(spec, here)
        if stepped is None:
            return None
        result += stepped
    return result


def stepped_out(spec: TerminalName, here: Here) -> list[Named] | None:
    """`1..4` as 1, 2, 3, 4, `L1..L3` as L1, L2, L3 and `1..2/out` as 1/out, 2/out; None with a finding for a range that does not
    count up."""
    first, alone = spec.first, spec.first == spec.last
    if alone and (first.isalnum() or _NAME.fullmatch(first)):  # as nearly all are
        return [Named(first, spec.span)]
    if alone or not _NAME.fullmatch(first) or not _NAME.fullmatch(spec.last):
        here.fault(
            "syntax",
            spec.span,
            f"`{spec.span.text}` is no name of a terminal",
            "part them by `,`" if ";" in spec.span.text else "write letters, figures, `+`, `-`, `.`, `/` or `_`",
        )
        return None
    side = next((side for side in _SIDES if spec.last.endswith(side) and not first.endswith(side)), "")
    names = numbered(first, spec.last.removesuffix(side))
    if names:
        here.desk.stepped += len(names)
        if here.desk.stepped > MAX_STEPPED:
            here.beyond(spec.span, f"the ranges of the plant stand for more than {MAX_STEPPED} terminals")
        return [Named(name + side, spec.span) for name in names]
    here.fault(
        "out-of-range",
        spec.span,
        f"`{first}..{spec.last}` does not count up from its first to its last terminal",
        f"write `{spec.last}..{first}`"
        if numbered(spec.last, first)
        else f"write the lower number first, at most {MAX_RANGE} terminals",
    )
    return None


def numbered(first: str, last: str) -> list[str] | None:
    """The names from `first` to `last`, which differ by a number alone; empty where it does not count up or counts too far, None
    where they differ otherwise."""
    low, high = _NUMBERED.fullmatch(first), _NUMBERED.fullmatch(last)
    if not low or not high or len(low[2]) > MAX_FIGURES or len(high[2]) > MAX_FIGURES or not _alike(low, high):
        return None
    begin, end = int(low[2]), int(high[2])
    return [f"{low[1]}{n}{low[3]}" for n in range(begin, end + 1)] if end < begin + MAX_RANGE else []


def _alike(first: re.Match[str], last: re.Match[str]) -> bool:
    """Whether the ends of a range differ by their number alone; the last may be the bare number (`L1..3`)."""
    return (first[1], first[3]) == (last[1], last[3]) or not (last[1] or last[3])


def mention_terminal(device: str, spec: TerminalSpec, here: Here) -> None:
    """Keep where terminals of `device` are named, where that is asked for; what is found by what it does is not named."""
    mentions = here.desk.mentions
    if mentions is None:
        return
    if isinstance(spec, TerminalName):
        mentions.terminals.append(TerminalMention(device, spec.span))
    elif not isinstance(spec.expression, Role):
        leaves = tuple(_leaves(spec.expression, here))
        mentions.terminals.append(TerminalMention(device, spec.span, str(computed(spec, here)), leaves))


def _leaves(expression: Expression, here: Here) -> Iterator[Span]:
    """The numbers given to names, of which a sum is worked out."""
    if isinstance(expression, Arithmetic):
        yield from _leaves(expression.left, here)
        yield from _leaves(expression.right, here)
    elif isinstance(expression, Param):
        found = settled(expression, here)
        if found is not None and isinstance(found[0], ComputedTerminal) and not isinstance(found[0].expression, Role):
            yield from _leaves(found[0].expression, found[1])
        elif found is not None:
            yield found[0].span


def computed(spec: ComputedTerminal, here: Here) -> int | None:
    """The number that an arithmetic terminal gives; None with a finding."""
    if isinstance(spec.expression, Role):
        here.fault("unknown-terminal", spec.span, "a terminal can be found by role only on a device", "name the device")
        return None
    return evaluated(spec.expression, here, 0)


def evaluated(expression: Expression, here: Here, depth: int = 1) -> int | None:
    """The number of an expression, itself `depth` levels deep in another; None with a finding."""
    if depth > MAX_DEPTH:
        here.fault("out-of-range", expression.span, "this sum is nested too deep", "write it shorter")
        return None
    if isinstance(expression, Number):
        value: int | None = expression.value
    elif isinstance(expression, Param):
        value = _whole_number(expression, here)
    else:
        value = _sum(expression, here, depth)
    if value is not None and not 0 <= abs(value) < MAX_NUMBER:
        here.fault("out-of-range", expression.span, "this number is too large for a terminal", "check the sum")
        return None
    return value


def _sum(expression: Arithmetic, here: Here, depth: int) -> int | None:
    left = evaluated(expression.left, here, depth + 1)
    right = None if left is None else evaluated(expression.right, here, depth + 1)
    if left is None or right is None:
        return None
    return {"+": left + right, "-": left - right, "*": left * right}[expression.operator]


def _whole_number(param: Param, here: Here) -> int | None:
    found = settled(param, here)
    if found is None:
        return None
    value, value_here = found
    if isinstance(value, ComputedTerminal) and not isinstance(value.expression, Role):
        return evaluated(value.expression, value_here)
    if isinstance(value, Word) and value.text.isascii() and value.text.isdigit():
        return int(value.text) if len(value.text) < 20 else MAX_NUMBER
    message = f"`${param.name}` is `{spoken(value)}`, a whole number is wanted"
    here.fault("wrong-unit", param.span, message, "give it a number")
    return None
