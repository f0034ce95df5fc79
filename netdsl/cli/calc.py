"""`netdsl calc`: the calculation sheet of a plant, or one result explained."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from netdsl.cli.check import show
from netdsl.cli.output import put
from netdsl.cli.progress import step
from netdsl.cli.report import counts
from netdsl.cli.work import Judged, connect, judge, whole_plant

if TYPE_CHECKING:
    from netdsl.calc import Calculation
    from netdsl.calc.basis import Result

PDF_NAME, XLSX_NAME = "calculation.pdf", "calculation.xlsx"


def _target(_context: click.Context, _option: click.Parameter, value: str | None) -> Path | None:
    if value == "":
        raise click.BadParameter("the name of a file is empty")
    return None if value is None else Path(value)


@click.command(short_help="Compute a plant: currents, cables, protection, voltage drop, heat.")
@click.argument("plant", type=click.Path(path_type=Path))
@click.option(
    "--at",
    "designation",
    default=None,
    metavar="DESIGNATION",
    help="Explain the results of one device, cable, conductor or enclosure down to the lines of the netlist.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "csv", "json", "pdf", "xlsx"]),
    default="text",
    show_default=True,
    help="pdf and xlsx go to a file, the others to standard output.",
)
@click.option(
    "-o",
    "--out",
    "target",
    callback=_target,
    default=None,
    metavar="FILE",
    help=f"Write to FILE.  [default for pdf: out/{PDF_NAME} beside the plant, for xlsx {XLSX_NAME}]",
)
@click.option(
    "--vary",
    "varied",
    default=None,
    metavar="NAME=a..b",
    help="Say up to where each limit holds while one input goes through a range: fault-level, ambient, grouping, length, or a "
    "number that the project statement takes; with --at that of one supply, route, place or cable. Text or json.",
)
def calc(plant: Path, designation: str | None, form: str, target: Path | None, varied: str | None) -> int:
    """Compute PLANT, a file or a folder that holds one plant.netdsl, and print the calculation sheet: every figure with its
    formula, the values put in, their source, and the margin to its limit.

    Missing data and assumptions are listed. Exit code: 0 computed and every limit kept, 1 a limit is not kept, data is missing
    for some, the text has errors, or --at names nothing that was computed, 2 could not read or write, or the text gives no plant.

    \b
    Examples:
      netdsl calc examples/hatchery
      netdsl calc examples/hatchery --at =RP1-M1
      netdsl calc examples/hatchery --format pdf -o calculation.pdf
      netdsl calc examples/hatchery --vary fault-level=1kA..20kA
      netdsl calc examples/hatchery --vary length=10m..200m --at =RP1-W1
    """
    if varied is not None and form not in ("text", "json"):
        raise click.BadParameter("--vary gives text or json")
    file = whole_plant(plant)
    # the printed sheet says how many errors `check` finds
    judged = judge(file, date.today().isoformat()) if form == "pdf" else connect(file)
    calculation = judged.calculation
    if calculation is None:
        show(judged)
        return 2
    if varied is not None:
        return _vary(judged, varied, designation or "", form, target)
    from netdsl.calc.sheet import results_at

    with step("computing"):
        results = calculation.results if designation is None else results_at(calculation, designation)
    if designation is not None and not results:
        click.echo(f"netdsl: {_nothing_about(calculation, designation)}", err=True)
        return 1
    kept = all(result.holds for result in results)
    if form == "pdf":
        _write_pdf(judged, calculation, results, target or file.parent / "out" / PDF_NAME)
    elif form == "xlsx":
        from netdsl.cli.calc_workbook import workbook_bytes

        put(target or file.parent / "out" / XLSX_NAME, workbook_bytes(calculation, results), "the sheet")
    else:
        _write_text(form, calculation, results, designation is not None, target)
    if not judged.checked:
        click.echo(f"netdsl: `netdsl check {plant}` shows errors: what their text is about is missing or wrong here", err=True)
    lacking = designation is None and bool(calculation.missing)
    return 0 if kept and judged.checked and not lacking else 1


def _vary(judged: Judged, varied: str, at: str, form: str, target: Path | None) -> int:
    """Print up to where each limit holds. Exit code: 0 all hold over the range, 1 one does not, 2 there is no such input."""
    from netdsl.cli.calc_vary import vary_lines, vary_object
    from netdsl.whatif import ranges, read_vary

    assert judged.network is not None  # there is a calculation
    vary = read_vary(varied, at, judged.network)
    if isinstance(vary, str):
        click.echo(f"netdsl: {vary}", err=True)
        return 2
    with step("computing over the range"):
        found = ranges(judged.network, vary)
    if form == "json":
        text = json.dumps(vary_object(found), indent=2, ensure_ascii=False) + "\n"
    else:
        text = "".join(f"{line}\n" for line in vary_lines(found))
    if target is None:
        click.echo(text, nl=False)
    else:
        put(target, text.encode(), "the sheet")
    return 1 if found.broken or found.never else 0


def _nothing_about(calculation: Calculation, designation: str) -> str:
    """Why there is no result for a designation: it is unknown, then with the nearest that has some, or none is computed for
    it."""
    from netdsl.calc.sheet import designations
    from netdsl.spelling import alike

    known = designations(calculation)
    near = alike(designation, known, share=0.5)
    plant = calculation.plant
    if designation in {*plant.devices, *plant.cables, *plant.conductors, *plant.places, *plant.functions}:
        return f"nothing is computed about `{designation}`"
    hint = f", did you mean `{near[0]}`?" if near else ": name a device, cable, conductor or enclosure"
    return f"`{designation}` is not in this plant{hint}"


def _write_text(form: str, calculation: Calculation, results: tuple[Result, ...], explain: bool, target: Path | None) -> None:
    """Print the sheet or the explanation, or write it to `target`."""
    from netdsl.cli.calc_data import csv_text, json_object
    from netdsl.cli.calc_text import explanation_lines, sheet_lines

    if form == "json":
        text = json.dumps(json_object(calculation, results), indent=2, ensure_ascii=False) + "\n"
    elif form == "csv":
        text = csv_text(calculation, results)
    else:
        lines = explanation_lines if explain else sheet_lines
        text = "\n".join(lines(calculation, results)) + "\n"
    if target is None:
        click.echo(text, nl=False)
        return
    put(target, text.encode(), "the sheet")


def _write_pdf(judged: Judged, calculation: Calculation, results: tuple[Result, ...], target: Path) -> None:
    from render.drawing import Drawing
    from render.drawings.single_line import single_line_sheets
    from render.drawings.time_current import diagrams
    from render.layout.frame import framed
    from render.tables.calculation import calculation_sheets
    from render.writers.pdf import pdf_bytes

    with step("drawing the sheets"):
        errors, project = counts(judged.findings)["error"], calculation.plant.project
        drawing = Drawing(calculation.network, judged.findings, calculation)
        tables = calculation_sheets(calculation, results, errors, tuple(single_line_sheets(drawing)))
        sheets = (*tables, *(framed(sheet, project, errors) for sheet in diagrams(drawing, "CS1")))
        data = pdf_bytes(sheets, calculation.plant.project.title)
    put(target, data, "the sheet")
