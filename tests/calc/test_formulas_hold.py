"""A printed formula, worked out with the values beside it, gives the printed result; every value in it leads somewhere.

Values that are put together after the number was worked out, conditions, and figures as a reader of the sheet has them are held
here; that a formula computes as a textbook reads it, by the tests of formulas.
"""

from __future__ import annotations

import re
from cmath import rect
from collections.abc import Iterator, Sequence
from functools import cache
from math import exp, inf, isfinite, pi

import pytest
from msgspec.structs import replace

from netdsl.calc import Calculation, calculate
from netdsl.calc.basis import Formula, Given, Input, Result, answers, figure_text, formula
from netdsl.calc.drives.distortion import SHOWN
from netdsl.calc.sheet.series import in_series
from netdsl.calc.sheet.words import symbol
from netdsl.model import read_plant
from netdsl.network import build_network
from tests.cases import each_of
from tests.readings import EXAMPLES
from tests.readings import PLANTS as SHIPPED
from tests.readings import calculation_of as of_shipped

PLANTS = ("hatchery", "star-delta", "mains-bypass", "fixed-lead-pumps", "serial-bus", "alternating-pumps")
#: what has kinds of results that those have not
FURTHER = (
    "faults/arrester-protection",
    "faults/control-earthing",
    "faults/earth-in-series",
    "faults/residual-device",
    "faults/start-trips",
)
TOLERANCE = 0.005

#: questions whose formula is words, (question, how its formula begins), and why it cannot be worked out from numbers alone
IN_WORDS = (
    ("load-current", "|sum of ", "a sum of phasors: their angles are those of the load currents it leads to"),
    ("load-current", "min({I_d}; |sum of ", "the same, held by what a drive gives"),
    ("rated-load-current", "|sum of ", "the same of rated currents"),
    ("distortion.fundamental", "|", "a sum of phasors, as the load current of the supply"),
    ("distortion.harmonic-current", "simulated: ", "the outcome of a simulation in time, not of a formula"),
)


def number(result: Result) -> Formula:
    """What gives the value: of `a <= b` and of `a where c > d` it is `a`."""
    return formula(result.formula.text.partition(" where ")[0].partition(" <= ")[0])


def used(result: Result) -> list[Given]:
    """The values that the formula of a result names."""
    return [given for given in result.givens if given.symbol in result.formula.symbols]


def in_words(result: Result) -> bool:
    """Whether the formula is among those that are words."""
    return any(result.question == question and result.formula.text.startswith(head) for question, head, _ in IN_WORDS)


@cache
def calculation_of(name: str) -> Calculation:
    """The calculation of an example."""
    file = EXAMPLES / name / "plant.netdsl"
    if file in SHIPPED:
        return of_shipped(file)
    plant, _ = read_plant(file)
    assert plant is not None
    return calculate(build_network(plant)[0])


def every_given(results: tuple[Result, ...]) -> Iterator[tuple[Result, Input]]:
    """Every value of every result, those of limits among them."""
    for result in results:
        yield from ((result, given) for given in result.rests_on)
        if result.limit_given is not None:
            yield result, result.limit_given


@pytest.mark.parametrize("name", (*PLANTS, *FURTHER))
def test_formulas_give_the_values_printed(name: str) -> None:
    results = calculation_of(name).results
    assert results
    for result in results:
        if not in_words(result):
            assert number(result).of(result.givens) == result.value, (result.key, result.inserted)


@each_of("name", (*PLANTS, *FURTHER))
def test_a_reader_who_works_a_formula_out_with_the_printed_figures_finds_the_printed_result(name: str) -> None:
    """As near as four figures let them: to the last figure of the largest value of its kind."""
    for result in calculation_of(name).results:
        if in_words(result):
            continue
        printed = [replace(given, value=float(figure_text(given.value))) for given in used(result) if isfinite(given.value)]
        if len(printed) == len(used(result)):
            near = TOLERANCE * max([abs(result.value), *(abs(given.value) for given in printed if given.unit == result.unit)])
            assert number(result).of(printed) == pytest.approx(float(figure_text(result.value)), abs=near), result.key


@each_of("name", (*PLANTS, *FURTHER))
def test_conditions_hold_and_give_the_limit(name: str) -> None:
    seen = 0
    for result in calculation_of(name).results:
        _, where, condition = result.formula.text.partition(" where ")
        if where:
            more, less = (formula(side).of(result.givens) for side in condition.split(" > "))
            assert more > less, (result.key, result.inserted)
        _, held, most = result.formula.text.partition(" <= ")
        if held:
            assert formula(most).of(result.givens) == result.limit, (result.key, result.inserted)
        seen += bool(where or held)
    assert seen


@each_of("name", (*PLANTS, *FURTHER))
def test_every_symbol_has_one_value(name: str) -> None:
    for result in calculation_of(name).results:
        assert sorted(given.symbol for given in used(result)) == sorted(result.formula.symbols), (result.key, result.formula)


@each_of("name", PLANTS)
def test_a_sum_of_phasors_is_at_most_the_sum_of_what_is_added(name: str) -> None:
    for result in calculation_of(name).results:
        if result.formula.text.startswith("|"):
            amps = [given.value for given in result.givens if given.symbol.startswith("I_")]
            assert amps, result.key
            assert result.value <= sum(amps) * 1.001, result.key


@each_of("name", PLANTS)
def test_a_sum_of_phasors_can_be_added_up_again(name: str) -> None:
    for result in calculation_of(name).results:
        if "|sum of " not in result.formula.text:
            continue
        adding = [given for given in result.givens if given.symbol.startswith("I_") and given.symbol != "I_d"]
        most = next((given.value for given in result.givens if given.symbol == "I_d"), inf)
        angles = [float(given.words.rpartition(" at ")[2].removesuffix("°")) * pi / 180 for given in adding]
        whole = abs(sum(rect(given.value, angle) for given, angle in zip(adding, angles, strict=True)))
        assert min(most, whole) == pytest.approx(result.value, rel=TOLERANCE), result.key
        assert [given.value for given in result.givens if given.symbol == "n"] == [len(adding)], result.key
        assert len(adding) > 1, result.key


def test_one_load_is_not_called_a_sum() -> None:
    """A star point, a delta winding and a plain feeder carry the current of one motor: a share of it, said with its reason."""
    steps = {result.subject: result for result in calculation_of("star-delta").results if result.question == "load-current"}
    star, delta = steps["=WP1-K2 -> =WP1-K3"], steps["=WP1-K2 -> =WP1-M1"]
    assert (star.formula_text, star.inserted) == ("I_M / 3", "15.5 A / 3")
    assert star.note == "in star the windings draw a third of the line current in delta"
    assert delta.formula_text == "I_M / √(3)"
    assert "in delta" in delta.note


@each_of("name", (*PLANTS, *FURTHER))
def test_every_value_leads_somewhere(name: str) -> None:
    calculation = calculation_of(name)
    for result, given in every_given(calculation.results):
        assert given.words, (result.key, given)
        assert given.span is not None or given.source or given.result, (result.key, given)
        assert bool(given.source) == bool(given.confidence), (result.key, given)
        assert not given.result or given.result in calculation.by_key, (result.key, given)


@each_of("name", PLANTS)
def test_no_formula_names_its_own_result(name: str) -> None:
    """`I_b = I_b / 3` says nothing; a condition alone begins with what is held to its limit."""
    for result in calculation_of(name).results:
        if result.computed and " <= " not in result.formula.text:
            assert symbol(result.question) not in result.formula.symbols, (result.key, result.formula_text)


@each_of("name", PLANTS)
def test_a_value_taken_over_as_it_is_is_the_result_it_leads_to(name: str) -> None:
    calculation = calculation_of(name)
    for result in calculation.results:
        taken = [given for given in used(result) if given.result and not result.computed]
        for given in taken:
            assert calculation.by_key[given.result].value == pytest.approx(given.value), (result.key, given)


@each_of("name", (*PLANTS, *FURTHER))
def test_limits_say_what_they_are(name: str) -> None:
    for result in calculation_of(name).results:
        assert (result.limit is None) == (not result.sense), result.key
        assert result.limit is None or result.limit_words or result.limit_given is not None, result.key


@each_of("name", PLANTS)
def test_keys_name_one_result_each(name: str) -> None:
    calculation = calculation_of(name)
    assert len(calculation.by_key) == len(calculation.results)
    assert all(result.key.startswith(f"{result.question} {result.subject}") for result in calculation.results)


def test_there_is_a_result_of_almost_every_kind() -> None:
    """Networks before a transformer, conductors that are neutral and protective in one, residual-current devices in series and
    strength that is stated otherwise than by a conditional rating are held by tests of their own."""
    found = {result.question for name in (*PLANTS, *FURTHER) for result in calculation_of(name).results}
    elsewhere = {"selectivity.residual", "equipment-withstand.protection", "equipment-withstand.peak"}
    elsewhere |= {"adiabatic-constant", "conductor-temperature", "enclosure.temperature-middle"}  # where a project chooses them
    elsewhere |= {f"distortion.u{order}" for order in SHOWN}
    elsewhere |= {"starting.torque", "starting.coordination", "buffer-time", "coil-voltage"}
    elsewhere |= {"inrush.energy", "inrush.coils", "selectivity.branch", "starting.duty", "motor.unbalance"}
    assert set(answers()) - found == {"network-impedance", "protective-conductor.pen", *elsewhere}


def test_what_is_left_to_words_is_there() -> None:
    results = [result for name in PLANTS for result in calculation_of(name).results]
    for question, head, reason in IN_WORDS:
        assert any(result.question == question and result.formula.text.startswith(head) for result in results), (question, reason)


def test_a_wrong_formula_is_seen() -> None:
    result = next(result for result in calculation_of("hatchery").results if result.question == "loop-impedance")
    wrong = formula(result.formula.text.replace("^2", ""))
    assert wrong.of(result.givens) != pytest.approx(result.value, rel=TOLERANCE)
    with pytest.raises(KeyError):
        wrong.of(())


def beside(givens: Sequence[Given], begin: str, end: str = "") -> tuple[float, float]:
    """Resistance at the temperature stated, else at 20 °C, and reactance, ohm, of the conductors named from a symbol on up to
    another, from their section, length, resistance per length and temperature, with what a reactor states of its own."""
    names = [given.symbol for given in givens]
    part = givens[names.index(begin) : names.index(end) if end in names else None]
    resistance = reactance = 0.0
    for number, given in enumerate(part):
        if given.symbol == "L":
            ohms = part[number + 1].value * given.value / 1000
            after = part[number + 2] if number + 2 < len(part) else given
            rise = after.value - 20 if after.symbol == "T" else 0.0
            resistance += ohms * (1 + 0.00393 * rise)
            reactance += given.value * 0.00008
        elif given.symbol == "X_d":
            reactance += given.value
    return resistance, reactance


@each_of("name", PLANTS)
def test_impedances_follow_from_the_conductors_named_beside_them(name: str) -> None:
    """In a circuit of one phase the last step counts there and back: twice what its one conductor has."""
    seen = 0
    for result in calculation_of(name).results:
        values = {given.symbol: given.value for given in result.givens}
        if "R_step" in values:
            warm, reactance = beside(result.givens, "R_step", "R_N" if "R_N" in values else "R_PE")
            ways = (1, 2) if "neutral" in result.note else (1,)
            assert any(values["R_step"] == pytest.approx(way * warm, rel=TOLERANCE) for way in ways), result.key
            assert any(values["X_step"] == pytest.approx(way * reactance, rel=TOLERANCE) for way in ways), result.key
            seen += 1
        if values.get("R_N"):
            warm, reactance = beside(result.givens, "R_N")
            assert values["R_N"] == pytest.approx(warm, rel=TOLERANCE), result.key
            assert values["X_N"] == pytest.approx(reactance, rel=TOLERANCE), result.key
        if values.get("R_PE"):
            warm, reactance = beside(result.givens, "R_PE")
            assert values["R_PE"] == pytest.approx(warm, rel=TOLERANCE), result.key
            assert values["X_PE"] == pytest.approx(reactance, rel=TOLERANCE), result.key
            seen += 1
        for number in range(1, 9):
            if f"R{number}" in values:
                warm, reactance = beside(result.givens, f"R{number}", f"I{number + 1}")
                assert values[f"R{number}"] == pytest.approx(warm, rel=TOLERANCE), (result.key, number)
                assert values[f"X{number}"] == pytest.approx(reactance, rel=TOLERANCE), (result.key, number)
                seen += 1
    assert seen > 10


@each_of("name", PLANTS)
def test_a_peak_and_a_let_through_follow_from_what_is_said_of_them(name: str) -> None:
    calculation = calculation_of(name)
    for result in calculation.results:
        values = {given.symbol: given for given in result.givens}
        if result.question == "fault-current.peak":
            level = calculation.by_key[f"fault-current.largest {result.subject}"]
            ohms = {given.symbol: given.value for given in level.givens}
            r, x = (sum(ohms.get(f"{axis}_{part}", 0.0) for part in ("before", "step", "N")) for axis in "RX")
            ratio = r / x
            assert values["kappa"].value == pytest.approx(1.02 + 0.98 * exp(-3 * ratio), rel=TOLERANCE), result.key
        if "E" in values and " in " in values["E"].words:
            seconds = float(values["E"].words.rpartition(" in ")[2].removesuffix(" s"))
            assert values["E"].value == pytest.approx(values["I_k"].value ** 2 * seconds, rel=TOLERANCE), result.key


def test_a_drop_names_the_supply_its_way_begins_at() -> None:
    """The blower is fed by its drive and past it: the drop on the way past begins at the supply."""
    result = calculation_of("mains-bypass").by_key["voltage-drop.starting =OB1-M1"]
    volts = next(given for given in result.givens if given.symbol == "U")
    assert volts.words == "nominal voltage behind -G0"


@each_of("name", PLANTS)
def test_the_resistance_of_a_way_is_that_of_the_conductors_listed(name: str) -> None:
    calculation = calculation_of(name)
    seen = 0
    for result in calculation.results:
        if answers()[result.question].in_series:
            listed = in_series(calculation, result.conductors, lambda _: "")
            ohms = 0.0
            for part in listed.split("; "):
                count, length, per_km, celsius = (
                    float(re.search(pattern, part)[1])  # type: ignore[index]
                    for pattern in (r"^(\d+) of ", r" ([\d.]+) m,", r" ([\d.]+) Ω/km", r" ([\d.]+) °C$")
                )
                ohms += count * length * per_km / 1000 * (1 + 0.00393 * (celsius - 20))
            symbol_of = "R_c" if result.question == "loop-burden" else "R"
            stated = next(given.value for given in result.givens if given.symbol == symbol_of)
            assert stated == pytest.approx(ohms, rel=TOLERANCE), result.key
            seen += 1
    assert seen
