"""What is more than this program works on."""

from __future__ import annotations

#: sheets of a set; three thousand drives have some 25,000
MAX_SHEETS = 50_000


class Beyond(Exception):
    """More is asked for than is done, as its text says: one sentence, for whoever asked."""
