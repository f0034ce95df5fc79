"""How a net carries current from what feeds it to the loads behind it."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

#: loads by name, each with the share of it that runs together with the others
Loads = Mapping[str, float]


class Joints(Struct, frozen=True):
    """The points of a net: nodes that bridges and links join are one. `near`: points beside each, with the conductors between."""

    point_of: Mapping[str, str]
    near: Mapping[str, Mapping[str, tuple[str, ...]]]


class Tree(Struct, frozen=True):
    """How a net carries current from one giver: from each point the next one towards it and the conductors between, and the
    loads behind each point. `rings`: of points on a ring, behind which only what leaves the ring there counts, the loads
    whose currents flow from the one to the other; `toward`: the loads whose currents flow to such a point from the next
    one, less those that flow back."""

    giver: str
    joints: Joints
    up: Mapping[str, tuple[str, tuple[str, ...]]]
    behind: Mapping[str, Loads]
    all: Loads
    rings: Mapping[tuple[str, str], Loads] = {}
    toward: Mapping[str, Loads] = {}

    def to(self, point: str) -> Loads:
        """Loads whose currents flow together to a point from the next one towards the giver."""
        return self.toward[point] if point in self.toward else self.behind.get(point, {})


class Through(Struct, frozen=True):
    """Loads behind a conductor, seen from one giver; `beside`: the conductors in parallel, itself included."""

    loads: Loads
    beside: tuple[str, ...]
    giver: str
