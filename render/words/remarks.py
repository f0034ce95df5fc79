"""What stands beside the title block of what the shop wires from."""

from __future__ import annotations

from collections.abc import Iterable

from netdsl.model.plant import Plant

CAUTION = "Isolate, lock off, wait for the DC link to discharge, prove dead. Skilled persons only; local codes prevail."
MARKS = "A conductor without a mark carries its two ends as its mark."

CONTACTS = "Bar: pin. Half circle: socket."


def live_words(isolators: Iterable[str]) -> str:
    """What LIVE means where it stands."""
    return f"LIVE: stays live with {', '.join(isolators)} off."


def scope_words(function: str) -> tuple[str, ...]:
    """What a short designation means on a sheet of `function`."""
    if not function:
        return ()
    return (f"A name without = belongs to {function}, or to the common part where {function} has none of that name.",)


def shade_words(plant: Plant) -> list[str]:
    """What the project's own colour words mean: `DBU: BU, dark blue.`"""
    return [f"{word}: {', '.join(text for text in meaning if text)}." for word, meaning in plant.shades.items()]
