"""Systematic damage: for each rule, all places of a sound plant where a stated kind of damage has to be reported by that rule.

A function yields what it does; it leaves out places that the rule's own documentation exempts. What is damaged is named by
designation: the finding has to have one of them among its subjects. `MAKERS` holds them by rule, once this module is read.
"""

from __future__ import annotations

from tests.soundness import (
    damage_buses,
    damage_circuits,
    damage_coils,
    damage_connections,
    damage_control,
    damage_earth,
    damage_motors,
    damage_names,
    damage_pairs,
    damage_poles,
    damage_sizes,
    damage_stops,
    damage_switching,
    damage_ways,
)
from tests.soundness.damage_facts import MAKERS

__all__ = ["MAKERS", "ROOMS"]
ROOMS = (
    damage_earth,
    damage_ways,
    damage_connections,
    damage_motors,
    damage_names,
    damage_sizes,
    damage_control,
    damage_circuits,
    damage_buses,
    damage_coils,
    damage_pairs,
    damage_poles,
    damage_stops,
    damage_switching,
)
