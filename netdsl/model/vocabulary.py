"""The closed words that several statements share: roles, colours, kinds of places and routes, earthing systems."""

from __future__ import annotations

from netdsl.model.part_type import Role

ROLES = {role.value: role for role in Role}

#: colours of IEC 60757
COLOURS = frozenset("BK BN RD OG YE GN BU VT GY WH PK GD TQ SR GNYE".split())
COLOUR_PARTS = tuple(sorted(COLOURS, key=len, reverse=True))

STRIP_KINDS = (
    *("feed-through", "earth", "neutral", "fused", "disconnect", "diode", "screened"),
    *("two-level", "two-level-earth", "three-level", "initiator", "initiator-earth"),
)
#: levels of a terminal that has several, from below; an initiator's are signal, positive, negative
LEVELS = {
    "two-level": ("1", "2"),
    "two-level-earth": ("1", "2", "PE"),
    "three-level": ("1", "2", "3"),
    "initiator": ("1", "2", "3"),
    "initiator-earth": ("1", "2", "3", "PE"),
}
#: kinds of terminal with two potentials, one on either side
SPLIT_KINDS = frozenset({"fused", "disconnect", "diode"})
#: how an enclosure stands (IEC TR 60890), and what it is made of
MOUNTINGS = (
    "free",
    "against-wall",
    "row-end",
    "row-end-against-wall",
    "row-middle",
    "row-middle-against-wall",
    "row-middle-covered",
)
MATERIALS = ("sheet-steel", "stainless", "aluminium", "aluminium-double", "plastic")
PLACE_KINDS = ("cabinet", "desk", "door", "plate", "box", "panel", "frame", "field", "pit")
#: what a route is made of; the metals, bonded, stand for a screen where it is a conduit
ROUTE_MATERIALS = ("sheet-steel", "stainless", "steel", "aluminium", "copper", "metal", "plastic")
#: what a conductor without insulation is: it has no colour
BARE = ("bare", "braid", "rail", "bar")
#: how cables lie on a tray or ladder
LAYINGS = ("single-layer", "bunched")
#: an opening through which cables enter an enclosure, no way along which they lie
ENTRY = "entry"
ROUTE_KINDS = ("duct", "tray", "perforated-tray", "ladder", "conduit", "hinge", "floor", ENTRY)
SCREEN_WAYS = ("clamp", "gland", "pigtail", "capacitor", "open")
SYSTEMS: dict[str, tuple[str, ...]] = {
    "TN-S": ("L1", "L2", "L3", "N", "PE"),
    "TN-C-S": ("L1", "L2", "L3", "N", "PE"),
    "TT": ("L1", "L2", "L3", "N", "PE"),
    "TN-C": ("L1", "L2", "L3", "PEN"),
    "IT": ("L1", "L2", "L3", "PE"),
    "DC": ("+", "-", "PE"),
}

#: curves of breakers: by standard, by the custom of the trade (what their maker states of them counts), of electronic ones
BREAKER_CURVES = ("B", "C", "D", "K", "Z", "electronic")
#: utilisation classes of fuses (IEC 60269)
FUSE_CLASSES = ("gG", "gM", "aM", "aR", "gR")
#: trip classes of overload releases (IEC 60947-4-1)
TRIP_CLASSES = ("2", "3", "5", "10A", "10", "15", "20", "25", "30", "40")

#: what may be measured or switched by, as far as rules and drawings know it; others are as good
QUANTITIES = (
    *("level", "pressure", "temperature", "flow", "speed", "position", "limit", "current", "voltage", "power", "residual"),
    *("insulation", "humidity", "moisture", "water", "gas", "oxygen", "conductivity", "turbidity", "ph", "time", "torque"),
    *("mass", "load", "light", "smoke", "vibration", "distance", "key", "hand", "handle", "frequency", "phase", "rotation"),
)
#: what limits the voltage of a coil; others are as good
SUPPRESSORS = ("none", "built-in", "diode", "varistor", "rc", "z-diode")

#: classes a `defaults` may name (the values of netdsl.network.ConductorClass a designer sees)
CLASSES = ("motor", "mains", "control", "analogue", "bus", "safety", "thermistor", "encoder", "earth")


def is_colour(word: str) -> bool:
    """Whether `word` is a colour of IEC 60757 or several written together (`GNYE`, `WHBN`)."""
    rest = word
    while rest:
        part = next((code for code in COLOUR_PARTS if rest.startswith(code)), None)
        if part is None:
            return False
        rest = rest[len(part) :]
    return bool(word)
