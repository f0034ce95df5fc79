"""`netdsl calc` as a person or a program meets it: sheet, table, object, drawing, explanation, exit codes.

`python -m tests.refresh tests/cli` refreshes the golden files beside it.
"""

from __future__ import annotations

import csv
import io
import json
import sys
from contextlib import redirect_stdout
from pathlib import Path

import pytest
from pypdf import PdfReader

from netdsl.calc.basis import answers
from netdsl.calc.sheet.words import CAUTIONS, title
from netdsl.cli import main
from netdsl.cli.calc import calc as calc_command
from tests.cases import each_of
from tests.readings import PLANTS, calculation_of

HERE = Path(__file__).parent
PLANT = HERE / "calc-plant.netdsl"
GOLDEN = HERE / "golden"
FORMS = {
    "calc.txt": (),
    "calc.csv": ("--format", "csv"),
    "calc.json": ("--format", "json"),
    "at-cable.txt": ("--at", "-W1"),
    "at-load.txt": ("--at", "-E1"),
    "at-supply.txt": ("--at", "-G0"),
}


def run(*arguments: str | Path) -> int:
    with pytest.raises(SystemExit) as ended:
        main([str(argument) for argument in arguments])
    return int(ended.value.code or 0)


def printed(*arguments: str) -> str:
    """What calc prints about the plant of these tests."""
    stream = io.StringIO()
    with redirect_stdout(stream):
        calc_command.main([str(PLANT), *arguments], standalone_mode=False)
    return stream.getvalue()


@each_of("name", FORMS)
def test_output_is_as_kept(name: str) -> None:
    assert printed(*FORMS[name]) == (GOLDEN / name).read_bytes().decode()


def test_what_is_kept_gives_0(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("calc", PLANT) == 0
    out = capsys.readouterr().out
    assert all(caution in out for caution in CAUTIONS)
    assert "Revision A of 2026-05-04: first issue" in out


def test_a_limit_that_is_not_kept_gives_1_and_heads_the_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plant = tmp_path / "plant.netdsl"
    plant.write_text(PLANT.read_text().replace("length=20m", "length=200m"))
    assert run("calc", plant) == 1
    head = capsys.readouterr().out.partition("Smallest margins:")[0]
    assert "Not kept:\n  Voltage drop in service of -E1" in head


def test_a_designation_misspelt_gives_1_and_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("calc", PLANT, "--at", "-W11") == 1
    assert "`-W11` is not in this plant, did you mean `-W1`?" in capsys.readouterr().err


@pytest.mark.parametrize("designation", ["-XE1", "-XE1:1"])
def test_an_earth_bar_or_a_terminal_is_explained_by_the_conductors_that_end_there(
    designation: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("calc", HERE.parents[1] / "examples" / "two-wire-start", "--at", designation) == 0
    assert "Protective conductor by table" in capsys.readouterr().out


def test_errors_in_the_text_are_said_beside_the_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plant = tmp_path / "plant.netdsl"
    plant.write_text(PLANT.read_text().replace("netdsl 1", "netdsl 99", 1))
    assert run("calc", plant) == 1  # a limit that is kept in what is left of the text tells nothing
    assert "shows errors" in capsys.readouterr().err


def test_a_file_that_is_not_there_gives_2(tmp_path: Path) -> None:
    assert run("calc", tmp_path / "none.netdsl") == 2


def test_a_plant_without_supply_has_a_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plant = tmp_path / "plant.netdsl"
    plant.write_text('netdsl 1\nproject "Box" {\n  number = "1"\n}\nplace +BOX "Box" kind=box material=plastic\n')
    assert run("calc", plant) == 0
    assert "0 not kept" in capsys.readouterr().out
    assert run("calc", plant, "--format", "pdf", "-o", tmp_path / "sheet.pdf") == 0
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
    plain = tmp_path / "plain.txt"
    plain.write_text("as any other file")
    assert (tmp_path / "sheet.pdf").stat().st_mode == plain.stat().st_mode


def test_out_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "sheet.txt"
    assert run("calc", PLANT, "-o", target) == 0
    assert target.read_text() == printed()
    taken = tmp_path / "taken"
    taken.mkdir()
    assert run("calc", PLANT, "-o", taken) == 2
    assert not list(taken.iterdir())
    assert sorted(path.name for path in tmp_path.iterdir()) == ["sheet.txt", "taken"]


def test_no_cell_is_a_formula() -> None:
    rows = list(csv.reader(io.StringIO(printed("--format", "csv"))))
    assert {len(row) for row in rows} == {len(rows[0])}
    for cell in (cell for row in rows for cell in row):
        assert not cell.startswith(("=", "+", "-", "@"))


def test_every_input_leads_to_a_line_a_source_or_a_result() -> None:
    for example in PLANTS:
        sheet = calculation_of(example)
        for result in sheet.results:
            for given in (*result.givens, *((result.limit_given,) if result.limit_given else ())):
                known = given.span or given.source or given.confidence or given.result in sheet.by_key
                assert known, f"{example.parent.name}: {result.key}: {given.symbol} {given.words}"


def test_every_question_has_a_title_and_a_symbol() -> None:
    found = {result.question for example in PLANTS for result in calculation_of(example).results}
    harmonics = {question for question in found if question.startswith("distortion.h") and question[12:].isdigit()}
    assert harmonics and not found - set(answers())
    assert {"distortion.h5", "distortion.h37"} <= harmonics  # all characteristic orders up to the 40th
    assert title("distortion.h35") == "Harmonic of order 35"


def test_the_drawing_names_every_subject_and_cautions_in_full_first_in_short_on_every_page(tmp_path: Path) -> None:
    target = tmp_path / "sheet.pdf"
    assert run("calc", PLANT, "--format", "pdf", "-o", target) == 0
    pages = ["".join(page.extract_text().split()) for page in PdfReader(target).pages]
    assert all("".join(caution.split()) in pages[0] for caution in CAUTIONS)
    for page in pages[1:]:
        assert "Isolate,lockoff,waitfortheDClinktodischarge,provedead;skilledpersonsonly." in page
        assert "doesnotreplaceone.Cautionsinfull:sheetCS1." in page
    text = "".join(pages)
    for result in json.loads(printed("--format", "json"))["results"]:
        assert "".join(result["subject"].split()) in text
    assert "Calculationsheet" in pages[0] and "RevisionA" in pages[0] and "doesnotreplaceone" in pages[0]


def test_what_is_not_computed_is_counted_beside_what_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    plant = HERE.parents[1] / "examples" / "faults" / "data-missing"
    assert run("calc", plant) == 1
    assert "23 limits, 23 kept, 0 not kept; 5 not computed for want of data, 3 not judged" in capsys.readouterr().out
    assert run("calc", plant, "--format", "json") == 1
    told = json.loads(capsys.readouterr().out)
    assert (told["summary"]["kept"], told["summary"]["not_computed"], told["summary"]["not_judged"]) == (23, 5, 3)
    assert {result["kept"] for result in told["results"] if result["limit"] is None} == {None}
    assert run("calc", plant, "--format", "csv") == 1
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [row["kept"] for row in rows if row["question"] == "missing"] == ["not computed"]
    assert run("calc", plant, "--at", "-T1") == 0


if __name__ == "__main__":
    GOLDEN.mkdir(exist_ok=True)
    for kept, options in FORMS.items():
        (GOLDEN / kept).write_bytes(printed(*options).encode())
        sys.stdout.write(f"{GOLDEN / kept}\n")
