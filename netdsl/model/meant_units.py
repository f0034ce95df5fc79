"""What a number with a wrong unit, or without one, was meant to be: `2.5mm2` for `2.5qmm`, `50Hz` for `50hz`."""

from __future__ import annotations

import re

from netdsl.quantities import BASE_UNIT, UNITS, parse_quantity

_PARTS = re.compile(r"(-?\d[\d.x/]*?)([^\d.x/-].*)?", re.DOTALL)
#: other writings of a unit, capitals aside
_OTHERS = {
    "section": {"mm": "mm2", "qmm": "mm2", "sqmm": "mm2", "mmq": "mm2", "mm²": "mm2", "mm^2": "mm2", "q": "mm2"},
    "surface": {"m²": "m2", "qm": "m2", "sqm": "m2", "m^2": "m2"},
    "voltage": {"vac": "V", "vdc": "V", "volt": "V", "volts": "V", "v~": "V", "v=": "V"},
    "current": {"amp": "A", "amps": "A", "aac": "A", "adc": "A", "µa": "uA", "μa": "uA"},
    "temperature": {"c": "degC", "°c": "degC", "°": "degC", "deg": "degC"},
    "angle": {"°": "deg"},
    "length": {"meter": "m", "metre": "m", "metres": "m", "mtr": "m"},
    "resistance": {"ω": "ohm", "kω": "kohm", "ohms": "ohm", "r": "ohm"},
    "time": {"sec": "s", "msec": "ms", "hr": "h"},
    "airflow": {"m³/h": "m3/h"},
    "speed": {"1/min": "rpm", "min-1": "rpm", "u/min": "rpm"},
}
#: units beside which none is likely for a number without one
_LIKELY = {"current": ("A", "kA", "mA"), "length": ("m", "mm"), "power": ("kW", "W"), "time": ("s", "ms", "min")}


def meant_units(text: str, kind: str) -> tuple[str, ...]:
    """The writings of which one was meant where `text` is no quantity of `kind`; none where that cannot be told. A number without
    a unit gives several where several units are likely."""
    match = _PARTS.fullmatch(text)
    if match is None or parse_quantity(match[1]) is None:
        return ()
    number, written = match[1], match[2]
    if written is None:
        base = BASE_UNIT.get(kind, "")
        return tuple(number + unit for unit in _LIKELY.get(kind, (base,) if base else ()))
    same = [unit for unit, (of, _) in UNITS.items() if of == kind and unit.lower() == written.lower()]
    if not same:
        other = _OTHERS.get(kind, {}).get(written.lower())
        same = [other] if other else []
    return (number + same[0],) if len(same) == 1 and number + same[0] != text else ()


def unit_remedy(text: str, kind: str, otherwise: str) -> str:
    """What to write in place of `text`, which is no quantity of `kind`; `otherwise` where that cannot be told."""
    meant = meant_units(text, kind)
    if not meant:
        return otherwise
    first = f"write `{meant[0]}`"
    return first if len(meant) == 1 else f"{first}, or {' or '.join(f'`{each}`' for each in meant[1:])} if that is meant"
