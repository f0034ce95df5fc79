"""Plant into Network: nets, potentials, classes, the protective-earth graph, the power tree, routes.

`build_network` is the door; `netdsl.network.queries` answers what rules and drawings ask of its result.
"""

from netdsl.network.build import build_network
from netdsl.network.types import Network

__all__ = ["Network", "build_network"]
