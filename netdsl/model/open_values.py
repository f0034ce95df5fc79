"""Where a plant leaves values open with the word `auto`, for the calculation to propose."""

from __future__ import annotations

import re

from msgspec import Struct

from netdsl.findings import Span

_OPEN_CONSTRUCTION = re.compile(r"\d+[xG]auto")


class OpenValue(Struct, frozen=True):
    """A value left open.

    `kind`: "section" of a wire, "construction" of a cable (`4Gauto`), "defaults" (the section of a `defaults`), else the name of
    a device's rating or setting. `subjects`: ids of the conductors, the cable or the device; empty for `defaults`. `span`: the
    characters to be replaced. `statement`: the whole `defaults`, else the same.
    """

    kind: str
    subjects: tuple[str, ...]
    span: Span
    statement: Span


def open_construction(text: str) -> bool:
    """Whether a cable's construction leaves its section open: `4Gauto`, `3xauto`."""
    return bool(_OPEN_CONSTRUCTION.fullmatch(text))
