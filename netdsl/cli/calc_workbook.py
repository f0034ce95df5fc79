"""The calculation sheet as a workbook: numbers as numbers, with their unit in the head; margins are worked out by the cells."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from datetime import datetime
from math import isfinite
from typing import TYPE_CHECKING, Any

from netdsl.calc import Calculation
from netdsl.calc.basis import Result, figure_text
from netdsl.calc.sheet import (
    CAUTIONS,
    CircuitRow,
    about,
    circuit_rows,
    not_judged,
    noted,
    origin_words,
    sections_of,
    selectivity_word,
    sources_of,
    summary_of,
    title,
)

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.worksheet import Worksheet

#: fixed: the same plant gives the same bytes
_DATE = datetime(2000, 1, 1)
_FORBIDDEN = str.maketrans(dict.fromkeys("[]:*?/\\", " "))
_CIRCUITS = (
    ("circuit", 14),
    ("what it is", 26),
    ("device", 26),
    ("conductor", 30),
    ("load [A]", 10),
    ("Iz [A]", 10),
    ("voltage drop [%]", 12),
    ("at most [%]", 10),
    ("Ik max [A]", 10),
    ("Ik min [A]", 10),
    ("disconnection [Ω]", 12),
    ("at most [Ω]", 10),
    ("selectivity [A]", 12),
    ("selectivity", 12),
    ("least margin [%]", 12),
    ("of", 44),
    ("limits not kept", 10),
    ("not judged", 10),
    ("not computed", 30),
)


def workbook_bytes(calculation: Calculation, results: Sequence[Result]) -> bytes:
    """The workbook: circuits, results by unit, what is not judged, missing and assumed; cautions on the first sheet."""
    from xlsxwriter import Workbook

    stream = io.BytesIO()
    book = Workbook(stream, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": calculation.plant.project.title, "created": _DATE})
    sheets = _Sheets(book)
    _about(sheets, calculation, results)
    _circuits(sheets, calculation, results)
    for unit in sorted({result.unit for result in results}):
        _results(sheets, calculation, [result for result in results if result.unit == unit], unit)
    left = ((each.feeder, each.device, each.what, each.reason) for each in not_judged(calculation))
    sheets.table("Not judged", (("circuit", 14), ("device", 20), ("not judged", 36), ("reason", 80)), left)
    gaps = ((g.feeder, g.kind, ", ".join(g.things), ", ".join(g.absent), g.remedy.replace("`", "")) for g in calculation.missing)
    heads = (("circuit", 14), ("missing", 20), ("of", 40), ("not computed", 50), ("what to write", 60))
    sheets.table("Missing data", heads, gaps)
    assumed = ((a.name, a.words.replace("`", ""), origin_words(a.source, a.confidence)) for a in calculation.assumptions)
    sheets.table("Assumptions", (("choice", 26), ("value used", 80), ("source", 60)), assumed)
    book.close()
    return stream.getvalue()


class _Sheets:
    """The sheets of a workbook as they are written."""

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._head = book.add_format({"bold": True, "text_wrap": True, "bottom": 1, "valign": "top"})
        self._bold = book.add_format({"bold": True})
        self._number = book.add_format({"num_format": "0.###"})

    def lines(self, name: str, lines: Iterable[str]) -> None:
        """A sheet of sentences, the first in bold."""
        sheet = self._book.add_worksheet(name)
        sheet.set_column(0, 0, 120)
        for row, line in enumerate(lines):
            sheet.write_string(row, 0, line, None if row else self._bold)

    def table(self, name: str, heads: Sequence[tuple[str, int]], rows: Iterable[Sequence[Any]]) -> Worksheet:
        """A sheet with a head that stays in sight and can be filtered; numbers as numbers, nothing where there is none."""
        sheet = self._book.add_worksheet(name.translate(_FORBIDDEN).strip()[:31])
        for column, (head, width) in enumerate(heads):
            sheet.set_column(column, column, width)
            sheet.write_string(0, column, head, self._head)
        count = 0
        for count, row in enumerate(rows, start=1):
            for column, value in enumerate(row):
                self._cell(sheet, count, column, value)
        sheet.freeze_panes(1, 1)
        sheet.autofilter(0, 0, max(count, 1), len(heads) - 1)
        return sheet

    def _cell(self, sheet: Worksheet, row: int, column: int, value: Any) -> None:
        if isinstance(value, _Worked):
            sheet.write_formula(row, column, value.formula.format(row=row + 1), self._number, value.value)
        elif isinstance(value, int | float) and isfinite(value):
            sheet.write_number(row, column, value, self._number)
        elif isinstance(value, float):
            sheet.write_string(row, column, figure_text(value))
        elif value:
            sheet.write_string(row, column, str(value))


class _Worked:
    """A cell that the workbook works out itself: its formula, `{row}` in place of the row, and the value it has now."""

    def __init__(self, formula: str, value: float) -> None:
        self.formula, self.value = formula, value


def _about(sheets: _Sheets, calculation: Calculation, results: Sequence[Result]) -> None:
    first = f"Calculation sheet: {about(calculation)[0]}"
    sheets.lines("About", (first, *about(calculation)[1:], summary_of(calculation, results).counts, *CAUTIONS))


def _circuits(sheets: _Sheets, calculation: Calculation, results: Sequence[Result]) -> None:
    rows = circuit_rows(calculation, results, [left.feeder for left in not_judged(calculation)])
    sheets.table("Circuits", _CIRCUITS, map(_circuit, rows))


def _circuit(row: CircuitRow) -> tuple[Any, ...]:
    worst = row.worst
    return (
        row.circuit,
        row.title,
        row.device,
        row.conductor,
        _value(row.load),
        _value(row.capacity),
        _value(row.drop),
        row.drop.limit if row.drop is not None else None,
        _value(row.largest),
        _value(row.smallest),
        _value(row.disconnection),
        row.disconnection.limit if row.disconnection is not None else None,
        _value(row.selectivity),
        selectivity_word(row.selectivity).partition(" ")[0] if row.selectivity is not None else None,
        worst.margin_percent if worst is not None else None,
        f"{title(worst.question)}, {worst.subject}" if worst is not None else "no limit is computed",
        row.broken,
        row.left,
        ", ".join(row.missing),
    )


def _value(result: Result | None) -> float | None:
    return result.value if result is not None else None


def _results(sheets: _Sheets, calculation: Calculation, results: Sequence[Result], unit: str) -> None:
    of = f" [{unit}]" if unit else ""
    heads = (
        ("circuit", 14),
        ("of", 34),
        ("result", 40),
        (f"value{of}", 14),
        ("held to", 10),
        (f"limit{of}", 14),
        ("margin [%]", 10),
        ("limit is", 40),
        ("formula", 60),
        ("values put in", 60),
        ("sources", 60),
        ("note", 60),
    )
    rows = (_result(calculation, result) for section in sections_of(calculation, results) for result in section.results)
    sheets.table(f"In {unit.replace('/', ' per ')}" if unit else "Plain numbers", heads, rows)


def _result(calculation: Calculation, result: Result) -> tuple[Any, ...]:
    margin = result.margin_percent
    sign = "F{row}-D{row}" if result.sense.value == "at most" else "D{row}-F{row}"
    return (
        result.feeder,
        result.subject,
        title(result.question),
        result.value,
        result.sense.value,
        result.limit,
        _Worked(f"=100*({sign})/ABS(F{{row}})", margin) if margin is not None and isfinite(margin) else None,
        result.limit_words,
        result.formula_text if result.computed else "",
        result.inserted if result.computed else "",
        "; ".join(sources_of(result, symbols=False)),
        noted(calculation, result),
    )
