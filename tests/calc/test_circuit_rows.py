"""A row for each circuit: of each kind the figure that is nearest to its limit, and the least margin of all."""

from __future__ import annotations

from netdsl.calc.basis import answers
from netdsl.calc.sheet import circuit_rows, least_margin, not_judged, selectivity_word
from tests.readings import HATCHERY, PLANTS, calculation_of


def test_each_figure_of_a_row_is_the_worst_of_its_circuit() -> None:
    for plant in (HATCHERY, *PLANTS[:2]):
        calculation = calculation_of(plant)
        for row in circuit_rows(calculation, calculation.results):
            of = [result for result in calculation.results if result.feeder == row.circuit]
            assert of and all(result.feeder == row.circuit for result in row.results)
            held = [result for result in of if result.limit is not None]
            assert row.broken == sum(not result.holds for result in held)
            graded = [result for result in held if answers()[result.question].graded and result.question != "overload.rated"]
            margins = [result.margin_percent for result in graded if result.margin_percent is not None]
            if margins and row.worst is not None and row.worst.question != "overload.rated":
                assert row.worst.margin_percent == min(margins)
            drops = [result for result in of if result.question == "voltage-drop.running"]
            if drops:
                assert row.drop is not None and row.drop.value == max(result.value for result in drops)
            largest = [result.value for result in of if result.question == "fault-current.largest"]
            assert (row.largest.value if row.largest is not None else None) == max(largest, default=None)


def test_every_circuit_with_a_limit_has_its_row_once() -> None:
    calculation = calculation_of(HATCHERY)
    rows = circuit_rows(calculation, calculation.results, [left.feeder for left in not_judged(calculation)])
    circuits = [row.circuit for row in rows]
    assert len(set(circuits)) == len(circuits)
    places = calculation.plant.places
    assert {each.feeder for each in calculation.results if each.feeder and each.feeder not in places} == set(circuits)
    pump = next(row for row in rows if row.circuit == "=RP1")
    assert (pump.title, pump.device, pump.conductor) == ("Recirculation pump 1", "=RP1-Q1 (C25)", "-WB1:L1 -- =RP1-Q1:1 6 mm²")
    assert pump.left == 3 and pump.selectivity is not None and selectivity_word(pump.selectivity) == "to 948.7 A"


def test_the_least_margin_comes_first_and_circuits_without_a_limit_last() -> None:
    calculation = calculation_of(HATCHERY)
    rows = sorted(circuit_rows(calculation, calculation.results), key=least_margin)
    margins = [row.worst.margin_percent for row in rows if row.worst is not None and row.worst.margin_percent is not None]
    assert margins == sorted(margins)
    assert [row.circuit for row in rows if row.worst is None] == [row.circuit for row in rows[len(margins) :]]
