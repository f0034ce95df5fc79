"""The packages `lint` and `render`, which are installed beside `netdsl` under names that another distribution may use as well."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import netdsl

NAMES = ("lint", "render")
#: in the first line of the `__init__.py` of each
_MARK = "of netdsl"


def stranger() -> str | None:
    """What is wrong with the first of `NAMES` that comes from elsewhere or was overwritten; None where none is."""
    home = Path(netdsl.__file__).resolve().parent.parent
    for name in NAMES:
        found = find_spec(name)
        file = Path(found.origin).resolve() if found is not None and found.origin else None
        if file is None:
            return _told(name, "is missing")
        if file.parent != home / name:
            return _told(name, f"comes from `{file.parent}` and not from `{home / name}`")
        with file.open(encoding="utf-8") as text:
            if _MARK not in text.readline():
                return _told(name, f"in `{file.parent}` was overwritten")
    return None


def _told(name: str, what: str) -> str:
    return (
        f"the package `{name}` {what}: another distribution or a folder on the path of Python uses this name; "
        "install netdsl anew into a virtual environment of its own and start it from there"
    )
