"""Motors that start at once: none, or where the project says so those that state one `start-delay`, or none."""

from __future__ import annotations

from netdsl.calc.basis import Question, amount
from netdsl.calc.loads.currents import LoadCurrents
from netdsl.kept import kept


class StartsTogether(Question):
    """Motors on the mains by the delay with which they start."""

    @kept
    def others(self, device: str) -> tuple[str, ...]:
        """Other motors that start at once with one."""
        if self._calculation.settings.word("starting-together") != "yes":
            return ()
        loads, devices = self._calculation.of(LoadCurrents), self._calculation.plant.devices
        delay = amount(devices[device], "start-delay") or 0.0
        alike = (
            name
            for name in loads.wiring.stages
            if name != device and name in devices and (amount(devices[name], "start-delay") or 0.0) == delay
        )
        return tuple(name for name in alike if loads.is_load(name) and loads.starts.of(name) is not None)

    def more(self, motor: str, origin: str) -> complex:
        """What a motor draws more while it starts than in service, A with its angle; 0 of one that another source feeds."""
        loads = self._calculation.of(LoadCurrents)
        start, own = loads.starts.of(motor), loads.phasor(motor)
        if start is None or own is None or origin not in loads.wiring.origins(motor):
            return 0j
        return start.phasor - own
