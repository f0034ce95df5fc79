"""From a plant to files: the set of drawings in order, and the writing of it."""

from __future__ import annotations

import multiprocessing
import shutil
from collections.abc import Iterable, Sequence
from pathlib import Path

from msgspec.structs import replace

from netdsl.collector import collector_paused
from render.drawing import Drawing, members
from render.drawings.cover import cover_sheets
from render.exchange import MANIFEST as MANIFEST
from render.exchange import exchange
from render.layout.changes import Bars, changes
from render.layout.fonts import font_file
from render.layout.frame import Issue, framed
from render.sheet import Sheet
from render.tables.register import Fingerprints, Sources

PDF_NAME = "drawings.pdf"
#: of a sheet that says neither its revision nor its date, lest a new revision change it: the cover has both
_AS_COVER = "as C1"
_MANY = 100  # sheets from which a second process pays


def drawing_set(drawing: Drawing, earlier: Drawing | None = None) -> tuple[Sheet, ...]:
    """All sheets of a plant, framed, the cover first. Error findings that no exception allows are noted on every sheet.

    `earlier`: the plant at an earlier revision. What has not changed since keeps that revision and its date, what has says the
    last one, with bars beside what changed. Without it the cover alone says revision and date.
    """
    with collector_paused():
        project = drawing.plant.project
        prints, sources = drawing.of(Fingerprints), drawing.of(Sources)
        sheets = [sheet for member in members() for sheet in drawing.drawn(member)]
        covers = cover_sheets(drawing, sheets, prints.whole)
        issues = [Issue(*_revision(drawing))] * len(covers)
        for sheet, each in prints.sheets:
            files = ", ".join(sources.of(sheet))
            origin = f"Fingerprint {each}{f', from {files}' if files else ''}"
            revision, date, bars = _stands(sheet, each, drawing, earlier)
            issues.append(Issue(revision, date, origin, covers[0].key, bars))
        # what is left is the register
        issues += [Issue(_AS_COVER, _AS_COVER, "", covers[0].key)] * (len(covers) + len(sheets) - len(issues))
        whole = _distinct([*covers, *sheets])
        return tuple(framed(sheet, project, drawing.errors, issue) for sheet, issue in zip(whole, issues, strict=True))


def changed_sheets(drawing: Drawing, earlier: Drawing) -> list[str]:
    """Numbers of the sheets that are new or drawn otherwise than for the earlier plant, in the order of the set."""
    before = earlier.of(Fingerprints).by_key
    return [sheet.number for sheet, each in drawing.of(Fingerprints).sheets if before.get(sheet.key, (None, ""))[1] != each]


def _stands(sheet: Sheet, fingerprint: str, drawing: Drawing, earlier: Drawing | None) -> tuple[str, str, Bars]:
    """Revision and date of a sheet, and where it changed with them."""
    if earlier is None:
        return _AS_COVER, _AS_COVER, ()
    before, its = earlier.of(Fingerprints).by_key.get(sheet.key, (None, ""))
    if its == fingerprint:
        return *_revision(earlier), ()
    return *_revision(drawing), changes(before, sheet)


def _revision(drawing: Drawing) -> tuple[str, str]:
    """The last revision of a project and its date, "" where it states none."""
    revisions = drawing.plant.project.revisions
    return (revisions[-1].index, revisions[-1].date) if revisions else ("", "")


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


def write_set(sheets: Sequence[Sheet], folder: Path, formats: Sequence[str], title: str, standalone: bool = False) -> list[Path]:
    """Write `sheets` into `folder`: an SVG, a DXF each (`svg`, `dxf` in `formats`), one PDF called `title` (`pdf`); their paths.

    The SVGs share two font files beside them; where they are to be `standalone`, each has its font within.

    The set changes as a whole: stopped at any moment, a build leaves the previous set or, once the next one has run, the new
    one. Sheets of an earlier build that are no more are removed, those alone that its manifest names. Raises OSError where the
    folder cannot be written or another build holds it.
    """
    drawn = [f"{sheet.key}.svg" for sheet in sheets] if "svg" in formats else []
    exchanged = [f"{sheet.key}.dxf" for sheet in sheets] if "dxf" in formats else []
    bound = [PDF_NAME] if "pdf" in formats else []
    fonts = [font_file(bold) for bold in (False, True)] if drawn and not standalone else []

    def write(fresh: Path) -> None:
        with collector_paused():
            _write_all(sheets, [fresh / name for name in drawn], [fresh / name for name in bound], title, standalone)
            _write_dxfs(sheets, [fresh / name for name in exchanged])
            for font in fonts:
                shutil.copyfile(font, fresh / font.name)

    kinds = (*formats, "ttf") if "svg" in formats else formats
    exchange(folder, [*bound, *drawn, *exchanged, *(font.name for font in fonts)], write, kinds)
    return [folder / name for name in (*drawn, *exchanged, *bound)]


def _write_all(sheets: Sequence[Sheet], drawn: Sequence[Path], bound: Sequence[Path], title: str, standalone: bool) -> None:
    """Write all files; of a large set the SVGs in a second process while the PDF is made."""
    second = None
    if bound and len(drawn) > _MANY and "fork" in multiprocessing.get_all_start_methods():
        second = multiprocessing.get_context("fork").Process(target=_write_svgs, args=(sheets, drawn, standalone), daemon=True)
        second.start()
    try:
        for path in bound:  # here, being the longer half: a PDF takes about three times as long as the SVGs
            from render.writers.pdf import pdf_bytes

            path.write_bytes(pdf_bytes(sheets, title))
        if second is not None:
            second.join()
    finally:
        if second is not None and second.is_alive():  # stopped meanwhile: it writes into a folder that goes
            second.terminate()
            second.join()
    if second is None or second.exitcode != 0:
        _write_svgs(sheets, drawn, standalone)


def _write_svgs(sheets: Sequence[Sheet], drawn: Sequence[Path], standalone: bool) -> None:
    from render.writers.svg import svg_bytes

    for sheet, path in zip(sheets, drawn, strict=False):
        path.write_bytes(svg_bytes(sheet, standalone))


def _write_dxfs(sheets: Sequence[Sheet], drawn: Sequence[Path]) -> None:
    if drawn:
        from render.writers.dxf import dxf_bytes

        for sheet, path in zip(sheets, drawn, strict=True):
            path.write_bytes(dxf_bytes(sheet))
