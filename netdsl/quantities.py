"""Numbers with units: `15kW`, `4..20mA`, `400/690V`, `800x2000x400mm`, `10mm2`, `90deg`.

Values are kept in one base unit per kind (see `BASE_UNIT`) and as the text that was written.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Literal

from msgspec import Struct

Form = Literal["single", "range", "alternatives", "size"]

#: unit as written -> (kind, factor to the base unit)
UNITS: dict[str, tuple[str, float]] = {
    "A": ("current", 1.0),
    "mA": ("current", 1e-3),
    "uA": ("current", 1e-6),
    "kA": ("current", 1e3),
    "V": ("voltage", 1.0),
    "mV": ("voltage", 1e-3),
    "kV": ("voltage", 1e3),
    "W": ("power", 1.0),
    "mW": ("power", 1e-3),
    "kW": ("power", 1e3),
    "MW": ("power", 1e6),
    "VA": ("apparent-power", 1.0),
    "kVA": ("apparent-power", 1e3),
    "MVA": ("apparent-power", 1e6),
    "var": ("reactive-power", 1.0),
    "kvar": ("reactive-power", 1e3),
    "m": ("length", 1.0),
    "mm": ("length", 1e-3),
    "cm": ("length", 1e-2),
    "km": ("length", 1e3),
    "mm2": ("section", 1.0),
    "m2": ("surface", 1.0),
    "deg": ("angle", 1.0),
    "degC": ("temperature", 1.0),
    "Hz": ("frequency", 1.0),
    "kHz": ("frequency", 1e3),
    "ohm": ("resistance", 1.0),
    "mohm": ("resistance", 1e-3),
    "kohm": ("resistance", 1e3),
    "Mohm": ("resistance", 1e6),
    "ohm/m": ("resistance-per-length", 1.0),
    "mohm/m": ("resistance-per-length", 1e-3),
    "ohm/km": ("resistance-per-length", 1e-3),
    "mH": ("inductance", 1e-3),
    "uH": ("inductance", 1e-6),
    "H": ("inductance", 1.0),
    "Nm": ("torque", 1.0),
    "s": ("time", 1.0),
    "ms": ("time", 1e-3),
    "min": ("time", 60.0),
    "h": ("time", 3600.0),
    "kg": ("mass", 1.0),
    "g": ("mass", 1e-3),
    "bar": ("pressure", 1.0),
    "mbar": ("pressure", 1e-3),
    "m3/h": ("airflow", 1.0),
    "l/s": ("flow", 1.0),
    "%": ("percent", 1.0),
    "rpm": ("speed", 1.0),
    "kbit/s": ("bit-rate", 1e3),
    "bit/s": ("bit-rate", 1.0),
    "A2s": ("let-through", 1.0),
    "kA2s": ("let-through", 1e3),
    "": ("number", 1.0),
}

BASE_UNIT = {kind: unit for unit, (kind, factor) in UNITS.items() if factor == 1.0}

_NUMBER = r"-?\d+(?:\.\d+)?"
_PATTERN = re.compile(
    rf"(?P<first>{_NUMBER})(?:(?P<range>\.\.{_NUMBER})|(?P<alternatives>(?:/{_NUMBER})+)|(?P<size>(?:x{_NUMBER})+))?"
    rf"(?P<unit>[A-Za-z%][A-Za-z0-9%]*(?:/[a-z]+)?)?"
)


class Quantity(Struct, frozen=True):
    """One number, a range, alternatives or a size, in the base unit of its `kind`; `text` is what was written."""

    values: tuple[float, ...]
    kind: str
    form: Form
    text: str

    @property
    def value(self) -> float:
        """The single value, or the first of several, in the base unit of the kind."""
        return self.values[0]

    @property
    def last(self) -> float:
        """The last value: the upper end of a range, else the single value."""
        return self.values[-1]

    @property
    def shown(self) -> str:
        """As printed on a drawing: a space before the unit, mm² and °C, "4 mA to 20 mA" kept short as "4..20 mA"."""
        return shown(self.text)


@lru_cache(maxsize=4096)
def shown(text: str) -> str:
    """`text` of a quantity as printed: `10mm2` gives `10 mm²`, `90deg` gives `90°`, `400/690V` gives `400/690 V`."""
    match = _PATTERN.fullmatch(text)
    if not match or not match["unit"]:
        return text
    unit = match["unit"]
    number = text[: len(text) - len(unit)]
    if unit == "deg":
        return number + "°"
    printed = {
        "mm2": "mm²",
        "m2": "m²",
        "degC": "°C",
        "ohm": "Ω",
        "kohm": "kΩ",
        "mohm": "mΩ",
        "ohm/m": "Ω/m",
        "mohm/m": "mΩ/m",
        "ohm/km": "Ω/km",
        "Mohm": "MΩ",
        "uH": "µH",
        "uA": "µA",
        "m3/h": "m³/h",
        "A2s": "A²s",
        "kA2s": "kA²s",
        "Nm": "N m",
    }.get(unit, unit)
    return f"{number.replace('x', ' x ')} {printed}"


@lru_cache(maxsize=4096)
def parse_quantity(text: str) -> Quantity | None:
    """The quantity that `text` spells, or None where it is no number with a known unit."""
    match = _PATTERN.fullmatch(text)
    if not match:
        return None
    known = UNITS.get(match["unit"] or "")
    if known is None:
        return None
    kind, factor = known
    form: Form = "single"
    numbers = [match["first"]]
    if match["range"]:
        form = "range"
        numbers.append(match["range"][2:])
    elif match["alternatives"]:
        form = "alternatives"
        numbers += match["alternatives"][1:].split("/")
    elif match["size"]:
        form = "size"
        numbers += match["size"][1:].split("x")
    return Quantity(tuple(float(number) * factor for number in numbers), kind, form, text)


def with_point(text: str) -> str | None:
    """`3.6A` for `3,6A`, a number with a comma for its point; None for anything else, also for a list of numbers with units."""
    whole, comma, fraction = text.partition(",")
    written = f"{whole}.{fraction}"
    return written if comma and whole.isdigit() and parse_quantity(written) is not None else None


def number_text(value: float) -> str:
    """`value` in its shortest usual writing: 2.5, 10, 0.75; never an exponent below a million."""
    return f"{value:.6g}" if abs(value) < 1e6 else f"{value:.0f}"
