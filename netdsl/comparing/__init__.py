"""Plants compared by what they mean: facts of a network, and what differs between two."""

from netdsl.comparing.facts import Fact, Thing, listed, things_of

__all__ = ["Fact", "Thing", "listed", "things_of"]
