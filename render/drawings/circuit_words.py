"""What stands beside the symbols of a circuit diagram: designations, places, ratings, references, and how wide they run."""

from __future__ import annotations

from collections.abc import Sequence

from netdsl.model.plant import Device
from render.drawings.circuit_draft import Draft
from render.drawings.circuit_homes import Homes, Mention
from render.layout.columns import balanced, broken, words
from render.layout.fonts import text_width, widest
from render.sheet import DESIGNATION, NORMAL
from render.words.names import Names

_WIDEST = 27.0  # of what is written beside a symbol


class Words:
    """Words for the parts of group `number`. `main`: the enclosure in which it stands; `reach`: of what is written beside a
    symbol, mm."""

    def __init__(self, homes: Homes, number: int, function: str, main: str) -> None:
        self.homes = homes
        self.plant = homes.plant
        self.names = Names(homes.plant, function)
        self.main = main
        self.group = number
        self.reach = _WIDEST

    def tighten(self, reach: float) -> None:
        """Let words beside a symbol take no more than `reach` mm from now on, and more height; 0 for as much as usual."""
        self.reach = reach or _WIDEST

    @property
    def is_tight(self) -> bool:
        """Whether words beside a symbol take less width now."""
        return self.reach < _WIDEST

    def width(self, line: Mention) -> float:
        """How wide a line is with its reference, mm."""
        wide = text_width(line.text, line.height)
        if not line.refer:
            return wide
        space = text_width("n n") - text_width("nn") if line.text else 0.0
        return wide + (space + self.reference(line.refer))

    def reference(self, part: str) -> float:
        """Room for where a part stands, mm."""
        group = self.homes.group_of.get(part, self.group)
        sheet = self.homes.sheets[group]
        return text_width(f"E{sheet} H8" if group == self.group else f"{self.homes.numbers[group]}{sheet} H8")

    def words(self, draft: Draft, edge: float, middle: float, lines: Sequence[Mention]) -> None:
        """Lines left of a symbol."""
        draft.words(edge, middle, lines, max((self.width(line) for line in lines), default=0.0))

    def identity(self, device: Device) -> list[Mention]:
        """Designation, and place where it is another."""
        lines = [Mention(text, DESIGNATION, device.id) for text in broken(self.names.of(device.id), self.reach, DESIGNATION)]
        return [*lines, Mention(device.place, NORMAL, device.id)] if self.is_elsewhere(device) else lines

    def said(self, device: Device, texts: Sequence[str]) -> list[Mention]:
        """Texts about a device, broken to the room beside a symbol."""
        if self.is_tight:  # no word is broken, and no last one stands alone
            made = [line for text in texts for line in balanced(text, max(self.reach, widest(words(text, united=True))))]
        else:
            made = [line for text in texts for line in broken(text, self.reach, united=True)]
        return [Mention(line, NORMAL, device.id) for line in made]

    def beside(self, lines: Sequence[Mention]) -> list[Mention]:
        """Lines with the place that one names below it where both are too wide to stand beside each other."""
        found: list[Mention] = []
        for line in lines:
            if line.text and line.refer and self.is_tight and self.width(line) > self.reach:
                found += [Mention(line.text, line.height, line.of), Mention("", line.height, line.of, line.refer)]
            else:
                found.append(line)
        return found

    def is_elsewhere(self, device: Device) -> bool:
        """Whether a device stands on a door, in the field or in another enclosure."""
        place = self.plant.places.get(device.place)
        return place is not None and (place.kind in ("door", "field") or place.enclosure != self.main)
