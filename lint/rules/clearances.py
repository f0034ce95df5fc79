"""Devices on their plate: room around them, and whether they fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint.facts import Facts
from lint.mounting import Body, Close, beyond, body_of, missing_rail, mounted, rails_words, too_close, too_deep
from lint.registry import Rule, Said, rule
from netdsl.findings import Related, Severity

_REMEDY = "move one of them, or say what room it needs"


def _looked_at(facts: Facts) -> Iterable[str]:
    return [*dict.fromkeys((*(device.id for device in mounted(facts)), *_deep(facts)))]


def _deep(facts: Facts) -> Iterator[str]:
    for device in facts.plant.devices.values():
        if too_deep(facts, device) or missing_rail(facts, device):
            yield device.id


@rule("clearance-short", Severity.WARNING, source="installation instructions of drives and power supplies", judges=_looked_at)
def clearance_short(facts: Facts, this: Rule) -> Iterator[Said]:
    """Devices of a plate or door stand closer than they may, one over the other, or do not fit.

    Reports:
      Two devices at one place whose bodies cover each other where `position=` puts them, or of which one stands in the room that
      the other needs above, below or beside itself; a device that reaches over the edge of its place; one that is deeper than
      its enclosure; one in a row that the rails of its enclosure do not have.
    Silent:
      Places of which no device states its position: nothing is known of distances there. Edges of places without `size=`, and
      room towards an edge: behind that of a plate there may be more.
    Why:
      Drives and supplies are cooled by the air that passes them from below; without room they trip when it is warm. What
      overlaps on paper is found out with the holes drilled.
    Failing:
      place +BOX "Pump box" kind=box material=plastic size=400x600x250mm
      part cooled {
        kind = signal-converter   class = II
        body = 100x120x90mm   clearance-below = 50mm
        terminal :1 plain 0.5..2.5mm2
      }
      device -U1 cooled at=+BOX position=40x50mm
      device -U2 cooled at=+BOX position=80x200mm
    Passing:
      - device -U2 cooled at=+BOX position=80x200mm
      + device -U2 cooled at=+BOX position=80x220mm
    Remedy:
      Move one of them, `position=` from the left and the upper edge of the place to those of the body; take a larger enclosure
      where the place does not suffice.
    """
    bodies: dict[str, list[Body]] = {}
    for device in mounted(facts):
        body = body_of(device)
        if isinstance(body, str):
            yield this.not_judged(device.id, body)
        else:
            bodies.setdefault(device.place, []).append(body)
    for found in bodies.values():
        for body in found:
            edge = beyond(facts, body)
            if edge is not None:
                about = (body.device.id,)
                yield this.report(
                    f"`{body.device.id}` reaches {edge}",
                    "move it, or take a larger place",
                    body.device.span,
                    about,
                    about=about,
                )
        yield from (_report(this, close) for close in too_close(found))
    for device in facts.plant.devices.values():
        missing = missing_rail(facts, device)
        if missing is not None:
            row, place = missing
            yield this.report(
                f"`{device.id}` is to stand in row {row}, and `{place.id}` states {rails_words(place)}",
                f"take one of them, or state another rail in `rails=` of `{place.id}`",
                device.span,
                (device.id,),
                about=(device.id,),
                related=(Related(f"`{place.id}`", place.span),),
            )
        deep = too_deep(facts, device)
        if deep is not None:
            yield this.report(
                f"`{device.id}` is {deep[0]:.0f} mm deep, its enclosure {deep[1]:.0f} mm",
                "take a deeper enclosure, or a device that fits",
                device.span,
                (device.id,),
                about=(device.id,),
            )


def _report(this: Rule, close: Close) -> Said:
    one, other = close.one.device, close.other.device
    if close.side == "over":
        message = f"`{other.id}` lies over `{one.id}`, {-close.gap:.0f} mm"
    else:
        message = f"`{other.id}` stands {close.gap:.0f} mm {close.side} `{one.id}`, {close.needed:.0f} mm are to be kept free"
    related = (Related(f"`{one.id}`", one.span),)
    return this.report(message, _REMEDY, other.span, (other.id, one.id), about=(other.id, one.id), related=related)
