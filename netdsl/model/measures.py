"""Kinds of value that are numbers with a unit: a quantity, one number of it, or the word `auto` in its place."""

from __future__ import annotations

from math import inf
from typing import Generic, TypeVar

from netdsl.model.here import Here
from netdsl.model.meant_units import unit_remedy
from netdsl.model.ratings import AUTO, Open
from netdsl.model.value_kinds import ValueKind
from netdsl.model.values import attr_text, value_span, written_at
from netdsl.quantities import BASE_UNIT, UNITS, Form, Quantity, number_text, parse_quantity, with_point
from netdsl.syntax.written import Attr

T = TypeVar("T")
#: what nothing in a plant of low voltage has, by kind, in its base unit: beyond it a figure is a slip of the pen, and what is
#: computed with it no figure at all
BEYOND = {
    "current": 1e8,
    "voltage": 1e6,
    "power": 1e9,
    "apparent-power": 1e11,
    "length": 1e5,
    "section": 1e4,
    "surface": 1e4,
    "frequency": 1e5,
    "resistance": 1e9,
    "inductance": 1e3,
    "speed": 1e6,
    "time": 1e8,
    "mass": 1e5,
    "number": 1e9,
    "percent": 1e4,
    "temperature": 1e4,
    "angle": 1e4,
    "reactive-power": 1e9,
    "resistance-per-length": 1e3,
    "torque": 1e6,
    "pressure": 1e5,
    "airflow": 1e6,
    "flow": 1e6,
    "bit-rate": 1e12,
    "let-through": 1e15,
}
#: sides of a body; voltages or currents of a winding
MOST_VALUES = 3
#: less than any figure of a plant, in every base unit: what is divided by it is no figure
LEAST = 1e-9


class Measure(ValueKind[Quantity], eq=False):
    """A quantity of one kind: a single value, or in one of the `forms` it may have besides.

    `low`, `high`: the least and the most it can be, in the base unit of the kind; `unit`: of a plain number that has one.
    `positive`: it is more than nothing, a size in every direction. Below nothing are temperatures alone.
    `doubts`: the whole statement falls in doubt where it cannot be read. `example`: how one is written, where that is not simply
    a number with its unit. `forms`: a range, alternatives or a size, where more than one value means something.
    """

    kind: str
    low: float = -inf
    high: float = inf
    unit: str = ""
    positive: bool = False
    doubts: bool = False
    example: str = ""
    forms: tuple[Form, ...] = ()

    @property
    def bounds(self) -> str:
        """The least and the most it can be, in words; "" where it has no bounds."""
        if self.high == inf:
            return ""
        sign = BASE_UNIT.get(self.kind, "")
        unit = f", in {self.unit}" if self.unit else ""
        return f"{number_text(self.low)}{sign} to {number_text(self.high)}{sign}{unit}"

    @property
    def manual(self) -> str:
        unit = BASE_UNIT.get(self.kind)
        kind = "a percentage" if self.kind == "percent" else kind_words(self.kind)
        if self.example:
            return f"{kind}, `{self.example}`"
        return f"{kind}, {self.bounds}" if self.bounds else f"{kind} in {unit}" if unit else kind

    def read(self, attr: Attr, here: Here) -> Quantity | None:
        text = attr_text(attr, here)
        if text is None:
            return None
        quantity = parse_quantity(text)
        if quantity is None or quantity.kind != self.kind:
            self._wrong_kind(attr, text, quantity, here)
            return None
        if quantity.form == "single" and max(self.low, LEAST) <= quantity.value <= min(self.high, BEYOND.get(self.kind, inf)):
            return quantity  # as nearly all are
        name = attr.key.text
        if self.low == -inf and self.kind != "temperature" and min(quantity.values) < 0:
            self._out_of_range(attr, f"`{name}` is negative", "give a value from 0 on", here)
        elif self.positive and (max if quantity.form == "range" and self.kind != "length" else min)(quantity.values) <= 0:
            self._out_of_range(attr, f"`{name}` is nothing", "give a value above 0", here)
        elif not (self.low <= min(quantity.values) and max(quantity.values) <= self.high):
            self._out_of_range(attr, f"`{text}` is more or less than `{name}` can be", f"give {self.bounds}", here)
        elif max(map(abs, quantity.values)) > BEYOND.get(self.kind, inf):
            self._out_of_range(attr, f"`{text}` is more than anything here can be", "look at the number and its unit", here)
        elif any(0 < abs(each) < LEAST for each in quantity.values):
            self._out_of_range(attr, f"`{text}` is less than anything here can be", "look at the number and its unit", here)
        elif quantity.form == "range" and quantity.value > quantity.last:
            turned = f"{number_text(quantity.last)}..{number_text(quantity.value)}"
            remedy = f"write the lower value first: {turned} in {BASE_UNIT.get(self.kind) or 'plain figures'}"
            self._out_of_range(attr, f"`{text}` goes down from its first to its last value", remedy, here)
        elif (quantity.form != "single" and quantity.form not in self.forms) or len(quantity.values) > MOST_VALUES:
            self._several_values(attr, text, here)
        else:
            return quantity
        return None

    def _several_values(self, attr: Attr, text: str, here: Here) -> None:
        here.fault(
            "wrong-unit",
            value_span(attr),
            f"`{text}` is more than one value",
            f"give `{attr.key.text}` one value",
            whole=here.whole if self.doubts else None,
        )

    def _out_of_range(self, attr: Attr, message: str, remedy: str, here: Here) -> None:
        here.fault("out-of-range", value_span(attr), message, remedy, whole=here.whole if self.doubts else None)

    def _wrong_kind(self, attr: Attr, text: str, quantity: Quantity | None, here: Here) -> None:
        point = with_point(text)
        if point is not None:
            message, remedy = f"`{text}` has a comma for its point", f"write `{point}`"
            here.fault("wrong-unit", value_span(attr), message, remedy, whole=here.whole if self.doubts else None)
            return
        found = f"`{text}` is no number with a unit" if quantity is None else f"`{text}` is {kind_words(quantity.kind)}"
        here.fault(
            "wrong-unit",
            value_span(attr),
            f"{found}, `{attr.key.text}` takes {kind_words(self.kind)}",
            unit_remedy(text, self.kind, f"write it in {unit_words(self.kind)}"),
            whole=here.whole if self.doubts else None,
        )


class Count(Measure, eq=False):
    """A whole number."""

    def read(self, attr: Attr, here: Here) -> Quantity | None:
        quantity = Measure.read(self, attr, here)
        if quantity is None or quantity.value.is_integer():
            return quantity
        whole = here.whole if self.doubts else None
        remedy = f"give {self.bounds}" if self.bounds else "give a whole number"
        here.fault("out-of-range", attr.values[0].span, f"`{quantity.text}` is no whole number", remedy, whole=whole)
        return None


class Corner(Measure, eq=False):
    """A place on a surface: two lengths, `120x300mm`, from the left and from the upper edge; its form is a size."""

    def read(self, attr: Attr, here: Here) -> Quantity | None:
        quantity = Measure.read(self, attr, here)
        if quantity is None or (quantity.form == "size" and len(quantity.values) == 2):
            return quantity
        name = attr.key.text
        here.fault(
            "wrong-unit",
            attr.values[0].span,
            f"`{name}` takes two lengths, from the left and from the upper edge",
            f"write it as `{name}={self.example}`",
        )
        return None


class Amount(ValueKind[float], eq=False):
    """One number of a kind of quantity, read in its base unit."""

    of: Measure

    @property
    def manual(self) -> str:
        return self.of.manual

    def read(self, attr: Attr, here: Here) -> float | None:
        quantity = self.of.read(attr, here)
        return None if quantity is None else quantity.value


class OrAuto(ValueKind[T | Open], Generic[T], eq=False):
    """A quantity, or the word `auto` for the calculation to propose one."""

    of: ValueKind[T]

    @property
    def manual(self) -> str:
        return f"{self.of.manual}, or `{AUTO}`"

    @property
    def choices(self) -> tuple[str, ...]:
        return (AUTO,)

    def read(self, attr: Attr, here: Here) -> T | Open | None:
        return left_open(attr, here) or self.of.read(attr, here)


def left_open(attr: Attr, here: Here) -> Open | None:
    """The value of `attr` where it is the word `auto`, with the place in which that is written."""
    if attr_text(attr, here) != AUTO:
        return None
    return Open(written_at(attr.values, AUTO, here) or attr.values[0].span)


def kind_words(kind: str) -> str:
    """A kind of quantity with its article: "a current", "an airflow"."""
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind.replace('-', ' ')}"


def unit_words(kind: str) -> str:
    """The units of `kind` in words: "mm or m"."""
    units = [unit for unit, (of, _) in UNITS.items() if of == kind and unit]
    if not units:
        return "plain figures"
    units.sort(key=lambda unit: unit != BASE_UNIT.get(kind))
    return " or ".join(units[:3])
