"""Numbers of the sheets to which device sheets and terminal drawings lead, from their plans: nothing is drawn for them."""

from __future__ import annotations

from render.drawing import Drawing
from render.drawings.device_plan import DevicePlan
from render.drawings.terminal_plan import TerminalPlan


class FarSheets:
    """`drawing.of(FarSheets)`: from which sheet the far end of a conductor is wired. It keeps of the plans no more than that."""

    def __init__(self, drawing: Drawing) -> None:
        terminals, devices = drawing.of(TerminalPlan), drawing.of(DevicePlan)
        self._ends, self._numbers = terminals.ends, {**devices.numbers, **terminals.numbers}
        # in the order in which they are asked: a terminal drawing tells more than a device sheet
        self._keys = (terminals.keys, devices.terminals, devices.keys)

    def at(self, terminal: str, conductor: str) -> tuple[str, str]:
        """Key and number of the sheet on which `conductor` lands on a terminal, "" where none shows it."""
        own, listed, begun = self._keys
        device = terminal.partition(":")[0]
        key = self._ends.get((terminal, conductor)) or own.get(terminal) or own.get(device)
        key = key or listed.get(terminal) or begun.get(device, "")
        return key, self._numbers.get(key, "")
