"""Plants compared by what they mean: facts of a network, and what differs between two."""

from netdsl.comparing.change import Change, Weight
from netdsl.comparing.comparison import Comparison, State, compare
from netdsl.comparing.facts import Fact, Thing, listed, things_of

__all__ = ["Change", "Comparison", "Fact", "State", "Thing", "Weight", "compare", "listed", "things_of"]
