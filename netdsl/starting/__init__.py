"""Starting a plant: lists of motors, and of inputs and outputs, become texts of a plant, with what was assumed and what stays to
be decided."""

from netdsl.starting.io_list import Signal, read_io_list
from netdsl.starting.motor_list import Motor, read_motor_list
from netdsl.starting.plant_texts import Draft, Texts, write_texts
from netdsl.starting.settling import Settled, settle
from netdsl.starting.workbook import NoWorkbook, text_of

__all__ = [
    "Draft",
    "Motor",
    "NoWorkbook",
    "Settled",
    "Signal",
    "Texts",
    "read_io_list",
    "read_motor_list",
    "settle",
    "text_of",
    "write_texts",
]
