"""Where the potentials that a sheet feeds lead: sheet and zone of each place that takes from them, below its circuits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from render.drawings.circuit_places import Place
from render.layout.fonts import Box, text_width
from render.layout.writing import PITCH
from render.sheet import NORMAL, Label, Primitive

HEAD = 5.6  # above the first line
_APART = 3.0
_LINE = PITCH + 0.5
_TITLE = "Potentials lead to"
ONWARD, ONWARD_WORDS = 6.0, "Where potentials lead:"  # said where there is no room for more


class Lead(Struct, frozen=True):
    """A potential and all places that take from it; `zone`: where on its sheet it is fed."""

    rail: str
    name: str
    places: tuple[Place, ...]
    zone: str = ""

    def elsewhere(self, origin: Place) -> Lead:
        """The same on another sheet than that which feeds it, of `origin`: its name says where that is."""
        sheet = origin.number.rpartition("/")[2]
        return replace(self, name=f"{self.name} from {sheet} {self.zone}")


def merged(leads: Iterable[Lead], *, zones: bool = True) -> list[Lead]:
    """Potentials that lead to the same sheets in one, with `zones` if also side by side there, as the three phases do; without,
    no zone is said of a sheet on which they lie apart."""
    found: list[Lead] = []
    for lead in leads:
        sheets = [place.key for place in lead.places]
        for number, before in enumerate(found):
            pairs = list(zip(before.places, lead.places, strict=False))
            if [place.key for place in before.places] != sheets or (zones and not all(_beside(*pair) for pair in pairs)):
                continue
            places = tuple(first if _beside(first, other) else first._replace(zone="") for first, other in pairs)
            found[number] = replace(before, name=f"{before.name}, {lead.name}", places=places)
            break
        else:
            found.append(lead)
    return found


def _beside(first: Place, other: Place) -> bool:
    """Whether of two places on a sheet the zone of the first leads to the other too."""
    if not first.zone or not other.zone:
        return False
    return first.zone[0] == other.zone[0] and abs(int(first.zone[1:]) - int(other.zone[1:])) <= 1


def lines_of(leads: Iterable[Lead], width: float) -> list[tuple[Lead, str, tuple[Place, ...]]]:
    """Lines of what `leads` say: a name at the first of each lead, and the places that fit behind it."""
    leads = list(leads)
    found: list[tuple[Lead, str, tuple[Place, ...]]] = []
    for lead in leads:
        count = max(int((width - indent(leads)) / pitch(leads)), 1)
        for start in range(0, len(lead.places), count):
            found.append((lead, "" if start else lead.name, lead.places[start : start + count]))
    return found


def indent(leads: Sequence[Lead]) -> float:
    """Where places begin, mm."""
    return max(text_width(lead.name) for lead in leads) + _APART


def pitch(leads: Sequence[Lead]) -> float:
    """From one place to the next, mm."""
    return max(text_width(f"{place.number} {place.zone}") for lead in leads for place in lead.places) + _APART


def height_of(lines: int) -> float:
    """Height of so many lines with their heading, mm."""
    return HEAD + lines * _LINE


def drawn_leads(
    lines: Sequence[tuple[Lead, str, tuple[Place, ...]]], area: Box, top: float, key: str, origin: Place | None
) -> list[Primitive]:
    """The lines from `top` on; `key`: of their own sheet, to which nothing is linked; `origin`: where the potentials are fed, if
    that is another sheet."""
    leads = list({id(lead): lead for lead, _, _ in lines}.values())
    step, first = pitch(leads), indent(leads)
    parts: list[Primitive] = [Label(area.left, top + HEAD - 2.2, _TITLE, NORMAL, bold=True)]
    for number, (lead, name, places) in enumerate(lines):
        y = top + HEAD + NORMAL + number * _LINE
        if name:
            parts.append(Label(area.left, y, name, NORMAL, of=lead.rail, link=origin.key if origin is not None else ""))
        for index, place in enumerate(places):
            link = place.key if place.key != key else ""
            words = f"{place.number} {place.zone}".rstrip() if link or not place.zone else f"/{place.zone}"
            parts.append(Label(area.left + first + index * step, y, words, of=lead.rail, link=link))
    return parts
