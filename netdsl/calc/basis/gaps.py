"""What is missing for the calculation, gathered so that it is said once."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis.results import Gap


class Gaps:
    """Data that is missing, one entry per feeder and kind."""

    def __init__(self) -> None:
        self._found: dict[tuple[str, str], Gap] = {}

    def note(self, gap: Gap) -> None:
        """Remember a gap; of one already known for its feeder and kind, add the things and the absent results."""
        key = (gap.feeder, gap.kind)
        known = self._found.get(key)
        if known is None:
            self._found[key] = gap
            return
        things = tuple(dict.fromkeys((*known.things, *gap.things)))
        absent = tuple(dict.fromkeys((*known.absent, *gap.absent)))
        if (things, absent) != (known.things, known.absent):
            self._found[key] = Gap(gap.feeder, gap.kind, things, absent, known.span, known.remedy)

    def __iter__(self) -> Iterator[Gap]:
        return iter(self._found.values())
