"""`netdsl table`: every list, held to the letter for one small plant; what a spreadsheet and a label printer get.

`python -m tests.refresh tests/cli` refreshes the golden file.
"""

from __future__ import annotations

import csv
import io
import sys
from functools import cache
from pathlib import Path

import openpyxl
import pytest
from msgspec.structs import replace

from netdsl.cli import main
from netdsl.cli.table_data import csv_text, text_lines, workbook_bytes
from netdsl.cli.work import connect
from render.drawing import Drawing
from render.tables.listing import listings
from render.tables.table import Table
from tests.readings import HATCHERY, drawing_of

HERE = Path(__file__).parent
PLANT = HERE / "table-plant.netdsl"
GOLDEN = HERE / "golden" / "tables.txt"


@cache
def drawing() -> Drawing:
    judged = connect(PLANT)
    assert judged.network is not None and judged.checked
    return Drawing(judged.network, judged.findings, judged.calculation)


def text() -> str:
    """Every list but that of the sheets; what a list says of where a thing is drawn is left out, as the drawings change it."""
    lines: list[str] = []
    for each in listings().values():
        if each.name != "sheets":
            lines += [f"=== {each.name}: {each.about}", *text_lines(without_sheets(drawing().of(each.rows))), ""]
    return "\n".join(lines)


def without_sheets(table: Table) -> Table:
    kept = [number for number, column in enumerate(table.columns) if column.head.split()[-1:] not in (["sheet"], ["sheets"])]
    entries = tuple(
        replace(entry, cells=tuple(entry.cells[number] for number in kept)) if entry.cells else entry for entry in table.entries
    )
    return replace(table, columns=tuple(table.columns[number] for number in kept), entries=entries)


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as ended:
        main(["table", *arguments])
    return int(ended.value.code or 0)


def test_all_lists_of_a_small_plant() -> None:
    assert text() == GOLDEN.read_text(encoding="utf-8"), "look at what moved, then run python -m tests.refresh tests/cli"


def test_without_a_name_it_says_which_lists_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    assert run() == 0
    assert [line.split()[0] for line in capsys.readouterr().out.splitlines()] == list(listings())


def test_an_unknown_list_is_refused_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert run("cabels", str(PLANT)) == 2
    assert capsys.readouterr().err == "netdsl: no list is called `cabels`: did you mean `cables`?\n"
    assert run("cables") == 2
    assert "netdsl table cables PLANT" in capsys.readouterr().err
    assert run("cables", str(HERE / "nowhere")) == 2


def test_a_list_of_a_plant_with_errors_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    broken = tmp_path / "plant.netdsl"
    broken.write_text(PLANT.read_text("utf-8") + "wire -X1:99 to -X1:5\n", encoding="utf-8")
    assert run("parts", str(broken)) == 1
    told = capsys.readouterr()
    assert "float-wood" in told.out and "shows errors" in told.err


def test_a_list_without_rows_has_the_columns_of_one_with_rows(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "plant.netdsl").write_text('netdsl 1\nplace +MCP "Panel" kind=cabinet\n', encoding="utf-8")
    for name, first in (("io", "device,address,"), ("cores", "cable,core,"), ("exceptions", "rule,")):
        assert run(name, str(tmp_path), "--format", "csv") == 0
        assert capsys.readouterr().out.startswith(first)


def test_no_cell_of_a_csv_is_a_formula_and_none_is_lost() -> None:
    for drawn in (drawing(), drawing_of(HATCHERY)):
        for each in listings().values():
            table = drawn.of(each.rows)
            safe, plain = (list(csv.reader(io.StringIO(csv_text(table, as_is)))) for as_is in (False, True))
            assert not [cell for row in safe for cell in row if cell[:1] in ("=", "+", "-", "@")]
            assert [[cell.removeprefix(" ") for cell in row] for row in safe] == plain
            assert len(plain) == 1 + sum(1 for entry in table.entries if entry.cells or entry.remark)
    assert " =RP1-T1" in csv_text(drawing_of(HATCHERY).of(listings()["settings"].rows))


def test_numbers_stand_without_their_unit_and_nothing_in_place_of_one_not_stated() -> None:
    rows = list(csv.DictReader(io.StringIO(csv_text(drawing().of(listings()["cutting"].rows)))))
    assert [row["length [m]"] for row in rows] == ["30", "12", ""]
    assert [row["together [m]"] for row in rows] == ["30", "12", "3"]


def test_a_workbook_holds_texts_as_texts_and_the_same_bytes_twice() -> None:
    table = drawing().of(listings()["cables"].rows)
    assert workbook_bytes(table) == workbook_bytes(table)
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(table)))
    rows = list(book.worksheets[0].values)
    assert rows[0][:4] == ("function", "cable", "type", "length [m]")
    assert rows[1][:4] == ("=GT1 Gate", "=GT1-W1", "3x1", 12)
    assert {cell.data_type for row in book.worksheets[0].iter_rows() for cell in row} <= {"s", "n"}
    assert book.sheetnames == ["Cable list", "Notes"]


def test_files_are_written_where_asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "deep" / "labels.csv"
    assert run("labels", str(PLANT), "--format", "csv", "--as-is", "-o", str(target)) == 0
    assert capsys.readouterr().out == f"{target}\n"
    assert target.read_bytes().splitlines()[0] == b"sort,label,second line,pieces,for,at,size,place"
    assert run("labels", str(PLANT), "-o", "") == 2


def test_every_wire_has_a_label_at_either_end() -> None:
    labels = drawing_of(HATCHERY).of(listings()["labels"].rows)
    pieces: dict[str, int] = {}
    for entry in labels.entries:
        if entry.cells:
            pieces[entry.of] = pieces.get(entry.of, 0) + int(entry.cells[2].text)
    for run_ in drawing_of(HATCHERY).network.runs.values():
        if run_.conductor.cable is None and not run_.conductor.is_tooth:
            assert pieces[run_.id] == 2, run_.id
    for cable in drawing_of(HATCHERY).plant.cables.values():
        assert pieces[cable.id] == 2 * cable.parallel


if __name__ == "__main__":
    GOLDEN.write_text(text(), encoding="utf-8")
    print(f"{GOLDEN.name} refreshed", file=sys.stderr)


def test_the_rework_list_asks_since_when(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = PLANT.read_text("utf-8")
    (tmp_path / "plant.netdsl").write_text(text)
    assert run("rework", str(PLANT), "--since", str(tmp_path)) == 0
    assert "nothing to list" in capsys.readouterr().out
    assert run("rework", str(PLANT)) == run("parts", str(PLANT), "--since", str(tmp_path)) == 2
    assert "the list `rework`, and it alone, takes `--since`" in capsys.readouterr().err
