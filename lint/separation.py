"""The table that says which classes of conductors may share a route or a cable, read from the standards' data."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from netdsl.model.plant import OwnSeparation, Plant
from netdsl.network.types import ConductorClass

#: classes the table speaks of; safety circuits are control circuits to it, earth and unconnected conductors lie anywhere
JUDGED = (
    ConductorClass.MOTOR,
    ConductorClass.MAINS,
    ConductorClass.CONTROL,
    ConductorClass.ANALOGUE,
    ConductorClass.BUS,
    ConductorClass.THERMISTOR,
    ConductorClass.ENCODER,
)
POWER = frozenset({ConductorClass.MOTOR, ConductorClass.MAINS})


class Answer(Struct, frozen=True):
    """`word`: share, distance or never; `condition` for sharing, "" for none; distances between routes in mm."""

    word: str = "share"
    condition: str = ""
    mm: float = 0.0
    mm_screened: float = 0.0


class Separation(Struct, frozen=True):
    """Answers for each pair of classes; pairs the table leaves out share."""

    pairs: Mapping[frozenset[ConductorClass], Mapping[str, Answer]]
    length_basis_m: float
    crossing_deg: float
    crossing_tolerance_deg: float
    extra_low_v: float

    def answer(self, a: ConductorClass, b: ConductorClass, where: str) -> Answer:
        """For two classes of `JUDGED`; `where`: inside, outside or cable."""
        return self.pairs.get(frozenset({a, b}), {}).get(where, Answer())


def separation_of(plant: Plant) -> Separation:
    """The table as a project has it: its own distances in place of the shipped ones, smaller ones only with a reason."""
    shipped = separation()
    if not plant.separations:
        return shipped
    pairs = {pair: dict(answers) for pair, answers in shipped.pairs.items()}
    for own in plant.separations:
        pair = pair_of(own)
        for where, metres in (("inside", own.inside_m), ("outside", own.outside_m)):
            if metres is not None and (own.reason.strip() or not is_looser(own, where)):
                pairs.setdefault(pair, {})[where] = Answer("distance", "", metres * 1000, metres * 1000)
    return replace(shipped, pairs=pairs)


def pair_of(own: OwnSeparation) -> frozenset[ConductorClass]:
    """The two classes a project speaks of."""
    return frozenset(map(ConductorClass, own.classes))


def is_looser(own: OwnSeparation, where: str) -> bool:
    """Whether a project asks less than the shipped table, `inside` or `outside`."""
    metres = own.inside_m if where == "inside" else own.outside_m
    answer = separation().pairs.get(pair_of(own), {}).get(where, Answer())
    return metres is not None and (answer.word == "never" or (answer.word == "distance" and metres * 1000 < answer.mm - 1e-9))


def judged_class(klass: ConductorClass) -> ConductorClass | None:
    """The class as the table knows it, None for what lies anywhere."""
    if klass is ConductorClass.SAFETY:
        return ConductorClass.CONTROL
    return klass if klass in JUDGED else None


@cache
def separation() -> Separation:
    """The shipped table."""
    data = tomllib.loads(resources.files("netdsl.standards").joinpath("separation.toml").read_text(encoding="utf-8"))
    pairs = {
        frozenset({ConductorClass(pair["a"]), ConductorClass(pair["b"])}): {
            where: _answer(pair[where]) for where in ("inside", "outside", "cable")
        }
        for pair in data["pair"]
    }
    figures = data["rules"]
    return Separation(
        pairs, figures["length_basis_m"], figures["crossing_deg"], figures["crossing_tolerance_deg"], figures["extra_low_v"]
    )


def _answer(entry: Mapping[str, Any]) -> Answer:
    mm = float(entry.get("mm", 0))
    return Answer(entry["answer"], entry.get("if", ""), mm, float(entry.get("mm_screened", mm)))
