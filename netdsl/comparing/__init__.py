"""Plants compared by what they mean: facts of a network, and what differs between two."""

from netdsl.comparing.change import Change, Weight
from netdsl.comparing.comparison import Comparison, State, compare
from netdsl.comparing.condensed import condensed
from netdsl.comparing.facts import Fact, Thing, listed, things_of
from netdsl.comparing.found import new_findings
from netdsl.comparing.names import Names
from netdsl.comparing.pairs import things_renamed
from netdsl.comparing.renaming import names_between
from netdsl.comparing.rewired import rewired
from netdsl.comparing.rework import rework_between

__all__ = [
    "Change",
    "Comparison",
    "Fact",
    "Names",
    "State",
    "Thing",
    "Weight",
    "compare",
    "condensed",
    "listed",
    "names_between",
    "new_findings",
    "rewired",
    "rework_between",
    "things_of",
    "things_renamed",
]
