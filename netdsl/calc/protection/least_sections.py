"""Protective conductors with least sections of their own: of a supply, of enclosures, of arresters, of many drives together."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import (
    Answer,
    Calculation,
    Given,
    Limit,
    Result,
    Sense,
    SheetQuestion,
    Words,
    amount,
    formula,
    one_table,
    single,
)
from netdsl.calc.circuit import Circuit, Lead, Missing
from netdsl.calc.protection.earth_demands import to_standard
from netdsl.calc.protection.earth_faults import EarthFaults
from netdsl.calc.protection.earth_shares import EarthShares
from netdsl.calc.protection.feed_earths import Feed, FeedEarths
from netdsl.calc.protection.own_sections import OwnSections
from netdsl.calc.protection.withstand import Withstands
from netdsl.model.kinds import Kind
from netdsl.model.plant import Conductor, Device, End, Role
from netdsl.sums import sum_of

#: the question of the live leads of arresters
LEAD = "arrester-lead"
_CLOSED = frozenset({"duct", "conduit"})


class LeastSections(SheetQuestion):
    """Protective conductors whose section does not follow from a fault in their circuit alone.

    That of the supply as far as the main bar follows the table of IEC 60204-1; bonds of enclosures, doors and plates and the
    earth of an arrester have least sections; and where the touch currents of several devices add up, the conductor they share is
    reinforced.
    """

    place = 910
    answers = (
        Answer("protective-conductor.supply", "Protective conductor of a supply", "S", of_conductors=True, graded=False),
        Answer("protective-conductor.bond", "Bond of an enclosure", "S", of_conductors=True, graded=False),
        Answer("protective-conductor.arrester", "Earth of an arrester", "S", of_conductors=True, graded=False),
        Answer(LEAD, "Live lead of an arrester", "S", of_conductors=True, graded=False),
        Answer("protective-conductor.leakage", "Protective conductor of several devices", "S", of_conductors=True, graded=False),
    )

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)
        self._plant = calculation.plant
        self._earth = calculation.network.earth

    def results(self) -> Iterator[Result]:
        """`protective-conductor.supply`, `.bond`, `.arrester` and `.leakage` of every conductor with such a least section, and
        `arrester-lead` of the live leads of arresters: the section demanded against the section there, of each conductor
        alone."""
        for feed in FeedEarths(self._calculation).feeds():
            yield from self._of_supply(feed)
        for _, _, conductors in self._earth.graph.edges(data="conductors"):
            for name in conductors or ():
                yield from self._of_its_own(self._plant.conductors[name])
        for device in self._plant.devices.values():
            if self._is_arrester(device.id):
                yield from self._live_leads(device)
        yield from self._leaking()

    # --- supply ---------------------------------------------------------------------------------------------------
    def _of_supply(self, feed: Feed) -> Iterator[Result]:
        for name in feed.conductors:
            leads = self._leads((name,))
            if leads:
                yield self._of_supply_alone(feed, leads)

    def _of_supply_alone(self, feed: Feed, leads: list[Lead]) -> Result:
        """Of one conductor, whatever lies beside it: as the phases in its own cable, else as all of them together."""
        line_mm2 = self._calculation.of(EarthShares).beside_mm2(leads[0], feed.line_mm2)
        line = self._plant.conductors[feed.step.conductors[0]]
        row = one_table("conductors", "machine_pe")
        least, half = single(row, "between_mm2"), single(row, "half_over_mm2")
        words = f"section of the phase conductors to {feed.step.fed}"
        givens, text = [Given("S_L", line_mm2, "mm²", words, line.span)], "{S_L}"
        if line_mm2 > half.value:
            text = "{S_L} / 2"
        elif line_mm2 > float(row["as_phase_upto_mm2"]):
            text, words = "{S_T}", f"section beside phase conductors of {least.value:g} to {half.value:g} mm²"
            givens.append(Given("S_T", least.value, "mm²", words, None, least.source, least.confidence))
        ratio = self._ratio(feed, leads[0])
        if ratio is not None:
            text, givens = f"{text} * {{r}}", [*givens, ratio]
        text, note = to_standard(text, givens)
        return self._result("supply", leads, (leads[0].conductor,), text, tuple(givens), least.source, note, fed=feed.step.fed)

    def _ratio(self, feed: Feed, lead: Lead) -> Given | None:
        """k of the phase conductors over k of the protective conductor, where their metals differ."""
        line = self._circuit.leads.laid(feed.step.conductors[0])
        return None if isinstance(line, Missing) else self._calculation.of(Withstands).ratio(line, lead, feed.line_mm2)

    # --- bonds and arresters --------------------------------------------------------------------------------------
    def _of_its_own(self, conductor: Conductor) -> Iterator[Result]:
        leads = self._leads((conductor.id,))
        if not leads:
            return
        aluminium = leads[0].material == "Al"
        arrester = next((end.device for end in conductor.ends if self._is_arrester(end.device)), None)
        if arrester is not None:
            lightning = bool(amount(self._plant.devices[arrester], "lightning-current"))
            row = one_table("conductors", "arrester_earth")
            column = f"{'lightning' if lightning else 'surge'}_{'aluminium' if aluminium else 'copper'}_mm2"
            words = f"least section to earth of an arrester for {'lightning' if lightning else 'surge'} currents"
        elif any(end.device in self._plant.places for end in conductor.ends):
            row = one_table("conductors", "bond_minimum")
            covered = self._covered(conductor)
            column = "aluminium_mm2" if aluminium else f"{'covered' if covered else 'open'}_copper_mm2"
            words = f"least section of a bond, {'covered' if covered else 'not covered'}"
        else:
            return
        kind = "arrester" if arrester is not None else "bond"
        needed = single(row, column)
        own = "lightning" if column.startswith("lightning") else kind
        least = self._calculation.of(OwnSections).least(own, needed, words, copper=not aluminium)
        yield self._result(kind, leads, (conductor.id,), "{S_min}", (least,), needed.source, fed=arrester or "")

    def _live_leads(self, arrester: Device) -> Iterator[Result]:
        """`arrester-lead` of each conductor at a line or neutral terminal."""
        lightning = bool(amount(arrester, "lightning-current"))
        needed = single(one_table("conductors", "arrester_earth"), f"{'lightning' if lightning else 'surge'}_live_mm2")
        words = f"least section of a live lead of an arrester for {'lightning' if lightning else 'surge'} currents"
        least = self._calculation.of(OwnSections).least("lightning-lead" if lightning else "arrester-lead", needed, words)
        for terminal in arrester.terminals.values():
            for name in self._calculation.network.at_terminal.get(f"{arrester.id}:{terminal.name}", ()):
                leads = self._leads((name,)) if terminal.role in (Role.LINE_IN, Role.NEUTRAL) else []
                if leads:
                    yield self._result(LEAD, leads, (name,), "{S_min}", (least,), needed.source, fed=arrester.id)

    def _is_arrester(self, name: str) -> bool:
        """Whether a device is an arrester of a mains circuit; those of signals and of 24 V follow what their makers say."""
        device = self._plant.devices.get(name)
        if device is None or device.kind != Kind.SURGE_PROTECTION:
            return False
        return any(terminal.role is Role.LINE_IN for terminal in device.terminals.values())

    def _covered(self, conductor: Conductor) -> bool:
        """Whether a bond is protected against damage: in a cable, inside an enclosure, in a duct or conduit."""
        if conductor.cable is not None:
            return True
        enclosures = {self._enclosure(end) for end in conductor.ends}
        if len(enclosures) == 1 and "" not in enclosures:
            return True
        routes = [self._plant.routes.get(name.split("/")[0]) for name in self._calculation.network.runs[conductor.id].routes]
        return bool(routes) and all(route is not None and route.kind in _CLOSED for route in routes)

    def _enclosure(self, end: End) -> str:
        device = self._plant.devices.get(end.device)
        place = self._plant.places.get(device.place if device else end.device)
        return place.enclosure if place else ""

    # --- touch currents together ----------------------------------------------------------------------------------
    def _leaking(self) -> Iterator[Result]:
        """Conductors that carry the touch currents of several devices back to their supply, together more than the limit."""
        touch_a = EarthFaults(self._calculation).touch_a
        shared: dict[tuple[str, ...], list[str]] = {}
        for device in self._plant.devices:
            path = self._circuit.path(device) if touch_a(device) else None
            for conductors in (self._circuit.earths.path(device, path.origin) or ()) if path is not None else ():
                if conductors:
                    shared.setdefault(conductors, []).append(device)
        row = one_table("conductors", "pe_shared_leakage")
        limit = single(row, "threshold_mA")
        for conductors, devices in shared.items():
            leads = self._leads(conductors)
            total = sum_of(map(touch_a, devices)) * 1000
            if len(devices) < 2 or total <= limit.value or not leads or self._doubled(conductors):
                continue
            copper = leads[0].material != "Al"
            needed = single(row, "copper_mm2" if copper else "aluminium_mm2")
            words = "least section of a single conductor for so much leakage"
            givens = (
                self._calculation.of(OwnSections).least("leakage", needed, words, copper=copper),
                Given(
                    "I_t", total, "mA", f"touch currents of {len(devices)} devices together", self._plant.devices[devices[0]].span
                ),
                Given("I_lim", limit.value, "mA", "leakage above which it is reinforced", None, limit.source, limit.confidence),
            )
            yield self._result(
                "leakage", leads, conductors, "{S_min}", givens, needed.source, condition="{I_t} > {I_lim}", single_core=True
            )

    def _doubled(self, conductors: tuple[str, ...]) -> bool:
        """Whether two of them lie beside each other on terminals of their own at both ends, or another way leads on."""
        ends = [{end.id for end in self._plant.conductors[name].ends} for name in conductors]
        if any(one.isdisjoint(other) for n, one in enumerate(ends) for other in ends[n + 1 :]):
            return True
        return FeedEarths(self._calculation).other_way(conductors)

    # --- results --------------------------------------------------------------------------------------------------
    def _leads(self, conductors: tuple[str, ...]) -> list[Lead]:
        """The conductors as laid; empty where the section of one is missing."""
        found = [self._circuit.leads.laid(name) for name in conductors]
        known = [lead for lead in found if not isinstance(lead, Missing) and lead.section_mm2]
        return known if len(known) == len(found) else []

    def _result(
        self,
        kind: str,
        leads: list[Lead],
        conductors: tuple[str, ...],
        text: str,
        givens: tuple[Given, ...],
        source: str,
        note: str = "",
        *,
        condition: str = "",
        fed: str = "",
        single_core: bool = False,
    ) -> Result:
        conductor = self._plant.conductors[conductors[0]]
        sections = [(lead.section_mm2 or 0.0) * lead.parallel for lead in leads]
        section = max(sections) if single_core else sum_of(sections)
        question = f"protective-conductor.{kind}" if kind != LEAD else LEAD
        return Result(
            f"{question} {conductor.id}",
            question,
            conductor.id,
            self._circuit.feeder(fed) if fed else "",
            formula(text).of(givens),
            "mm²",
            Words(f"{text} where {condition}") if condition else formula(text),
            givens,
            source,
            Limit(
                section,
                Sense.AT_MOST,
                "section of the protective conductor" if kind != LEAD else "its section",
                Given("S", section, "mm²", f"section of {', '.join(conductors)}", conductor.span),
            ),
            note=note,
            conductors=conductors,
            span=conductor.span,
        )
