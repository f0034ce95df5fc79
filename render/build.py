"""From a plant to files: the set of drawings in order, and the writing of it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from netdsl.collector import collector_paused
from render.drawing import Drawing, members
from render.drawings.cover import cover_sheets
from render.exchange import MANIFEST as MANIFEST
from render.exchange import exchange
from render.layout.changes import Bars, changes
from render.layout.fonts import font_file
from render.layout.frame import Issue, framed
from render.shares import Order, written
from render.sheet import Sheet
from render.tables.register import Fingerprints, Sources

PDF_NAME = "drawings.pdf"
#: of a sheet that says neither its revision nor its date, lest a new revision change it: the cover has both
_AS_COVER = "as C1"


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
        lies = _rewired(drawing, earlier)
        for sheet, each in prints.sheets:
            files = ", ".join(sources.of(sheet))
            origin = f"Fingerprint {each}{f', from {files}' if files else ''}"
            revision, date, bars = _stands(sheet, each, drawing, earlier, lies)
            issues.append(Issue(revision, date, origin, covers[0].key, bars))
        # what is left is the register
        issues += [Issue(_AS_COVER, _AS_COVER, "", covers[0].key)] * (len(covers) + len(sheets) - len(issues))
        whole = _distinct([*covers, *sheets])
        return tuple(framed(sheet, project, drawing.errors, issue) for sheet, issue in zip(whole, issues, strict=True))


def changed_sheets(drawing: Drawing, earlier: Drawing) -> list[str]:
    """Numbers of the sheets that are new or drawn otherwise than for the earlier plant, in the order of the set."""
    before = earlier.of(Fingerprints).by_key
    return [sheet.number for sheet, each in drawing.of(Fingerprints).sheets if before.get(sheet.key, (None, ""))[1] != each]


def _rewired(drawing: Drawing, earlier: Drawing | None) -> frozenset[str]:
    """Cores that land elsewhere than in the earlier plant."""
    if earlier is None:
        return frozenset()
    from netdsl.comparing import names_between, rewired

    return rewired(earlier.plant, drawing.plant, names_between(earlier.network, drawing.network))


def _stands(
    sheet: Sheet, fingerprint: str, drawing: Drawing, earlier: Drawing | None, lies: frozenset[str]
) -> tuple[str, str, Bars]:
    """Revision and date of a sheet, and where it changed with them."""
    if earlier is None:
        return _AS_COVER, _AS_COVER, ()
    before, its = earlier.of(Fingerprints).by_key.get(sheet.key, (None, ""))
    if its == fingerprint:
        return *_revision(earlier), ()
    return *_revision(drawing), changes(before, sheet, lies)


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


class Written(Struct, frozen=True):
    """What a build wrote: `files` in the order of the set, the PDF last, and how many sheets have a file that is new or not as it
    was (`changed`, None where the PDF alone was written)."""

    files: tuple[Path, ...]
    changed: int | None


class Ways(Struct, frozen=True):
    """How a set is written: by how many processes (`jobs`), each SVG with its font (`standalone`), with what earlier builds left
    in a folder (`store`, None: without), and who is given the number of sheets done now and then (`told`)."""

    jobs: int = 1
    standalone: bool = False
    store: Path | None = None
    told: Callable[[int], None] = lambda _done: None


PLAINLY = Ways()


def write_set(sheets: Sequence[Sheet], folder: Path, formats: Sequence[str], title: str, ways: Ways = PLAINLY) -> Written:
    """Write `sheets` into `folder`: an SVG, a DXF each (`svg`, `dxf` in `formats`), one PDF called `title` (`pdf`).

    The SVGs share two font files beside them; where they are to be standalone, each has its font within. In whatever `ways`, the
    bytes are the same.

    The set changes as a whole: stopped at any moment, a build leaves the previous set or, once the next one has run, the new
    one. Sheets of an earlier build that are no more are removed, those alone that its manifest names. Raises OSError where the
    folder cannot be written or another build holds it.
    """
    named = [f"{sheet.key}.{form}" for form in formats if form != "pdf" for sheet in sheets]
    bound = [PDF_NAME] if "pdf" in formats else []
    fonts = [font_file(bold) for bold in (False, True)] if "svg" in formats and not ways.standalone else []
    changed = 0

    def write(fresh: Path) -> None:
        nonlocal changed
        with collector_paused():
            order = Order(sheets, formats, fresh, folder, ways.standalone, ways.store)
            changed, leaves = written(order, ways.jobs, ways.told)
            for name in bound:
                from render.writers.pdf import write_pdf

                with (fresh / name).open("wb") as file:
                    write_pdf(leaves, title, file)
            for font in fonts:
                shutil.copyfile(font, fresh / font.name)

    kinds = (*formats, "ttf") if "svg" in formats else formats
    exchange(folder, [*bound, *named, *(font.name for font in fonts)], write, kinds)
    return Written(tuple(folder / name for name in (*named, *bound)), changed if named else None)
