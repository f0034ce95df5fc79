"""Ratings: what a part or device may state by name, with the kind of value and what it means.

One table for all kinds of device, since the same name means the same on each. A name that is in it is taken by every part,
device, `outside` and strip; what rules and calculations make of it depends on the kind.
"""

from __future__ import annotations

from collections.abc import Mapping

from netdsl.model.measures import Corner, Count, Measure
from netdsl.model.table import Take, value
from netdsl.model.value_kinds import Free, Words
from netdsl.model.vocabulary import BREAKER_CURVES, FUSE_CLASSES, TRIP_CLASSES
from netdsl.model.word_forms import DEGREE, PROTECTION_KINDS, SAFETY_LEVEL, UTILISATION

CURRENT = Measure("current")
LENGTH = Measure("length")
NUMBER = Measure("number")
PERCENT = Measure("percent")
POWER = Measure("power")
RESISTANCE = Measure("resistance")
TEMPERATURE = Measure("temperature", -100.0, 1000.0)
VOLTAGE = Measure("voltage", positive=True)
VOLTAGES = Measure("voltage")
FREQUENCY = Measure("frequency", positive=True)
FACTOR = Measure("number", 0.0, 1.0)
CORRECTION = Measure("number", 0.01, 10.0)
TRIPPING = Measure("current", positive=True)
PER_LENGTH = Measure("resistance-per-length")
TEXT = Free()
CATEGORIES = ("C1", "C2", "C3", "C4")


def _answer(name: str, *words: str) -> Words:
    """A word that checks read: any other would be taken for nothing stated."""
    return Words(words, f"answer to `{name}=`")


MAX_UPSTREAM = value("max-upstream", CURRENT, "largest rated current of the protection ahead")
UPSTREAM_KIND = value("upstream-kind", PROTECTION_KINDS, "kind of protection that must stand ahead, or several")
#: what bars and places may state of a short circuit as devices do
WITHSTANDS: tuple[Take, ...] = (
    value(
        "conditional-current",
        CURRENT,
        "fault current that it bears or breaks behind the protection that `max-upstream` and `upstream-kind` name",
    ),
    value("short-time-withstand", CURRENT, "fault current that it bears for a second"),
    value("peak-withstand", CURRENT, "peak of a fault current that it bears"),
    MAX_UPSTREAM,
    UPSTREAM_KIND,
)

RATINGS: tuple[Take, ...] = (
    value("power", POWER, "rated power: of a motor at its shaft, of a coil, lamp or heater as it takes it"),
    value("current", Measure("current", positive=True), "rated current"),
    value("voltage", VOLTAGE, "rated voltage"),
    value("frequency", FREQUENCY, "rated frequency"),
    value("power-factor", FACTOR, "power factor at rated load"),
    value("service-factor", Measure("number", 1.0, 2.0), "what a motor bears for good, over its rated current"),
    value("efficiency", Measure("percent", 0.0, 100.0), "efficiency at rated load"),
    value("speed", Measure("speed"), "rated speed"),
    value("losses", POWER, "heat given off at rated load"),
    value("input-current", CURRENT, "rated current at the input of a drive or 24 V supply"),
    value("measured-current", CURRENT, "current measured in service, by which what feeds it is judged"),
    value("limited-current", CURRENT, "current to which it is limited, by which what feeds it is judged"),
    value("overload", Measure("percent", 100.0, 500.0), "current that a drive gives for a time, over its rated current"),
    value("overload-time", Measure("time", positive=True), "that time"),
    value("overload-period", Measure("time", positive=True), "time in which it does so once"),
    value("output-current", CURRENT, "rated current at the output; of a 24 V supply the current to which it limits itself"),
    value("breaking", CURRENT, "rated short-circuit breaking capacity"),
    value("making", CURRENT, "rated short-circuit making capacity"),
    *WITHSTANDS[:3],
    value("cut-off-current", CURRENT, "largest peak that a device which limits fault currents lets through"),
    value(
        "selectivity-limit", CURRENT, "current up to which the device next ahead does not operate with it, by the maker's data"
    ),
    value("tripping-current", CURRENT, "conventional tripping current I2 of a fuse or breaker"),
    value("instantaneous", TRIPPING, "current that trips a breaker at once, or the range in which that can be set"),
    value("setting-range", Measure("current", example="2.5..4A"), "range in which the overload release can be set"),
    value("touch-current", CURRENT, "current in the protective conductor, by the data of the maker"),
    value("residual-current", CURRENT, "rated residual current"),
    value("coil-voltage", VOLTAGES, "rated voltage of the coil"),
    value("insulation-voltage", VOLTAGES, "rated insulation voltage"),
    value(
        "winding",
        Measure("voltage", example="400/690V"),
        "voltages of a motor's winding in delta and in star; one alone is that in delta",
    ),
    value("body", Measure("length", example="45x85x75mm"), "width, height and depth"),
    value("mass", Measure("mass"), "mass"),
    value("clearance-above", LENGTH, "room to be kept free above"),
    value("clearance-below", LENGTH, "room to be kept free below"),
    value("clearance-beside", LENGTH, "room to be kept free on either side"),
    value("position", Corner("length", example="120x300mm"), "from the left and the upper edge of its place to its body"),
    value(
        "row", Count("number", 1.0, 100.0), "row in which it stands in its enclosure, the uppermost is 1; `position` goes first"
    ),
    value(
        "cutout",
        Measure("length", positive=True, example="92x92mm"),
        "what is cut out of a door for it: width and height, or a diameter",
    ),
    value(
        "fixing",
        Measure("length", positive=True, example="50x170mm"),
        "between the middles of its fixing holes: across and down of four, down of two above each other",
    ),
    value("fixing-hole", Measure("length", positive=True), "diameter of each of them"),
    value("inductance", Measure("inductance"), "inductance of one phase of a reactor"),
    value("impedance", PERCENT, "impedance of a reactor, of that of the load it is rated for"),
    value("resistance", RESISTANCE, "resistance of one pole, or of a potentiometer or resistor"),
    value("drop", PERCENT, "voltage drop of a reactor at its rated current"),
    value("burden", RESISTANCE, "what an input puts into a current loop"),
    value("signal", Measure("current", example="4..20mA"), "current of an analogue signal"),
    value("ways", NUMBER, "number of terminals of an earth bar or screen bar"),
    value("poles", NUMBER, "number of poles"),
    value("phases", NUMBER, "number of phases"),
    value(
        "curve",
        Words((*BREAKER_CURVES, *FUSE_CLASSES), "curve of a breaker nor class of a fuse"),
        "curve of a breaker, `electronic` on direct current, or class of a fuse; of `K` and `Z` state `instantaneous=` as well",
    ),
    value("efficiency-class", TEXT, "class of efficiency of a motor, as `IE3`, for the reader"),
    value("duty", TEXT, "duty type of a motor, as `S1`, for the reader"),
    value("utilisation", UTILISATION, "utilisation category"),
    value("emission", _answer("emission", *CATEGORIES), "category of emission a drive keeps"),
    value("fuse-size", TEXT, "size of the fuse-links, as `NH00` or `10x38`"),
    value("insulation-class", TEXT, "thermal class of a winding"),
    value("contacts", _answer("contacts", "pins", "sockets"), "what a half of a plug connection has"),
    value("protection-degree", DEGREE, "degree of protection"),
    value("temperature", TEMPERATURE, "temperature at which it acts, or that it bears"),
    value("range", TEXT, "range of what is measured, as `0..4m`"),
    value("quantity", TEXT, "what is measured or switched by, as `flow`"),
    value("airflow", Measure("airflow"), "air that a fan moves, blowing freely"),
    value("length", LENGTH, "length"),
    value("max-cable-length", LENGTH, "longest screened motor cable"),
    MAX_UPSTREAM,
    value(
        "min-upstream",
        CURRENT,
        "smallest rated current of the protection ahead, as an arrester's, through which its surge passes",
    ),
    UPSTREAM_KIND,
    value(
        "input-logic",
        _answer("input-logic", "source", "sink"),
        "how a jumper is set: digital inputs are on at 24 V (`source`), or where they are joined to 0 V (`sink`)",
    ),
    value("isolated", _answer("isolated", "yes", "no"), "whether the input is isolated from the electronics"),
    value("unit-load", NUMBER, "load on a serial line, in unit loads"),
    value("slots", Count("number", 1.0, 100.0), "places for cards in a head station or rack, `-A1.1` and on"),
    value("address", NUMBER, "address on a serial line"),
    value("termination", TEXT, "whether the terminating resistor of a serial line is `on`"),
    value("suppressor", TEXT, "how the coil is suppressed, as `built-in` or `diode`; `none` where nothing limits its voltage"),
    value("min-current", CURRENT, "smallest current that its contacts switch reliably"),
    value("reset", TEXT, "how it is reset"),
    value("safety-level", SAFETY_LEVEL, "level it reaches"),
    value(
        "earthed-by-mounting",
        _answer("earthed-by-mounting", "yes", "no"),
        "whether the body is earthed by the bonded plate it stands on",
    ),
    value("section", Measure("section", example="0.75..16mm2"), "section, or the range that the clamps of a bar take"),
    value("colour", TEXT, "colour"),
    value("maker", TEXT, "who makes it"),
    value("order", TEXT, "order number"),
    value("ferrule", TEXT, "ferrule"),
    value("filter", _answer("filter", "sine", "dvdt", "emission"), "kind of filter: at a drive's output, or for its emission"),
    value("short-circuit-voltage", PERCENT, "short-circuit voltage of a transformer"),
    value("apparent-power", Measure("apparent-power"), "rated apparent power"),
    value("reactive-power", Measure("reactive-power"), "reactive power of a capacitor bank at its rated voltage and frequency"),
    value(
        "discharge-time",
        Measure("time", positive=True),
        "time in which a capacitor discharges to 75 V by itself once it is switched off",
    ),
    value("peak-current", CURRENT, "current that a 24 V supply gives into a short circuit"),
    value("peak-time", Measure("time", positive=True), "time for which it gives that; longer than asked for without it"),
    value("inrush-current", CURRENT, "largest peak that a transformer or 24 V supply takes when it is switched on"),
    value("battery-capacity", NUMBER, "charge that a battery or buffer holds, in Ah"),
    value("buffer-energy", NUMBER, "energy that a buffer holds, in Ws"),
    value("needed-buffer-time", Measure("time", positive=True), "time for which it is to feed all behind it"),
    value("input-on-voltage", VOLTAGE, "voltage from which its digital inputs are on"),
    value("let-through", Measure("let-through"), "let-through energy, the I²t of the maker's data"),
    value("pre-arcing", Measure("let-through"), "I²t below which a fuse does not melt"),
    value("bit-rate", Measure("bit-rate"), "bit rate of a serial line"),
    value("note", TEXT, "a note for the reader"),
    value("insulation", TEXT, "insulation"),
    value("colour-of-lens", TEXT, "colour of a lamp's lens"),
    value("frame", TEXT, "frame size"),
    value("thermal-current", CURRENT, "conventional free-air thermal current"),
    value("trip-class", Words(TRIP_CLASSES, "trip class of an overload release"), "trip class of an overload release"),
    value("residual-type", _answer("residual-type", "AC", "A", "F", "B"), "type of a residual-current device"),
    value("delay", Measure("time"), "time by which it delays"),
    value("discharge-current", CURRENT, "rated discharge current of a surge protective device"),
    value(
        "lightning-current", CURRENT, "lightning current that an arrester bears; only those for the current of a stroke state one"
    ),
    value("protection-level", VOLTAGES, "voltage protection level"),
    value("operates-in-5s", TRIPPING, "current that opens it within 5 s, read from its curve"),
    value("operates-in-0.4s", TRIPPING, "current that opens it within 0.4 s"),
    value("operates-in-0.1s", TRIPPING, "current that opens it within 0.1 s"),
    value("starting-current", CURRENT, "current of a motor while it starts direct on line"),
    value("starting-time", Measure("time", positive=True), "time in which a motor runs up"),
    value("starts-per-hour", NUMBER, "starts of a motor on the mains in an hour, evenly spaced"),
    value("inertia", NUMBER, "moment of inertia of a motor with what it drives, at its shaft, in kg m²"),
    value("load-torque", Measure("torque"), "torque that what a motor drives asks at rated speed; the motor's own without it"),
    value(
        "load-curve",
        _answer("load-curve", "constant", "linear", "square", "none"),
        "how that torque grows with the speed: as of a lift, a piston pump, a fan, a flywheel",
    ),
    value("starting-torque", NUMBER, "torque of a motor at rest, over its rated torque"),
    value("breakdown-torque", NUMBER, "largest torque of a motor, over its rated torque"),
    value("locked-rotor-time", Measure("time", positive=True), "time for which a motor bears its starting current"),
    value("start-delay", Measure("time"), "time after which a motor starts, where several are told to start at once"),
    value(
        "coordination-type",
        _answer("coordination-type", "type-1", "type-2"),
        "coordination of a contactor or relay with the protection ahead that its conditional rating names",
    ),
    value("starting-power-factor", FACTOR, "power factor of a motor while it starts"),
    value("simultaneity", FACTOR, "share of the loads behind that run together"),
    value("third-harmonic", PERCENT, "third harmonic of the load current, for the neutral"),
    value("reactance", RESISTANCE, "reactance of one pole"),
    value("resistance-per-length", PER_LENGTH, "resistance of one conductor per length, in service"),
    value("reactance-per-length", PER_LENGTH, "reactance of one conductor per length"),
    value("ampacity", CURRENT, "current-carrying capacity, in place of the table's"),
    value("correction", CORRECTION, "a further factor on the current it carries"),
    value("peak-voltage", VOLTAGES, "peak between its terminals that a motor's winding bears"),
    value("max-cable-length-c1", LENGTH, "longest motor cable with which a drive keeps category C1"),
    value("max-cable-length-c2", LENGTH, "the same for category C2"),
    value("max-cable-length-c3", LENGTH, "the same for category C3"),
    value("max-cable-length-unscreened", LENGTH, "longest unscreened motor cable"),
    value("smooth-direct-current", CURRENT, "smooth direct current that a fault behind a drive can drive to earth"),
    value("ambient", TEMPERATURE, "temperature of the air around it"),
    value(
        "voltage-range",
        Measure("voltage", example="10.5..42V"),
        "voltages at which a transmitter works, of which it needs the lowest",
    ),
    value("max-burden", RESISTANCE, "largest burden that a transmitter drives"),
    value("standing-current", CURRENT, "current it leaks to earth in service"),
    value("clearing-time", Measure("time"), "time in which it breaks a fault"),
    value("adiabatic-constant", NUMBER, "constant k of the adiabatic equation, in A√s/mm²"),
    value(
        "choke",
        Measure("percent", 0.0, 20.0),
        "impedance of a drive's own choke, of that at its rated input current",
    ),
    value("choke-side", _answer("choke-side", "ac", "dc"), "where that choke lies, `dc` where it is not stated"),
    value("derating-from", TEMPERATURE, "temperature of the air from which a drive carries less"),
    value("derating-to", TEMPERATURE, "highest temperature of the air for a drive"),
    value("derating-per-kelvin", PERCENT, "by how much less for each kelvin above"),
    value("derating-altitude", PERCENT, "by how much less for each 100 m above `derating-from-altitude`"),
    value("derating-from-altitude", LENGTH, "altitude from which a drive carries less"),
    value("alarm-current", CURRENT, "current by which a transmitter reports a fault"),
    value("inductive-current", CURRENT, "what a contact bears where coils are behind it (AC-15, DC-13)"),
    value(
        "current-distortion",
        Measure("percent", 0.0, 300.0),
        "distortion of a drive's input current that its maker states, in place of a choke",
    ),
)
#: ratings of a device that may be left open with the word `auto`
OPEN_RATINGS = frozenset({"current", "setting-range"})
RATING: Mapping[str, Take] = {take.name: take for take in RATINGS}
