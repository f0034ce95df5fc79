"""Numbers with units: what each unit is worth, which writings are numbers, and how they are printed."""

from __future__ import annotations

import pytest

from netdsl.quantities import BASE_UNIT, UNITS, number_text, parse_quantity, shown
from tests.cases import each_of

#: text, value in the base unit of its kind, kind: every unit of the language, worked out by hand
WORTH = [
    ("2A", 2, "current"),
    ("2mA", 0.002, "current"),
    ("2uA", 0.000002, "current"),
    ("2kA", 2000, "current"),
    ("2V", 2, "voltage"),
    ("2mV", 0.002, "voltage"),
    ("2kV", 2000, "voltage"),
    ("2W", 2, "power"),
    ("2mW", 0.002, "power"),
    ("2kW", 2000, "power"),
    ("2MW", 2_000_000, "power"),
    ("2VA", 2, "apparent-power"),
    ("2kVA", 2000, "apparent-power"),
    ("2MVA", 2_000_000, "apparent-power"),
    ("2var", 2, "reactive-power"),
    ("2kvar", 2000, "reactive-power"),
    ("2m", 2, "length"),
    ("2mm", 0.002, "length"),
    ("2cm", 0.02, "length"),
    ("2km", 2000, "length"),
    ("2mm2", 2, "section"),
    ("2m2", 2, "surface"),
    ("2deg", 2, "angle"),
    ("2degC", 2, "temperature"),
    ("2Hz", 2, "frequency"),
    ("2kHz", 2000, "frequency"),
    ("2ohm", 2, "resistance"),
    ("2mohm", 0.002, "resistance"),
    ("2kohm", 2000, "resistance"),
    ("2Mohm", 2_000_000, "resistance"),
    ("2ohm/m", 2, "resistance-per-length"),
    ("2mohm/m", 0.002, "resistance-per-length"),
    ("2ohm/km", 0.002, "resistance-per-length"),
    ("2H", 2, "inductance"),
    ("2mH", 0.002, "inductance"),
    ("2uH", 0.000002, "inductance"),
    ("2Nm", 2, "torque"),
    ("2s", 2, "time"),
    ("2ms", 0.002, "time"),
    ("2min", 120, "time"),
    ("2h", 7200, "time"),
    ("2kg", 2, "mass"),
    ("2g", 0.002, "mass"),
    ("2bar", 2, "pressure"),
    ("2mbar", 0.002, "pressure"),
    ("2m3/h", 2, "airflow"),
    ("2l/s", 2, "flow"),
    ("2%", 2, "percent"),
    ("2rpm", 2, "speed"),
    ("2bit/s", 2, "bit-rate"),
    ("2kbit/s", 2000, "bit-rate"),
    ("2A2s", 2, "let-through"),
    ("2kA2s", 2000, "let-through"),
    ("2", 2, "number"),
]


@each_of(("text", "value", "kind"), WORTH)
def test_what_a_unit_is_worth(text: str, value: float, kind: str) -> None:
    quantity = parse_quantity(text)
    assert quantity is not None
    assert (quantity.kind, quantity.form, quantity.text) == (kind, "single", text)
    assert quantity.values == (pytest.approx(value, rel=1e-12),)


def test_every_unit_is_held_above() -> None:
    assert {text[1:] for text, *_ in WORTH} == set(UNITS)


def test_every_kind_has_one_base_unit() -> None:
    assert set(BASE_UNIT) == {kind for kind, _ in UNITS.values()}
    for kind, unit in BASE_UNIT.items():
        assert [other for other, (its, factor) in UNITS.items() if its == kind and factor == 1] == [unit]


@each_of(
    ("text", "form", "values"),
    [
        ("4..20mA", "range", (0.004, 0.02)),
        ("-5..40degC", "range", (-5, 40)),
        ("-20..-5degC", "range", (-20, -5)),
        ("400/690V", "alternatives", (400, 690)),
        ("1/2/3kW", "alternatives", (1000, 2000, 3000)),
        ("800x2000x400mm", "size", (0.8, 2, 0.4)),
        ("60x12mm", "size", (0.06, 0.012)),
        ("-2.5mm2", "single", (-2.5,)),
        ("0.75", "single", (0.75,)),
    ],
)
def test_forms(text: str, form: str, values: tuple[float, ...]) -> None:
    quantity = parse_quantity(text)
    assert quantity is not None and quantity.form == form
    assert quantity.values == pytest.approx(values)
    assert (quantity.value, quantity.last) == (quantity.values[0], quantity.values[-1])


@each_of(
    "text",
    [
        "",
        "A",
        "mm2",
        "1 A",
        "1.A",
        ".5A",
        "+1A",
        "1e3A",
        "1,5A",
        "1..A",
        "..2A",
        "1..2..3A",
        "1/2x3V",
        "1xxmm",
        "1Q",
        "1a",
        "1mm2x",
        "1A ",
    ],
)
def test_no_quantity(text: str) -> None:
    assert parse_quantity(text) is None


@each_of(
    ("text", "printed"),
    [
        ("10mm2", "10 mm²"),
        ("2m2", "2 m²"),
        ("90deg", "90°"),
        ("35degC", "35 °C"),
        ("400/690V", "400/690 V"),
        ("4..20mA", "4..20 mA"),
        ("800x2000x400mm", "800 x 2000 x 400 mm"),
        ("5ohm", "5 Ω"),
        ("5kohm", "5 kΩ"),
        ("5mohm", "5 mΩ"),
        ("5Mohm", "5 MΩ"),
        ("5ohm/m", "5 Ω/m"),
        ("5mohm/m", "5 mΩ/m"),
        ("5ohm/km", "5 Ω/km"),
        ("5uH", "5 µH"),
        ("5uA", "5 µA"),
        ("5m3/h", "5 m³/h"),
        ("5A2s", "5 A²s"),
        ("5kA2s", "5 kA²s"),
        ("2.5Nm", "2.5 N m"),
        ("50%", "50 %"),
        ("12", "12"),
        ("word", "word"),
    ],
)
def test_as_printed(text: str, printed: str) -> None:
    assert shown(text) == printed
    quantity = parse_quantity(text)
    assert quantity is None or quantity.shown == printed


@each_of(
    ("value", "text"),
    [
        (2.5, "2.5"),
        (10.0, "10"),
        (0.75, "0.75"),
        (-2.5, "-2.5"),
        (0.12345678, "0.123457"),
        (999_999.0, "999999"),
        (1_000_000.0, "1000000"),
        (1_234_567.8, "1234568"),
        (-12_345_678.0, "-12345678"),
        (0.0, "0"),
    ],
)
def test_number_text(value: float, text: str) -> None:
    assert number_text(value) == text
