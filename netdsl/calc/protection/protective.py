"""Size of protective conductors: by table, by the adiabatic equation, by touch current."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

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
)
from netdsl.calc.circuit import Circuit, Lead, Missing
from netdsl.calc.faults import Faults
from netdsl.calc.protection.earth_demands import EarthDemands
from netdsl.calc.protection.earth_faults import EarthFaults, Edge
from netdsl.calc.protection.earth_shares import EarthShares
from netdsl.calc.protection.earth_ways import EarthWays
from netdsl.calc.protection.own_sections import OwnSections
from netdsl.calc.protection.trips import Trips
from netdsl.kept import cached_property
from netdsl.sums import sum_of

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
        self._demands = EarthDemands(calculation)

    def results(self) -> Iterator[Result]:
        """`protective-conductor.table`, `.adiabatic`, `.separate`, `.pen` and `.touch` of every protective conductor on the way
        of a power circuit, beside it, or in a cable of it: the section demanded against the section there. Of table and adiabatic
        equation one suffices: where one is kept and the other is not, that other has no limit."""
        shares = self._calculation.of(EarthShares)
        apart = {edge.conductors[0]: edge for edge in shares.apart}
        for edge in shares.edges:
            for name in edge.conductors:
                if name in apart:
                    yield from self._of_one(apart.pop(name))
            leads = self._leads(edge)
            if leads:
                yield from self._touch(edge, leads)
        for edge in apart.values():
            yield from self._of_one(edge)

    def _of_one(self, edge: Edge) -> Iterator[Result]:
        leads = self._leads(edge)
        section = sum_of((lead.section_mm2 or 0.0) * lead.parallel for lead in leads)
        yield from self._ordinary(edge, leads, section)
        yield from self._separate(edge, leads, section)
        yield from self._pen(edge, leads, section)

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
        table, heat = self._demands.table(edge, leads[0]), self._demands.heat(edge, leads[0])
        table_kept = table.mm2 <= section * _SLACK
        heat_kept = heat is not None and heat.mm2 <= section * _SLACK
        assert edge.step is not None
        unknown = heat is None and self._unknown_fault(edge.step.fed)
        held = table_kept or not (heat_kept or unknown)
        less = (
            "the adiabatic equation may allow less, but the fault current is not known"
            if unknown
            else "the adiabatic equation allows less"
        )
        source = "IEC 60364-5-54, table 54.2"
        note = "; ".join(words for words in ("" if held else less, table.note) if words)
        yield self._result("table", edge, leads, section, table.text, table.givens, source, held, note)
        if heat is not None and edge.stress is not None:
            broken = f"fault to earth, broken by {self._calculation.of(Trips).named(edge.stress.device)}"
            held = heat_kept or not table_kept
            note = "; ".join(words for words in (broken, heat.note, "" if held else "the table is kept") if words)
            source = "IEC 60364-5-54, 543.1.2"
            yield self._result("adiabatic", edge, leads, section, heat.text, heat.givens, source, held, note)

    def _unknown_fault(self, device: str) -> bool:
        """Whether the fault current at a device would be known if the netlist stated more; behind a drive it never is."""
        path = self._circuit.path(device)
        return (path is None or not path.drive) and self._calculation.of(Faults).at(device) is None

    # --- laid apart -----------------------------------------------------------------------------------------------
    def _separate(self, edge: Edge, leads: list[Lead], section: float) -> Iterator[Result]:
        """The least section of a protective conductor laid apart: by whether it is protected against damage."""
        if not self._demands.alone(leads[0]):
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
        limit = replace(limit, value=limit.value * 1000, unit="mA")
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
