"""Impedance of conductors: from section, length, metal and temperature, or as the netlist states it."""

from __future__ import annotations

from msgspec.structs import replace

from netdsl.calc.basis import Figure, Given, Input, Said, Settings, figure, one_table, tables, word
from netdsl.calc.circuit.lead import OPERATING_C, Lead, Missing
from netdsl.kept import cached_property, kept
from netdsl.model.plant import Conductor, Plant, Ratings
from netdsl.network.types import Network, Run

#: resistance in service over that at 20 °C in annex G of IEC 60364-5-52
_WARM = 1.25
_USUAL_HZ = 50.0
#: what a project calls the temperature coefficient of a metal
_COEFFICIENT = {"Cu": "temperature-coefficient", "Al": "temperature-coefficient-aluminium"}
#: what a cable or wire may state that its impedance depends on
_SAID = ("resistance", "reactance", "resistance-per-length", "reactance-per-length", "insulation", "stranding", "material")


class Leads:
    """Leads by conductor, each worked out once."""

    def __init__(self, network: Network, settings: Settings) -> None:
        self._network = network
        self._plant: Plant = network.plant
        self._settings = settings
        self._alike: dict[tuple[object, float | None, float | None], Lead | Missing] = {}
        self.frequency_hz = self._frequency()
        self._scale = self.frequency_hz / 50

    @kept
    def of(self, conductor: str) -> Lead | Missing:
        """The lead of a conductor, or what is missing for it."""
        like = self.like(conductor)
        return Missing(conductor, like.kind) if isinstance(like, Missing) else replace(like, conductor=conductor)

    @kept
    def like(self, conductor: str) -> Lead | Missing:
        """The same, one for all conductors that differ by name alone, under the name of the first of them."""
        return self._shared(self._network.runs[conductor])

    @kept
    def laid(self, conductor: str) -> Lead | Missing:
        """The lead of a conductor for what its length does not matter to: without one its impedance is 0."""
        found = self.of(conductor)
        run = self._network.runs[conductor]
        if not isinstance(found, Missing) or not run.section_mm2:
            return found
        return self._lead(run, self.parallel(run.conductor), 0.0, 0.0, False)

    def _shared(self, run: Run) -> Lead | Missing:
        conductor = run.conductor
        said: object = conductor.cable
        if said is None:
            attributes = conductor.attributes
            said = tuple([attributes.get(name) for name in _SAID]) if attributes else ()
        key = (said, run.section_mm2, run.length_m)
        like = self._alike.get(key)
        if like is None:
            like = self._alike[key] = self._made(run)
        return like

    def stated(self, conductor: Conductor) -> Ratings:
        """What a wire states, or the cable of a core."""
        cable = self._plant.cables.get(conductor.cable or "")
        return cable.attributes if cable else conductor.attributes

    def insulation(self, conductor: Conductor) -> str:
        """PVC, XLPE or EPR: as stated, else as assumed."""
        stated = self.stated(conductor).text("insulation")
        return stated if stated in OPERATING_C else self._settings.word("insulation")

    def material(self, conductor: Conductor) -> str:
        """Al or Cu: as stated, else copper."""
        stated = self.stated(conductor).get("material")
        if stated is None:
            words = "conductors are of copper where they do not say `material`"
            self._settings.assume("material", words, "common practice", "common practice")
        return "Al" if stated == "Al" else "Cu"

    def parallel(self, conductor: Conductor) -> int:
        """How many cables lie in parallel under the conductor's name."""
        cable = self._plant.cables.get(conductor.cable or "")
        return cable.parallel if cable else 1

    def fine(self, conductor: Conductor) -> bool:
        """Whether the conductor is of IEC 60228 class 5: as stated, else wires are and cables are not."""
        stated = self.stated(conductor).get("stranding")
        if stated is None:
            self._settings.assume(
                "stranding",
                "wires are fine-stranded (class 5), cables rigid (class 2), where they do not say `stranding`",
                "IEC 60228",
                "common practice",
            )
        return stated == "fine" if stated is not None else conductor.cable is None

    @kept
    def ohm_per_km(self, section_mm2: float, fine: bool, material: str = "Cu") -> Figure:
        """Resistance of a conductor at 20 °C, ohm/km (IEC 60228); beyond the table by the section next below. Aluminium: class
        2."""
        if self._by_resistivity:
            return self._of_resistivity(section_mm2, material)
        wanted = (2, "aluminium") if material == "Al" else (5 if fine else 2, "plain copper")
        table = next(
            table for table in tables("conductors", "dc_resistance") if (table["conductor_class"], table["metal"]) == wanted
        )
        rows = table["section_mm2"]
        index = max((n for n, row in enumerate(rows) if row <= section_mm2 + 1e-9), default=0)
        found = figure(table, "ohm_per_km", index)
        if abs(rows[index] - section_mm2) > 1e-9:
            source = f"{found.source}, in proportion from {rows[index]:g} mm²"
            found = Figure(found.value * rows[index] / section_mm2, source, "common practice")
        return found

    @cached_property
    def _by_resistivity(self) -> bool:
        return self._settings.word("conductor-resistance") == "resistivity"

    def _of_resistivity(self, section_mm2: float, material: str) -> Figure:
        """Resistance at 20 °C, ohm/km, by the resistivity in service of IEC 60364-5-52, annex G, which is `_WARM` times that at
        20 °C."""
        table = one_table("conductors", "voltage_drop_constants")
        rho = float(table["rho1_aluminium_ohm_mm2_per_m" if material == "Al" else "rho1_copper_ohm_mm2_per_m"])
        source = f"{table['source']}, {rho:g} Ω mm²/m in service, {_WARM:g} times that at 20 °C"
        return Figure(1000 * rho / _WARM / section_mm2, source, str(table["confidence"]))

    def warming(self, material: str = "Cu") -> Given:
        """What brings the resistance at 20 °C to that in service."""
        if not self._by_resistivity:
            return self._settings.given(_COEFFICIENT[material], "alpha")
        source, sure = (str(one_table("conductors", "voltage_drop_constants")[name]) for name in ("source", "confidence"))
        return Given("k_warm", _WARM, "", "resistance in service over that at 20 °C", None, source, sure)

    def givens(self, lead: Lead) -> tuple[Input, ...]:
        """Where the impedance of a lead comes from: section, length, resistance per length."""
        conductor = self._plant.conductors[lead.conductor]
        if lead.stated or lead.section_mm2 is None:
            return (Said("Z", f"{lead.r20:.6g} + j{lead.x:.6g}", "Ω", f"stated impedance of {lead.conductor}", conductor.span),)
        figure_ = self.ohm_per_km(lead.section_mm2, lead.fine, lead.material)
        origin = self._network.runs[lead.conductor].origin
        return (
            Given("S", lead.section_mm2, "mm²", f"section of {lead.conductor}", origin.get("section", conductor.span)),
            Given("L", lead.length_m or 0.0, "m", f"length of {lead.conductor}", origin.get("length", conductor.span)),
            Given("r20", figure_.value, "Ω/km", "resistance at 20 °C per length", None, figure_.source, figure_.confidence),
        )

    def _made(self, run: Run) -> Lead | Missing:
        conductor = run.conductor
        parallel = self.parallel(conductor)
        stated = self.stated(conductor)
        ohms, reactance = (stated.amount(name) for name in ("resistance", "reactance"))
        per_ohms, per_reactance = (stated.amount(f"{name}-per-length") for name in ("resistance", "reactance"))
        length = run.length_m
        if ohms is not None or reactance is not None:
            return self._lead(run, parallel, (ohms or 0.0) / parallel, (reactance or 0.0) / parallel, True)
        if length is None:
            return Missing(run.id, "length")
        if per_reactance is None:
            per_reactance = self._settings.number("reactance-per-length") * self._scale if per_ohms is None else 0.0
        if per_ohms is not None:
            return self._lead(run, parallel, per_ohms * length / parallel, per_reactance * length / parallel, True)
        if not run.section_mm2:
            return Missing(run.id, "section")
        material = self.material(conductor)
        per_km = self.ohm_per_km(run.section_mm2, self.fine(conductor), material).value
        return self._lead(run, parallel, per_km * length / 1000 / parallel, per_reactance * length / parallel, False)

    def _lead(self, run: Run, parallel: int, ohms: float, reactance: float, stated: bool) -> Lead:
        insulation = self.insulation(run.conductor)
        material = self.material(run.conductor)
        if self._by_resistivity and not stated:
            alpha = (_WARM - 1) / (OPERATING_C[insulation] - 20)  # in service exactly that much more than at 20 °C
        else:
            alpha = self._settings.number(_COEFFICIENT[material])
        fine = False if stated else self.fine(run.conductor)
        return Lead(
            run.id,
            run.section_mm2,
            run.length_m,
            parallel,
            material,
            insulation,
            fine,
            ohms,
            reactance,
            stated,
            OPERATING_C[insulation],
            alpha,
        )

    def _frequency(self) -> float:
        """Frequency of the first supply that states one, Hz; else as assumed."""
        supplies = [device for device in self._plant.devices.values() if device.category == "supply"]
        for supply in supplies:
            stated = supply.ratings.amount("frequency")
            if stated:
                return stated
        if any(word(supply, "system") != "DC" for supply in supplies):
            words = f"supplies have {_USUAL_HZ:g} Hz where none states its `frequency`"
            self._settings.assume("frequency", words, "IEC 60038", "common practice")
        return _USUAL_HZ
