"""The calculation sheets: nothing on them touches, a formula and its values begin lines of their own, units stay with numbers."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterable
from copy import copy
from functools import cache
from pathlib import Path

import pytest

from netdsl.calc import Calculation, calculate
from netdsl.calc.basis import answers
from netdsl.calc.sheet.words import CAUTIONS
from netdsl.model import read_plant
from netdsl.network import build_network
from render.drawing import Drawing
from render.drawings.single_line import single_line_sheets
from render.layout.columns import broken
from render.layout.frame import drawing_area
from render.layout.overlap import overlaps_of
from render.sheet import DESIGNATION, NORMAL, Label, Sheet
from render.tables.calculation import calculation_sheets
from render.tables.grid import table_sheets
from render.tables.sayings import Sayings
from render.tables.table import Cell, Column, Entry, Table
from tests.cases import each_of
from tests.readings import calculation_of, small_drawing_of

EXAMPLES = Path(__file__).parents[2] / "examples"
PLANTS = sorted(file.parent for file in EXAMPLES.glob("*/plant.netdsl"))


def computed(folder: Path) -> Calculation:
    """The calculation of the plant in `folder`."""
    if folder in PLANTS:
        return calculation_of(folder / "plant.netdsl")
    plant, _ = read_plant(folder)
    assert plant is not None
    return calculate(build_network(plant)[0])


@cache
def sayings(folder: Path) -> Sayings:
    """What the derivations of an example say on either size."""
    calculation = computed(folder)
    return Sayings(calculation, calculation.results)


@cache
def example(folder: Path) -> tuple[Sheet, ...]:
    """The sheets of an example, with their frames."""
    calculation = computed(folder)
    return calculation_sheets(calculation, calculation.results, 1, said=sayings(folder))


@cache
def small(folder: Path) -> tuple[Calculation, tuple[Sheet, ...]]:
    """An example on sheets A4, with its calculation, which no size changes."""
    calculation = copy(computed(folder))
    calculation.plant = small_drawing_of(folder / "plant.netdsl").plant
    return calculation, calculation_sheets(calculation, calculation.results, 1, said=sayings(folder))


def faults(sheets: tuple[Sheet, ...]) -> list[tuple[str, str]]:
    return overlaps_of(sheets)


@pytest.mark.parametrize("size", ["A3", "A4"])
@pytest.mark.parametrize("folder", PLANTS, ids=lambda folder: folder.name)
def test_nothing_touches_nor_is_below_2_5_mm_on_the_calculation_sheets_of_every_example(folder: Path, size: str) -> None:
    sheets = example(folder) if size == "A3" else small(folder)[1]
    assert {sheet.size for sheet in sheets} == {size}
    assert faults(sheets) == []


def test_a_formula_is_set_and_followed_by_its_values() -> None:
    said = [text for sheet in example(EXAMPLES / "hatchery") for text in texts(sheet)]
    peak = said.index("Peak fault current")
    shown = said[peak + 3 : peak + 16]
    assert shown[:10] == ["i", "p", "=", "κ", "·", "2", "·", "I", "k", "="]
    assert float(shown[10]) > 1 and shown[11:] == ["·", "2"]
    assert not any(text.startswith(("Ω", "mm²")) for text in said)


def test_a_formula_too_wide_is_set_over_several_lines() -> None:
    """No formula stands as text, with carets and words for roots, on either size."""
    for sheets in (example(EXAMPLES / "hatchery"), small(EXAMPLES / "hatchery")[1]):
        derived = [sheet for sheet in sheets if sheet.key.startswith("results")]
        assert not [text for sheet in derived for text in texts(sheet) if "^" in text or "sqrt" in text or "√(" in text]
        # the drop of a control circuit sums three branches: its fraction holds no more than 100 over the voltage
        levels = [[part for part in sheet.primitives if isinstance(part, Label) and part.text == "100"] for sheet in derived]
        assert any(levels)


def test_a_number_keeps_its_unit_where_a_line_is_broken() -> None:
    text = "= 0.95 · 400 V / (0.06387 Ω + 0.01596 Ω)"
    for width in range(20, 60):
        lines = broken(text, float(width), united=True)
        assert " ".join(lines) == text
        assert not any(line.startswith(("V", "Ω")) for line in lines)


def test_a_symbol_keeps_its_value_where_a_line_is_broken() -> None:
    text = "I_1 = 13.5 A, load current of =OB1-T1; alpha = 0.00393 1/K, temperature coefficient"
    for width in range(33, 90):
        lines = broken(text, float(width), united=True)
        assert " ".join(lines) == text
        assert not any(line.startswith(("= ", "1/K")) or line.endswith("=") for line in lines), width


def test_an_angle_is_a_greek_letter_and_a_connection_in_delta_a_word() -> None:
    said = run_together(sheet for sheet in example(EXAMPLES / "star-delta") if sheet.key.startswith("results"))
    assert "δ=" in said and "angleagainstthevoltage" in said and "delta=" not in said
    assert "theline" in said and "indelta" in said


def test_what_is_the_same_of_a_conductor_by_either_way_to_it_stands_once() -> None:
    """A cable behind a soft starter and the contactor past it."""
    derived = [sheet for sheet in example(EXAMPLES / "soft-starter-bypass") if sheet.key.startswith("results")]
    said = [text for sheet in derived for text in texts(sheet)]
    after = [said[number + 1] for number, text in enumerate(said) if text == "=FW1-W1 BN"]
    assert after.count("Current-carrying capacity") == 1
    assert after.count("Section that bears the fault") == 2  # with another fault current each


def texts(sheet: Sheet) -> list[str]:
    return [part.text for part in sheet.primitives if isinstance(part, Label)]


def run_together(sheets: Iterable[Sheet]) -> str:
    """All that sheets say, in order, without blanks: lines and pages break anywhere."""
    return "".join("".join(text for sheet in sheets for text in texts(sheet)).split())


@cache
def derivations_of(folder: Path) -> str:
    """All that the derivations of an example say, without blanks."""
    return run_together(sheet for sheet in example(folder) if sheet.key.startswith("results"))


@each_of("folder", PLANTS)
def test_cautions_stand_in_full_on_the_first_sheet_and_in_short_on_the_others(folder: Path) -> None:
    first, *others = example(folder)
    assert first.number == "CS1"
    assert all("".join(caution.split()) in run_together([first]) for caution in CAUTIONS)
    short = "Isolate, lock off, wait for the DC link to discharge, prove dead; skilled persons only."
    for sheet in others:
        said = run_together([sheet])
        assert "".join(short.split()) in said, sheet.number
        assert "Supportstheresponsibleengineer,doesnotreplaceone.Cautionsinfull:sheetCS1." in said, sheet.number
        assert "".join(CAUTIONS[1].split()) not in said, sheet.number


def test_figures_of_a_circuit_lead_to_their_derivations_and_designations_to_the_single_line() -> None:
    calculation = computed(EXAMPLES / "hatchery")
    diagram = tuple(single_line_sheets(Drawing(calculation.network, (), calculation)))
    sheets = calculation_sheets(calculation, calculation.results, 0, diagram)
    keys = {sheet.key for sheet in sheets}
    links = {part.text: part.link for part in sheets[0].primitives if isinstance(part, Label) and part.link}
    assert set(links.values()) <= keys
    assert links["=RP1"].startswith("single-line-")
    shown = next(sheet for sheet in sheets if sheet.key == links["0.8789 of 5 %"])
    derived = texts(shown)
    assert "0.8789 %" in derived[derived.index("Voltage drop in service") :]
    assert [sheet.key for sheet in sheets][-len(diagram) :] == [sheet.key for sheet in diagram]
    drawn = {part.text: part.link for part in sheets[-len(diagram)].primitives if isinstance(part, Label) and part.link}
    assert drawn["=RP1-M1"].startswith("results-") and faults(sheets) == []


def test_the_circuit_with_the_least_margin_stands_first_and_what_is_not_kept_before_all(tmp_path: Path) -> None:
    copy = tmp_path / "hatchery"
    shutil.copytree(EXAMPLES / "hatchery", copy)
    text = (copy / "plant.netdsl").read_text(encoding="utf-8")
    thin = re.sub(r"(wire -Q0:2,4,6 +to -WB1:L1,L2,L3 +)25mm2", r"\g<1>4mm2", text)
    (copy / "plant.netdsl").write_text(thin, encoding="utf-8")
    calculation = computed(copy)
    sheets = calculation_sheets(calculation, calculation.results)
    rows = [part for part in sheets[0].primitives if isinstance(part, Label)]
    bold = [part.text for part in rows if part.bold]
    names = [part.text for part in rows if part.text in ("-Q0", "=RP1", "-F3", "-F4")]
    assert names[0] == "-Q0"
    assert any(text.startswith("NOT KEPT") for text in bold)
    assert "Not kept" in texts(sheets[1])


def test_premises_stand_before_the_derivations_and_no_release_set_to_its_load_is_a_small_margin() -> None:
    sheets = example(EXAMPLES / "hatchery")
    order = list(dict.fromkeys(sheet.number.rstrip("0123456789") for sheet in sheets))
    assert order == ["CS", "CP", "CR", "CQ"]
    premises = [text for sheet in sheets if sheet.number.startswith("CP") for text in texts(sheet)]
    small = premises[premises.index("Smallest margins") : premises.index("Not judged")]
    assert "at most 17.67 A" in small and "at most 8.5 A" not in small


def test_the_derivations_are_dense() -> None:
    """The hatchery's sheets were 49 for fewer figures than now, with formulas of the same height."""
    calculation = computed(EXAMPLES / "hatchery")
    derived = [sheet for sheet in example(EXAMPLES / "hatchery") if sheet.key.startswith("results")]
    assert len(calculation.results) / len(derived) > 17


def test_formulas_are_lettered_a_step_larger_than_their_indices() -> None:
    derived = [sheet for sheet in example(EXAMPLES / "hatchery") if sheet.key.startswith("results")]
    sizes = {part.text: part.height for sheet in derived for part in sheet.primitives if isinstance(part, Label)}
    assert (sizes["before"], sizes["step"], sizes["κ"]) == (NORMAL, NORMAL, DESIGNATION)


def test_on_small_sheets_all_of_it_is_said_and_nothing_touches() -> None:
    calculation, sheets = small(EXAMPLES / "hatchery")
    assert {sheet.size for sheet in sheets} == {"A4"}
    assert faults(sheets) == []
    assert len(sheets) < 120
    said = run_together(sheets)
    assert not [text for sheet in sheets for text in texts(sheet) if re.search(r"(^|[ (])[0-9]+\.$|.=$", text)]
    for result in calculation.results:
        assert "".join(result.subject.split()) in said, result.key
        assert "".join(f"{result.shown} {result.sense.value if result.limit is not None else ''}".split()) in said, result.key


@each_of("folder", PLANTS)
def test_every_value_in_a_formula_is_named_on_the_sheet(folder: Path) -> None:
    """With the words of the value itself, so that a reader can work the formula out; sections of a way are told together."""
    said = derivations_of(folder)
    named = {
        given.words: (result.key, given)
        for result in computed(folder).results
        for given in result.givens
        if given.symbol in result.formula.symbols
    }
    for words, where in named.items():
        told = answers()[words].title.lower() if words in answers() else words
        told = re.sub(r" section \d+", " each section", told)
        assert "".join(told.split()) in said, where


def test_the_losses_in_an_enclosure_are_named_device_by_device() -> None:
    said = run_together(example(EXAMPLES / "hatchery"))
    assert "P_5:drives:=RP1-T1240W,=RP2-T1240W,=AB1-T1180W" in said
    assert "P_2:suppliesandtransformers:-T920.87W" in said


def test_a_conductor_is_given_with_what_its_resistance_comes_from() -> None:
    said = run_together(example(EXAMPLES / "hatchery"))
    assert re.search(r"R_step,X_step:laststep,at20°C;-WB1:L1--=RP1-Q1:1:6mm²,2m,3\.3Ω/km\[\d+\]", said)
    assert re.search(r"-WB1:L1--=RP1-Q1:1:6mm²,2m,3\.3Ω/km\[\d+\],70°C\[\d+\]", said)
    assert "section1:-W0BN:16mm²,22m,1.15Ω/km" in said
    assert "e-0" not in said  # no number as a power of ten


@each_of("folder", PLANTS)
def test_sources_are_numbered_once_and_every_confidence_stays_visible(folder: Path) -> None:
    said = derivations_of(folder)
    listed = [sheet for sheet in example(folder) if sheet.key.startswith("sources")]
    used = {int(number): sure for number, sure in re.findall(r"\[(\d+)(?:,([a-z]+))?\]", said)}
    numbers = [int(text[1:-1]) for sheet in listed for text in texts(sheet) if re.fullmatch(r"\[\d+\]", text)]
    assert numbers == list(range(1, len(used) + 1))
    assert set(used) == set(numbers)
    assert "verified" not in said
    list_ = run_together(listed)
    named = {
        (given.source, given.confidence): given
        for result in computed(folder).results
        for given in (*result.givens, *((result.limit_given,) if result.limit_given is not None else ()))
        if given.source and given.symbol != "k_2"
    }
    for (source, confidence), given in named.items():
        sure = {"memory": "frommemory,lookitup"}.get(confidence, "".join(confidence.split()))
        assert re.search(r"\[\d+\]" + re.escape("".join(source.split()) + sure), list_), given
    marks = re.findall(r"\[\d+(?:,[a-z]+)?\]", said)
    assert {mark.partition(",")[2] for mark in marks} <= {"", "frommemory]", "commonpractice]"}


def test_a_source_of_a_formula_is_not_called_as_sure_as_its_figures() -> None:
    """IEC 60909-0 names the formulas of fault currents, and gives from memory what motors add: two entries."""
    listed = run_together(sheet for sheet in example(EXAMPLES / "hatchery") if sheet.key.startswith("sources"))
    assert re.search(r"\]IEC60909-0namesaformula", listed)
    assert re.search(r"\]IEC60909-0frommemory,lookitup:Largestfaultcurrent", listed)


def test_a_figure_from_memory_is_marked_where_it_is_used() -> None:
    said = run_together(example(EXAMPLES / "hatchery"))
    assert re.search(r"I_M:fromrunningmotorswithoutadrive\[\d+,frommemory\]", said)
    assert "Figuresmarkedasfrommemoryaretobelookedup" in said


def test_a_row_higher_than_a_sheet_goes_on_below_the_head_of_the_next() -> None:
    words = [f"word{number}" for number in range(2000)]
    table = Table(
        "list",
        "L",
        "List",
        "List",
        "",
        (Column("name", least=20.0), Column("words", most=150.0)),
        (Entry((), "", "Group"), Entry((Cell("before"), Cell("short"))), Entry((Cell("tall"), Cell(" ".join(words))))),
        ("remark",),
    )
    sheets = table_sheets(table, "A4")
    assert len(sheets) > 2
    assert [
        word for sheet in sheets for text in texts(sheet) for word in text.split() if word.startswith("word") and word != "words"
    ] == words
    bottom = drawing_area("A4").bottom
    lowest = [part.y for sheet in sheets for part in sheet.primitives if isinstance(part, Label) and part.text != "remark"]
    assert max(lowest) <= bottom
    assert all("Group (continued)" in texts(sheet) for sheet in sheets[2:])


def test_a_heading_stays_with_the_row_below_it() -> None:
    for sheet in example(EXAMPLES / "hatchery"):
        bottom = drawing_area(sheet.size).bottom
        inside = [part for part in sheet.primitives if isinstance(part, Label) and part.y < bottom]
        headings = [part.y for part in inside if part.bold and part.height > NORMAL]
        rows = [part.y for part in inside if part.height <= NORMAL]
        assert not headings or max(headings) < max(rows), sheet.key


@pytest.mark.parametrize("size", ["A3", "A4"])
def test_what_is_not_kept_and_what_is_missing_is_said_with_by_how_much_and_where(size: str, tmp_path: Path) -> None:
    copy = tmp_path / "hatchery"
    shutil.copytree(EXAMPLES / "hatchery", copy)
    text = (copy / "plant.netdsl").read_text(encoding="utf-8").replace("sheet-size = A3", f"sheet-size = {size}")
    thin = re.sub(r"(wire -Q0:2,4,6 +to -WB1:L1,L2,L3 +)25mm2", r"\g<1>4mm2", text)
    short = thin.replace('"motor cable" length=28m', '"motor cable"')
    assert text != thin != short
    (copy / "plant.netdsl").write_text(short, encoding="utf-8")
    line = next(number for number, each in enumerate(short.splitlines(), 1) if '"motor cable" method' in each)
    calculation = computed(copy)
    sheets = calculation_sheets(calculation, calculation.results, 2)
    assert faults(sheets) == []
    said = run_together(sheets)
    assert "NOTKEPT,by162%" in said
    assert f"addlength=(plant.netdsl:{line})" in said
    assert "Missingdata:1,sheetCP1" in said
    assert "notforconstruction:2errors" in said


def test_the_conductors_of_a_way_in_series_are_all_listed() -> None:
    said = run_together(example(EXAMPLES / "hatchery"))
    way = r"R:conductorsfrom-T9:\+to=RP1-B1andback,7inseries,themostin=RP1-W5BN;"
    assert re.search(way + r"2of1\.5mm²,24m,12\.1Ω/km\[\d+\],70°C\[\d+\];5of1\.5mm²,2m,13\.3Ω/km\[\d+\],70°C\[\d+\];", said)


def test_each_sheet_of_derivations_says_from_which_circuit_to_which_it_goes() -> None:
    derived = [sheet for sheet in example(EXAMPLES / "hatchery") if sheet.title == "Derivations"]
    assert derived[0].about.startswith("-F1 24 V supply") and derived[-1].about.endswith("enclosure")
    for sheet in derived:
        first, _, last = sheet.about.partition(" to ")
        bold = [part for part in sheet.primitives if isinstance(part, Label) and part.bold and part.height == DESIGNATION]
        heads = [label.text.removesuffix(" (continued)") for label in bold]
        assert (heads[0], heads[-1]) == (first, last or first), sheet.number
