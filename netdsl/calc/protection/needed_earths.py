"""What section a protective conductor takes that is not there yet."""

from __future__ import annotations

from netdsl.calc.basis import Question, one_table, single, standard_section
from netdsl.calc.circuit import Circuit
from netdsl.calc.protection.earth_faults import EarthFaults
from netdsl.calc.protection.own_sections import OwnSections
from netdsl.sums import sum_of

#: beside phase conductors up to the first as large as these, up to the second the first, above half of them, mm2
#: (IEC 60364-5-54, table 54.2)
_AS_PHASE, _HALF_OVER = 16.0, 35.0


class NeededEarths(Question):
    """Sections of copper for protective conductors of devices that have none."""

    def section(self, device: str) -> float | None:
        """The standard section, mm2, for a conductor of a device's own inside its enclosure: by table 54.2 beside the largest
        phase conductors that feed it, and reinforced where its touch current is above the limit. None where no section of these
        is known."""
        circuit, runs = self._calculation.of(Circuit), self._calculation.network.runs
        steps = circuit.into.get(device, ())
        poles = [[runs[name] for name in pole] for step in steps for pole in step.poles]
        sizes = [sum_of((run.section_mm2 or 0.0) * circuit.leads.parallel(run.conductor) for run in pole) for pole in poles]
        line = max(sizes, default=0.0)
        if not line:
            return None
        needed = line if line <= _AS_PHASE else _AS_PHASE if line <= _HALF_OVER else line / 2
        limit = self._calculation.settings.given("touch-current-limit", "I_lim").value
        if EarthFaults(self._calculation).touch_a(device) > limit:
            row = single(one_table("conductors", "pe_leakage_rule"), "pe_min_mm2_copper")
            least = self._calculation.of(OwnSections).least("leakage", row, "least section of a single reinforced conductor")
            needed = max(needed, least.value)
        return standard_section(needed)
