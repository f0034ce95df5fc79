"""The calculation sheet for other programs: one table (CSV), one object (JSON)."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import Any

from netdsl import __version__
from netdsl.calc import Calculation
from netdsl.calc.basis import Input, Result, Said
from netdsl.calc.sheet import (
    CAUTIONS,
    CircuitRow,
    circuit_rows,
    not_judged,
    noted,
    origin_words,
    sections_of,
    sources_of,
    summary_of,
    title,
)
from netdsl.cli.calc_text import place
from netdsl.cli.report import span_object
from netdsl.cli.table_data import safe

COLUMNS = (
    "feeder",
    "question",
    "subject",
    "value",
    "unit",
    "sense",
    "limit",
    "margin %",
    "kept",
    "formula",
    "inserted",
    "sources",
    "note",
)


def csv_text(calculation: Calculation, results: Sequence[Result]) -> str:
    """A row per result (RFC 4180), then rows of kind `not judged`, `missing`, `assumption` and `caution` in the column
    `question`; what is missing is told as not computed in the column `kept`.

    A cell that a spreadsheet would take for a formula, as every designation of a function, begins with a blank.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for section in sections_of(calculation, results):
        for result in section.results:
            writer.writerow([_cell(value) for value in _row(calculation, result)])
    for left in not_judged(calculation):
        writer.writerow(
            [
                _cell(v)
                for v in (left.feeder, "not judged", left.device, left.what, *[""] * 4, "not judged", *[""] * 3, left.reason)
            ]
        )
    for gap in calculation.missing:
        writer.writerow(
            [
                _cell(v)
                for v in (
                    gap.feeder,
                    "missing",
                    ", ".join(gap.things),
                    gap.kind,
                    *[""] * 4,
                    "not computed",
                    *[""] * 3,
                    f"not computed: {', '.join(gap.absent)}",
                )
            ]
        )
    for assumption in calculation.assumptions:
        where = origin_words(assumption.source, assumption.confidence)
        writer.writerow([_cell(v) for v in ("", "assumption", assumption.name, *[""] * 8, where, assumption.words)])
    for caution in CAUTIONS:
        writer.writerow(["", "caution", *[""] * 10, caution])
    return stream.getvalue()


def _row(calculation: Calculation, result: Result) -> tuple[Any, ...]:
    margin = result.margin_percent
    sources = "; ".join(sources_of(result, symbols=True))
    return (
        result.feeder,
        title(result.question),
        result.subject,
        _number(result.value),
        result.unit,
        result.sense.value,
        "" if result.limit is None else _number(result.limit),
        "" if margin is None else f"{margin:.1f}",
        "" if result.limit is None else ("yes" if result.holds else "no"),
        result.formula_text,
        result.inserted,
        sources,
        noted(calculation, result),
    )


def _number(value: float) -> str:
    return f"{value:.6g}"


def _cell(value: Any) -> str:
    text = str(value)
    return text if _is_number(text) else safe(text)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def json_object(calculation: Calculation, results: Sequence[Result]) -> dict[str, Any]:
    """Everything about `results`, with lines and columns from 1; numbers that are not finite are null."""
    project = calculation.plant.project
    summary = summary_of(calculation, results)
    return {
        "tool": "netdsl",
        "version": __version__,
        "project": {"title": project.title, **project.attributes},
        "cautions": list(CAUTIONS),
        "summary": {
            "figures": summary.figures,
            "limits": summary.limits,
            "kept": summary.limits - len(summary.broken),
            "not_kept": [result.key for result in summary.broken],
            "not_computed": summary.absent,
            "not_judged": summary.left,
            "smallest_margins": [result.key for result in summary.tightest],
        },
        "circuits": [
            _circuit(row) for row in circuit_rows(calculation, results, [left.feeder for left in not_judged(calculation)])
        ],
        "results": [_result(calculation, result) for result in results],
        "not_judged": [
            {"feeder": left.feeder, "device": left.device, "what": left.what, "reason": left.reason}
            for left in not_judged(calculation)
        ],
        "missing": [
            {
                "feeder": gap.feeder,
                "kind": gap.kind,
                "things": list(gap.things),
                "absent": list(gap.absent),
                "remedy": gap.remedy,
                "span": span_object(gap.span),
            }
            for gap in calculation.missing
        ],
        "assumptions": [
            {"name": found.name, "words": found.words, "source": found.source, "confidence": found.confidence}
            for found in calculation.assumptions
        ],
    }


def _circuit(row: CircuitRow) -> dict[str, Any]:
    """A circuit by the keys of its results."""
    named = ("load", "capacity", "drop", "largest", "smallest", "disconnection", "selectivity", "worst")
    found = {name: getattr(row, name) for name in named}
    return {
        "circuit": row.circuit,
        "title": row.title,
        "device": row.device,
        "conductor": row.conductor,
        **{name: result.key if result is not None else None for name, result in found.items()},
        "not_kept": row.broken,
        "not_judged": row.left,
        "not_computed": list(row.missing),
    }


def _result(calculation: Calculation, result: Result) -> dict[str, Any]:
    return {
        "key": result.key,
        "question": result.question,
        "title": title(result.question),
        "subject": result.subject,
        "feeder": result.feeder,
        "value": _finite(result.value),
        "unit": result.unit,
        "formula": result.formula_text,
        "inserted": result.inserted,
        "source": result.source,
        "sense": result.sense.value,
        "limit": _finite(result.limit),
        "limit_words": result.limit_words,
        "margin_percent": _finite(result.margin_percent),
        "kept": None if result.limit is None else result.holds,
        "note": noted(calculation, result),
        "conductors": list(result.conductors),
        "given": [_given(given) for given in (*result.rests_on, *([result.limit_given] if result.limit_given else []))],
        "span": span_object(result.span) if result.span else None,
    }


def _given(given: Input) -> dict[str, Any]:
    value = given.text if isinstance(given, Said) else _finite(given.value)
    return {
        "symbol": given.symbol,
        "value": value,
        "unit": given.unit,
        "words": given.words,
        "source": given.source,
        "confidence": given.confidence,
        "result": given.result,
        "place": place(given.span) if given.span else "",
    }


def _finite(value: float | None) -> float | None:
    return value if value is not None and abs(value) < float("inf") else None
