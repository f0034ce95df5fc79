"""Currents of loads as phasors in the three phases, and their sums."""

from __future__ import annotations

from cmath import exp
from collections.abc import Callable, Mapping
from math import pi, sqrt

from netdsl.calc.basis import Settings, amount
from netdsl.calc.circuit import Circuit
from netdsl.calc.loads.demand import Demands
from netdsl.calc.loads.trees import Loads
from netdsl.calc.loads.wiring import Wiring
from netdsl.kept import cached_property, kept

#: currents of the three phases, A, each against its own phase's voltage
Phases = tuple[complex, complex, complex]
_LEAD, _LAG = exp(1j * pi / 6), exp(-1j * pi / 6)


class LoadPhasors:
    """Phasors of single loads and of loads together, A, lagging negative. `motors_behind`: the motors a drive feeds; `together`:
    of devices with their currents those that run together. `angles`: by which the current of a load is turned, rad, as that
    of the voltage at its terminals; of those that are not named it is not."""

    def __init__(
        self,
        circuit: Circuit,
        settings: Settings,
        wiring: Wiring,
        demands: Demands,
        motors_behind: Callable[[str], tuple[str, ...]],
        together: Callable[[Mapping[str, float]], frozenset[str]],
        angles: Mapping[str, float] | None = None,
    ) -> None:
        self._together, self._angles = together, angles or {}
        self._settings, self._wiring, self._demands, self._motors_behind = settings, wiring, demands, motors_behind
        self._devices = circuit.plant.devices
        # The loads behind a point are one mapping for all who ask, so that its identity can be the key. Each entry holds the
        # mapping: while it is known, no other can come to have its identity.
        self._totals: dict[int, tuple[Loads, Phases | None]] = {}
        self._limited: dict[tuple[int, str], tuple[Loads, Phases | None]] = {}

    @kept
    def vector(self, name: str) -> Phases | None:
        """Currents of a load (as `Flows` names it) in the three phases, A, the project's margin included."""
        plain, angle = self._unturned(name), self._angles.get(name.partition("/")[0], 0.0)
        if plain is None or not angle:
            return plain
        turn = exp(1j * angle)
        return plain[0] * turn, plain[1] * turn, plain[2] * turn

    def _unturned(self, name: str) -> Phases | None:
        device, _, part = name.partition("/")
        demand = self._demands.of(device)
        if demand is None:
            return None
        turned = self.margin * demand.phase
        current = demand.amps * turned
        if part.endswith("U"):  # a winding for one speed
            stated = self._devices[device].terminals[part].current
            current = current if stated is None else stated.value * turned
            return current, current, current
        if part:
            share = {"0": current / 3, "1": current / sqrt(3) * _LEAD, "2": current / sqrt(3) * _LAG}[part]
            return share, share, share
        lives = self._wiring.lives(device)
        if len(lives) >= 3:
            return current, current, current
        own = list(dict.fromkeys(live.phase for live in lives))
        found = [0j, 0j, 0j]
        if len(own) == 2:
            first, second = own if (own[1] - own[0]) % 3 == 1 else own[::-1]
            found[first], found[second] = current * _LEAD, current * _LAG
        else:
            found[own[0] if own else 0] = current
        return found[0], found[1], found[2]

    def total(self, loads: Loads) -> Phases | None:
        """Currents of loads together; None if one is unknown. A motor that a drive can also feed counts once."""
        known = self._totals.get(id(loads))
        if known is None:
            known = self._totals[id(loads)] = loads, self._with_or_without(self.counted(loads))
        return known[1]

    def _with_or_without(self, loads: Loads) -> Phases | None:
        """Currents of loads together, with the capacitor banks among them or with these switched off, whichever is more."""
        if len(loads) < 2:
            return self._sum(loads)
        whole = self._sum(loads)
        others = {name: share for name, share in loads.items() if self._devices[name.partition("/")[0]].kind != "capacitor"}
        alone = self._sum(others) if 0 < len(others) < len(loads) else None
        if whole is None or alone is None:
            return whole
        return alone if max(map(abs, alone)) > max(map(abs, whole)) else whole

    def within(self, loads: Loads, giver: str) -> Phases | None:
        """The same behind `giver`: unknown behind what feeds control circuits, whose loads the power circuit does not show;
        behind a drive, of several motors no more than it gives, as they are then not meant to run at full load together."""
        key = (id(loads), giver)
        known = self._limited.get(key)
        if known is None:
            known = self._limited[key] = loads, self._made_within(loads, giver)
        return known[1]

    def _made_within(self, loads: Loads, giver: str) -> Phases | None:
        origins = (giver,) if self._wiring.begins(giver) else self._wiring.origins(giver)
        if any(not self.shows_all(origin) for origin in origins):
            return None
        total = self.total(loads)
        made = self._devices.get(origins[0]) if len(origins) == 1 and len(loads) > 1 else None
        limit = (amount(made, "output-current") or amount(made, "current")) if made and made.kind == "drive" else None
        largest = max(abs(current) for current in total) if total else 0.0
        if total is None or limit is None or largest <= limit:
            return total
        motors = [demand.amps for name in loads if (demand := self._demands.of(name.partition("/")[0])) is not None]
        share = max(limit, *motors) / largest
        return (total[0] * share, total[1] * share, total[2] * share) if share < 1 else total

    def shows_all(self, origin: str) -> bool:
        """Whether the power circuit shows all that a source feeds: not a 24 V supply, nor a transformer for control."""
        made = self._devices[self._wiring.stages[origin].device]
        return made.kind != "supply-24v" and (
            made.kind != "transformer" or any(len(source.poles) >= 3 for source in made.sources)
        )

    @cached_property
    def margin(self) -> float:
        """The project's factor on load currents."""
        return self._settings.number("load-margin")

    def _sum(self, loads: Loads) -> Phases | None:
        one = two = three = 0j
        for name, share in loads.items():
            vector = self.vector(name)
            if vector is None:
                return None
            one, two, three = one + vector[0] * share, two + vector[1] * share, three + vector[2] * share
        return one, two, three

    def counted(self, loads: Loads) -> Loads:
        """Loads without a motor that a drive among them feeds too: by the drive or past it, whichever draws more; of a motor with
        a winding for each speed that which draws most; and without those that are interlocked with others which draw more."""
        if len(loads) < 2:
            return loads
        loads = self._one_speed(self._past_or_by(loads))
        amps: dict[str, float] = {}
        for name, share in loads.items():
            vector = self.vector(name)
            if vector is None:
                return loads
            device = name.partition("/")[0]
            amps[device] = amps.get(device, 0.0) + max(map(abs, vector)) * share
        kept = self._together(amps) if len(amps) > 1 else amps.keys()
        return loads if len(kept) == len(amps) else {name: own for name, own in loads.items() if name.partition("/")[0] in kept}

    def _one_speed(self, loads: Loads) -> Loads:
        """Loads without the windings of a motor that draw less than another of it: one speed runs at a time."""
        speeds: dict[str, dict[str, float]] = {}
        for name in loads:
            if name.endswith("U") and "/" in name and (vector := self.vector(name)) is not None:
                speeds.setdefault(name.partition("/")[0], {})[name] = abs(vector[0])
        less = {name for amps in speeds.values() for name in amps if name != max(amps, key=lambda each: amps[each])}
        return {name: share for name, share in loads.items() if name not in less} if less else loads

    def _past_or_by(self, loads: Loads) -> Loads:
        """Loads without a motor that a drive among them feeds too, or without that drive."""
        motors = {name.partition("/")[0] for name in loads if name.partition("/")[0] in self._past_drives}
        if not motors:
            return loads
        found = dict(loads)
        for drive in [name for name in loads if name in self._bypassed]:
            direct = {name: found[name] for name in found if name.partition("/")[0] in self._bypassed[drive]}
            past, by = self._sum(direct), self.vector(drive)
            if not direct or past is None or by is None:
                continue
            for name in direct if abs(by[0]) > abs(past[0]) else (drive,):
                del found[name]
        return found

    @cached_property
    def _bypassed(self) -> dict[str, frozenset[str]]:
        """Drives with the motors they feed that a way past them feeds too."""
        drives = [name for name in self._wiring.stages if name in self._devices and self._devices[name].kind == "drive"]
        past = {
            motor: any(origin not in drives for origin in self._wiring.origins(motor))
            for drive in drives
            for motor in self._motors_behind(drive)
        }
        found = {drive: frozenset(motor for motor in self._motors_behind(drive) if past[motor]) for drive in drives}
        return {drive: motors for drive, motors in found.items() if motors}

    @cached_property
    def _past_drives(self) -> frozenset[str]:
        return frozenset(motor for motors in self._bypassed.values() for motor in motors)
