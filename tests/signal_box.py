"""A plant of two devices in which nothing is wrong: what commands are tried on where any plant will do."""

PLANT = """netdsl 1

project "Signal" {
  number = "S-1"
}

place +BOX "Signal box" kind=box material=plastic
supply -G1 "Battery" system=DC voltage=24V
device -S1 push-button at=+BOX
device -H1 lamp at=+BOX

cable -W1 2x1.5 length=5m {
  BN  -G1:+ to -S1:13
  BU  -G1:- to -H1:X2
}
wire -S1:14 to -H1:X1  1.5mm2 BK
"""
