"""The controlled words of the language: rating names with the kind of quantity they take, colours."""

from __future__ import annotations

from netdsl.model.plant import Role

#: names of ratings and attributes of parts and devices -> kind of quantity ("word" takes any word or text)
RATINGS: dict[str, str] = {
    "power": "power",
    "current": "current",
    "voltage": "voltage",
    "frequency": "frequency",
    "power-factor": "number",
    "service-factor": "number",
    "efficiency": "percent",
    "speed": "speed",
    "losses": "power",
    "input-current": "current",
    "output-current": "current",
    "breaking": "current",
    "making": "current",
    "tripping-current": "current",
    "instantaneous": "current",
    "setting-range": "current",
    "touch-current": "current",
    "residual-current": "current",
    "coil-voltage": "voltage",
    "insulation-voltage": "voltage",
    "winding": "voltage",
    "body": "length",
    "mass": "mass",
    "clearance-above": "length",
    "clearance-below": "length",
    "inductance": "inductance",
    "impedance": "percent",
    "resistance": "resistance",
    "drop": "percent",
    "burden": "resistance",
    "signal": "current",
    "ways": "number",
    "poles": "number",
    "phases": "number",
    "curve": "word",
    "utilisation": "word",
    "emission": "word",
    "fuse-size": "word",
    "insulation-class": "word",
    "protection-degree": "word",
    "temperature": "temperature",
    "range": "word",
    "quantity": "word",
    "airflow": "airflow",
    "length": "length",
    "max-cable-length": "length",
    "max-upstream": "current",
    "upstream-kind": "word",
    "isolated": "word",
    "unit-load": "number",
    "address": "number",
    "termination": "word",
    "suppressor": "word",
    "reset": "word",
    "safety-level": "word",
    "earthed-by-mounting": "word",
    "section": "section",
    "colour": "word",
    "maker": "word",
    "order": "word",
    "ferrule": "word",
    "filter": "word",
    "short-circuit-voltage": "percent",
    "apparent-power": "apparent-power",
    "peak-current": "current",
    "let-through": "let-through",
    "bit-rate": "bit-rate",
    "note": "word",
    "insulation": "word",
    "colour-of-lens": "word",
    "frame": "word",
    "thermal-current": "current",
    "trip-class": "word",
    "residual-type": "word",
    "delay": "time",
    "discharge-current": "current",
    "protection-level": "voltage",
    "operates-in-5s": "current",
    "operates-in-0.4s": "current",
    "operates-in-0.1s": "current",
    "starting-current": "current",
    "starting-power-factor": "number",
    "simultaneity": "number",
    "third-harmonic": "percent",
    "reactance": "resistance",
    "resistance-per-length": "resistance-per-length",
    "reactance-per-length": "resistance-per-length",
    "ampacity": "current",
    "correction": "number",
    "peak-voltage": "voltage",
    "max-cable-length-c1": "length",
    "max-cable-length-c2": "length",
    "max-cable-length-c3": "length",
    "max-cable-length-unscreened": "length",
    "smooth-direct-current": "current",
    "ambient": "temperature",
    "voltage-range": "voltage",
    "max-burden": "resistance",
    "standing-current": "current",
    "clearing-time": "time",
    "adiabatic-constant": "number",
    "choke": "percent",
    "choke-side": "word",
    "derating-from": "temperature",
    "derating-to": "temperature",
    "derating-per-kelvin": "percent",
    "derating-altitude": "percent",
    "derating-from-altitude": "length",
    "alarm-current": "current",
    "inductive-current": "current",
    "current-distortion": "percent",
}

#: words of ratings that checks read: any other would be taken for nothing stated
RATING_WORDS: dict[str, tuple[str, ...]] = {
    "choke-side": ("ac", "dc"),
    "emission": ("C1", "C2", "C3", "C4"),
    "residual-type": ("AC", "A", "F", "B"),
    "earthed-by-mounting": ("yes", "no"),
    "isolated": ("yes", "no"),
}

#: what a project chooses for the calculation -> kind of quantity; those in `PROJECT_LISTS` take several values
PROJECT_CHOICES: dict[str, str] = {
    "voltage-drop-limit": "percent",
    "starting-drop-limit": "percent",
    "voltage-factor-max": "number",
    "voltage-factor-min": "number",
    "network-voltage-factor": "number",
    "loop-factor": "number",
    "transformer-correction": "word",
    "temperature-coefficient": "number",
    "fault-temperature": "temperature",
    "fault-temperature-max": "temperature",
    "reactance-per-length": "resistance-per-length",
    "ambient": "temperature",
    "panel-ambient": "temperature",
    "ground-temperature": "temperature",
    "conductor-resistance": "word",
    "drop-from": "word",
    "load-margin": "number",
    "simultaneity": "number",
    "touch-current-limit": "current",
    "standing-share": "number",
    "altitude": "length",
    "source-r-over-x": "number",
    "wiring-table": "word",
    "wiring-method": "word",
    "bit-rate": "bit-rate",
    "control-drop-limit": "percent",
    "fuse-overload-rule": "word",
    "stock-sections": "section",
    "stock-ratings": "current",
    "one-section-per-class": "word",
    "insulation": "word",
    "disconnection-time": "time",
    "inside-limit": "temperature",
    "dc-link-capacitance": "number",
    "filter-factor": "number",
    "load-power-factor": "number",
    "drive-power-factor": "number",
    "drive-power-factor-without-choke": "number",
    "starting-ratio": "number",
    "starting-power-factor": "number",
    "motor-contribution": "word",
    "opening-time": "time",
    "let-through-factor-d": "number",
    "protective-conductor-size": "word",
    "smallest-power-section": "section",
    "smallest-control-section": "section",
    "inrush-factor": "number",
    "smallest-inrush-rating": "current",
    "digital-input-current": "current",
    "safety-input-current": "current",
    "dc-trip-factor": "number",
    "control-wire-length": "length",
    "control-wire-section": "section",
    "loop-input-resistance": "resistance",
    "emission": "word",
    "several-motor-cables": "word",
    "reflection-factor": "number",
    "reflection-length": "length",
}
PROJECT_LISTS = frozenset({"stock-sections", "stock-ratings"})
PROJECT_ANSWERS: dict[str, tuple[str, ...]] = {
    "transformer-correction": ("yes", "no"),
    "one-section-per-class": ("yes", "no"),
    "wiring-table": ("machine", "machine-all", "building"),
    "wiring-method": ("B1", "B2", "C", "E"),
    "conductor-resistance": ("table", "resistivity"),
    "drop-from": ("terminals", "source"),
    "protective-conductor-size": ("table", "equation"),
    "fuse-overload-rule": ("tripping-current", "rated-current"),
    "insulation": ("PVC", "XLPE", "EPR"),
    "motor-contribution": ("yes", "no"),
    "emission": ("C1", "C2", "C3", "C4"),
    "several-motor-cables": ("sum", "root"),
}

#: values beyond which a rating cannot lie, in the base unit of its kind
LIMITS: dict[str, tuple[float, float, str]] = {
    "power-factor": (0.0, 1.0, "0 to 1"),
    "efficiency": (0.0, 100.0, "0% to 100%"),
    "starting-power-factor": (0.0, 1.0, "0 to 1"),
    "simultaneity": (0.0, 1.0, "0 to 1"),
    "correction": (0.01, 10.0, "0.01 to 10"),
    "choke": (0.0, 20.0, "0% to 20%"),
    "load-power-factor": (0.01, 1.0, "0.01 to 1"),
    "drive-power-factor": (0.01, 1.0, "0.01 to 1"),
    "drive-power-factor-without-choke": (0.01, 1.0, "0.01 to 1"),
    "voltage-factor-max": (0.5, 2.0, "0.5 to 2"),
    "voltage-factor-min": (0.5, 2.0, "0.5 to 2"),
    "loop-factor": (0.1, 1.0, "0.1 to 1"),
    "load-margin": (0.1, 10.0, "0.1 to 10"),
    "let-through-factor-d": (0.1, 10.0, "0.1 to 10"),
    "current-distortion": (0.0, 300.0, "0% to 300%"),
    "reflection-factor": (1.0, 10.0, "1 to 10"),
    "heat-transfer": (0.0, 100.0, "0 to 100, in W/(m²K)"),
    "dc-link-capacitance": (1.0, 10_000.0, "1 to 10000, in microfarads per kilowatt"),
}
#: ratings that are more than nothing
POSITIVE = frozenset(
    {
        "cooling-surface",
        "air-constant",
        "voltage",
        "frequency",
        "instantaneous",
        "stock-sections",
        "stock-ratings",
        "size",
        "operates-in-0.1s",
        "operates-in-0.4s",
        "operates-in-5s",
    }
)

ROLES = {role.value: role for role in Role}

#: colours of IEC 60757
COLOURS = frozenset("BK BN RD OG YE GN BU VT GY WH PK GD TQ SR GNYE".split())
COLOUR_PARTS = tuple(sorted(COLOURS, key=len, reverse=True))

STRIP_KINDS = ("feed-through", "earth", "neutral", "fused", "disconnect", "two-level", "screened")
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
PLACE_KINDS = ("cabinet", "door", "plate", "box", "field", "panel")
#: what a route is made of; the metals, bonded, stand for a screen where it is a conduit
ROUTE_MATERIALS = ("sheet-steel", "stainless", "steel", "aluminium", "copper", "metal", "plastic")
#: how cables lie on a tray or ladder
LAYINGS = ("single-layer", "bunched")
ROUTE_KINDS = ("duct", "tray", "perforated-tray", "ladder", "conduit", "hinge", "floor")
SCREEN_WAYS = ("clamp", "gland", "pigtail", "capacitor", "open")
SYSTEMS: dict[str, tuple[str, ...]] = {
    "TN-S": ("L1", "L2", "L3", "N", "PE"),
    "TN-C-S": ("L1", "L2", "L3", "N", "PE"),
    "TT": ("L1", "L2", "L3", "N", "PE"),
    "TN-C": ("L1", "L2", "L3", "PEN"),
    "IT": ("L1", "L2", "L3", "PE"),
    "DC": ("+", "-", "PE"),
}

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
