"""What a thing states under names: quantities, words, and values left open."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass, field

from netdsl.findings import Span
from netdsl.quantities import Quantity

AUTO = "auto"


@dataclass(frozen=True, slots=True)
class Open:
    """A value that the text leaves open with the word `auto`, for the calculation to propose.

    `span`: the characters to be replaced. It takes no part in comparison: two things of which the same is open are alike.
    """

    span: Span = field(compare=False, repr=False)

    def __str__(self) -> str:
        return AUTO


Rating = Quantity | str | Open


class Ratings(dict[str, Rating]):
    """Values by name, in the order in which they were given; nothing adds to them once the plant is made.

    A plain dict underneath, since calculations ask millions of times; quantities are told by their `type` for the same reason:
    `isinstance` takes five times as long to say no.
    """

    __slots__ = ()

    def own(self) -> Ratings:
        """The same, each quantity an object of its own: by that what a device states is told from what its part states, for
        quantities that are spelt alike are read once."""
        return Ratings({name: copy(value) if isinstance(value, Quantity) else value for name, value in self.items()})

    def quantity(self, name: str) -> Quantity | None:
        """The quantity of that name; None where it is not stated, left open, or a word."""
        value = self.get(name)
        return value if type(value) is Quantity else None

    def amount(self, name: str) -> float | None:
        """The quantity of that name in the base unit of its kind, the first value of several; None as for `quantity`."""
        value = self.get(name)
        return value.values[0] if type(value) is Quantity else None

    def upper(self, name: str) -> float | None:
        """The upper end of the quantity of that name, of a single value that itself; None as for `quantity`."""
        value = self.get(name)
        return value.values[-1] if type(value) is Quantity else None

    def text(self, name: str) -> str:
        """The value as it was written, `auto` where it is left open, "" where it is not stated."""
        value = self.get(name)
        if value is None:
            return ""
        return value.text if isinstance(value, Quantity) else str(value)

    def shown(self, name: str) -> str:
        """The value as printed on a drawing, a quantity with a space before its unit; "" where it is not stated."""
        value = self.get(name)
        if value is None:
            return ""
        return value.shown if isinstance(value, Quantity) else str(value)
