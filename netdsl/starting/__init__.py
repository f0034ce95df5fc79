"""Starting a plant: a list of motors becomes texts of a plant, with what was assumed and what stays to be decided."""

from netdsl.starting.motor_list import Motor, read_motor_list
from netdsl.starting.plant_texts import Draft, Texts, write_texts
from netdsl.starting.settling import Settled, settle
from netdsl.starting.workbook import NoWorkbook, text_of

__all__ = ["Draft", "Motor", "NoWorkbook", "Settled", "Texts", "read_motor_list", "settle", "text_of", "write_texts"]
