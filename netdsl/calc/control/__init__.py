"""Control circuits and signals: sources, contacts, loads, drops, overload, current loops, serial lines."""

from netdsl.calc.control.branches import ControlBranches
from netdsl.calc.control.buffers import BufferTimes
from netdsl.calc.control.coil_voltages import CoilVoltages
from netdsl.calc.control.contacts import ContactLoads
from netdsl.calc.control.drops import ControlDrops
from netdsl.calc.control.input_voltages import InputVoltages
from netdsl.calc.control.inrush import Inrushes
from netdsl.calc.control.loops import LoopBurdens
from netdsl.calc.control.net import Edge
from netdsl.calc.control.overload import ControlOverloads
from netdsl.calc.control.paths import ControlCircuits, Feed
from netdsl.calc.control.returns import ControlReturns
from netdsl.calc.control.serial import SerialLine, SerialLines
from netdsl.calc.control.source_poles import Source
from netdsl.calc.control.sources import SourceLoads

__all__ = [
    "BufferTimes",
    "CoilVoltages",
    "ContactLoads",
    "ControlBranches",
    "ControlCircuits",
    "ControlDrops",
    "ControlOverloads",
    "ControlReturns",
    "Edge",
    "Feed",
    "InputVoltages",
    "Inrushes",
    "LoopBurdens",
    "SerialLine",
    "SerialLines",
    "Source",
    "SourceLoads",
]
