"""Tree to Plant: names and scopes, includes, schemes unfolded, parts resolved, units checked."""

from netdsl.model.build import read_plant
from netdsl.model.plant import Plant

__all__ = ["Plant", "read_plant"]
