"""Kinds of figure that many statements take: currents, lengths, factors, with the form and sign that each may have."""

from __future__ import annotations

from netdsl.model.measures import Count, Measure
from netdsl.quantities import Form

#: forms in which more than one value means something
RANGE: tuple[Form, ...] = ("range",)
CHOICE: tuple[Form, ...] = ("alternatives",)
SIDES: tuple[Form, ...] = ("size",)

CURRENT = Measure("current", positive=True)
CURRENTS = Measure("current", positive=True, forms=RANGE)
LEAST_CURRENT = Measure("current")  # which may be nothing, as a leakage
LENGTH = Measure("length")
SECTIONS = Measure("section", positive=True, forms=RANGE)
APPARENT = Measure("apparent-power", positive=True)
NUMBER = Measure("number")
POSITIVE = Measure("number", positive=True)
PERCENT = Measure("percent")
SHARE = Measure("percent", positive=True)
POWER = Measure("power", positive=True)
LOSSES = Measure("power")
RESISTANCE = Measure("resistance")
TEMPERATURE = Measure("temperature", -100.0, 1000.0)
VOLTAGE = Measure("voltage", positive=True)
VOLTAGES = Measure("voltage", positive=True, forms=RANGE + CHOICE)
FREQUENCY = Measure("frequency", positive=True)
FREQUENCIES = Measure("frequency", positive=True, forms=RANGE + CHOICE)
FACTOR = Measure("number", 0.0, 1.0)
POWER_FACTOR = Measure("number", 0.01, 1.0)
COUNT = Count("number", 1.0, 1000.0)
CORRECTION = Measure("number", 0.01, 10.0)
PER_LENGTH = Measure("resistance-per-length")
