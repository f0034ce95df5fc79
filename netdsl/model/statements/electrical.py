"""What wires and cables alike may state for the calculation."""

from __future__ import annotations

from netdsl.model.measures import Count, Measure
from netdsl.model.table import Take, value
from netdsl.model.value_kinds import Words

INSULATIONS = ("PVC", "XLPE", "EPR")
METALS = ("Cu", "Al")
#: IEC 60364-5-52
METHODS = ("A1", "A2", "B1", "B2", "C", "D", "D1", "D2", "E", "F", "G")

#: resistance and reactance are those of one conductor, as in service
ELECTRICAL: tuple[Take, ...] = (
    value("resistance", Measure("resistance", doubts=True), "resistance of one conductor, in service"),
    value("reactance", Measure("resistance", doubts=True), "reactance of one conductor"),
    value(
        "resistance-per-length",
        Measure("resistance-per-length", doubts=True),
        "resistance of one conductor per length, in service",
    ),
    value("reactance-per-length", Measure("resistance-per-length", doubts=True), "reactance of one conductor per length"),
    value("ampacity", Measure("current", positive=True, doubts=True), "its current-carrying capacity, in place of the table's"),
    value("correction", Measure("number", 0.01, 10.0, doubts=True), "a further factor on that capacity"),
    value("circuits", Count("number", 1.0, 1000.0, doubts=True), "loaded circuits in its group, else counted from the routes"),
    value(
        "adiabatic-constant",
        Measure("number", positive=True, doubts=True),
        "its constant k in A√s/mm², else by metal and insulation",
    ),
    value("ambient", Measure("temperature", -100.0, 1000.0, doubts=True), "temperature around it; in the ground, of the ground"),
    value("method", Words(METHODS, "method", doubts=True), "how it is installed (IEC 60364-5-52); `G` has no table"),
    value("stranding", Words(("rigid", "fine"), "stranding", doubts=True), "class 2 or class 5 (IEC 60228)"),
)
