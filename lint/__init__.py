"""The checks of netdsl: rules that look at a network and say what is wrong with it."""

from lint.explanation import explain
from lint.runner import check, verdict

__all__ = ["check", "explain", "verdict"]
