"""What a short circuit lets through against what conductors bear."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from netdsl.calc.basis import Answer, Calculation, Given, Limit, Result, Sense, SheetQuestion, formula, kept_of_connections
from netdsl.calc.circuit import Circuit, Lead, Missing, Path, Step
from netdsl.calc.devices import Characteristic, Characteristics
from netdsl.calc.faults import Faults
from netdsl.calc.protection.heating import FaultHeating
from netdsl.calc.protection.let_through import ROUNDING, Stress, adiabatic_constant, demanded, largest
from netdsl.calc.protection.trips import Trips
from netdsl.kept import kept
from netdsl.model.kinds import CONVERTERS

#: longest fault for which all heat stays in the conductor, s
ADIABATIC_S = 5.0
#: tap from a busbar inside an enclosure to the device that protects it, m
TAP_M = 3.0


class Withstands(SheetQuestion):
    """What a short circuit lets through against what conductors bear (IEC 60364-4-43, 434.5.2)."""

    place = 800
    answers = (Answer("fault-withstand", "Section that bears the fault", "S", of_conductors=True),)

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._circuit = calculation.of(Circuit)

    def results(self) -> Iterator[Result]:
        """`fault-withstand` of every step: the section that the energy at its beginning or at its end demands, whichever is more,
        against the smallest section in it. Nothing behind a drive, whose own limits count; see `not_judged`."""
        for step in self._circuit.steps.values():
            if self.exempt(step):
                continue
            yield from self._of_step(step)

    def _of_step(self, step: Step) -> Iterator[Result]:
        """Of the conductors of each source, the result of the way that asks most of them."""
        worst: dict[tuple[str, ...], Result] = {}
        for path in self._circuit.paths(step.feeder):
            conductors = self._circuit.carrying(path, step) if not path.drive else ()
            stress = self.stress(path, step) if conductors else None
            lead = self._weakest((*conductors, *self._circuit.returning(path, step))) if stress is not None else None
            if stress is None or lead is None:
                continue
            result = self._result(step, conductors, lead, stress)
            known = worst.get(conductors)
            if known is None or result.value / (result.limit or 1.0) > known.value / (known.limit or 1.0) * ROUNDING:
                worst[conductors] = result
        yield from worst.values()

    def not_judged(self) -> tuple[tuple[str, str], ...]:
        """Fed devices whose conductors are not judged, with the reason."""
        steps = self._circuit.steps.values()
        found = {step.fed: reason for step in steps if (reason := self.exempt(step) or self._unbroken(step))}
        return tuple(found.items())

    def _unbroken(self, step: Step) -> str:
        """Why what a fault lets through in a step is not known though its currents are; "" where it is, or data is missing."""
        trips, ways = self._calculation.of(Trips), self._circuit.paths(step.feeder)
        if self._calculation.of(Faults).at(step.feeder) is None or any(trips.unrated(path) for path in ways):
            return ""
        if not any(trips.protecting(path) for path in ways):
            return f"before {step.fed} nothing is stated that breaks a short circuit: add `upstream=` to the supply"
        if all(self.stress(path, step) is None for path in ways):
            return f"nothing before {step.fed} is certain to break a short circuit within {ADIABATIC_S:g} s"
        return ""

    def taps(self) -> frozenset[str]:
        """Conductors that are not judged because they are short taps to a device that protects what follows."""
        taps = (step for step in self._circuit.steps.values() if self._is_tap(step))
        return frozenset(name for step in taps for name in step.conductors)

    # --- stress ---------------------------------------------------------------------------------------------------
    @kept
    def stress(self, path: Path, step: Step) -> Stress | None:
        """The larger of the energies that a short circuit at the beginning and at the end of a step lets through; None where a
        current or a characteristic is missing. Beyond `ADIABATIC_S` the overload release counts, not this: where nothing breaks
        so soon what flows at the end, the current on the way there that is broken just in that time stands in its place."""
        faults = self._calculation.of(Faults)
        if faults.at(step.feeder) is None and faults.at(step.fed) is None:
            return None
        if self._calculation.of(Trips).unrated(path):
            return None
        devices = self._calculation.of(Trips).protecting(path)
        beginning, smallest = self._beginning(path, step, devices), self._smallest(path, step)
        end = self.least(devices, smallest, "end") if smallest is not None else None
        return largest((beginning, self._on_the_way(beginning, devices) if end is None and smallest is not None else end))

    def _beginning(self, path: Path, step: Step, devices: tuple[Characteristic, ...]) -> Stress | None:
        faults = self._calculation.of(Faults)
        fed = faults.fed_by(step.feeder, path.origin)
        if fed is None or not fed[1].largest:
            return None
        current = faults.given(step.feeder, path.origin, "largest", fed[1].largest, "largest fault current")
        return self.least(devices, current, "beginning")

    def _smallest(self, path: Path, step: Step) -> Given | None:
        """The smallest current of a short circuit at the end of a step; None where it is not known."""
        faults = self._calculation.of(Faults)
        converts = self._calculation.plant.devices[step.feeder].kind in CONVERTERS
        origin = step.feeder if converts else path.origin
        fed = faults.fed_by(step.fed, origin)
        if fed is None:
            return None
        level = fed[1]
        known = [
            amps for amps in (level.three_min, level.two_min, level.neutral_min if step.neutral else None) if amps is not None
        ]
        if step.phases == 1 and level.neutral_min is not None:
            known = [level.neutral_min]
        return faults.given(step.fed, origin, "smallest", min(known), "smallest fault current") if known else None

    def _on_the_way(self, beginning: Stress | None, devices: tuple[Characteristic, ...]) -> Stress | None:
        """What the smallest current lets through that is broken within `ADIABATIC_S`, of those that flow between the beginning of
        a step and its end; None where what flows at its beginning is not broken in that time either."""
        found = (self._calculation.of(Characteristics).current_for(device, ADIABATIC_S) for device in devices)
        known = [current for current in found if current is not None]
        if beginning is None or not known:
            return None
        current = min(known, key=lambda each: each.value)
        if current.value > beginning.current.value:
            return None
        words = f"current at which a fault on the way is broken within {ADIABATIC_S:g} s"
        return self.least(devices, replace(current, symbol="I_k", words=words), "middle")

    def least(self, devices: tuple[Characteristic, ...], current: Given, where: str) -> Stress | None:
        """The energy that the device which lets least through lets through at a current; None where none breaks it in time."""
        found: Stress | None = None
        amps = current.value
        characteristics = self._calculation.of(Characteristics)
        for device in devices:
            energy = characteristics.let_through(device, amps)
            time = characteristics.time_given(device, amps)
            if energy is None or (time is not None and time.value > ADIABATIC_S * (1 + 1e-9)):
                continue
            if found is None or energy.value <= found.energy.value * ROUNDING:
                slow = time is not None and abs(amps**2 * time.value - energy.value) < 1e-6 * energy.value
                found = Stress(energy, current, time if slow else None, device, where)
        return found

    # --- conductors -----------------------------------------------------------------------------------------------
    @kept
    def factor(self, metal: str, insulation: str, large: bool, earth_alone: bool = False) -> Given:
        """The constant k of a conductor, A s^0.5/mm2; `earth_alone`: a protective conductor that is no core of a cable nor
        bunched; `large`: above 300 mm2."""
        heating = self._calculation.of(FaultHeating)
        if heating.by_formula:
            return heating.constant(metal, insulation, large, earth_alone)
        return adiabatic_constant(metal, insulation, large, earth_alone)

    def demanded(self, stress: Stress, lead: Lead, factor: Given) -> tuple[str, tuple[Given, ...]]:
        """The formula of the section, mm2, that a stress demands of a conductor, and what is put in."""
        return demanded(stress, factor, self._calculation.of(FaultHeating).shed(lead))

    def _weakest(self, conductors: tuple[str, ...]) -> Lead | None:
        """The conductor that bears least: of several in parallel one alone, for the fault may lie in it."""
        leads = [self._circuit.leads.of(name) for name in conductors]
        if any(isinstance(lead, Missing) or not lead.section_mm2 for lead in leads):
            return None
        known = [lead for lead in leads if not isinstance(lead, Missing)]
        if len(known) == 1:
            return known[0]
        return min(known, key=lambda lead: (lead.section_mm2 or 0.0) * self._factor_of(lead).value, default=None)

    def _factor_of(self, lead: Lead) -> Given:
        return self.factor_of(lead, False)

    def factor_of(self, lead: Lead, earth_alone: bool) -> Given:
        """The constant k of a lead, as its cable or wire states it, else by metal and insulation."""
        conductor = self._calculation.plant.conductors[lead.conductor]
        stated = self._circuit.leads.stated(conductor).amount("adiabatic-constant")
        if stated is not None:
            return Given("k", stated, "A√s/mm²", f"stated constant of {conductor.cable or conductor.id}", conductor.span)
        k = self.factor(lead.material, lead.insulation, (lead.section_mm2 or 0.0) > 300, earth_alone)
        return self._calculation.of(FaultHeating).use(k)

    def ratio(self, line: Lead, lead: Lead, line_mm2: float) -> Given | None:
        """k of phase conductors, of `line_mm2` together, over k of a protective conductor; None where they are of one metal."""
        if line.material == lead.material:
            return None
        of_line = self.factor(line.material, line.insulation, line_mm2 > 300).value
        ratio = of_line / self.factor(lead.material, lead.insulation, False).value
        words = "constant of the phase conductors over that of the protective conductor, of another metal"
        return Given("r", ratio, "", words, None, "IEC 60364-5-54, 543.1.2", "memory")

    @kept_of_connections
    def exempt(self, step: Step) -> str:
        """Why a step is not judged, "" where it is."""
        feeder = self._calculation.plant.devices[step.feeder]
        paths = self._circuit.paths(step.feeder)
        if feeder.kind == "drive" or (paths and all(path.drive for path in paths)):
            drive = feeder.id if feeder.kind == "drive" else paths[0].drive
            return f"behind {drive}: the drive limits its own output current"
        if feeder.kind == "supply-24v" or (paths and self._calculation.plant.devices[paths[0].origin].kind == "supply-24v"):
            return f"behind {step.feeder}: an electronic supply limits its own current"
        if feeder.kind == "transformer" and self._circuit.into.get(feeder.id):
            return f"behind {feeder.id}: no protective device lies between it and these conductors"
        if self._is_tap(step):
            clause = "IEC 60364-4-43, 434.2.1"
            return f"tap of at most {TAP_M:g} m inside an enclosure to {step.fed}, which protects what follows ({clause})"
        return ""

    def _is_tap(self, step: Step) -> bool:
        """Whether a step is a short tap inside one enclosure to a device that breaks short circuits."""
        after = self._calculation.of(Characteristics).of(step.fed)
        if after is None or not after.short_circuit or step.cables:
            return False
        plant = self._calculation.plant
        places = [plant.places.get(plant.devices[name].place) for name in (step.feeder, step.fed)]
        if (
            any(place is None or not place.enclosure for place in places)
            or len({place.enclosure for place in places if place}) != 1
        ):
            return False
        lengths = [self._calculation.network.runs[name].length_m for name in step.conductors]
        return all(length is not None and length <= TAP_M for length in lengths)

    # --- results --------------------------------------------------------------------------------------------------
    def _result(self, step: Step, conductors: tuple[str, ...], lead: Lead, stress: Stress) -> Result:
        conductor = self._calculation.plant.conductors[lead.conductor]
        factor = self._factor_of(lead)
        subject = lead.conductor
        device = self._calculation.of(Trips).named(stress.device)
        section = Given("S", lead.section_mm2 or 0.0, "mm²", f"section of {lead.conductor}", conductor.span)
        text, givens = self.demanded(stress, lead, factor)
        return Result.worked(
            "fault-withstand",
            subject,
            self._circuit.feeder(step.fed),
            formula(text),
            "mm²",
            givens,
            "IEC 60364-4-43, 434.5.2",
            Limit(section.value, Sense.AT_MOST, f"section of {conductor.cable or conductor.id}", section),
            note=f"fault at its {stress.where}, broken by {device}",
            conductors=conductors,
            span=conductor.span,
        )
