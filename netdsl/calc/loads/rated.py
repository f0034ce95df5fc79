"""What feeds a load must bear: of a drive its rated input current with its overload; what was measured, or limits it."""

from __future__ import annotations

from netdsl.calc.basis import Calculation, Given, Settings, amount, formula, one_table
from netdsl.calc.circuit import Circuit, Step
from netdsl.calc.loads.currents import LoadCurrents
from netdsl.calc.loads.demand import Demands
from netdsl.calc.loads.drawn import Demand
from netdsl.calc.loads.flows import Flows
from netdsl.calc.loads.returns import Returns
from netdsl.calc.loads.wiring import Wiring
from netdsl.kept import cached_property, kept
from netdsl.model.plant import Device

#: what a project may state of a load, or of a device that feeds several, in place of any computed current
STATED = {"measured-current": "current measured in service", "limited-current": "current to which it is limited"}
_ROUNDING = 1 + 1e-9


class RatedDemands(Demands):
    """Demands by which conductors and devices are judged; `expected`: what the same loads are expected to draw."""

    def __init__(self, expected: Demands, circuit: Circuit, settings: Settings, loads: LoadCurrents) -> None:
        super().__init__(circuit, settings, loads.wiring, loads.motors_behind)
        self._expected = expected

    @kept
    def of(self, device: str) -> Demand | None:
        """As measured or limited where that is stated; of a drive the larger of what its motors need and of its rated input
        current; of all else as it is expected. None if unknown."""
        found = self._expected.of(device)
        made = self._circuit.plant.devices[device]
        stated = stated_of(made)
        if stated is not None:
            cos = self.power_factor(made) if found is None else Given("cos", found.cos, "", "", made.span)
            return Demand(stated.value, cos.value, formula("{I_r}"), (stated,), "stated by the project")
        if made.kind == "capacitor" and found is not None:
            return self._of_capacitor(found)
        rated = self._of_drive(made) if made.kind == "drive" and found is not None else None
        if found is None or rated is None:
            return found
        how, givens = rated
        amps = formula(how).of(givens)
        if amps <= found.amps * _ROUNDING:
            return found
        return Demand(amps, found.cos, formula(how), givens, "rating plate", "what its motors need is less")

    @staticmethod
    def _of_capacitor(found: Demand) -> Demand:
        """What a capacitor bank bears for good, and so may draw: harmonics and a higher voltage raise its current."""
        row = one_table("devices", "capacitor_overcurrent")
        factor = Given("k", row["factor"], "", "current of a capacitor with harmonics", None, row["source"], row["confidence"])
        givens, text = (factor, *found.givens), f"{{k}} * ({found.formula.text})"
        return found._replace(amps=formula(text).of(givens), formula=formula(text), givens=givens, source=row["source"])

    def _of_drive(self, made: Device) -> tuple[str, tuple[Given, ...]] | None:
        """The rated input current of a drive; of one that states an overload for a time, again and again, as much as heats alike
        (IEC 61800-2, the root of the mean square over one period)."""
        rated = amount(made, "input-current")
        if rated is None:
            return None
        current = Given("I_r", rated, "A", f"rated input current of {made.id}", made.span)
        overload, time, period = (amount(made, name) for name in ("overload", "overload-time", "overload-period"))
        if not overload or not time or not period or period < time:
            return "{I_r}", (current,)
        givens = (
            current,
            Given("k", overload / 100, "", f"overload of {made.id} over its rated current", made.span),
            Given("t_o", time, "s", f"time for which {made.id} gives its overload", made.span),
            Given("T_o", period, "s", f"period in which {made.id} gives it once", made.span),
        )
        return "{I_r} * sqrt(1 + ({k}^2 - 1) * {t_o} / {T_o})", givens


class RatedLoads(LoadCurrents):
    """The same currents with those demands."""

    def __init__(self, calculation: Calculation) -> None:
        super().__init__(calculation)
        self._expected = calculation.of(LoadCurrents)

    def apart_from_sections(self) -> bool:
        """As the expected currents, which flow the same ways."""
        return self._expected.apart_from_sections()

    @cached_property
    def wiring(self) -> Wiring:
        """That of the expected currents."""
        return self._expected.wiring

    @cached_property
    def flows(self) -> Flows:
        """Those of the expected currents."""
        return self._expected.flows

    @cached_property
    def returns(self) -> Returns:
        """Those of the expected currents."""
        return self._expected.returns

    @cached_property
    def demands(self) -> Demands:
        """What single loads draw at most for long."""
        return RatedDemands(self._expected.demands, self._circuit, self._calculation.settings, self)

    def _key(self, subject: str, amps: float | None, expected: float | None) -> str:
        """The key of the result about a load or step: that of the expected current where the two are one."""
        more = amps is not None and (expected is None or abs(amps - expected) > 1e-6 * amps)
        return f"{'rated-load-current' if more else 'load-current'} {subject}"

    def key_of(self, device: str) -> str:
        """The same of a load."""
        return self._key(device, self.device(device), self._expected.device(device))

    def key_of_step(self, step: Step) -> str:
        """The same of a step."""
        return self._key(f"{step.feeder} -> {step.fed}", self.step(step), self._expected.step(step))

    def step(self, step: Step) -> float | None:
        """Current by which a step is judged, A; as measured or limited where what it feeds, or its supply, states it. None if
        unknown."""
        stated = self.stated(step)
        return self._carried(step) if stated is None else stated.value

    @kept
    def stated(self, step: Step) -> Given | None:
        """What the project states of the current into what a step feeds, which is no load itself, or out of its supply."""
        devices, circuit = self._circuit.plant.devices, self._circuit
        if len(circuit.into.get(step.fed, ())) == 1 and not self.is_load(step.fed):
            found = stated_of(devices[step.fed])
            if found is not None:
                return found
        alone = devices[step.feeder].category == "supply" and len(circuit.out_of.get(step.feeder, ())) == 1
        return stated_of(devices[step.feeder]) if alone else None

    @kept
    def judged(self, step: Step) -> Given | None:
        """The current by which the conductors of a step are judged, as a value to put in; None if unknown."""
        amps, key = self.step(step), self.key_of_step(step)
        if amps is None:
            return None
        words = f"{'rated ' if key.startswith('rated') else ''}load current from {step.feeder} to {step.fed}"
        return Given("I_b", amps, "A", words, result=key)


def stated_of(made: Device) -> Given | None:
    """The measured or limited current that a device states, I_r in A."""
    for name, words in STATED.items():
        amps = made.ratings.amount(name)
        if amps is not None:
            return Given("I_r", amps, "A", f"{words}, of {made.id}", made.span)
    return None
