"""Load currents as results: of single loads with what they were found from, of steps as the sum of what lies behind."""

from __future__ import annotations

from cmath import polar
from math import pi, sqrt
from typing import TYPE_CHECKING

from netdsl.calc.circuit import Circuit, Step
from netdsl.calc.results import Given, Result
from netdsl.calc.settings import Settings

if TYPE_CHECKING:
    from netdsl.calc.loads import LoadCurrents

#: what a conductor carries of the current of the one load behind it, and the formula that says so
_ONE_LOAD = {1.0: "{I_b}", 1 / sqrt(3): "{I_b} / sqrt(3)"}


def of_load(loads: LoadCurrents, circuit: Circuit, settings: Settings, device: str) -> Result | None:
    """`load-current` of a load; None where its current is unknown."""
    demand, made = loads.demands.of(device), circuit.plant.devices[device]
    if demand is None:
        return None
    formula, givens = demand.formula, demand.givens
    if loads.margin != 1:
        formula, givens = f"{{k}} * ({formula})", (*givens, settings.given("load-margin", "k"))
    return Result(
        f"load-current {device}", "load-current", device, circuit.feeder(device), demand.amps * loads.margin, "A",
        formula, givens, demand.source, note=demand.note, span=made.span,
    )  # fmt: skip


def of_step(loads: LoadCurrents, circuit: Circuit, step: Step, value: float) -> Result:
    """`load-current` of a step that carries `value`."""
    behind = loads.through(step.poles[0][0]) or {}
    names = [name for name in behind if "/" not in name]
    subject, note = f"{step.feeder} -> {step.fed}", ""
    devices = dict.fromkeys(name.partition("/")[0] for name in behind)
    alone = loads.device(next(iter(devices))) if len(devices) == 1 else None
    if len(behind) == len(names) == 1 and behind[names[0]] == 1.0:
        formula = "{I_b}"
        givens: tuple[Given, ...] = (Given("I_b", value, "A", f"load current of {names[0]}", result=f"load-current {names[0]}"),)
    elif alone and any(abs(value - share * alone) < 1e-6 * alone for share in _ONE_LOAD):
        # the windings of one motor: both ends of each together carry its current, in delta each end alone carries less
        name = next(iter(devices))
        formula = next(formula for share, formula in _ONE_LOAD.items() if abs(value - share * alone) < 1e-6 * alone)
        givens = (Given("I_b", alone, "A", f"load current of {name}", result=f"load-current {name}"),)
    else:
        formula = "|sum of {n} load currents as phasors|"
        angle = polar(max(loads.total(behind) or (0j,), key=lambda current: round(abs(current), 9)))[1] * 180 / pi
        note = f"phasor sum at {angle:.1f}° against the phase voltage"
        each = (Given(f"I_{number}", loads.device(name) or 0.0, "A", f"load current of {name}", result=f"load-current {name}")
                for number, name in enumerate(devices, 1))  # fmt: skip
        givens = (Given("n", float(len(devices)), "", "loads behind", circuit.span_of(step.fed)), *each)
    return Result(
        f"load-current {subject}", "load-current", subject, circuit.feeder(step.fed), value, "A", formula, givens,
        "IEC 60364-1, 311", note=note, conductors=step.conductors, span=circuit.span_of(step.fed),
    )  # fmt: skip
