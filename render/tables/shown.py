"""Where the drawings from which the shop wires show a terminal or a conductor: sheet and zone."""

from __future__ import annotations

from render.drawing import Drawing
from render.layout.frame import zone
from render.sheet import Label, Sheet


class Shown:
    """Terminals on the terminal drawing where they have one, else on their device sheet: `drawing.of(Shown)`."""

    def __init__(self, drawing: Drawing) -> None:
        self._wired = drawing.wired
        self._sheets: dict[str, Sheet] = {}
        self._own: dict[tuple[str, str], Label] = {}
        keys = {key for each in self._wired for key in each.values()}
        for sheet in drawing.diagrams:
            if sheet.key in keys:
                self._sheets[sheet.key] = sheet
                for part in sheet.primitives:
                    if isinstance(part, Label) and part.of:
                        self._note(sheet.key, part)

    def _note(self, key: str, label: Label) -> None:
        """Keep the label at which a thing is shown itself: of a terminal its number, not where another leads to it."""
        name = label.of.partition(":")[2]
        if not name or label.text == name:
            self._own.setdefault((key, label.of), label)

    def key(self, thing: str, conductor: str = "") -> str:
        """Key of the sheet where a device, strip or terminal is wired, where `conductor` lands on it; "" where none shows it."""
        tried = ((thing, conductor), (thing, ""), (thing.partition(":")[0], ""))
        return next((each[name] for name in tried for each in self._wired if name in each), "")

    def number(self, thing: str, conductor: str = "") -> str:
        """Number of that sheet, "" where none shows it."""
        key = self.key(thing, conductor)
        return self._sheets[key].number if key else ""

    def place(self, thing: str, conductor: str = "") -> tuple[str, str]:
        """Sheet and zone where it is wired, `T.X1 B4`, and the key of that sheet; "" where none shows it."""
        key = self.key(thing, conductor)
        if not key:
            return "", ""
        sheet = self._sheets[key]
        label = self._own.get((key, thing)) or self._own.get((key, thing.partition(":")[0]))
        return (f"{sheet.number} {zone(sheet.size, label.x, label.y)}" if label is not None else sheet.number), key

    def wire(self, conductor: str, *ends: str) -> tuple[str, str]:
        """Where a wire is worked: at the first of its ends on a terminal drawing, else on a device sheet."""
        for each in self._wired:
            for end in ends:
                if (end, "") in each:
                    return self.place(end, conductor)
        return next((found for found in map(self.place, ends) if found[0]), ("", ""))
