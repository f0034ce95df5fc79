"""Load currents: what each device draws and each conductor carries."""

from __future__ import annotations

from cmath import exp
from collections.abc import Mapping
from math import pi, sqrt

from netdsl.calc.basis import amount
from netdsl.calc.circuit import Missing, Step
from netdsl.calc.loads.exclusive import Exclusive
from netdsl.calc.loads.parts import LoadParts
from netdsl.calc.loads.phasors import LoadPhasors, Phases
from netdsl.calc.loads.trees import Loads
from netdsl.kept import cached_property, kept
from netdsl.sums import sum_of

_TURNED = (1 + 0j, exp(-2j * pi / 3), exp(2j * pi / 3))


class LoadCurrents(LoadParts):
    """Currents of loads and groups in service. Phasors are per phase against that phase's own voltage, lagging negative."""

    def turned(self, angles: Mapping[str, float]) -> LoadCurrents:
        """The same with the current of each load turned by an angle, rad, against the voltage that all refer to."""
        found = LoadCurrents(self._calculation)
        for name in ("wiring", "demands", "flows", "returns", "starts"):
            found.__dict__[name] = getattr(self, name)
        together, behind = self._calculation.of(Exclusive).together, self.motors_behind
        circuit, settings = self._circuit, self._calculation.settings
        found.__dict__["phasors"] = LoadPhasors(circuit, settings, self.wiring, self.demands, behind, together, angles)
        return found

    # --- currents ---------------------------------------------------------------------------------------------------
    def device(self, device: str) -> float | None:
        """Line current that flows into a device, A: a load's own, of anything else that of what it feeds; None if unknown."""
        phasor = self.phasor(device)
        return None if phasor is None else abs(phasor)

    def phasor(self, device: str) -> complex | None:
        """The same with its angle, A; None if unknown."""
        phases = self.phases(device)
        if phases is not None and phases[0] == phases[1] == phases[2]:
            return phases[0]
        return None if phases is None else max(phases, key=lambda current: round(abs(current), 9))

    @kept
    def phases(self, device: str) -> Phases | None:
        """The same in each of the three phases, A; None if unknown or not in the power circuit."""
        if self.is_load(device):
            return self.phasors.vector(device)
        stage = self.wiring.stages.get(device)
        if stage is None:
            givers = [giver for net in self.wiring.carried(device) for giver in self.wiring.givers.get(net, ())]
            return self.phasors.within(self.flows.at_carrier(device), givers[0]) if givers else None
        loads = self.flows.into(device) or self._star(device)
        total = self.phasors.within(loads, device)
        own = {live.phase for live in self.wiring.lives(device)}
        if total is None or len(own) == 3:
            return total
        return (total[0] if 0 in own else 0j, total[1] if 1 in own else 0j, total[2] if 2 in own else 0j)

    def step(self, step: Step) -> float | None:
        """Design current of each live conductor of a step, A (all in parallel together); None if unknown."""
        return self._carried(step)

    @kept
    def _carried(self, step: Step) -> float | None:
        worst: float | None = None
        for pole in step.poles[:1] if self.even(step) else step.poles:
            for name in pole:
                here = self.whole(name)
                if here is None:
                    return None
                worst = here if worst is None else max(worst, here)
        return worst

    def conductor(self, conductor: str) -> float | None:
        """Design current of one conductor of the power circuit, A (its share where several are parallel); None if unknown."""
        if conductor in self._neutrals:
            return self._returning(conductor)
        whole = self.whole(conductor)
        if whole is None:
            return None
        beside = max((through.beside for through in self.flows.through(conductor)), key=len, default=(conductor,))
        return whole * self._share(conductor, beside)

    def starting(self, device: str) -> complex | None:
        """Starting current of a motor that is switched on the mains without a drive, A with its angle; None for all else."""
        start = self.starts.of(device) if self.is_load(device) else None
        return start.phasor if start else None

    def neutral(self, step: Step) -> float | None:
        """Current of the neutral of a step, A: what the phases do not balance, with three times their third harmonic; 0 of a
        step without neutral; None if unknown."""
        if not step.neutral and not step.fed_neutral:
            return 0.0
        return self._unbalance(self._behind(step))

    def neutral_parts(self, step: Step) -> tuple[float, float] | None:
        """The same, A, apart: what the phases do not balance, and the third harmonics of all phases, which are in phase."""
        return self._unbalanced(self._behind(step))

    def _behind(self, step: Step) -> Loads:
        """Loads behind a step, whichever pole they are on."""
        loads: dict[str, float] = {}
        for pole in step.poles:
            loads.update(self.through(pole[0]) or {})
        return loads

    @kept
    def third_harmonic(self, step: Step) -> float:
        """Third harmonic in the phases of a step, percent of their current, weighted over its loads; 0 where none is stated."""
        loads = self.through(step.poles[0][0]) if step.poles else None
        parts = [
            (abs(max(vector, key=abs)) * share, self._third(name))
            for name, share in (loads or {}).items()
            if (vector := self.phasors.vector(name)) is not None
        ]
        whole = sum_of(current for current, _ in parts)
        return sum_of(current * percent for current, percent in parts) / whole if whole else 0.0

    @kept
    def even(self, step: Step) -> bool:
        """Whether all loads behind a three-phase step load its phases alike, each pole in one piece of its own."""
        if step.phases != 3 or any(len(pole) != 1 for pole in step.poles):
            return False
        runs, nets = self._circuit.network.runs, self._circuit.network.nets
        first, *others = (len(nets[runs[pole[0]].net].conductors) for pole in step.poles)
        loads = self.through(step.poles[0][0]) if all(count == first for count in others) else None
        return loads is not None and all(
            (vector := self.phasors.vector(name)) is not None and vector[0] == vector[1] == vector[2] for name in loads
        )

    def _star(self, device: str) -> Loads:
        """The share of a contactor that makes a star point."""
        for net in self.wiring.stages[device].fed_by:
            for tree in self.flows.trees(net):
                for node in self.wiring.stages[device].fed_by[net]:
                    behind = tree.behind.get(tree.joints.point_of.get(node, ""), {})
                    if behind and all(name.endswith("/0") for name in behind):
                        return behind
        return {}

    # --- conductors -------------------------------------------------------------------------------------------------
    def through(self, conductor: str) -> Loads | None:
        """Loads behind a conductor, by the way to its net that has most; None for what is not in the power circuit."""
        found = self.flows.through(conductor)
        ways = (through.loads for through in found)
        return max(ways, key=lambda loads: (len(loads), sum_of(loads.values()))) if found else None

    @kept
    def whole(self, conductor: str) -> float | None:
        """Current of a conductor and those in parallel with it together, the most any of the ways to its net brings."""
        run = self._circuit.network.runs[conductor]
        live = self.wiring.live(run.net)
        worst = None
        for through in self.flows.through(conductor):
            total = self.phasors.within(through.loads, through.giver)
            if total is None or live is None:
                return None
            worst = max(worst or 0.0, abs(total[live.phase]))
        one, other = run.conductor.ends
        if worst is None and one.device == other.device and one.device in self.wiring.stages:
            return self.device(one.device)  # joins terminals of one device, as a star point does
        if worst is None and live is not None and conductor in self._circuit.step_of:
            return 0.0  # leads to nothing that draws
        return worst

    def _share(self, conductor: str, beside: tuple[str, ...]) -> float:
        """Share of a conductor in the current of all in parallel: by their admittances, alike where one is unknown."""
        if len(beside) < 2:
            return 1.0
        leads = [self._circuit.leads.like(name) for name in beside]
        known = [1 / abs(z) for lead in leads if not isinstance(lead, Missing) and (z := lead.at(None))]
        return known[beside.index(conductor)] / sum_of(known) if len(known) == len(beside) else 1 / len(beside)

    # --- neutrals ---------------------------------------------------------------------------------------------------
    @cached_property
    def _neutrals(self) -> dict[str, tuple[dict[str, float], tuple[str, ...]]]:
        """Loads whose current comes back through each neutral or 0 V conductor, with the conductors in parallel."""
        found: dict[str, tuple[dict[str, float], tuple[str, ...]]] = {}
        for device in filter(self.is_load, self.wiring.devices()):
            for piece, share in self.returns.carrying(device):
                for conductor in piece:
                    found.setdefault(conductor, ({}, piece))[0][device] = share
        return found

    def returning(self, conductor: str) -> complex | None:
        """Fundamental of a neutral or 0 V conductor and those in parallel, A, against the voltage of phase L1."""
        loads = self._neutrals[conductor][0] if conductor in self._neutrals else {}
        total = self.phasors.total(loads)
        return None if total is None else sum_of((total[n] * _TURNED[n] for n in range(3)), 0j)

    def _returning(self, conductor: str) -> float | None:
        loads, beside = self._neutrals[conductor]
        whole = self._unbalance(loads)
        return None if whole is None else whole * self._share(conductor, beside)

    def _unbalance(self, loads: Loads) -> float | None:
        parts = self._unbalanced(loads)
        return None if parts is None else sqrt(parts[0] ** 2 + parts[1] ** 2)

    def _unbalanced(self, loads: Loads) -> tuple[float, float] | None:
        total = self.phasors.total(loads)
        if total is None:
            return None
        third = sum_of(
            self._third(name) / 100 * sum_of(abs(i) for i in self.phasors.vector(name) or ()) * share
            for name, share in loads.items()
        )
        return abs(sum_of(total[n] * _TURNED[n] for n in range(3))), third

    def _third(self, name: str) -> float:
        return amount(self._circuit.plant.devices[name.partition("/")[0]], "third-harmonic") or 0.0
