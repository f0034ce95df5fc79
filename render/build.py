"""From a plant to files: the set of drawings in order, and the writing of it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from itertools import chain
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from netdsl.collector import collector_paused
from render.drawing import Drawing, bounded, members
from render.drawings.cover import cover_sheets
from render.exchange import MANIFEST as MANIFEST
from render.exchange import Fresh, exchange, listed
from render.issues import Issues
from render.layout.fonts import font_file
from render.shares import MOST, Done, Order, Piece, Portion, is_file, written
from render.sheet import Sheet
from render.store import Store, font_key
from render.streaming import streamed
from render.tables.register import Fingerprints, Sources

PDF_NAME = "drawings.pdf"
#: sheets of a portion, from twice as many on a second process pays
_PORTION = 30
#: writes portions of a set and gives their sheets, in their order
_Write = Callable[[Sequence[Portion]], list[list[Done]]]


def drawing_set(drawing: Drawing, earlier: Drawing | None = None) -> tuple[Sheet, ...]:
    """All sheets of a plant, framed, the cover first. Error findings that no exception allows are noted on every sheet.

    `earlier`: as of Issues. Raises Beyond where they are more than are drawn.
    """
    with collector_paused():
        drawing.plan()
        prints, sources, issues = drawing.of(Fingerprints), drawing.of(Sources), Issues(drawing, earlier)
        sheets = [sheet for member in members() for sheet in drawing.drawn(member)]
        register = sheets[len(prints.sheets) :]
        whole = [issues.cover(sheet) for sheet in cover_sheets(drawing, sheets, prints.whole)]
        whole += [issues.sheet(sheet, each, sources.of(sheet)) for sheet, each in prints.sheets]
        whole += [issues.register(sheet) for sheet in register]
        return tuple(_distinct(whole))


def changed_sheets(drawing: Drawing, earlier: Drawing) -> list[str]:
    """Numbers of the sheets that are new or drawn otherwise than for the earlier plant, in the order of the set."""
    before = earlier.of(Fingerprints).by_key
    return [sheet.number for sheet, each in drawing.of(Fingerprints).sheets if before.get(sheet.key, (None, ""))[1] != each]


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
    """What a build wrote: how many `sheets`, their `files` in the order of the set, the PDF last, and how many sheets have a file
    that is new or not as it was (`changed`, None where the PDF alone was written)."""

    sheets: int
    files: tuple[Path, ...]
    changed: int | None


def sheets_before(folder: Path) -> int | None:
    """How many sheets the last build wrote into `folder`; None where there was none, or where they are not told apart."""
    names = listed(folder / MANIFEST)
    return len({name.rpartition(".")[0] for name in names if name.endswith((".svg", ".dxf"))}) or None


class Ways(Struct, frozen=True):
    """How a set is written: by how many processes (`jobs`), each SVG with its font (`standalone`), with what earlier builds left
    in a folder (`store`, None: without), and who is given the number of sheets done now and then (`told`)."""

    jobs: int = 1
    standalone: bool = False
    store: Path | None = None
    told: Callable[[int], None] = lambda _done: None


PLAINLY = Ways()


def build_set(drawing: Drawing, earlier: Drawing | None, folder: Path, formats: Sequence[str], ways: Ways = PLAINLY) -> Written:
    """Draw the set of a plant and write it as `write_set` does, each sheet forgotten as soon as it is written: the same files as
    of `drawing_set`, whatever the ways."""

    def draw(write: _Write) -> list[Done]:
        done = streamed(drawing, earlier, write)
        if len({each.sheet.key.casefold() for each in done}) == len(done):
            return done
        # sheets whose keys differ by case alone get other keys, which the whole set tells
        again = Drawing(drawing.network, drawing.findings, drawing.calculation, drawing.extent, drawing.earlier)
        return list(chain.from_iterable(write(_portions(drawing_set(again, earlier)))))

    return _write(draw, folder, formats, drawing.plant.project.title, ways)


def write_set(sheets: Sequence[Sheet], folder: Path, formats: Sequence[str], title: str, ways: Ways = PLAINLY) -> Written:
    """Write `sheets` into `folder`: an SVG, a DXF each (`svg`, `dxf` in `formats`), one PDF called `title` (`pdf`).

    The SVGs share two font files beside them; where they are to be standalone, each has its font within. In whatever `ways`, the
    bytes are the same.

    The set changes as a whole: stopped at any moment, a build leaves the previous set or, once the next one has run, the new
    one. Sheets of an earlier build that are no more are removed, those alone that its manifest names; files that are as they are
    to be are left alone. Raises OSError where the folder cannot be written or another build holds it.
    """
    return _write(lambda write: list(chain.from_iterable(write(_portions(_distinct(sheets))))), folder, formats, title, ways)


def _portions(sheets: Sequence[Sheet]) -> list[Portion]:
    step = max(_PORTION, len(sheets) // MOST + 1)
    return [partial(map, Piece, sheets[begin : begin + step]) for begin in range(0, len(sheets), step)]


def _write(draw: Callable[[_Write], list[Done]], folder: Path, formats: Sequence[str], title: str, ways: Ways) -> Written:
    """Write what `draw` has written of sheets as one set."""
    forms = [form for form in formats if form != "pdf"]
    made = Written(0, (), None)

    def write(fresh: Path) -> Fresh:
        nonlocal made
        order = Order(formats, fresh, folder, ways.standalone, ways.store)
        begun = 0

        def portions(some: Sequence[Portion]) -> list[list[Done]]:
            nonlocal begun
            before = begun
            done = written(order, some, ways.jobs, lambda count: ways.told(before + count))
            begun += sum(map(len, done))
            bounded(begun)
            return done

        with collector_paused():
            done = draw(portions)
            names = [f"{each.sheet.key}.{form}" for form in forms for each in done]
            moved = [name for each in done for name in each.fresh]
            fonts = [font_file(bold) for bold in (False, True)] if "svg" in formats and not ways.standalone else []
            for font in fonts:
                if not is_file(folder / font.name, font.read_bytes()):
                    shutil.copyfile(font, fresh / font.name)
                    moved.append(font.name)
            bound = [PDF_NAME] if "pdf" in formats else []
            for name in bound:
                _bind(done, title, fresh / name, ways.store)
        paths = tuple(folder / name for name in (*names, *bound))
        made = Written(len(done), paths, sum(bool(each.fresh) for each in done) if forms else None)
        return Fresh([*bound, *names, *(font.name for font in fonts)], [*bound, *moved])

    exchange(folder, write, (*formats, "ttf") if "svg" in formats else formats)
    return made


def _bind(done: Iterable[Done], title: str, file: Path, kept_in: Path | None) -> None:
    """Bind the PDF of the pages of sheets; fonts that an earlier build cut are taken from the store in the folder `kept_in`."""
    from render.writers.pdf import write_pdf
    from render.writers.pdf_fonts import Cut, cut_font

    store = Store(kept_in)

    def fonts(bold: bool, characters: str) -> Cut:
        return store.made(font_key(bold, characters), lambda: cut_font(bold, characters), Cut)

    with file.open("wb") as stream:
        write_pdf([each.leaf for each in done if each.leaf is not None], title, stream, fonts)
    store.close()
