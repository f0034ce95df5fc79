"""Fingerprints: a few characters by which paper is held against the text it was drawn from."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256

import msgspec

from render.sheet import Sheet

#: hexadecimal characters of a sheet's and of a set's
OF_SHEET, OF_SET = 8, 12


def fingerprint(body: Sheet) -> str:
    """What all that is drawn on a sheet comes to in eight characters, number and titles included, frame and title block left out.

    The same sheet has the same one, whatever the project's revision, status or findings; any change on it gives another.
    """
    return sha256(msgspec.json.encode(body)).hexdigest()[:OF_SHEET]


def fingerprint_of_set(sheets: Iterable[tuple[str, str]]) -> str:
    """What the numbers and fingerprints of sheets come to, in their order: twelve characters."""
    return sha256("\n".join(f"{number} {each}" for number, each in sheets).encode()).hexdigest()[:OF_SET]
