"""Where things stand in the circuit diagrams."""

from __future__ import annotations

from typing import NamedTuple


class Place(NamedTuple):
    """Where something stands: key and number of its sheet, and zone."""

    key: str
    number: str
    zone: str

    def seen_from(self, key: str, number: str) -> str:
        """As short as it is clear on the sheet of `key` and `number`: `/B4` on itself, `E2 B4` on one of the same group, else
        `RP1/E2 B4`."""
        if self.key == key:
            return f"/{self.zone}"
        mark, _, sheet = self.number.rpartition("/")
        return f"{sheet if mark == number.rpartition('/')[0] else self.number} {self.zone}"
