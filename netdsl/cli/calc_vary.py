"""What `netdsl calc --vary` prints: up to where each limit holds over a range of one input."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from netdsl.calc.sheet import CAUTIONS, title
from netdsl.cli.excerpt import cells
from netdsl.whatif import Kept, Ranges

#: limits listed one by one among those that are never kept
_LISTED = 20


def vary_lines(found: Ranges) -> Iterator[str]:
    """What is varied, what breaks first, then each limit that does not hold throughout."""
    vary = found.vary
    yield _heading(found)
    yield ""
    if found.broken:
        yield f"First to break: {_named(found.broken[0])}, {_where(found, found.broken[0])}"
    else:
        yield "No limit that is kept anywhere in this range breaks in it."
    if found.broken:
        rows = [("limit", "kept", "nearest to its limit")]
        rows += [(_named(each), _where(found, each), _nearest(found, each)) for each in found.broken]
        widths = [max(len(row[n]) for row in rows) for n in range(2)]
        yield ""
        yield from (f"  {row[0].ljust(widths[0])}  {row[1].ljust(widths[1])}  {row[2]}".rstrip() for row in rows)
    if found.never:
        yield ""
        yield f"Kept nowhere in this range: {len(found.never)}"
        yield from (f"  {_named(each)}: {_nearest(found, each)}" for each in found.never[:_LISTED])
        if len(found.never) > _LISTED:
            yield f"  and {len(found.never) - _LISTED} more"
    partly = [each for each in (*found.broken, *found.never, *found.always) if each.unknown]
    yield ""
    yield f"Limits kept at every value that was tried: {len(found.always)}; values tried: {len(found.values)}."
    if partly:
        first = f"{_named(partly[0])} at {vary.shown(partly[0].unknown[0])}"
        yield f"Limits not computed at some of these values: {len(partly)}, as {first}."
    yield "What lacks data is in none of these numbers: `netdsl calc` without --vary lists it."
    yield ""
    yield from CAUTIONS


def _heading(found: Ranges) -> str:
    vary = found.vary
    of = f" of {vary.at}" if vary.at else ""
    written = f", as written {vary.shown(vary.present)}" if vary.present is not None else ", as written: none, or several"
    return f"What if {vary.name}{of} went from {vary.shown(vary.low)} to {vary.shown(vary.high)}{written}"


def _named(kept: Kept) -> str:
    return cells(f"{title(kept.result.question)} of {kept.result.subject}")[0]


def _where(found: Ranges, kept: Kept) -> str:
    """`up to 9.95 kA, not at 10.03 kA`; `from 3.1 kA, not at 3 kA`; both, where it holds in between."""
    shown, parts = found.vary.shown, []
    for holds, fails in kept.breaks:
        parts.append(f"{'up to' if holds < fails else 'from'} {shown(holds)}, not at {shown(fails)}")
    return "; ".join(parts)


def _nearest(found: Ranges, kept: Kept) -> str:
    result = kept.result
    limit = f"{result.sense.value} {result.limit:.4g} {result.unit}".rstrip() if result.limit is not None else ""
    return f"{result.shown}, {limit}, at {found.vary.shown(kept.tried)}"


def vary_object(found: Ranges) -> dict[str, Any]:
    """The same for programs; every value in the base unit of what is varied."""
    vary = found.vary
    return {
        "tool": "netdsl",
        "cautions": list(CAUTIONS),
        "vary": {
            "name": vary.name,
            "at": vary.at or None,
            "from": vary.low,
            "to": vary.high,
            "unit": vary.unit,
            "base_units_per_unit": vary.factor,
            "as_written": vary.present,
            "things": [name for name in vary.things if name],
        },
        "first_to_break": found.broken[0].result.key if found.broken else None,
        "limits": [_limit(each) for each in (*found.broken, *found.never, *found.always)],
        "values_tried": list(found.values),
    }


def _limit(kept: Kept) -> dict[str, Any]:
    result = kept.result
    return {
        "key": result.key,
        "feeder": result.feeder,
        "held": [list(pair) for pair in kept.holds],
        "breaks": [{"kept_at": one, "not_at": other} for one, other in kept.breaks],
        "nearest": {"at": kept.tried, "value": result.value, "sense": result.sense.value, "limit": result.limit},
        "unit": result.unit,
        "not_computed_at": list(kept.unknown),
    }
