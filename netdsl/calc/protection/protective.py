"""Size of protective conductors: by table, by the adiabatic equation, by touch current."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from netdsl.calc.basis import (
    Answer,
    Calculation,
    Given,
    Limit,
    Result,
    Sense,
    SheetQuestion,
    Words,
    formula,
    one_table,
    single,
    standard_section,
)
from netdsl.calc.circuit import Circuit, Lead, Missing
from netdsl.calc.faults import Faults
from netdsl.calc.protection.earth_faults import EarthFaults, Edge
from netdsl.calc.protection.earth_ways import EarthWays
from netdsl.calc.protection.own_sections import OwnSections
from netdsl.calc.protection.trips import Trips
from netdsl.calc.protection.withstand import Withstands, demanded

_CLOSED = frozenset({"duct", "conduit"})
_SLACK = 1 + 1e-6


class ProtectiveConductors(SheetQuestion):
    """Size of protective conductors: by table, by the adiabatic equation, by touch current (IEC 60364-5-54)."""

    place = 900
    answers = (
        Answer("protective-conductor.table", "Protective conductor by table", "S", of_conductors=True, graded=False),
        Answer("protective-conductor.adiabatic", "Protective conductor by the adiabatic equation", "S", of_conductors=True),
        Answer("protective-conductor.touch", "Protective conductor by touch current", "S", of_conductors=True, graded=False),
        Answer("protective-conductor.separate", "Protective conductor laid apart", "S", of_conductors=True),
        Answer("protective-conductor.pen", "PEN conductor", "S", of_conductors=True),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._network = calculation.network
        self._plant = calculation.plant
        self._ways = EarthWays(calculation)

    def results(self) -> Iterator[Result]:
        """`protective-conductor.table`, `.adiabatic`, `.separate`, `.pen` and `.touch` of every protective conductor on the way
        of a power circuit, or in a cable of it: the section demanded against the section there. Of table and adiabatic equation
        one suffices: where one is kept and the other is not, that other has no limit."""
        for edge in self._edges:
            leads = self._leads(edge)
            section = sum((lead.section_mm2 or 0.0) * lead.parallel for lead in leads)
            if not section:
                continue
            if edge.step is not None and edge.line_mm2:
                yield from self._ordinary(edge, leads, section)
                yield from self._separate(edge, leads, section)
                yield from self._pen(edge, leads, section)
            yield from self._touch(edge, leads)

    @cached_property
    def _edges(self) -> list[Edge]:
        return self._faults.edges()

    @cached_property
    def _faults(self) -> EarthFaults:
        return EarthFaults(self._calculation)

    def _leads(self, edge: Edge) -> list[Lead]:
        """The conductors of an edge; empty where the section of one is missing."""
        found = [self._circuit.leads.laid(name) for name in edge.conductors]
        known = [lead for lead in found if not isinstance(lead, Missing) and lead.section_mm2]
        return known if len(known) == len(found) else []

    # --- table and equation ---------------------------------------------------------------------------------------
    def _ordinary(self, edge: Edge, leads: list[Lead], section: float) -> Iterator[Result]:
        """By table, and where the fault current is known by the adiabatic equation."""
        table, lines, rounded = self._tabled(edge, leads[0])
        factor = self._calculation.of(Withstands).factor_of(leads[0], self._alone(leads[0]))
        heat = demanded(edge.stress, factor) if edge.stress is not None else None
        table_kept = formula(table).of(lines) <= section * _SLACK
        heat_kept = heat is not None and formula(heat[0]).of(heat[1]) <= section * _SLACK
        assert edge.step is not None
        unknown = heat is None and self._unknown_fault(edge.step.fed)
        held = table_kept or not (heat_kept or unknown)
        less = (
            "the adiabatic equation may allow less, but the fault current is not known"
            if unknown
            else "the adiabatic equation allows less"
        )
        yield self._result(
            "table",
            edge,
            leads,
            section,
            table,
            lines,
            "IEC 60364-5-54, table 54.2",
            held,
            "; ".join(words for words in ("" if held else less, rounded) if words),
        )
        if heat is not None and edge.stress is not None:
            text, givens = heat
            broken = f"fault to earth, broken by {self._calculation.of(Trips).named(edge.stress.device)}"
            yield self._result(
                "adiabatic",
                edge,
                leads,
                section,
                text,
                givens,
                "IEC 60364-5-54, 543.1.2",
                heat_kept or not table_kept,
                broken if heat_kept or not table_kept else f"{broken}; the table is kept",
            )

    def _unknown_fault(self, device: str) -> bool:
        """Whether the fault current at a device would be known if the netlist stated more; behind a drive it never is."""
        path = self._circuit.path(device)
        return (path is None or not path.drive) and self._calculation.of(Faults).at(device) is None

    def _tabled(self, edge: Edge, lead: Lead) -> tuple[str, tuple[Given, ...], str]:
        """The formula of the section, mm2, that table 54.2 asks for beside the line conductors of an edge, what is put in, and a
        note."""
        assert edge.step is not None
        text, givens = "{S_L}" if edge.line_mm2 <= 35 else "{S_L} / 2", self._line_givens(edge)
        if 16 < edge.line_mm2 <= 35:
            text = "{S_T}"
        line = self._circuit.leads.laid(edge.step.conductors[0])
        if not isinstance(line, Missing):
            ratio = self._calculation.of(Withstands).ratio(line, lead, edge.line_mm2)
            if ratio is not None:
                text, givens = f"{text} * {{r}}", (*givens, ratio)
        text, note = to_standard(text, givens)
        return text, givens, note

    def _line_givens(self, edge: Edge) -> tuple[Given, ...]:
        assert edge.step is not None
        first = self._plant.conductors[edge.step.conductors[0]]
        line = Given("S_L", edge.line_mm2, "mm²", f"section of the phase conductors to {edge.step.fed}", first.span)
        least = Given(
            "S_T", 16.0, "mm²", "section beside phase conductors of 16 to 35 mm²", None, "IEC 60364-5-54, table 54.2", "verified"
        )
        return (line, least) if 16 < edge.line_mm2 <= 35 else (line,)

    # --- laid apart -----------------------------------------------------------------------------------------------
    def _alone(self, lead: Lead) -> bool:
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

    def _separate(self, edge: Edge, leads: list[Lead], section: float) -> Iterator[Result]:
        """The least section of a protective conductor laid apart: by whether it is protected against damage."""
        if not self._alone(leads[0]):
            return
        row = one_table("conductors", "pe_minimum_separate")
        conductor = self._plant.conductors[leads[0].conductor]
        routes = [self._plant.routes.get(name.split("/")[0]) for name in self._network.runs[conductor.id].routes]
        covered = conductor.cable is not None or (bool(routes) and all(route and route.kind in _CLOSED for route in routes))
        key = "aluminium_mm2" if leads[0].material == "Al" else f"{'mechanically' if covered else 'not'}_protected_mm2_cu"
        words = "least section laid apart from its live conductors" + (", covered" if covered else ", not covered")
        needed = single(row, key)
        least = self._calculation.of(OwnSections).least("separate", needed, words, copper=leads[0].material != "Al")
        yield self._result("separate", edge, leads, section, "{S_min}", (least,), needed.source, True, "")

    def _pen(self, edge: Edge, leads: list[Lead], section: float) -> Iterator[Result]:
        """The least section of a conductor that is neutral and protective conductor in one."""
        conductor = self._plant.conductors[leads[0].conductor]
        if all(end.terminal != "PEN" for end in conductor.ends):
            return
        row = one_table("conductors", "pen_minimum")
        copper = leads[0].material != "Al"
        needed = single(row, "copper_mm2" if copper else "aluminium_mm2")
        least = self._calculation.of(OwnSections).least("pen", needed, "least section of a PEN conductor", copper=copper)
        yield self._result("pen", edge, leads, section, "{S_min}", (least,), needed.source, True, "")

    # --- touch current --------------------------------------------------------------------------------------------
    def _touch(self, edge: Edge, leads: list[Lead]) -> Iterator[Result]:
        """10 mm2 of copper on the way of a touch current above the limit, or two conductors on terminals of their own."""
        if not edge.touch:
            return
        device = max(edge.touch, key=self._faults.touch_a)
        made = self._plant.devices[device]
        row = one_table("conductors", "pe_leakage_rule")
        copper = leads[0].material != "Al"
        needed = single(row, "pe_min_mm2_copper" if copper else "pe_min_mm2_aluminium")
        doubled = self._ways.doubled(edge)
        touch = Given("I_t", self._faults.touch_a(device) * 1000, "mA", f"touch current of {device}", made.span)
        limit = self._calculation.settings.given("touch-current-limit", "I_lim")
        limit = limit._replace(value=limit.value * 1000, unit="mA")
        words = "least section of a single reinforced conductor"
        least = self._calculation.of(OwnSections).least("leakage", needed, words, copper=copper)
        section = max((lead.section_mm2 or 0.0) * lead.parallel for lead in leads)
        yield self._result(
            "touch",
            edge,
            leads,
            section,
            "{S_min}",
            (least, touch, limit),
            needed.source,
            not doubled or section >= least.value,
            "doubled on separate terminals" if doubled else "",
            "{I_t} > {I_lim}",
        )

    # --- results --------------------------------------------------------------------------------------------------
    def _result(
        self,
        kind: str,
        edge: Edge,
        leads: list[Lead],
        section: float,
        text: str,
        givens: tuple[Given, ...],
        source: str,
        limited: bool,
        note: str,
        condition: str = "",
    ) -> Result:
        conductor = self._plant.conductors[leads[0].conductor]
        devices = [end.device for end in conductor.ends if end.device in self._plant.devices]
        feeder = edge.step.fed if edge.step is not None else (edge.touch or devices)[0]
        given = Given("S", section, "mm²", f"section of {', '.join(edge.conductors)}", conductor.span)
        return Result(
            f"protective-conductor.{kind} {conductor.id}",
            f"protective-conductor.{kind}",
            conductor.id,
            self._circuit.feeder(feeder),
            formula(text).of(givens),
            "mm²",
            Words(f"{text} where {condition}") if condition else formula(text),
            givens,
            source,
            Limit(section, Sense.AT_MOST if limited else Sense.NONE, "section of the protective conductor", given),
            note=note,
            conductors=edge.conductors,
            span=conductor.span,
        )


def to_standard(text: str, givens: Sequence[Given]) -> tuple[str, str]:
    """The formula of a section rounded up to a standard one, with a note that says so; where it is one, the formula itself."""
    needed = formula(text).of(givens)
    if standard_section(needed) == needed:
        return text, ""
    return f"standard({text})", "standard: rounded up to a standard section"
