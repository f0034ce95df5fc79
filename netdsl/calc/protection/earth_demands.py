"""What section a protective conductor needs beside its phase conductors and for what it carries of a fault."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from netdsl.calc.basis import Calculation, Given, formula, standard_section
from netdsl.calc.circuit import Circuit, Lead, Missing
from netdsl.calc.protection.earth_faults import Edge
from netdsl.calc.protection.withstand import Withstands


class Demanded(Struct, frozen=True):
    """A section that a conductor needs, `mm2`: its formula, what is put in, and what is to be known about it."""

    text: str
    givens: tuple[Given, ...]
    mm2: float
    note: str = ""

    @classmethod
    def by(cls, text: str, givens: tuple[Given, ...], note: str = "") -> Demanded:
        """What a formula demands."""
        return cls(text, givens, formula(text).of(givens), note)


class EarthDemands:
    """Sections by table 54.2 of IEC 60364-5-54 and by its adiabatic equation."""

    def __init__(self, calculation: Calculation) -> None:
        self._calculation = calculation
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant

    def table(self, edge: Edge, lead: Lead) -> Demanded:
        """By the table beside the line conductors of an edge; of several that share a fault, their share of it."""
        assert edge.step is not None
        text, givens = "{S_L}" if edge.line_mm2 <= 35 else "{S_L} / 2", self._line_givens(edge)
        if 16 < edge.line_mm2 <= 35:
            text = "{S_T}"
        line = self._circuit.leads.laid(edge.step.conductors[0])
        if not isinstance(line, Missing):
            ratio = self._calculation.of(Withstands).ratio(line, lead, edge.line_mm2)
            if ratio is not None:
                text, givens = f"{text} * {{r}}", (*givens, ratio)
        if edge.share is not None:
            return Demanded.by(*_shared(text, givens, edge.share))
        text, note = to_standard(text, givens)
        return Demanded.by(text, givens, note)

    def heat(self, edge: Edge, lead: Lead) -> Demanded | None:
        """By the adiabatic equation, of several that share a fault with their share of its current; None where the fault is not
        known."""
        if edge.stress is None:
            return None
        withstands = self._calculation.of(Withstands)
        text, givens = withstands.demanded(edge.stress, lead, withstands.factor_of(lead, self.alone(lead)))
        return Demanded.by(text, givens) if edge.share is None else Demanded.by(*_shared(text, givens, edge.share))

    def least(self, edge: Edge, lead: Lead) -> float:
        """The smaller of the two, mm2: one of them suffices."""
        heat = self.heat(edge, lead)
        return min(self.table(edge, lead).mm2, *([heat.mm2] if heat is not None else []), float("inf"))

    def alone(self, lead: Lead) -> bool:
        """Whether a protective conductor lies apart from its live conductors: no core among live ones, and not inside one
        enclosure with them."""
        conductor = self._plant.conductors[lead.conductor]
        if conductor.cable is not None:
            return not any(not core.earth for core in self._plant.cables[conductor.cable].cores)
        enclosures = set()
        for end in conductor.ends:
            device = self._plant.devices.get(end.device)
            place = self._plant.places.get(device.place if device else end.device)
            enclosures.add(place.enclosure if place else "")
        return enclosures == {""} or len(enclosures) > 1

    def _line_givens(self, edge: Edge) -> tuple[Given, ...]:
        assert edge.step is not None
        first = self._plant.conductors[edge.step.conductors[0]]
        line = Given("S_L", edge.line_mm2, "mm²", f"section of the phase conductors to {edge.step.fed}", first.span)
        least = Given(
            "S_T", 16.0, "mm²", "section beside phase conductors of 16 to 35 mm²", None, "IEC 60364-5-54, table 54.2", "verified"
        )
        return (line, least) if 16 < edge.line_mm2 <= 35 else (line,)


def to_standard(text: str, givens: Sequence[Given]) -> tuple[str, str]:
    """The formula of a section rounded up to a standard one, with a note that says so; where it is one, the formula itself."""
    needed = formula(text).of(givens)
    if standard_section(needed) == needed:
        return text, ""
    return f"standard({text})", "standard: rounded up to a standard section"


def _shared(text: str, givens: tuple[Given, ...], share: Given) -> tuple[str, tuple[Given, ...], str]:
    return f"{{s}} * {text}", (share, *givens), "shared with others beside it, by their impedances"
