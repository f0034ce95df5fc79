"""What if one input were another: over a range of it, up to where each limit holds, and which breaks first."""

from netdsl.whatif.inputs import NAMES, Vary, read_vary
from netdsl.whatif.ranges import Kept, Ranges, ranges

__all__ = ["NAMES", "Kept", "Ranges", "Vary", "ranges", "read_vary"]
