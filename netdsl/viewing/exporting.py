"""The same pages as files that need no server: for a file share, or for the pages of a code host."""

from __future__ import annotations

from pathlib import Path

import msgspec

from netdsl.viewing.desk import State
from netdsl.viewing.pages import ICON, SCRIPTS, STYLES, fixed, page
from render.exchange import Fresh, exchange

PAGE = "index.html"
FORMS = ("html", "css", "js", "svg")
_OURS = b'<meta name="generator" content="netdsl">'


class Foreign(Exception):
    """A folder holds a page that is none of ours."""


def export(state: State, folder: Path) -> Path:
    """Write a state of the desk into `folder`, whole or not at all, in place of an earlier one; the page to open.

    Raises Foreign where an index.html stands there that this did not write, OSError where the folder cannot be written.
    """
    start = folder / PAGE
    if start.is_file() and _OURS not in start.read_bytes():
        raise Foreign(str(start))
    files = _files(state)

    def write(fresh: Path) -> Fresh:
        for name, data in files.items():
            (fresh / name).write_bytes(data)
        return Fresh(list(files), list(files))

    exchange(folder, write, FORMS)
    return start


def _files(state: State) -> dict[str, bytes]:
    shown = state.shown
    sheets = [(f"{each.key}.svg", f"{each.number} {each.title}") for each in shown.pages]
    files = {PAGE: page(shown, sheets, live=False)}
    files |= {name: fixed(name) for name in (*STYLES, *SCRIPTS, ICON)}
    files["state.js"] = _script("state", shown)
    for key, drawn in state.sheets.items():
        files[f"{key}.svg"] = drawn.svg
        files[f"hits-{key}.js"] = _script(f"hits-{key}", drawn.hits)
    files |= {f"text-{number}.js": _script(f"text-{number}", text) for number, text in enumerate(state.texts)}
    return files


def _script(name: str, data: object) -> bytes:
    """Data as a script that hands it on: a page opened from a disk may read no other files."""
    return b"netdsl.take(" + msgspec.json.encode(name) + b", " + msgspec.json.encode(data) + b");\n"
