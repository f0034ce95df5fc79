"""Numbers of the sheets to which device sheets and terminal drawings lead, from their plans: nothing is drawn for them."""

from __future__ import annotations

from render.drawing import Drawing
from render.drawings.device_plan import DevicePlan
from render.drawings.terminal_plan import TerminalPlan


class FarSheets:
    """`drawing.of(FarSheets)`: from which sheet the far end of a conductor is wired."""

    def __init__(self, drawing: Drawing) -> None:
        self._terminals, self._devices = drawing.of(TerminalPlan), drawing.of(DevicePlan)

    def at(self, terminal: str, conductor: str) -> tuple[str, str]:
        """Key and number of the sheet on which `conductor` lands on a terminal, "" where none shows it: of a terminal drawing,
        which tells more, else of a device sheet."""
        devices = self._devices
        key = self._terminals.key(terminal, conductor)
        if key:
            return key, self._terminals.numbers[key]
        key = devices.terminals.get(terminal) or devices.keys.get(terminal.partition(":")[0], "")
        return key, devices.numbers.get(key, "")
