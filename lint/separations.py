"""Distances a project asks for itself: larger as it likes, smaller with a reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from lint.rules import rules
from lint.separation import is_looser, pair_of, separation
from lint.wording import metres
from netdsl.findings import Finding
from netdsl.model.plant import OwnSeparation, Plant


def loosened(plant: Plant) -> Iterator[tuple[OwnSeparation, str]]:
    """Each that asks less than the shipped table somewhere, with what it does in words."""
    for own in plant.separations:
        said = [words for where in ("inside", "outside") if is_looser(own, where) for words in _words(own, where)]
        if said:
            yield own, f"{' and '.join(own.classes)} lie {', '.join(said)}"


def _words(own: OwnSeparation, where: str) -> Iterator[str]:
    asked = separation().pairs[pair_of(own)][where]
    least = "a route of their own" if asked.word == "never" else metres(asked.mm / 1000)
    distance = (own.inside_m if where == "inside" else own.outside_m) or 0.0
    yield f"{metres(distance)} apart {where}, where the table asks for {least}"


def refused(plant: Plant) -> Iterable[Finding]:
    """A finding for each that asks less without a reason, and is not followed there."""
    entry = rules()["separation-looser"]
    for own, words in loosened(plant):
        if not own.reason.strip():
            message = f"{words}, without a reason: the table stays"
            yield Finding(
                entry.name, entry.severity, message, "say why, and who agreed, behind `because`", own.span, (), entry.source
            )
