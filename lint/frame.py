"""The small plant that the examples of the wiring rules continue."""

FRAME = """\
netdsl 1

place +MCP  "Panel" kind=cabinet
place +HALL "Hall" kind=field
defaults within=+MCP class=mains length=1m
defaults within=+MCP class=earth length=1m
defaults within=+MCP class=control length=1m

supply -G0 "Site supply" system=TN-S voltage=400V frequency=50Hz fault-current=6kA earth-fault-current=3kA upstream=fuse-gG-50A
busbar -WB1 at=+MCP poles=4 current=63A
device -XE1 earth-bar at=+MCP ways=12
cable -W0 5G10 length=10m method=C {
  BN   -G0:L1 to -WB1:L1
  BK   -G0:L2 to -WB1:L2
  GY   -G0:L3 to -WB1:L3
  BU   -G0:N  to -WB1:N
  GNYE -G0:PE to -XE1:1
}
wire -XE1:2 to +MCP:PE 10mm2 GNYE

part drive "Frequency converter" {
  kind = drive   letter = T   class = I   voltage = 380..480V   current = 4.1A   input-current = 3.9A
  terminal :L1 :L2 :L3 line-in   0.5..6mm2
  terminal :U :V :W    motor-out 0.5..6mm2
  terminal :PE :PE2    earth     1.5..10mm2
  terminal :SH         screen
  terminal :24V supply-out     0.2..2.5mm2 clamps=2 common=:COM voltage=24V dc
  terminal :COM digital-common 0.2..2.5mm2 clamps=2
  terminal :DI1 :DI2 :DI3 digital-in 0.2..2.5mm2 common=:COM voltage=24V dc
  terminal :AI1 analogue-in     0.2..2.5mm2 common=:AC
  terminal :AC  analogue-common 0.2..2.5mm2
  terminal :A :B bus            0.2..2.5mm2
  terminal :THP :THN thermistor 0.2..2.5mm2
  source :24V to :COM voltage=24V dc current=200mA
}
part motor "Motor" {
  kind = motor   letter = M   class = I
  terminal :U1 :V1 :W1 winding 0.75..10mm2
  terminal :PE :PE2 earth 0.75..10mm2
  terminal :TP1 :TP2 thermistor 0.5..2.5mm2
  terminal :SH screen
}
part transmitter "Transmitter, 4 to 20 mA" {
  kind = transmitter   letter = B   class = III
  terminal :+ :- analogue-out 0.2..2.5mm2
}
"""
