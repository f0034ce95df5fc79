"""From a plant to files: the set of drawings in order, and the writing of it."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterable, Sequence
from contextlib import suppress
from pathlib import Path

from msgspec.structs import replace

from netdsl.collector import collector_paused
from render.drawing import Drawing, members
from render.drawings.cover import cover_sheets
from render.layout.frame import framed
from render.sheet import Sheet

PDF_NAME = "drawings.pdf"
#: lists the files of the last build, so that the next one removes no others
MANIFEST = "netdsl-files.txt"
_MANY = 100  # sheets from which a second process pays


def drawing_set(drawing: Drawing) -> tuple[Sheet, ...]:
    """All sheets of a plant, framed, the cover first. Error findings that no exception allows are noted on every sheet."""
    with collector_paused():
        sheets = [sheet for member in members() for sheet in drawing.drawn(member)]
        whole = _distinct([*cover_sheets(drawing, sheets), *sheets])
        return tuple(framed(sheet, drawing.plant.project, drawing.errors) for sheet in whole)


def _distinct(sheets: Iterable[Sheet]) -> list[Sheet]:
    """`sheets` with keys that differ even where a file system ignores case."""
    taken: set[str] = set()
    result = []
    for sheet in sheets:
        key, number = sheet.key, 2
        while key.casefold() in taken:
            key, number = f"{sheet.key}_{number}", number + 1
        taken.add(key.casefold())
        result.append(sheet if key == sheet.key else replace(sheet, key=key))
    return result


def write_set(sheets: Sequence[Sheet], folder: Path, formats: Sequence[str], title: str) -> list[Path]:
    """Write `sheets` into `folder`: an SVG each (`svg` among `formats`) and one PDF called `title` (`pdf`).

    Everything is written beside its target first and moved into place when all is there, so that an interrupted build leaves
    the previous one whole. Sheets of an earlier build that are no more are removed, those alone that its manifest names.
    Raises OSError where the folder cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    drawn = [folder / f"{sheet.key}.svg" for sheet in sheets] if "svg" in formats else []
    bound = [folder / PDF_NAME] if "pdf" in formats else []
    written = [*drawn, *bound]
    try:
        with collector_paused():
            _write_aside(sheets, drawn, bound, title)
        earlier = _listed(folder)
        names = [path.name for path in written]
        _list(folder, {*earlier, *names})
        for path in written:
            _aside(path).replace(path)
    finally:
        for path in written:
            with suppress(OSError):
                _aside(path).unlink(missing_ok=True)
    _list(folder, {*names, *_remove_stale(folder, earlier, set(names), formats)})
    return written


def _aside(path: Path) -> Path:
    return path.with_name(f".{path.name}.part")


def _write_aside(sheets: Sequence[Sheet], drawn: Sequence[Path], bound: Sequence[Path], title: str) -> None:
    """Write all files beside their targets; of a large set the SVGs in a second process while the PDF is made."""
    second = None
    if bound and len(drawn) > _MANY and "fork" in multiprocessing.get_all_start_methods():
        second = multiprocessing.get_context("fork").Process(target=_write_svgs, args=(sheets, drawn))
        second.start()
    for path in bound:  # here, being the longer half: a PDF takes about three times as long as the SVGs
        from render.writers.pdf import pdf_bytes

        _aside(path).write_bytes(pdf_bytes(sheets, title))
    if second is not None:
        second.join()
    if second is None or second.exitcode != 0:
        _write_svgs(sheets, drawn)


def _write_svgs(sheets: Sequence[Sheet], drawn: Sequence[Path]) -> None:
    from render.writers.svg import svg_bytes

    for sheet, path in zip(sheets, drawn, strict=False):
        _aside(path).write_bytes(svg_bytes(sheet))


def _listed(folder: Path) -> list[str]:
    """Names in the manifest of an earlier build; only such as this program writes: plain names of sheets and the PDF."""
    try:
        lines = (folder / MANIFEST).read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return []
    return [line for line in lines if line == Path(line).name and (line == PDF_NAME or line.endswith(".svg"))]


def _list(folder: Path, names: Iterable[str]) -> None:
    path = folder / MANIFEST
    _aside(path).write_text("".join(f"{name}\n" for name in sorted(names)), encoding="utf-8")
    _aside(path).replace(path)


def _remove_stale(folder: Path, earlier: Sequence[str], names: set[str], formats: Sequence[str]) -> list[str]:
    """Remove what an earlier build wrote in these formats and this one did not; gives the names that stay."""
    kept = []
    for name in earlier:
        if name in names:
            continue
        if name.rsplit(".", 1)[-1] in formats:
            (folder / name).unlink(missing_ok=True)
        else:
            kept.append(name)
    return kept
