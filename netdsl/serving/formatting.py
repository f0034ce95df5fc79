"""The canonical form as edits: of a whole text, or of the lines of a range."""

from __future__ import annotations

from difflib import SequenceMatcher

from lsprotocol import types

from netdsl.findings import Source
from netdsl.serving.desk import Open
from netdsl.syntax import format_text


def format_edits(here: Open, within: types.Range | None = None) -> list[types.TextEdit]:
    """What `netdsl format` changes, line by line, in the lines of `within` alone where that is given; nothing where the text has
    faults of syntax, for then nothing may be moved."""
    text = here.document.text
    formatted = format_text(Source(here.document.path, text))
    if formatted is None or formatted == text:
        return []
    before, after = text.splitlines(keepends=True), formatted.splitlines(keepends=True)
    if len(before) > here.document.line_count:
        return []  # other characters end lines for Python than for an editor
    edits = []
    for what, begin, end, other, last in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if what == "equal" or (within is not None and (end < within.start.line or begin > within.end.line)):
            continue
        start = types.Position(begin, 0)
        finish = types.Position(end, 0) if end < here.document.line_count else here.places.position(end - 1, len(before[-1]))
        edits.append(types.TextEdit(types.Range(start, finish), "".join(after[other:last])))
    return edits
