"""Starting currents of motors that are switched on the mains, direct or by star and delta."""

from __future__ import annotations

from cmath import exp
from math import acos

from msgspec import Struct
from msgspec.structs import replace

from netdsl.calc.basis import Given, Settings, amount
from netdsl.calc.circuit import Circuit, Path
from netdsl.calc.loads.demand import Demands
from netdsl.calc.loads.wiring import speed_of
from netdsl.kept import kept


class Start(Struct, frozen=True):
    """A motor's starting current, A against its phase's voltage, and what it was found from."""

    phasor: complex
    givens: tuple[Given, ...]
    note: str


class Starts:
    """Starts by motor."""

    def __init__(self, circuit: Circuit, settings: Settings, demands: Demands) -> None:
        self._circuit, self._settings, self._demands = circuit, settings, demands

    @kept
    def of(self, device: str) -> Start | None:
        """The start of a motor; None for what is no motor, is behind drives only, or whose current is unknown."""
        motor = self._circuit.plant.devices[device]
        kinds = {self._circuit.plant.devices[origin].kind for origin in self._demands.origins(device)}
        if motor.kind != "motor" or kinds <= {"drive"}:
            return None
        stated, factor = amount(motor, "starting-current"), amount(motor, "starting-power-factor")
        cos = (
            self._settings.given("starting-power-factor", "cos_s")
            if factor is None
            else Given("cos_s", factor, "", f"power factor of {device} while it starts", motor.span)
        )
        if stated is not None:
            givens: tuple[Given, ...] = (Given("I_s", stated, "A", f"starting current of {device}", motor.span), cos)
        else:
            demand = self._demands.of(device)
            if demand is None:
                return None
            ratio = self._settings.given("starting-ratio", "k_s")
            stated = demand.amps * ratio.value
            givens = (Given("I_n", demand.amps, "A", f"current of {device}", result=f"load-current {device}"), ratio, cos)
        if self.star_delta(device):
            stated /= 3
            givens = (
                *givens,
                replace(
                    cos,
                    symbol="k_y",
                    value=1 / 3,
                    words="share of the starting current in star",
                    span=None,
                    source="star connection of a delta winding",
                    confidence="verified",
                ),
            )
        note = "starts in star" if self.star_delta(device) else "starts direct on line"
        return Start(stated * exp(-1j * acos(cos.value)), givens, note)

    def star_delta(self, device: str) -> bool:
        """Whether a motor starts in star and runs in delta: its winding ends are fed separately, not a winding for each speed."""
        return len(self._demands.fed_by(device)) > 3 and not self._demands.by_speed(device)

    def share(self, path: Path) -> float:
        """Of the current of a motor what the winding takes to which a path leads: 1 where there is not one for each speed."""
        made, demand = self._circuit.plant.devices[path.device], self._demands.of(path.device)
        if path.step is None or demand is None or not self._demands.by_speed(path.device):
            return 1.0
        runs = (self._circuit.network.runs[name].nodes for name in path.step.conductors)
        speed = speed_of(node for nodes in runs for node in nodes if node.rpartition(":")[0] == path.device)
        winding = made.terminals.get(f"{speed}U")
        return min(winding.current.value / demand.amps, 1.0) if winding and winding.current and demand.amps else 1.0
