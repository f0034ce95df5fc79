"""Kinds of device, which rules, calculations and drawings go by, and the sets of kinds that several of them share."""

from __future__ import annotations

from enum import StrEnum


class Category(StrEnum):
    """By which statement a device is in the plant."""

    DEVICE = "device"
    STRIP = "strip"
    BUSBAR = "busbar"  # also combs and distribution blocks
    SUPPLY = "supply"
    OUTSIDE = "outside"
    CHANNEL = "channel"  # one of several protective devices in a housing, which is a `DEVICE`


class Kind(StrEnum):
    """What a device is: the kind of its part, or for what has none the statement that makes it."""

    DRIVE = "drive"
    MOTOR = "motor"
    ISOLATOR = "isolator"
    BREAKER = "breaker"
    MOTOR_BREAKER = "motor-breaker"
    FUSE = "fuse"
    CONTACTOR = "contactor"
    SOFT_STARTER = "soft-starter"
    OVERLOAD = "overload"
    REACTOR = "reactor"
    CAPACITOR = "capacitor"
    FILTER = "filter"
    SUPPLY_24V = "supply-24v"
    TRANSFORMER = "transformer"
    EARTH_BAR = "earth-bar"
    SCREEN_BAR = "screen-bar"
    PUSH_BUTTON = "push-button"
    SELECTOR = "selector"
    EMERGENCY_STOP = "emergency-stop"
    SAFETY_RELAY = "safety-relay"
    LEVEL_SWITCH = "level-switch"
    SWITCH = "switch"
    TRANSMITTER = "transmitter"
    LAMP = "lamp"
    RELAY = "relay"
    RELAY_SOCKET = "relay-socket"
    SOCKET = "socket"
    FAN = "fan"
    THERMOSTAT = "thermostat"
    AUX_CONTACT = "aux-contact"
    TERMINAL_BOX = "terminal-box"
    PLUG = "plug"
    HEATER = "heater"
    RESISTOR = "resistor"
    POTENTIOMETER = "potentiometer"
    CONTROLLER = "controller"
    RESIDUAL_DEVICE = "residual-device"
    SURGE_PROTECTION = "surge-protection"
    TIMER = "timer"
    BUZZER = "buzzer"
    METER = "meter"
    SENSOR = "sensor"
    VALVE = "valve"
    INTERLOCK = "interlock"
    SIGNAL_CONVERTER = "signal-converter"
    SUPPRESSOR = "suppressor"
    GLAND = "gland"
    # without a part
    STRIP = "strip"
    BUSBAR = "busbar"
    COMB = "comb"
    DISTRIBUTION_BLOCK = "distribution-block"
    SUPPLY = "supply"
    OUTSIDE = "outside"
    HOUSING = "housing"  # of several channels, each a protective device of its own


#: what shares out power on bars of its own
BARS = frozenset({Kind.BUSBAR, Kind.COMB, Kind.DISTRIBUTION_BLOCK})
#: kinds a `part` may state
PART_KINDS = frozenset(Kind) - BARS - {Kind.STRIP, Kind.SUPPLY, Kind.OUTSIDE, Kind.HOUSING}
#: what interrupts a short circuit
BREAKING = frozenset({Kind.BREAKER, Kind.FUSE, Kind.MOTOR_BREAKER})
#: what protects what is below it
PROTECTIVE = BREAKING | {Kind.OVERLOAD, Kind.RESIDUAL_DEVICE}
#: what is set to the current of one motor
SET_TO_MOTOR = frozenset({Kind.MOTOR_BREAKER, Kind.OVERLOAD})
#: what switches and protects nothing
SWITCHES = frozenset({Kind.ISOLATOR, Kind.CONTACTOR, Kind.SOFT_STARTER})
#: what a coil may join a motor to the mains with
STARTING = frozenset({Kind.CONTACTOR, Kind.SOFT_STARTER, Kind.MOTOR_BREAKER})
#: what makes another voltage of the mains, by which control circuits are fed
INNER_SUPPLIES = frozenset({Kind.SUPPLY_24V, Kind.TRANSFORMER})
#: what makes another voltage or frequency: behind it a circuit of its own begins
CONVERTERS = INNER_SUPPLIES | {Kind.DRIVE}

#: what circuits only pass through
PASSED = frozenset({Kind.TERMINAL_BOX, Kind.PLUG})

#: categories of what several circuits pass or leave
TAPPED = frozenset({Category.STRIP, Category.BUSBAR})
