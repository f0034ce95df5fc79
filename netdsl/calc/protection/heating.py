"""How a fault heats conductors: the constant k by its formula, and what their surroundings take up meanwhile (IEC 60949)."""

from __future__ import annotations

from collections.abc import Iterator

from netdsl.calc.basis import Answer, Calculation, Formula, Given, Result, SheetQuestion, one_table
from netdsl.calc.circuit import Lead
from netdsl.kept import kept

_CONSTANT = Formula("sqrt({Q_c} * ({beta} + 20) / {rho_20} * (log({beta} + {T_f}) - log({beta} + {T_i})))")
#: what divides the section that the adiabatic equation demands: the current that a real conductor bears over that
SHED = "sqrt(1 + {X} * sqrt({t} / {S}) + {Y} * {t} / {S})"
_SOURCE = "IEC 60949; IEC 60364-5-54, annex A"
_METALS = {"Cu": "copper", "Al": "aluminium"}
#: names of insulations in the tables of k
LIVE = {"PVC": "PVC 70", "XLPE": "XLPE/EPR 90", "EPR": "XLPE/EPR 90"}
#: a protective conductor that lies apart is as warm as the air to begin with, °C
APART_C = 30.0


class FaultHeating(SheetQuestion):
    """What a project chooses for the heat of faults: k by its formula, and conductors that shed heat meanwhile. The constants are
    results, one for each metal and insulation that another result takes."""

    place = 950
    answers = (Answer("adiabatic-constant", "Constant of a conductor in a fault", "k"),)

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._made: dict[str, Result] = {}
        self._used: dict[str, Result] = {}

    def results(self) -> Iterator[Result]:
        """`adiabatic-constant` of each kind of conductor, where the project chooses its formula."""
        yield from self._used.values()

    def use(self, k: Given) -> Given:
        """A constant as a result of a conductor takes it: it is then a result itself, where it comes from the formula."""
        if k.result:
            self._used.setdefault(k.result, self._made[k.result])
        return k

    @property
    def by_formula(self) -> bool:
        """Whether k comes from its formula and not from the tables."""
        return self._calculation.settings.word("adiabatic-constants") == "formula"

    @kept
    def constant(self, metal: str, insulation: str, large: bool, earth_alone: bool) -> Given:
        """k of a conductor by its formula, A s^0.5/mm2; `large`: above 300 mm2, `earth_alone`: as of `Withstands.factor`."""
        live, name = one_table("conductors", "k_live"), LIVE.get(insulation, insulation)
        row = live["insulation"].index(name)
        final = 140.0 if large and name == "PVC 70" else float(live["theta_f_C"][row])
        begin = APART_C if earth_alone else float(live["theta_i_C"][row])
        metals = one_table("conductors", "adiabatic_constants", metal=_METALS[metal])
        source, sure = str(metals["source"]), str(metals["confidence"])
        temperatures, known = str(live["source"]), str(live["confidence"])
        subject = f"{metal} {name}{' laid apart' if earth_alone else ''}{' above 300 mm²' if large and name == 'PVC 70' else ''}"
        givens = (
            Given("Q_c", metals["Qc_J_per_K_mm3"], "J/(K mm³)", f"heat that {_METALS[metal]} takes", None, source, sure),
            Given("beta", metals["beta_C"], "K", "reciprocal of its temperature coefficient at 0 °C", None, source, sure),
            Given("rho_20", metals["rho20_ohm_mm"], "Ω mm", "its resistivity at 20 °C", None, source, sure),
            Given("T_f", final, "°C", f"temperature at the end of a fault, {name}", None, temperatures, known),
            Given("T_i", begin, "°C", "temperature before it", None, temperatures, known),
        )
        result = Result.worked("adiabatic-constant", subject, "", _CONSTANT, "A√s/mm²", givens, _SOURCE)
        self._made[result.key] = result
        return Given("k", result.value, "A√s/mm²", f"constant of a conductor, {subject}", result=result.key)

    def shed(self, lead: Lead) -> tuple[Given, ...]:
        """What the formula of the heat that a conductor sheds takes, beside the time; empty where the project counts none."""
        if self._calculation.settings.word("fault-heating") != "non-adiabatic" or not lead.section_mm2:
            return ()
        table = one_table("conductors", "non_adiabatic")
        row = table["insulation"].index(lead.insulation)
        words = f"heat taken up by {lead.insulation} around {_METALS[lead.material]}"
        source, sure = str(table["source"]), str(table["confidence"])
        return (
            Given("X", table[f"X_{lead.material}"][row], "", words, None, source, sure),
            Given("Y", table[f"Y_{lead.material}"][row], "", words, None, source, sure),
            Given("S", lead.section_mm2, "mm²", f"section of {lead.conductor}"),
        )
