"""The sheets on which two states of a plant differ, marked: what is new or changed on the new ones, what is no more on the old.

What moved alone is no difference, and title block and error note are left out. Beside a marked sheet stands, where something went
or changed, the sheet as it was, thin, with that struck.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence

from msgspec.structs import replace

from netdsl.comparing import Comparison, Names, rewired
from netdsl.model.project import ProjectData
from render.drawing import Drawing, members
from render.layout.frame import Issue, framed
from render.layout.marks import Marked, Rename, differences, thinned
from render.sheet import Label, MarkedSheet, Sheet
from render.tables.grid import stacked_sheets
from render.tables.register import PLACE
from render.tables.rework import rework_sheets
from render.tables.table import Cell, Column, Entry, Table

_PAGE = re.compile(r"[-_]?\d+$")
_SHEETS = (
    Column("sheet", most=40.0, least=22.0),
    Column("title", most=120.0, least=60.0),
    Column("what", most=160.0, least=60.0),
)
_CHANGES = (Column("where", most=60.0, least=26.0), Column("what changed", most=300.0, least=120.0))
_LEGEND = (
    "Dashed frame, and bar with the letter of the revision: new or changed. Struck, on a sheet as it was: no more, or otherwise."
    " On a screen new is green, changed yellow, gone red. What only moved is not marked.",
    "That nothing else is marked says nothing of whether the plant is right.",
)
_WAS = " as it was"


def changed_set(old: Drawing, new: Drawing, comparison: Comparison) -> tuple[Sheet, ...]:
    """The marked sheets, a list of them first, the rework list last, filled by names alone too; nothing where nothing differs."""
    before, after = _bodies(old), _bodies(new)
    back, was_called, now_called = _both_ways(comparison.names)
    touched, lies = _touched(comparison), rewired(old.plant, new.plant, comparison.names)
    keys = {sheet.key for sheet in before}
    come: dict[str, Marked] = {}
    gone: dict[str, Marked] = {}
    for stem, sheets in _by_stem(after).items():
        others = [sheet for sheet in before if _stem(sheet) in (stem, _named_before(stem, back))]
        come |= differences(sheets, others, touched, lies, was_called, "come")
        gone |= differences(others, sheets, touched, lies, now_called, "gone")
    stems = {_stem(sheet) for sheet in after} | {_named_before(_stem(sheet), back) for sheet in after}
    went = [sheet for sheet in before if _stem(sheet) not in stems]
    gone |= differences(went, (), touched, lies, now_called, "gone")
    parts: list[tuple[Sheet, ProjectData, Marked, bool]] = []
    partners = {_named_before(sheet.key, back): sheet.key for sheet in after}
    for sheet in after:
        if sheet.key in come:
            parts.append((sheet, new.plant.project, come[sheet.key], False))
        own = sheet.key if sheet.key in keys else _named_before(sheet.key, back)
        parts += [(each, old.plant.project, gone[own], True) for each in before if each.key == own and own in gone]
    parts += [(each, old.plant.project, gone[each.key], True) for each in before if each.key in gone and each.key not in partners]
    rework = rework_sheets(new)
    if not parts and not rework:
        return ()
    cover = stacked_sheets([_contents(parts, keys, rework), _told(comparison)], new.size)
    there = {sheet.key for sheet, *_, was in parts if not was} | {each.key for each in (*cover, *rework)}
    drawn = [_drawn(sheet, project, marked, was, cover[0].key) for sheet, project, marked, was in parts]
    revision, date = _revision(new.plant.project)
    plain = [framed(each, new.plant.project, 0, Issue(revision, date, "", cover[0].key)) for each in (*cover, *rework)]
    whole = [*plain[: len(cover)], *drawn, *plain[len(cover) :]]
    return tuple(replace(sheet, primitives=tuple(_linked(sheet, there))) for sheet in whole)


def _bodies(drawing: Drawing) -> list[Sheet]:
    drawing.plan()
    return [sheet for member in members() if member.place < PLACE for sheet in drawing.drawn(member)]


def _stem(sheet: Sheet) -> str:
    """What all sheets of one list or one drawing have in common: a row may have moved to the next."""
    return _PAGE.sub("", sheet.key)


def _by_stem(sheets: Iterable[Sheet]) -> dict[str, list[Sheet]]:
    found: dict[str, list[Sheet]] = {}
    for sheet in sheets:
        found.setdefault(_stem(sheet), []).append(sheet)
    return found


def _named_before(key: str, back: dict[str, str]) -> str:
    """The key that a sheet had where its function or device was called otherwise."""
    for now in sorted(back, key=len, reverse=True):
        plain = now.lstrip("=+-")
        if re.search(rf"(?<![A-Za-z0-9]){re.escape(plain)}(?![A-Za-z0-9])", key):
            return re.sub(rf"(?<![A-Za-z0-9]){re.escape(plain)}(?![A-Za-z0-9])", back[now].lstrip("=+-"), key, count=1)
    return key


def _both_ways(names: Names) -> tuple[dict[str, str], Rename, Rename]:
    """Names of now to those of before; a text of now as it was, and one of then as it is."""
    back = {now: was for was, now in names.things.items()}
    terminals = {}
    for strip, each in names.terminals.items():
        # a terminal that came has a number that another had before
        fresh = {was: f"{was}*" for was in each if was not in each.values()}
        terminals[back.get(strip, strip)] = fresh | {now: was for was, now in each.items()}
    return back, _renaming(Names(back, terminals)), _renaming(names)


def _renaming(names: Names) -> Rename:
    """What says a text in other names; those in numbers of sheets, `RP2/E1`, among it."""
    functions = {was[1:]: now[1:] for was, now in names.things.items() if was.startswith("=") and "-" not in was}
    sheets = re.compile(rf"(?<![\w.])({'|'.join(map(re.escape, functions))})(?=/)") if functions else None

    def rename(text: str) -> str:
        text = names.of(text)
        return sheets.sub(lambda found: functions[found[1]], text) if sheets else text

    return rename


def _touched(comparison: Comparison) -> Collection[str]:
    """Designations of which the plant says something else, by their names of now and of before."""
    found: set[str] = set()
    for change in comparison.changes:
        if change.what not in ("renamed", "result-changed", "result-new", "result-gone"):
            found.update(change.subjects or (change.subject,))
    for pair in comparison.pairs:
        if pair.before is None or pair.after is None or pair.either.id in found or dict(pair.was) != dict(pair.after.facts):
            found.update(thing.id for thing in (pair.before, pair.after) if thing is not None)
    return found


def _revision(project: ProjectData) -> tuple[str, str]:
    return (project.revisions[-1].index, project.revisions[-1].date) if project.revisions else ("", "")


def _drawn(sheet: Sheet, project: ProjectData, marked: Marked, was: bool, cover: str) -> MarkedSheet:
    """A sheet with its marks, or as it was with what is no more struck."""
    revision, date = _revision(project)
    if was:
        sheet = replace(sheet, key=_was(sheet), number=f"{sheet.number}{_WAS}", title=f"{sheet.title},{_WAS}")
        parts = [*map(thinned, sheet.primitives), *marked.strokes()]
        issue = Issue(revision, date, "Struck: no more, or otherwise now. Not to be wired from.", cover)
    else:
        parts = [*sheet.primitives, *marked.frames()]
        issue = Issue(revision, date, "Dashed frame: new or changed", cover, marked.spans, revision)
    whole = framed(replace(sheet, primitives=tuple(parts)), project, 0, issue)
    fields = {name: getattr(whole, name) for name in whole.__struct_fields__}
    return MarkedSheet(**fields, washes=marked.washes)


def _was(sheet: Sheet) -> str:
    return f"{sheet.key}-as-it-was"


def _linked(sheet: Sheet, there: Collection[str]) -> Iterable[Label]:
    """The parts of a sheet with links to sheets of this set alone."""
    for part in sheet.primitives:
        yield replace(part, link="") if isinstance(part, Label) and part.link and part.link not in there else part  # type: ignore[misc]


def _contents(parts: Sequence[tuple[Sheet, ProjectData, Marked, bool]], known: set[str], rework: Iterable[Sheet]) -> Table:
    """A row for each sheet."""
    entries = []
    for sheet, _, marked, was in parts:
        number = len(marked.boxes)
        what = f"{number} place{'s'[: number != 1]} {'struck' if was else 'marked'}"
        what = what if was or sheet.key in known else f"new, {what}"
        cells = (
            Cell(f"{sheet.number}{_WAS if was else ''}", link=_was(sheet) if was else sheet.key),
            Cell(sheet.title),
            Cell(what),
        )
        entries.append(Entry(cells))
    entries += [Entry((Cell(each.number, link=each.key), Cell(each.title), Cell("in the order of the work"))) for each in rework]
    return Table("changes", "CH", "Changed sheets", "Changes", "", _SHEETS, tuple(entries), _LEGEND)


def _told(comparison: Comparison) -> Table:
    """What changed in words, function by function."""
    from netdsl.comparing import condensed

    entries = [
        Entry((Cell(change.subject, change.subject), Cell(change.text.replace("`", ""), change.subject)))
        for change in condensed(comparison.changes)
    ]
    return Table("changes", "CH", "What changed", "Changes", "", _CHANGES, tuple(entries), _LEGEND)
