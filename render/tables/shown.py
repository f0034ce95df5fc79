"""Where the diagrams of a set show a thing: sheet and zone."""

from __future__ import annotations

from render.drawing import Drawing
from render.layout.frame import zone
from render.sheet import Label, Sheet


class Shown:
    """The text that stands first for each designation on the diagrams, in the order of the set: `drawing.of(Shown)`."""

    def __init__(self, drawing: Drawing) -> None:
        self._first: dict[str, tuple[Sheet, Label]] = {}
        for sheet in drawing.diagrams:
            for part in sheet.primitives:
                if part.of and part.of not in self._first and isinstance(part, Label):
                    self._first[part.of] = (sheet, part)

    def place(self, *things: str) -> tuple[str, str]:
        """Sheet and zone of the first of `things` that is shown, `T.X1 B4`, and the key of that sheet; "" where none is."""
        for thing in things:
            found = self._first.get(thing)
            if found is not None:
                sheet, part = found
                return f"{sheet.number} {zone(sheet.size, part.x, part.y)}", sheet.key
        return "", ""
